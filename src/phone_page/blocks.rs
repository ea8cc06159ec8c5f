//! Turns the blocks of a paper into the elements of a page, in reading order.
//! Invariant: every kind of block is named, and every word of it written once, its statement around it.
//! Must not: leave a block out because it is for another paper, or tell anything by its look alone.

use super::markup::{Markup, part_name};
use super::{drawing, pictures};
use crate::compose::Block;
use crate::compose::check_parts::{BookRow, CheckPart};
use crate::compose::document::{
    Band, Field, Instruction, Item, ListStyle, Named, Rank, RecapRow, Row, Sign, Timed, Tone,
};
use crate::domain::StatementId;
use crate::wording::{Piece, Rich};

/// The attribute by which a statement is found again.
const MARK: &str = "data-statement";

pub(super) fn all(m: &mut Markup, blocks: &[Block]) {
    blocks.iter().for_each(|block| one(m, block));
}

/// A page with fewer parts needs no list of them.
const FEW_PARTS: usize = 4;

/// The parts of a page, each to be gone to; below a part the areas that it tells of one after the other. Whether there is a list.
pub(super) fn contents(m: &mut Markup, title: &str, blocks: &[Block]) -> bool {
    let parts = parts(blocks);
    if parts.iter().filter(|part| part.number.is_none()).count() < FEW_PARTS {
        return false;
    }
    let mut at = 0;
    m.element("nav", &[("class", "screen"), ("id", &part_name(0))], |m| {
        m.element("details", &[], |m| {
            m.said("summary", "", title);
            m.element("ul", &[], |m| {
                let of_part = |part: &Part<'_>, next: &Part<'_>| {
                    next.number.is_some() && part.number.is_some()
                };
                for group in parts.chunk_by(of_part) {
                    let areas = group.first().is_some_and(|part| part.number.is_some());
                    let look = [("class", "areas")];
                    for_each(m, areas, &look, group, &mut at);
                }
            });
        });
    });
    true
}

/// A link for each of a row of parts: of areas all in one line of the list.
fn for_each(
    m: &mut Markup,
    areas: bool,
    look: &[(&'static str, &str)],
    group: &[Part<'_>],
    at: &mut usize,
) {
    let mut link = |m: &mut Markup, part: &Part<'_>| {
        *at += 1;
        let address = format!("#{}", part_name(*at));
        m.element("a", &[("href", &address)], |m| {
            if let Some(number) = part.number {
                m.said("span", "disc", number);
            }
            m.plain(part.text);
        });
    };
    if areas {
        m.element("li", look, |m| group.iter().for_each(|part| link(m, part)));
    } else {
        for part in group {
            m.element("li", &[], |m| link(m, part));
        }
    }
}

/// What can be gone to: a part of the page, or in it an area with its number.
struct Part<'b> {
    text: &'b str,
    number: Option<&'b str>,
}

/// Headings of parts and of areas in reading order, as [`heading`] and [`band`] name them.
fn parts(blocks: &[Block]) -> Vec<Part<'_>> {
    let of_block = |block| match block {
        &Block::Heading {
            level,
            ref text,
            ref number,
        } if level <= 2 || number.is_some() => vec![Part {
            text,
            number: number.as_deref(),
        }],
        Block::Bands { bands } => {
            let actions = bands.iter().map(|band| Part {
                text: &band.action,
                number: None,
            });
            actions.collect()
        }
        Block::Panel { blocks, .. } | Block::Beside { blocks, .. } | Block::Together { blocks } => {
            parts(blocks)
        }
        _ => Vec::new(),
    };
    blocks.iter().flat_map(of_block).collect()
}

// no arm for the rest, so that a new kind of block does not compile until it is decided here
fn one(m: &mut Markup, block: &Block) {
    match block {
        Block::Heading {
            level,
            text,
            number,
        } => heading(m, *level, text, number.as_deref()),
        Block::Text { mark, pieces } => marked(m, "div", mark.as_ref(), |m| said(m, pieces)),
        Block::Spoken { language, pieces } => {
            m.element("div", &[("class", "aside"), ("lang", language)], |m| {
                said(m, pieces)
            });
        }
        Block::Flow { items } => m.element("p", &[], |m| flow(m, items)),
        Block::List { style, items, .. } => list(m, *style, items),
        Block::Answers { title, rows } => m.element("section", &[("class", "answers")], |m| {
            m.said("h2", "", title);
            m.element("dl", &[], |m| {
                for row in rows {
                    m.said("dt", "", &row.label);
                    for line in &row.lines {
                        m.element("dd", &[], |m| runs(m, line));
                    }
                }
            });
        }),
        Block::Quarters { cells } => m.element("div", &[("class", "quarters")], |m| {
            for cell in cells {
                m.element("div", &[], |m| {
                    m.said("p", "t", &cell.title);
                    marked(m, "div", Some(&cell.mark), |m| said(m, &cell.pieces));
                    said(m, &cell.after);
                });
            }
        }),
        Block::Bands { bands } => bands.iter().for_each(|one| band(m, one)),
        Block::Recap {
            rows,
            every,
            header,
            notes,
            ..
        } => recap(m, header, rows, every, notes),
        Block::Line { text } => m.element("p", &[], |m| runs(m, text)),
        Block::Note { pieces } => m.element("div", &[("class", "note")], |m| said(m, pieces)),
        Block::Lines { count } => to_write_on(m, *count),
        Block::Diary {
            name,
            header,
            count,
        } => {
            let empty = Row {
                mark: None,
                cells: vec![Vec::new(); header.len()],
            };
            let rows = vec![empty; usize::from(*count)];
            m.element("div", &[("class", "print")], |m| {
                table(m, name, header, &[], &rows)
            });
        }
        Block::Questions { title, count } => m.element("div", &[("class", "print")], |m| {
            m.said("h3", "", title);
            to_write_on(m, *count);
        }),
        Block::Fill { fields } => to_write(m, fields),
        // a page for a telephone has no pages
        Block::NewPage => {}
        Block::Schedule { rows } => rows.iter().for_each(|row| until(m, row)),
        Block::Facts { lines } => m.element("dl", &[("class", "facts")], |m| {
            for (label, value) in lines.iter().flatten() {
                m.element("div", &[], |m| {
                    m.said("dt", "", label);
                    m.said("dd", "", value);
                });
            }
        }),
        Block::Table {
            name,
            header,
            under,
            rows,
            ..
        } => table(m, name, header, under, rows),
        Block::Panel {
            tone,
            title,
            blocks,
        } => {
            let class = match tone {
                Tone::Note => "aside",
                Tone::Urgent | Tone::Serious => "box",
            };
            m.element("div", &[("class", class)], |m| {
                if !title.is_empty() {
                    m.said("p", "t", title);
                }
                all(m, blocks);
            });
        }
        Block::Timeline(panel) => pictures::timeline(m, panel),
        Block::QrCode {
            caption,
            alt,
            side,
            outline,
        } => pictures::code(m, caption, alt, *side, outline),
        Block::Sign {
            title,
            text,
            fields,
            ..
        } => m.element("div", &[("class", "box")], |m| {
            if !title.is_empty() {
                m.said("p", "t", title);
            }
            m.said("p", "", text);
            to_write(m, fields);
        }),
        Block::Face { variant, views } => views
            .iter()
            .for_each(|view| drawing::face(m, *variant, view)),
        Block::Arrays { intro, key, groups } => {
            said(m, intro);
            pictures::arrays(m, key, groups);
        }
        Block::Beside { blocks, picture } => {
            all(m, blocks);
            one(m, picture);
        }
        Block::Together { blocks } => all(m, blocks),
        Block::Check(CheckPart::Book { name, header, rows }) => book(m, name, header, rows),
        Block::Check(part) => {
            for words in part.words() {
                m.said("p", "", &words.text);
            }
            if let Some(picture) = part.picture() {
                one(m, picture);
            }
        }
    }
}

fn heading(m: &mut Markup, level: u8, text: &str, number: Option<&str>) {
    let part = (level <= 2 || number.is_some()).then(|| m.next_part());
    let name = if level <= 2 { "h2" } else { "h3" };
    let look = part.as_deref().map(|part| ("id", part));
    m.element(name, look.as_slice(), |m| {
        if let Some(number) = number {
            m.said("span", "disc", number);
        }
        m.said("span", "", text);
    });
}

/// An element around the words of a statement, or around words of none.
fn marked(
    m: &mut Markup,
    name: &'static str,
    mark: Option<&StatementId>,
    inside: impl FnOnce(&mut Markup),
) {
    match mark {
        Some(id) => m.element(name, &[(MARK, id.as_str())], inside),
        None => m.element(name, &[], inside),
    }
}

fn runs(m: &mut Markup, rich: &Rich) {
    for run in rich {
        if run.bold {
            m.said("strong", "", &run.text);
        } else {
            m.text(&run.text);
        }
    }
}

pub(super) fn said(m: &mut Markup, pieces: &[Piece]) {
    for piece in pieces {
        match piece {
            Piece::Para { text } => m.element("p", &[], |m| runs(m, text)),
            Piece::List { items } => m.element("ul", &[], |m| {
                for item in items {
                    m.element("li", &[], |m| runs(m, item));
                }
            }),
        }
    }
}

fn item(m: &mut Markup, item: &Item) {
    marked(m, "span", item.mark.as_ref(), |m| runs(m, &item.text));
}

fn flow(m: &mut Markup, items: &[Item]) {
    for (index, one) in items.iter().enumerate() {
        if index > 0 {
            m.text(" ");
        }
        item(m, one);
    }
}

fn list(m: &mut Markup, style: ListStyle, items: &[Item]) {
    match style {
        ListStyle::Bullet => m.element("ul", &[], |m| {
            for one in items {
                m.element("li", &[], |m| item(m, one));
            }
        }),
        ListStyle::Tick => m.element("ul", &[("class", "ticks")], |m| {
            for one in items {
                m.element("li", &[], |m| {
                    glyph(m, "M1 5 L13 5 L13 17 L1 17 Z");
                    item(m, one);
                });
            }
        }),
    }
}

/// A mark beside words that say the same.
fn glyph(m: &mut Markup, path: &str) {
    let look = [
        ("viewBox", "0 0 14 20"),
        ("aria-hidden", "true"),
        ("stroke-width", "1.8"),
    ];
    m.element("svg", &look, |m| m.element("path", &[("d", path)], |_| {}));
}

fn band(m: &mut Markup, band: &Band) {
    let class = match band.rank {
        Rank::First => "band first",
        Rank::Second => "band second",
        Rank::Third => "band third",
    };
    m.element("section", &[("class", class)], |m| {
        let part = m.next_part();
        m.element("h2", &[("id", &part)], |m| m.text(&band.action));
        for number in &band.numbers {
            if number.large {
                m.element("p", &[("class", "number")], |m| {
                    m.callable("call", &number.text)
                });
            } else if number.calls {
                m.element("p", &[], |m| m.callable("call", &number.text));
            } else {
                m.said("p", "", &number.text);
            }
        }
        list(m, ListStyle::Bullet, &band.signs);
        for saying in &band.sayings {
            m.element("p", &[], |m| {
                m.said("span", "t", &saying.lead);
                m.text(" ");
                m.element("span", &[("lang", &saying.language)], |m| {
                    m.text(&saying.words)
                });
            });
            for line in &saying.to_write {
                m.said("p", "print", line);
            }
        }
    });
}

fn until(m: &mut Markup, row: &Timed) {
    m.element("div", &[("class", "until")], |m| {
        m.said("p", "t", &row.lead);
        m.element("ul", &[("class", "signs")], |m| {
            for Instruction { sign, item: one } in &row.items {
                m.element("li", &[], |m| {
                    glyph(
                        m,
                        match sign {
                            Sign::Do => "M2 11 L6 15 L12 5",
                            Sign::DoNot => {
                                "M2.8 6 L11.2 14.4 M13 10.2 A6 6 0 1 1 1 10.2 A6 6 0 1 1 13 10.2 Z"
                            }
                            // a dot, for the mark of a list
                            Sign::May => "M6.1 10 A0.9 0.9 0 1 1 7.9 10 A0.9 0.9 0 1 1 6.1 10 Z",
                        },
                    );
                    item(m, one);
                });
            }
        });
    });
}

fn table(m: &mut Markup, name: &str, header: &[String], under: &[String], rows: &[Row]) {
    // roles, because a table that is drawn as blocks on a narrow screen is none for some screen readers
    let mut look = vec![("role", "table"), ("aria-label", name)];
    // the head of a column alone is said of every row, and nowhere else
    look.extend((header.len() == 1).then_some(("class", "one")));
    m.element("table", &look, |m| {
        m.element("thead", &[("role", "rowgroup")], |m| {
            m.element("tr", &[("role", "row")], |m| {
                for (at, cell) in header.iter().enumerate() {
                    m.element("th", &[("scope", "col"), ("role", "columnheader")], |m| {
                        m.text(cell);
                        if let Some(below) = under.get(at).filter(|below| !below.is_empty()) {
                            m.text(" ");
                            m.said("span", "small", below);
                        }
                    });
                }
            });
        });
        m.element("tbody", &[("role", "rowgroup")], |m| {
            rows.iter().for_each(|one| row(m, header, under, one));
        });
    });
}

/// Words as they are printed, each a place that can be linked to, and beside them what is to be known about them.
fn book(m: &mut Markup, name: &str, header: &[String], rows: &[BookRow]) {
    let look = [("class", "book"), ("role", "table"), ("aria-label", name)];
    m.element("table", &look, |m| {
        m.element("thead", &[("role", "rowgroup")], |m| {
            m.element("tr", &[("role", "row")], |m| {
                for cell in header {
                    let look = [("scope", "col"), ("role", "columnheader")];
                    m.element("th", &look, |m| m.text(cell));
                }
            });
        });
        m.element("tbody", &[("role", "rowgroup")], |m| {
            for row in rows {
                m.element("tr", &[("role", "row"), ("id", &row.id)], |m| {
                    let words = [("role", "cell"), (MARK, row.id.as_str())];
                    m.element("td", &words, |m| said(m, &row.words));
                    m.element("td", &[("role", "cell")], |m| {
                        m.said("p", "t", &row.id);
                        row.about.iter().for_each(|line| m.said("p", "small", line));
                    });
                });
            }
        });
    });
}

fn row(m: &mut Markup, header: &[String], under: &[String], row: &Row) {
    let mut attributes = vec![("role", "row")];
    attributes.extend(row.mark.as_ref().map(|id| (MARK, id.as_str())));
    m.element("tr", &attributes, |m| {
        for (at, cell) in row.cells.iter().enumerate() {
            let inside = |m: &mut Markup| match cell.as_slice() {
                [Piece::Para { text }] => runs(m, text),
                pieces => said(m, pieces),
            };
            let label = header.get(at).filter(|label| !label.is_empty());
            let label = label.map(|label| match under.get(at).map(String::as_str) {
                None | Some("") => label.clone(),
                Some(below) => format!("{label} ({below})"),
            });
            // a column alone heads nothing
            if header.len() == 1 {
                m.element("td", &[("role", "cell")], inside);
            } else if at == 0 && !cell.is_empty() {
                m.element("th", &[("role", "rowheader"), ("scope", "row")], inside);
            } else {
                let mut attributes = vec![("role", "cell")];
                attributes.extend(cell.is_empty().then_some(("class", "blank")));
                attributes.extend(label.as_deref().map(|label| ("data-label", label)));
                m.element("td", &attributes, inside);
            }
        }
    });
}

fn names(m: &mut Markup, lead: &str, names: &[Item]) {
    m.element("p", &[], |m| {
        m.said("strong", "", lead);
        for (at, one) in names.iter().enumerate() {
            m.text(if at > 0 { ", " } else { " " });
            item(m, one);
        }
        m.text(".");
    });
}

fn recap(m: &mut Markup, header: &[String], rows: &[RecapRow], every: &[Named], notes: &[String]) {
    m.said("p", "small", &header.join(" · "));
    for row in rows {
        m.element("div", &[("class", "box")], |m| {
            m.element("p", &[("class", "t")], |m| {
                m.said("span", "disc", &row.number);
                m.text(" ");
                m.text(&row.area);
            });
            if !row.price.is_empty() {
                m.said("p", "", &row.price);
            }
            m.said("p", "", &row.side);
            m.said("p", "", &row.dose);
            row.risks
                .iter()
                .for_each(|named| names(m, &named.lead, &named.names));
            row.notes.iter().for_each(|note| m.said("p", "", note));
            said(m, &row.view);
        });
    }
    every
        .iter()
        .for_each(|named| names(m, &named.lead, &named.names));
    notes.iter().for_each(|note| m.said("p", "", note));
}

/// Empty lines: nobody can write on those of a screen.
fn to_write_on(m: &mut Markup, count: u8) {
    m.element(
        "div",
        &[("class", "lines print"), ("aria-hidden", "true")],
        |m| {
            (0..count).for_each(|_| m.element("div", &[], |_| {}));
        },
    );
}

fn to_write(m: &mut Markup, fields: &[Field]) {
    fields
        .iter()
        .for_each(|field| m.said("p", "field print", &field.label));
}
