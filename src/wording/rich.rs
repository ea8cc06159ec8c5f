//! Turns filled Markdown into pieces the composer can place: paragraphs and lists of plain and bold runs.
//! Invariant: only paragraphs, bullet lists and bold survive; anything else in a wording file is an error, never dropped.
//! Must not: know where a piece is printed, or see a value before it is escaped.

use pulldown_cmark::{Event, Parser, Tag, TagEnd};
use serde::Serialize;

/// A stretch of text in one weight.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Run {
    #[serde(rename = "t")]
    pub text: String,
    #[serde(rename = "b", skip_serializing_if = "std::ops::Not::not")]
    pub bold: bool,
}

/// One line or paragraph of text.
pub type Rich = Vec<Run>;

/// One block of a statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Piece {
    Para { text: Rich },
    List { items: Vec<Rich> },
}

/// A run in normal weight.
pub fn plain(text: impl Into<String>) -> Rich {
    vec![Run {
        text: text.into(),
        bold: false,
    }]
}

/// A run in bold.
pub fn bold(text: impl Into<String>) -> Rich {
    vec![Run {
        text: text.into(),
        bold: true,
    }]
}

/// The text without its weights.
pub fn text_of(rich: &Rich) -> String {
    rich.iter().map(|run| run.text.as_str()).collect()
}

/// The text of all pieces, one line each.
pub fn text_of_pieces(pieces: &[Piece]) -> String {
    let mut lines = Vec::new();
    for piece in pieces {
        match piece {
            Piece::Para { text } => lines.push(text_of(text)),
            Piece::List { items } => lines.extend(items.iter().map(text_of)),
        }
    }
    lines.join("\n")
}

/// Puts a backslash before every ASCII punctuation mark, so that a value is never read as Markdown,
/// and folds line breaks into spaces, so that it never starts a block.
pub fn escape(value: &str) -> String {
    let mut escaped = String::with_capacity(value.len() + 8);
    for c in value.trim().chars() {
        if c.is_ascii_punctuation() {
            escaped.push('\\');
            escaped.push(c);
        } else if c.is_control() {
            escaped.push(' ');
        } else {
            escaped.push(c);
        }
    }
    escaped
}

/// Reads Markdown into pieces.
///
/// # Errors
/// The name of a Markdown feature that the papers do not use (italics, links, code, headings, HTML...).
pub fn parse(markdown: &str) -> Result<Vec<Piece>, String> {
    parse_at(markdown).map_err(|(_, what)| what)
}

/// The same, with the bytes of what is not used.
///
/// # Errors
/// As `parse`.
pub fn parse_at(markdown: &str) -> Result<Vec<Piece>, (std::ops::Range<usize>, String)> {
    let mut pieces = Vec::new();
    let mut runs: Rich = Vec::new();
    let mut items: Option<Vec<Rich>> = None;
    let mut is_bold = false;
    let push = |runs: &mut Rich, text: &str, is_bold: bool| match runs.last_mut() {
        Some(last) if last.bold == is_bold => last.text.push_str(text),
        _ => runs.push(Run {
            text: text.to_owned(),
            bold: is_bold,
        }),
    };
    for (event, place) in Parser::new(markdown).into_offset_iter() {
        match event {
            Event::Text(text) => push(&mut runs, &text, is_bold),
            Event::SoftBreak => push(&mut runs, " ", is_bold),
            Event::Start(Tag::Strong) => is_bold = true,
            Event::End(TagEnd::Strong) => is_bold = false,
            Event::Start(Tag::Paragraph) => {}
            Event::End(TagEnd::Paragraph) => {
                if items.is_none() {
                    pieces.push(Piece::Para {
                        text: std::mem::take(&mut runs),
                    });
                }
            }
            Event::Start(Tag::List(None)) if items.is_none() => items = Some(Vec::new()),
            Event::End(TagEnd::List(_)) => {
                pieces.push(Piece::List {
                    items: items.take().unwrap_or_default(),
                });
            }
            Event::Start(Tag::Item) => runs.clear(),
            Event::End(TagEnd::Item) => {
                if let Some(items) = &mut items {
                    items.push(std::mem::take(&mut runs));
                }
            }
            other => return Err((place, format!("{other:?} is not used in these papers"))),
        }
    }
    Ok(pieces)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_full_of_markdown_stays_text() {
        for value in [
            "#panic(\"x\") *bold* $x$ <b>",
            "1. one",
            "- dash",
            "[a](b)",
            "`c` _d_ ~e~",
            "# h",
            "> q",
            "&amp;",
            "\\*",
        ] {
            let pieces = parse(&format!("Name: {}", escape(value))).expect("escaped text parses");
            assert_eq!(text_of_pieces(&pieces), format!("Name: {value}"));
            let alone = parse(&escape(value)).expect("escaped text parses");
            assert_eq!(text_of_pieces(&alone), value);
        }
    }

    #[test]
    fn bold_and_lists_survive() {
        let pieces = parse("**Lead.** Rest of it.\n\n- one\n- **two**\n").expect("plain Markdown");
        assert_eq!(
            pieces,
            vec![
                Piece::Para {
                    text: vec![
                        Run {
                            text: "Lead.".into(),
                            bold: true
                        },
                        Run {
                            text: " Rest of it.".into(),
                            bold: false
                        }
                    ]
                },
                Piece::List {
                    items: vec![plain("one"), bold("two")]
                },
            ]
        );
    }

    #[test]
    fn what_the_papers_do_not_use_is_refused() {
        for markdown in [
            "*italic*",
            "[link](x)",
            "`code`",
            "# heading",
            "<b>html</b>",
            "1. numbered",
            "---",
        ] {
            assert!(parse(markdown).is_err(), "{markdown} was accepted");
        }
    }
}
