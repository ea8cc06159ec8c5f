//! Turns a line as beginners write it into what is wrong with it, before the line is looked at as the parser does.
//!
//! Invariant: a line that is changed as the advice says raises no second message about how it is written.
//!
//! Must not: choose a value for the writer (of two numbers none is the right one), or repeat a text.

use std::ops::Range;

use crate::diagnose::{character_name, echo, is_refused};
use crate::plan::{dates, shapes};

/// What is wrong with a line, and where in it.
pub(in crate::plan) struct Slip {
    pub span: Range<usize>,
    pub problem: String,
    pub remedy: String,
}

/// How people begin a remark who have written other kinds of files.
const OTHER_REMARKS: [&str; 5] = ["//", "/*", "--", ";", "%"];
/// Bytes of the longest line that is looked at: what is longer was not written by hand.
const LONGEST: usize = 2000;
/// The quotation marks of word processors, and other signs for them.
const CURLY: [char; 9] = ['“', '”', '„', '‟', '‘', '’', '«', '»', '″'];

/// The slip on this line of the file, when it is one that beginners make.
pub(in crate::plan) fn of_line(line: &str) -> Option<Slip> {
    if line.len() > LONGEST {
        return None;
    }
    if let Some(slip) = odd_space(line) {
        return Some(slip);
    }
    let start = line.len() - line.trim_start().len();
    let content = line.trim();
    let whole = start..start + content.len();
    let slip = |span: Range<usize>, problem: &str, remedy: String| {
        Some(Slip {
            span,
            problem: problem.to_owned(),
            remedy,
        })
    };
    if let Some(sign) = OTHER_REMARKS
        .iter()
        .find(|sign| content.starts_with(**sign))
    {
        let problem = "A remark begins with the sign #.";
        return slip(whole, problem, format!("Put # in place of `{sign}`."));
    }
    if let Some(at) = remark(content).filter(|_| content.starts_with('[')) {
        let problem = "A remark begins with the sign #.";
        let remedy = "Put # in place of these two signs.".to_owned();
        return slip(start + at..whole.end, problem, remedy);
    }
    if content.starts_with('[') {
        return None;
    }
    let Some((key, value)) = content.split_once('=') else {
        if is_row(content) {
            let problem = "This looks like a row of a table.";
            let remedy = "Write each value on a line of its own, behind its name: units = 25. A text stands in quotation marks: id = \"glabella\".";
            return slip(whole, problem, remedy.to_owned());
        }
        let remedy = named_value(content)?;
        return slip(whole, "This line has no = sign.", remedy);
    };
    let value_start = whole.end - value.trim_start().len();
    let value = value.trim();
    let (problem, remedy) = of_value(key.trim(), value)?;
    slip(value_start..whole.end, problem, remedy)
}

/// What is wrong with a value, and what to write.
fn of_value(key: &str, value: &str) -> Option<(&'static str, String)> {
    let (plain, remarked) = match remark(value) {
        Some(at) => (value[..at].trim(), true),
        None => (value, false),
    };
    // what stands behind # is nobody's mistake
    let plain = match outside_quotes(plain).find(|(_, c)| *c == '#') {
        Some((at, _)) => plain[..at].trim(),
        None => plain,
    };
    if key == "date" && dates::month_of_text(plain).is_some() {
        return Some((
            "The day is missing from this date.",
            format!(
                "Write year-month-day, like 2026-12-03. Under [[history]] a month is enough, in quotation marks: date = \"{plain}\"."
            ),
        ));
    }
    let (problem, mut remedy) = if let Some(found) = of_number(key, plain) {
        found
    } else if outside_quotes(plain).any(|(_, c)| CURLY.contains(&c)) || is_half_curly(plain) {
        (
            "The quotation marks are the curved ones of a word processor.",
            "Type them again as straight ones: \".".to_owned(),
        )
    } else if remarked && plain.is_empty() {
        (
            "This line has no value.",
            "Write a value behind the = sign, or delete the line.".to_owned(),
        )
    } else if remarked && plain.starts_with(char::is_alphabetic) && truth(plain).is_none() {
        (
            "Text must stand in quotation marks.",
            format!("Write it as {} = \"…\".", echo(key)),
        )
    } else if remarked {
        return Some((
            "A remark begins with the sign #.",
            "Put # in place of these two signs.".to_owned(),
        ));
    } else {
        return None;
    };
    if remarked {
        remedy.push_str(" Put # in front of the remark, in place of the two signs.");
    }
    Some((problem, remedy))
}

/// A number that is more than a number, under a key that takes one.
fn of_number(key: &str, value: &str) -> Option<(&'static str, String)> {
    if !shapes::takes_a_number(key) {
        return None;
    }
    let bare = value.trim_matches(|c: char| CURLY.contains(&c)).trim();
    let (number, rest) = number(bare)?;
    let key = echo(key);
    if rest.contains(|c: char| c.is_ascii_digit()) {
        return Some((
            "More than one number stands here.",
            format!("Write one number alone, like {key} = 2.5, where that is what you mean."),
        ));
    }
    let problem = match (rest.is_empty(), bare == value) {
        (true, true) if bare.contains(',') => "A number is written with a comma.",
        (true, true) => return None,
        (true, false) => "A number stands in quotation marks.",
        (false, _) => "Something stands behind the number.",
    };
    Some((
        problem,
        format!("Write the number alone: {key} = {number}."),
    ))
}

/// The number at the head of a text, as it has to be written, and what stands behind it.
fn number(text: &str) -> Option<(String, &str)> {
    let end = text
        .find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ','))
        .unwrap_or(text.len());
    let (head, rest) = text.split_at(end);
    let head = head.trim_end_matches(['.', ',']);
    let rest = match text.len() > head.len() && rest.is_empty() {
        // a comma or full stop at the very end
        true => &text[head.len()..],
        false => rest,
    };
    let written = head.replace(',', ".");
    // a number like 1,000.5 or 1.2.3 is not ours to read
    if !written.starts_with(|c: char| c.is_ascii_digit()) || written.matches('.').count() > 1 {
        return None;
    }
    let number = match written.trim_start_matches('0') {
        "" => "0".to_owned(),
        part if part.starts_with('.') => format!("0{part}"),
        whole => whole.to_owned(),
    };
    Some((number, rest.trim()))
}

/// What to write instead of a name and a value with no sign between them.
fn named_value(content: &str) -> Option<String> {
    let end = content.find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '_' | '-')))?;
    let (key, rest) = content.split_at(end);
    let value = rest.trim_start_matches([':', ' ', '\t', '>']).trim();
    let named = rest.starts_with(':') || shapes::is_a_key(key);
    if key.is_empty() || value.is_empty() || !named {
        return None;
    }
    let key = echo(key);
    if let Some(truth) = truth(value) {
        return Some(format!("Write it as {key} = {truth}."));
    }
    if shapes::takes_a_number(&key) {
        let (number, _) =
            number(value).filter(|(_, rest)| !rest.contains(|c: char| c.is_ascii_digit()))?;
        return Some(format!("Write it as {key} = {number}."));
    }
    if value.starts_with(['"', '\'', '[', '{']) || value.starts_with(|c: char| c.is_ascii_digit()) {
        return Some(format!(
            "Put = behind {key}, or # in front of the line if it is a remark."
        ));
    }
    Some(format!(
        "Write it as {key} = \"…\", or put # in front of the line if it is a remark."
    ))
}

fn truth(word: &str) -> Option<&'static str> {
    match word.to_lowercase().as_str() {
        "true" | "yes" | "y" => Some("true"),
        "false" | "no" | "n" => Some("false"),
        _ => None,
    }
}

/// Three cells or more, parted by tabs or upright lines, or by the commas or semicolons between single words.
fn is_row(content: &str) -> bool {
    [('\t', true), ('|', true), (';', false), (',', false)]
        .iter()
        .any(|(sign, many_words)| {
            let cells: Vec<&str> = content.split(*sign).map(str::trim).collect();
            cells.len() >= 3 && (*many_words || cells.iter().all(|cell| !cell.contains(' ')))
        })
}

/// Where a remark begins that is written with other signs, behind a value or heading.
fn remark(text: &str) -> Option<usize> {
    let mut slash = None;
    for (at, c) in outside_quotes(text) {
        match (c, slash) {
            ('#', _) => return None,
            ('/' | '*', Some(before)) if before + 1 == at => return Some(before),
            ('/', _) => slash = Some(at),
            _ => {}
        }
    }
    None
}

/// A text that is opened by a straight quotation mark and closed by a curved one.
fn is_half_curly(value: &str) -> bool {
    value.matches('"').count() == 1 && value.ends_with(CURLY)
}

/// A space that is none to the parser, or a character that shows as nothing.
pub(in crate::plan) fn is_odd_space(c: char) -> bool {
    (c.is_whitespace() && !c.is_ascii_whitespace()) || (is_refused(c) && !c.is_control())
}

/// A space that is none to the parser, or a character that shows as nothing, outside texts.
fn odd_space(line: &str) -> Option<Slip> {
    let (at, found) = outside_quotes(line)
        .take_while(|(_, c)| *c != '#')
        .find(|(_, c)| is_odd_space(*c))?;
    let name = character_name(found);
    Some(Slip {
        span: at..at + found.len_utf8(),
        problem: format!("This is not an ordinary space, though it may look like one: {name}."),
        remedy: "Delete it, and press the space bar where a space is needed; do so for every space on this line that was copied from elsewhere.".to_owned(),
    })
}

/// The characters that stand in no text between straight quotation marks, each with its place; the marks themselves are left out.
fn outside_quotes(text: &str) -> impl Iterator<Item = (usize, char)> {
    let mut open = None;
    text.char_indices().filter(move |(_, c)| match open {
        Some(mark) => {
            if mark == *c {
                open = None;
            }
            false
        }
        None if matches!(c, '"' | '\'') => {
            open = Some(*c);
            false
        }
        None => true,
    })
}
