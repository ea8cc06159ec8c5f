//! Turns a finished page back into its words, and holds them against what the paper must contain.
//! Invariant: what is compared was read from the page itself, never from what was meant to be written.
//! Must not: read HTML of others (this reads what `Markup` writes).

use std::collections::{BTreeMap, BTreeSet};

use super::markup::VOID;
use crate::compose::Document;
use crate::coverage::{Drawn, Fault, squeeze};
use crate::domain::StatementId;
use crate::gate::Lack;

/// What a page says.
#[derive(Debug, Default)]
pub struct Read {
    /// Statement id to its words, as often as it is there.
    pub statements: BTreeMap<String, Vec<String>>,
    /// Every word between elements.
    pub text: String,
}

/// Everything a paper's page lacks of its required statements and of the other composed words.
pub fn check(required: &BTreeSet<&StatementId>, document: &Document, page: &str) -> Vec<Lack> {
    let read = read(page);
    let mut words: BTreeMap<&StatementId, String> = BTreeMap::new();
    let mut lacks = Vec::new();
    let lines = document.lines();
    let all = Drawn::of(std::iter::once(read.text.as_str()));
    for line in &lines {
        match line.statement {
            Some(id) => words.entry(id).or_default().push_str(&line.text),
            None if all.holds(&line.text) => {}
            None => lacks.push(Lack::Words {
                text: line.text.clone(),
                fault: Fault::NotPlaced,
            }),
        }
    }
    for id in required {
        let composed = words.get(*id).map(|words| squeeze(words));
        let found = read.statements.get(id.as_str()).map(Vec::as_slice);
        let fault = match (composed.as_deref(), found) {
            (None | Some(""), _) => Fault::Empty,
            (_, None | Some([])) => Fault::NotPlaced,
            (Some(composed), Some([said])) if squeeze(said) == composed => continue,
            (_, Some([_])) => Fault::OtherWords,
            (_, Some(_)) => Fault::Twice,
        };
        lacks.push(Lack::Statement {
            id: (*id).clone(),
            fault,
        });
    }
    let lines = &document.running_lines;
    let whose = std::iter::once(&lines.name).chain(&lines.identity);
    let found = whose.clone().filter(|part| all.holds(part)).count();
    let wanted = whose.count();
    if found < wanted {
        lacks.push(Lack::Identity {
            page: 1,
            found,
            wanted,
        });
    }
    lacks
}

/// Reads a page.
pub fn read(page: &str) -> Read {
    let mut read = Read::default();
    // every open element, with the statement it carries
    let mut open: Vec<Option<String>> = Vec::new();
    let body = page.find("<body").map_or("", |at| &page[at..]);
    let mut rest = body;
    while let Some(at) = rest.find('<') {
        say(&mut read, &open, &rest[..at]);
        let end = rest.find('>').unwrap_or(rest.len() - 1);
        let tag = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if tag.starts_with('/') {
            open.pop();
            continue;
        }
        let mark = tag
            .split_once(" data-statement=\"")
            .and_then(|(_, after)| after.split_once('"'))
            .map(|(id, _)| unescape(id));
        if let Some(id) = &mark {
            read.statements
                .entry(id.clone())
                .or_default()
                .push(String::new());
        }
        let name = tag.split([' ', '/']).next().unwrap_or_default();
        if !tag.ends_with('/') && !VOID.contains(&name) {
            open.push(mark);
        }
    }
    read
}

fn say(read: &mut Read, open: &[Option<String>], text: &str) {
    let text = unescape(text);
    for id in open.iter().flatten() {
        let said = read
            .statements
            .get_mut(id)
            .and_then(|found| found.last_mut());
        if let Some(said) = said {
            said.push_str(&text);
        }
    }
    read.text.push_str(&text);
}

fn unescape(text: &str) -> String {
    // the ampersand last, so that nothing is read twice
    [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&amp;", "&"),
    ]
    .iter()
    .fold(text.to_owned(), |text, (written, read)| {
        text.replace(written, read)
    })
}
