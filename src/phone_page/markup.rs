//! Turns elements, attributes and text into HTML that is well formed by construction.
//! Invariant: every text and every value of an attribute is escaped here; names of elements and attributes come from the program alone.
//! Must not: offer a way to put a text in as it stands.

use crate::wording::unbroken::Unbroken;

/// HTML under construction.
#[derive(Default)]
pub(super) struct Markup {
    html: String,
    unbroken: Unbroken,
    /// Whom a sentence may say to call.
    calls: Vec<String>,
    /// How many parts with a heading have begun.
    parts: usize,
}

/// Elements of HTML without content and without an end.
pub(super) const VOID: [&str; 2] = ["meta", "img"];

impl Markup {
    /// A whole page in a language, in which these telephone numbers can be touched wherever a sentence has them.
    pub fn page(language: &str, calls: &[String]) -> Markup {
        Markup {
            html: "<!doctype html>\n".to_owned(),
            unbroken: Unbroken::of(language),
            calls: calls.to_vec(),
            parts: 0,
        }
    }

    /// The name by which the next part can be gone to.
    pub fn next_part(&mut self) -> String {
        self.parts += 1;
        part_name(self.parts)
    }

    pub fn finish(mut self) -> String {
        self.html.push('\n');
        self.html
    }

    /// An element with what is inside it.
    pub fn element(
        &mut self,
        name: &'static str,
        attributes: &[(&'static str, &str)],
        inside: impl FnOnce(&mut Markup),
    ) {
        self.start(name, attributes);
        inside(self);
        self.html.push_str("</");
        self.html.push_str(name);
        self.html.push('>');
    }

    /// An element of [`VOID`], or one of a drawing with nothing in it.
    pub fn empty(&mut self, name: &'static str, attributes: &[(&'static str, &str)]) {
        self.start(name, attributes);
        if !VOID.contains(&name) {
            // inside a drawing an element has an end unless it says so; in HTML the sign means nothing
            self.html.pop();
            self.html.push_str("/>");
        }
    }

    /// An element with one text in it.
    pub fn said(&mut self, name: &'static str, class: &'static str, text: &str) {
        let class = [("class", class)];
        let class: &[_] = if class[0].1.is_empty() { &[] } else { &class };
        self.element(name, class, |m| m.text(text));
    }

    /// The program's own style sheet: the only content that is no text.
    pub fn style(&mut self, sheet: &'static str, accent: Option<[u8; 3]>) {
        self.start("style", &[]);
        self.html.push_str(sheet);
        if let Some([red, green, blue]) = accent {
            let colour = format!(":root{{--accent-light:#{red:02x}{green:02x}{blue:02x}}}");
            self.html.push_str(&colour);
        }
        self.html.push_str("</style>");
    }

    /// Text between elements, with its telephone numbers to touch.
    pub fn text(&mut self, text: &str) {
        let calls = std::mem::take(&mut self.calls);
        let mut rest = text;
        while let Some((start, number)) = first_of(&calls, rest) {
            self.plain(&rest[..start]);
            rest = &rest[start + number.len()..];
            let ends = |c: char| !matches!(c, '.' | ',' | ':' | ')' | '?');
            let (after, others) = rest.split_at(rest.find(ends).unwrap_or(rest.len()));
            // in one piece, with the stop after it, which would begin a line of its own
            self.element("span", &[("class", "tel")], |m| {
                m.callable("", number);
                m.plain(after);
            });
            rest = others;
        }
        self.plain(rest);
        self.calls = calls;
    }

    /// A text that is one or more telephone numbers, and words between them.
    pub fn callable(&mut self, class: &'static str, text: &str) {
        for (part, address) in numbers(text) {
            match address {
                Some(address) => {
                    let look = [("href", address.as_str()), ("class", class)];
                    let look = if class.is_empty() { &look[..1] } else { &look };
                    self.element("a", look, |m| m.plain(part));
                }
                None => self.plain(part),
            }
        }
    }

    /// Text in which nothing can be touched. Words of a script written from right to left are set apart, so that they never turn
    /// a date or a number after them around.
    pub fn plain(&mut self, text: &str) {
        let whole = self.unbroken.text(text);
        let mut rest: &str = &whole;
        while let Some(start) = rest.find(is_turned) {
            escape(&mut self.html, &rest[..start]);
            let turned = &rest[start..];
            let end = turned
                .char_indices()
                .take_while(|(_, c)| is_turned(*c) || !c.is_alphabetic())
                .filter(|(_, c)| is_turned(*c))
                .last()
                .map_or(turned.len(), |(at, c)| at + c.len_utf8());
            self.html.push_str("<bdi>");
            escape(&mut self.html, &turned[..end]);
            self.html.push_str("</bdi>");
            rest = &turned[end..];
        }
        escape(&mut self.html, rest);
    }

    fn start(&mut self, name: &'static str, attributes: &[(&'static str, &str)]) {
        self.html.push('<');
        self.html.push_str(name);
        for (attribute, value) in attributes {
            self.html.push(' ');
            self.html.push_str(attribute);
            self.html.push_str("=\"");
            escape(&mut self.html, value);
            self.html.push('"');
        }
        self.html.push('>');
    }
}

/// The name of a part: the first is 1, and 0 is the list of them.
pub(super) fn part_name(number: usize) -> String {
    format!("part-{number}")
}

/// Where the first of these numbers stands in a text, and not inside a longer one.
fn first_of<'c>(calls: &'c [String], text: &str) -> Option<(usize, &'c str)> {
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let found = calls
        .iter()
        .filter(|number| !number.is_empty())
        .flat_map(|number| {
            let places = text.match_indices(number.as_str());
            let whole = places.filter(|(at, said)| {
                let (before, after) = (&text[..*at], &text[at + said.len()..]);
                !is_digit(before.chars().next_back()) && !is_digit(after.chars().next())
            });
            whole.map(|(at, _)| (at, number.as_str()))
        });
    // of two that begin in one place, the longer
    found.min_by_key(|(at, number)| (*at, std::cmp::Reverse(number.len())))
}

/// Letters of scripts that are written from right to left; the same ranges as in `theme.typ`.
fn is_turned(c: char) -> bool {
    matches!(u32::from(c),
        0x590..=0x8ff | 0xfb1d..=0xfdff | 0xfe70..=0xfefe | 0x10800..=0x10fff | 0x1e800..=0x1efff)
}

/// HTML, "Named character references": the five that can end a text or an attribute.
fn escape(into: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => into.push_str("&amp;"),
            '<' => into.push_str("&lt;"),
            '>' => into.push_str("&gt;"),
            '"' => into.push_str("&quot;"),
            '\'' => into.push_str("&#39;"),
            other => into.push(other),
        }
    }
}

/// Bytes as RFC 4648 base64.
pub(super) fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
        let all = byte(0) << 16 | byte(1) << 8 | byte(2);
        for at in 0..4 {
            let digit = DIGITS[(all >> (18 - 6 * at) & 63) as usize];
            text.push(if at > three.len() {
                '='
            } else {
                char::from(digit)
            });
        }
    }
    text
}

/// Telephone numbers in a text: each stretch of it, with the address to call where it is one (RFC 3966 in the form that
/// telephones take: digits, and a plus at the beginning).
fn numbers(text: &str) -> Vec<(&str, Option<String>)> {
    let mut parts = Vec::new();
    let mut rest = text;
    let begins = |c: char| c.is_ascii_digit() || c == '+' || c == '(';
    let belongs = |c: char| {
        c.is_ascii_digit()
            || matches!(
                c,
                '+' | '(' | ')' | '-' | '.' | '/' | ' ' | '\u{a0}' | '\u{202f}' | '\u{2011}'
            )
    };
    while let Some(start) = rest.find(begins) {
        let end = rest[start..]
            .find(|c| !belongs(c))
            .map_or(rest.len(), |length| start + length);
        let run = rest[start..end].trim_end_matches(|c: char| !c.is_ascii_digit() && c != ')');
        let end = start + run.len().max(1);
        let digits = run.chars().filter(char::is_ascii_digit).count();
        if digits < 2 {
            parts.push((&rest[..end], None));
        } else {
            if start > 0 {
                parts.push((&rest[..start], None));
            }
            // "+44 (0)20": the nought is for calls from inside the country
            let dialled = if run.starts_with('+') {
                run.replace("(0)", "")
            } else {
                run.to_owned()
            };
            let plus = if run.starts_with('+') { "+" } else { "" };
            let digits: String = dialled.chars().filter(char::is_ascii_digit).collect();
            parts.push((run, Some(format!("tel:{plus}{digits}"))));
        }
        rest = &rest[end..];
    }
    if !rest.is_empty() {
        parts.push((rest, None));
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn published_base64() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn numbers_are_called_as_they_are_dialled() {
        let called =
            |text| -> Vec<String> { numbers(text).into_iter().filter_map(|(_, to)| to).collect() };
        assert_eq!(called("01632 960 101"), ["tel:01632960101"]);
        assert_eq!(called("+44 (0)1632 960101"), ["tel:+441632960101"]);
        assert_eq!(called("112 or 061"), ["tel:112", "tel:061"]);
        assert_eq!(called("(none) 5"), Vec::<String>::new());
        for text in ["01632 960 101", "call 112 or 061 (free).", "+", "(", "é 4"] {
            let joined: String = numbers(text).into_iter().map(|(part, _)| part).collect();
            assert_eq!(joined, text);
        }
    }

    #[test]
    fn a_number_can_be_touched_where_a_sentence_has_it() {
        let calls = ["999 or 112".to_owned(), "01632 960 101".to_owned()];
        let mut m = Markup::page("en-GB", &calls);
        m.text("Call 999 or 112, or us: 01632 960 101. Not 01632 960 1012 and not 112 units.");
        let touched: Vec<&str> = m
            .html
            .split("href=\"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .collect();
        assert_eq!(touched, ["tel:999", "tel:112", "tel:01632960101"]);
    }

    #[test]
    fn text_is_never_code() {
        let mut m = Markup::default();
        m.element("p", &[("title", "\"><script>")], |m| {
            m.text("<b>&amp;' שלום 3</b>")
        });
        assert_eq!(
            m.html,
            "<p title=\"&quot;&gt;&lt;script&gt;\">&lt;b&gt;&amp;amp;&#39; <bdi>שלום</bdi> 3&lt;/b&gt;</p>"
        );
    }
}
