//! The parts that only the practitioner's papers have, as plain data, and their words in reading order.
//! Invariant: every word that a part prints is among its words, once; a box to tick or to write in is always empty or says what the plan says.
//! Must not: know a typesetter, or decide what stands in a part.

use serde::Serialize;

use super::document::Block;
use super::lines::Kind;
use crate::wording::{Piece, Rich, rich};

/// A label with its value, in words.
pub type Labelled = (String, String);

/// How much is left to do, for who looks at the sheet for one second.
#[derive(Debug, Clone, Serialize)]
pub struct Status {
    pub number: String,
    pub words: String,
    pub detail: String,
}

/// A product with the boxes for its batch and its expiry; what the plan knows stands in its box.
#[derive(Debug, Clone, Serialize)]
pub struct Batch {
    pub product: Labelled,
    pub batch: Labelled,
    pub expiry: String,
}

/// One thing to decide.
#[derive(Debug, Clone, Serialize)]
pub struct Decision {
    pub question: String,
    /// The rest of the sentence, what it rests on, and its source.
    pub why: String,
    /// What the plan answers; stands in the place of the boxes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answer: Option<Rich>,
}

/// One planned area.
#[derive(Debug, Clone, Serialize)]
pub struct DoseRow {
    pub number: String,
    pub area: String,
    /// Empty where the visit has one product.
    pub product: String,
    /// Names of the muscles; empty where none are held.
    pub muscles: String,
    pub side: String,
    pub units: String,
    /// Units for each side or point; empty where they are not parted.
    pub parted: String,
    pub volume: String,
    pub label: Rich,
    /// A box to write in for each side that is treated, with its name; one without a name where they are not told apart.
    pub given: Vec<String>,
}

/// A reason not to treat, and what would mend it.
#[derive(Debug, Clone, Serialize)]
pub struct StopReason {
    pub number: String,
    pub what: String,
    pub mend: String,
    pub why: String,
}

/// A required statement: its first words, its id, where it is printed, what it rests on.
#[derive(Debug, Clone, Serialize)]
pub struct StatementRow {
    pub words: String,
    pub id: String,
    pub place: String,
    pub source: String,
}

/// A statement in the book of words.
#[derive(Debug, Clone, Serialize)]
pub struct BookRow {
    /// As they are printed.
    pub words: Vec<Piece>,
    pub id: String,
    /// Where it is used, what it rests on, how it stands: a line each.
    pub about: Vec<String>,
}

/// A part of the check sheet, of its annex or of the book of words.
#[derive(Debug, Clone, Serialize)]
#[serde(
    tag = "part",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case"
)]
pub enum CheckPart {
    /// In the place of the title: the title, for whom this is, how much is left to do, whose visit it is.
    Head {
        note: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        status: Option<Status>,
        identity: Vec<Labelled>,
        people: Vec<Labelled>,
        batches: Vec<Batch>,
    },
    /// In the place of the title where nothing may be treated.
    Stop {
        word: String,
        sentence: String,
        note: String,
        identity: Vec<Labelled>,
    },
    Reasons {
        rows: Vec<StopReason>,
    },
    /// Rows to decide; the first of them stand beside the picture.
    Decide {
        heading: String,
        rows: Vec<Decision>,
        /// Said where there is no row.
        none: String,
        /// What can be decided; one box each.
        choices: Vec<String>,
        /// Under the line to write on.
        note: String,
        /// Before what only has to be known, in smaller type after the circumstances.
        notes_lead: String,
        notes: Vec<String>,
        /// What the patient said and wants; each with a bold lead.
        said: Vec<Rich>,
        /// Who asked and when, and what else holds for the visit; in smaller type.
        circumstances: Vec<Rich>,
        /// Under the last row, and over those that follow on the next page; printed only where some do.
        overleaf: String,
        /// Where none of them finds room on the first.
        all_overleaf: String,
        onward: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        picture: Option<Box<Block>>,
    },
    Doses {
        /// Says in words what the table holds.
        name: String,
        header: Vec<String>,
        rows: Vec<DoseRow>,
        /// Product and units in all.
        totals: Vec<Labelled>,
        /// Dilution, vials and what holds for every dose.
        notes: Vec<String>,
    },
    /// What nobody asked, with boxes for the answer.
    Asked {
        lead: Rich,
        rows: Vec<String>,
        /// So many of the rows are always on the first page; the others follow it where decisions go on overleaf too.
        first: usize,
        /// Under the rows where others follow overleaf, and over those; printed only where some do.
        overleaf: String,
        onward: Rich,
        no: String,
        yes: String,
        /// How many more there are, and where; empty where these are all.
        more: String,
    },
    /// Comes last, after everything that is decided.
    SignOff {
        ticks: Vec<Rich>,
        /// Under the lines to write on: signature, date, time.
        fields: Vec<String>,
        /// Said on the first page where the signature stands overleaf; printed only there.
        overleaf: String,
    },
    /// Whether every required statement is printed.
    Proof {
        whole: bool,
        text: Rich,
    },
    Statements {
        /// Says in words what the table holds.
        name: String,
        header: Vec<String>,
        rows: Vec<StatementRow>,
    },
    /// Words for whoever approves them.
    Book {
        /// Says in words what the table holds.
        name: String,
        header: Vec<String>,
        rows: Vec<BookRow>,
    },
}

/// A text of a part: what it is, and its formatting where it has any.
pub struct Words<'p> {
    pub kind: Kind,
    pub text: String,
    pub rich: Option<&'p Rich>,
}

fn plain(kind: Kind, text: &str) -> Words<'_> {
    Words {
        kind,
        text: text.to_owned(),
        rich: None,
    }
}

fn formatted(kind: Kind, text: &Rich) -> Words<'_> {
    Words {
        kind,
        text: rich::text_of(text),
        rich: Some(text),
    }
}

fn labelled(pairs: &[Labelled]) -> impl Iterator<Item = Words<'_>> {
    pairs
        .iter()
        .flat_map(|(label, value)| [plain(Kind::Label, label), plain(Kind::Value, value)])
}

fn all(kind: Kind, texts: &[String]) -> impl Iterator<Item = Words<'_>> {
    texts.iter().map(move |text| plain(kind, text))
}

impl CheckPart {
    /// Every text in reading order; some may be empty.
    pub fn words(&self) -> Vec<Words<'_>> {
        let mut words = Vec::new();
        match self {
            CheckPart::Head {
                note,
                status,
                identity,
                people,
                batches,
            } => {
                words.push(plain(Kind::Paragraph, note));
                if let Some(status) = status {
                    words.extend(
                        [&status.number, &status.words, &status.detail]
                            .map(|text| plain(Kind::Cell, text)),
                    );
                }
                words.extend(labelled(identity));
                words.extend(labelled(people));
                for batch in batches {
                    words.extend(labelled(std::slice::from_ref(&batch.product)));
                    words.extend(labelled(std::slice::from_ref(&batch.batch)));
                    words.push(plain(Kind::Label, &batch.expiry));
                }
            }
            CheckPart::Stop {
                word,
                sentence,
                note,
                identity,
            } => {
                words.extend([word, sentence].map(|text| plain(Kind::Title, text)));
                words.push(plain(Kind::Paragraph, note));
                words.extend(labelled(identity));
            }
            CheckPart::Reasons { rows } => {
                for row in rows {
                    words.extend(
                        [&row.number, &row.what, &row.mend, &row.why]
                            .map(|text| plain(Kind::Paragraph, text)),
                    );
                }
            }
            CheckPart::Decide {
                heading,
                rows,
                none,
                choices,
                note,
                notes_lead,
                notes,
                said,
                circumstances,
                overleaf: _,
                all_overleaf: _,
                onward: _,
                picture: _,
            } => {
                words.push(plain(Kind::Heading(2), heading));
                words.push(plain(Kind::Paragraph, none));
                for row in rows {
                    words.push(plain(Kind::Title, &row.question));
                    words.push(plain(Kind::Paragraph, &row.why));
                    match &row.answer {
                        Some(answer) => words.push(formatted(Kind::Paragraph, answer)),
                        None => {
                            words.extend(all(Kind::Tick, choices));
                            words.push(plain(Kind::Label, note));
                        }
                    }
                }
                let lines = said.iter().chain(circumstances);
                words.extend(lines.map(|line| formatted(Kind::Paragraph, line)));
                words.push(plain(Kind::Title, notes_lead));
                words.extend(all(Kind::Item, notes));
            }
            CheckPart::Doses {
                name: _,
                header,
                rows,
                totals,
                notes,
            } => {
                words.extend(all(Kind::Header, header));
                for row in rows {
                    words.extend(
                        [
                            &row.number,
                            &row.area,
                            &row.side,
                            &row.product,
                            &row.muscles,
                            &row.units,
                            &row.volume,
                            &row.parted,
                        ]
                        .map(|text| plain(Kind::Cell, text)),
                    );
                    words.push(formatted(Kind::Cell, &row.label));
                    words.extend(all(Kind::Label, &row.given));
                }
                words.extend(labelled(totals));
                words.extend(all(Kind::Paragraph, notes));
            }
            CheckPart::Asked {
                lead,
                rows,
                first: _,
                overleaf: _,
                onward: _,
                no,
                yes,
                more,
            } => {
                words.push(formatted(Kind::Paragraph, lead));
                for row in rows {
                    words.extend([row, no, yes].map(|text| plain(Kind::Tick, text)));
                }
                words.push(plain(Kind::Paragraph, more));
            }
            CheckPart::SignOff {
                ticks,
                fields,
                overleaf: _,
            } => {
                words.extend(ticks.iter().map(|tick| formatted(Kind::Tick, tick)));
                words.extend(all(Kind::Label, fields));
            }
            CheckPart::Proof { whole: _, text } => words.push(formatted(Kind::Paragraph, text)),
            CheckPart::Statements {
                name: _,
                header,
                rows,
            } => {
                words.extend(all(Kind::Header, header));
                for row in rows {
                    words.extend(
                        [&row.words, &row.id, &row.place, &row.source]
                            .map(|text| plain(Kind::Cell, text)),
                    );
                }
            }
            CheckPart::Book {
                name: _,
                header,
                rows,
            } => {
                words.extend(all(Kind::Header, header));
                for row in rows {
                    for piece in &row.words {
                        match piece {
                            Piece::Para { text } => words.push(formatted(Kind::Cell, text)),
                            Piece::List { items } => {
                                words.extend(items.iter().map(|item| formatted(Kind::Item, item)));
                            }
                        }
                    }
                    words.push(plain(Kind::Cell, &row.id));
                    words.extend(all(Kind::Cell, &row.about));
                }
            }
        }
        words
    }

    /// The block inside this part.
    pub fn picture(&self) -> Option<&Block> {
        match self {
            CheckPart::Decide { picture, .. } => picture.as_deref(),
            _ => None,
        }
    }
}
