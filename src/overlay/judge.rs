//! Turns a clinic's statement into what is wrong with it beside the release's statement of the same name.
//!
//! Invariant: a statement without a mistake is known, plain, names what it is about, and keeps every blank that carries a
//! number, a date or a telephone number in the release.
//!
//! Must not: judge whether the words are right for a patient (a person approves them).

use std::collections::{BTreeMap, BTreeSet};

use crate::called_for::wording_ids;
use crate::catalogue::{Area, Catalogue};
use crate::diagnose::{Code, Diagnostic, SourceFile, character_name, echo, hint, is_refused};
use crate::domain::{AreaId, Blank, LabelId, StatementKind, family, kind_of};
use crate::overlay::{Entry, FIXED, HOOKS};
use crate::typeset::Fonts;
use crate::wording::library::{self, Statements};
use crate::wording::{Blanks, mention, rich, template};

/// Blanks a clinic may leave out: they name what the sentence is about and carry nothing that must be said.
const MAY_GO: [&str; 13] = [
    "sounds",
    "area",
    "areas",
    "product",
    "products",
    "side",
    "told_side",
    "round",
    "clinic",
    "compared",
    "keeps_label",
    "milk",
    "place_name",
];

/// What every statement about a visit may use.
const GENERAL: [&str; 23] = [
    "product",
    "products",
    "areas",
    "emergency",
    "urgent",
    "place_name",
    "none_confirmed",
    "report_how",
    "several",
    "one_sided",
    "milk",
    "waits_differ",
    "sooner",
    "pricks",
    "numbing",
    "top_up",
    "above_limit",
    "review",
    "review_included",
    "top_up_included",
    "clinic",
    "phone",
    "sounds",
];

/// First parts of the names of statements that are said about a visit.
const ABOUT_A_VISIT: [&str; 8] = [
    "general", "redflag", "normal", "alike", "choice", "advice", "because", "clinic",
];

pub(super) struct Judge<'c> {
    catalogue: &'c Catalogue,
    fonts: &'c Fonts,
    /// The clinic's own areas by name, those with mistakes too.
    areas: &'c BTreeSet<AreaId>,
    /// Statements the clinic's own areas call for.
    called_for: BTreeSet<String>,
    release: BTreeMap<String, Statements>,
    /// Language tag and id to where it first stood.
    seen: BTreeMap<(String, String), (String, std::ops::Range<usize>)>,
}

impl<'c> Judge<'c> {
    pub fn new(
        catalogue: &'c Catalogue,
        areas: &'c BTreeSet<AreaId>,
        fonts: &'c Fonts,
    ) -> Judge<'c> {
        let mut called_for = wording_ids(catalogue);
        called_for.retain(|id| areas.contains(family(id)));
        let mut release = BTreeMap::new();
        for (tag, ..) in library::files() {
            if !release.contains_key(tag) {
                let words = library::statements(tag).expect(
                    "the embedded wording is read by the test `every_wording_file_is_embedded`",
                );
                release.insert(tag.to_owned(), words);
            }
        }
        Judge {
            catalogue,
            fonts,
            areas,
            called_for,
            release,
            seen: BTreeMap::new(),
        }
    }

    /// The release's words for an id as a language tag has them: its own, or those of its language, or those that only its
    /// countries have.
    fn released(&self, tag: &str, id: &str) -> Option<&str> {
        let base = base_of(tag);
        let of = |tag: &str| self.release.get(tag).and_then(|words| words.get(id));
        of(tag)
            .or_else(|| of(base))
            .or_else(|| {
                self.release
                    .iter()
                    .filter(|(other, _)| base_of(other) == base)
                    .find_map(|(_, words)| words.get(id))
            })
            .map(String::as_str)
    }

    /// Every mistake of one statement.
    pub fn entry(&mut self, source: &SourceFile, entry: &Entry) -> Vec<Diagnostic> {
        let id = echo(&entry.id);
        let at = |code, span, problem: String, remedy: String| {
            Diagnostic::new(source, code, span, problem, remedy).at(&id)
        };
        let heading = entry.heading.clone();
        let key = (entry.tag.clone(), entry.id.clone());
        if let Some((file, first)) = self.seen.get(&key) {
            let mut twice = at(
                Code::StatementTwice,
                heading,
                format!("`{id}` stands twice; the first is in {file}."),
                "Keep one of the two.".to_owned(),
            );
            if *file == entry.file {
                twice = twice.also(source, first.clone(), "first here");
            }
            return vec![twice];
        }
        self.seen
            .insert(key, (entry.file.clone(), entry.heading.clone()));
        // an untouched copy changes nothing, whatever it is
        if entry.is_copy() {
            return Vec::new();
        }
        if FIXED.contains(&entry.id.as_str()) {
            return vec![at(
                Code::StatementFixed,
                heading,
                format!("`{id}` says how far the words are approved; a clinic cannot change it."),
                "Delete it here; when everything is approved it is no longer printed.".to_owned(),
            )];
        }
        let released = self.released(&entry.tag, &entry.id);
        let own = self.called_for.contains(&entry.id) || HOOKS.contains(&entry.id.as_str());
        if released.is_none() && !own {
            // of an area with mistakes it is not known what it calls for
            if self.areas.contains(family(&entry.id))
                && self.catalogue.area(family(&entry.id)).is_none()
            {
                return Vec::new();
            }
            let known: Vec<&str> = self
                .release
                .iter()
                .filter(|(tag, _)| base_of(tag) == base_of(&entry.tag))
                .flat_map(|(_, words)| words.keys().map(String::as_str))
                .chain(self.called_for.iter().map(String::as_str))
                .chain(HOOKS)
                .collect();
            return vec![at(
                Code::UnknownStatement,
                heading,
                format!("No statement is called `{id}`, so nothing would print it."),
                match crate::diagnose::closest(&entry.id, known.iter().copied()) {
                    Some(meant) => format!("Did you mean `{meant}`?"),
                    None => format!(
                        "`beforehand wording export` writes all names; a paragraph of your own goes under `{}` or `{}`.",
                        HOOKS[0], HOOKS[1]
                    ),
                },
            )];
        }
        let mut found: Vec<Diagnostic> = self.characters(source, entry).into_iter().collect();
        found.extend(self.form(source, entry, released));
        found.extend(self.blanks(source, entry, released));
        found.extend(mentions(source, entry));
        found
    }

    fn characters(&self, source: &SourceFile, entry: &Entry) -> Option<Diagnostic> {
        let text = &source.text()[entry.span.clone()];
        let refused = |c: char| is_refused(c) && !matches!(c, '\n' | '\r');
        let missing = self.fonts.missing(text).filter(|c| !is_refused(*c));
        let (at, c) = text
            .char_indices()
            .find(|(_, c)| refused(*c) || Some(*c) == missing)?;
        let start = entry.span.start + at;
        let name = character_name(c);
        let (code, problem, remedy) = if refused(c) {
            (
                Code::ForbiddenCharacter,
                format!("This text holds a character that may not be used: {name}."),
                "Delete it and type the words again by hand.",
            )
        } else {
            (
                Code::UnprintableCharacter,
                format!("No built-in font can print {name}."),
                "Write it in letters that are printed everywhere.",
            )
        };
        let span = start..start + c.len_utf8();
        Some(Diagnostic::new(source, code, span, problem, remedy).at(echo(&entry.id)))
    }

    /// Paragraphs, lists and bold, as the release has them.
    fn form(
        &self,
        source: &SourceFile,
        entry: &Entry,
        released: Option<&str>,
    ) -> Option<Diagnostic> {
        let masked = template::masked(&source.text()[entry.span.clone()]);
        let mistake = |range: std::ops::Range<usize>, problem: String, remedy: &str| {
            let span = entry.span.start + range.start..entry.span.start + range.end;
            Diagnostic::new(source, Code::StatementMarkdown, span, problem, remedy)
                .at(echo(&entry.id))
        };
        let pieces = match rich::parse_at(&masked) {
            Ok(pieces) => pieces,
            Err((range, _)) => {
                return Some(mistake(
                    range,
                    "Only paragraphs, lists with hyphens and **bold** are used in these papers."
                        .to_owned(),
                    "Write it in one of these; put a backslash before a sign that is meant as such.",
                ));
            }
        };
        let first_line = 0..masked.lines().next().map_or(0, str::len);
        let of_release = released.and_then(|text| rich::parse(&template::masked(text)).ok());
        let single = match (&of_release, HOOKS.contains(&entry.id.as_str())) {
            (Some(release), _) => release.len() == 1,
            (None, hook) => !hook,
        };
        let is_paragraph = matches!(pieces.as_slice(), [rich::Piece::Para { .. }]);
        if single && !is_paragraph {
            return Some(mistake(
                first_line,
                "This statement must be a single paragraph.".to_owned(),
                "Join its parts, without an empty line between them.",
            ));
        }
        let leads = |pieces: &[rich::Piece]| match pieces.first() {
            Some(rich::Piece::Para { text }) => text.first().is_some_and(|run| run.bold),
            _ => false,
        };
        let wants_lead = match &of_release {
            // an instruction is bold where it begins only so that its row is found quickly; it has no name
            Some(_) if kind_of(&entry.id) == Some(StatementKind::Advice) => false,
            Some(release) => leads(release),
            None => kind_of(&entry.id) == Some(StatementKind::Risk),
        };
        if wants_lead && !leads(&pieces) {
            return Some(mistake(
                first_line,
                "This statement must begin with its short name in bold.".to_owned(),
                "Begin it like **Drooping lip.** and go on in plain type.",
            ));
        }
        None
    }

    fn blanks(
        &self,
        source: &SourceFile,
        entry: &Entry,
        released: Option<&str>,
    ) -> Vec<Diagnostic> {
        let text = &source.text()[entry.span.clone()];
        let id = echo(&entry.id);
        let moved = |range: std::ops::Range<usize>| {
            entry.span.start + range.start..entry.span.start + range.end
        };
        let used = match template::examine(text) {
            Ok(used) => used,
            Err(fault) => {
                let remedy = "Use the blanks of the release as they are, like {{ w.onset }}, or leave them out.";
                let span = moved(fault.range);
                return vec![
                    Diagnostic::new(source, Code::StatementTemplate, span, fault.problem, remedy)
                        .at(&id),
                ];
            }
        };
        let of_release = released
            .map(|text| {
                template::examine(text)
                    .expect("the test `every_statement_of_the_release_is_plain` holds this")
            })
            .unwrap_or_default();
        let mut found = Vec::new();
        if used.plural && !of_release.plural {
            let span = moved(Blanks::place(text, "plural"));
            found.push(
                Diagnostic::new(
                    source,
                    Code::StatementTemplate,
                    span,
                    "The release counts nothing in this statement, so plural(…) has nothing to go by.",
                    "Write the word in one form.",
                )
                .at(&id),
            );
        }
        let allowed = self.allowed(entry, &of_release);
        for name in used.names.iter().filter(|name| !allowed.contains(*name)) {
            let span = moved(Blanks::place(text, name));
            found.push(
                Diagnostic::new(
                    source,
                    Code::UnknownBlank,
                    span,
                    format!("`{}` is not filled in this statement.", echo(name)),
                    hint(name, allowed.iter().map(String::as_str), "blank"),
                )
                .at(&id),
            );
        }
        let dropped: Vec<String> = of_release
            .names
            .iter()
            .filter(|name| !used.names.contains(*name))
            .filter(|name| !MAY_GO.contains(&name.as_str()) && family(name) != "term")
            .map(|name| format!("{{{{ {name} }}}}"))
            .collect();
        if !dropped.is_empty() {
            let list = dropped.join(", ");
            found.push(
                Diagnostic::new(
                    source,
                    Code::BlankDropped,
                    entry.heading.clone(),
                    format!("The release says {list} here; these words no longer do."),
                    "Put it back; the papers must not lose a number, a date or a telephone number.",
                )
                .at(&id),
            );
        }
        found
    }

    /// The blanks that are filled when this statement is printed.
    fn allowed(&self, entry: &Entry, of_release: &Blanks) -> BTreeSet<String> {
        let mut allowed = of_release.names.clone();
        allowed.insert("sounds".to_owned());
        let base = base_of(&entry.tag);
        for (_, words) in self.release.iter().filter(|(tag, _)| base_of(tag) == base) {
            allowed.extend(words.keys().filter(|id| family(id) == "term").cloned());
        }
        let first = family(&entry.id);
        let is_name = |area: &Area| *LabelId::area_name(&area.id) == *entry.id;
        let area = self.catalogue.area(first).filter(|area| !is_name(area));
        if let Some(area) = area {
            allowed.extend(GENERAL.map(str::to_owned));
            allowed.extend(["area", "side", "round"].map(str::to_owned));
            allowed.extend(filled(area));
        } else if ABOUT_A_VISIT.contains(&first) {
            allowed.extend(GENERAL.map(str::to_owned));
            let numbers = &self.catalogue.general.number;
            allowed.extend(numbers.iter().map(|n| Blank::number(&n.id).into()));
        }
        allowed
    }
}

/// A risk, a sign or a limit that is no longer named.
fn mentions(source: &SourceFile, entry: &Entry) -> Option<Diagnostic> {
    let missing = mention::missing(&entry.tag, &entry.id, &entry.text);
    if missing.is_empty() {
        return None;
    }
    let one_of = |words: &&[String]| {
        let words: Vec<String> = words.iter().map(|word| format!("“{word}”")).collect();
        format!("one of {}", words.join(", "))
    };
    let lists: Vec<String> = missing.iter().map(one_of).collect();
    let id = echo(&entry.id);
    Some(
        Diagnostic::new(
            source,
            Code::MentionMissing,
            entry.span.clone(),
            format!("`{id}` must name what it is about; these words do not."),
            format!(
                "Say {}, or a longer word that begins like it.",
                lists.join(", and ")
            ),
        )
        .at(&id),
    )
}

/// The blanks an area fills from its own data.
fn filled(area: &Area) -> Vec<String> {
    let windows = area
        .window
        .iter()
        .map(|w| Blank::window(w.kind.key()).into());
    let numbers = area.number.iter().map(|n| Blank::number(&n.id).into());
    let course = area
        .course
        .iter()
        .flat_map(|_| ["course.rounds", "course.interval"]);
    windows
        .chain(numbers)
        .chain(course.map(str::to_owned))
        .collect()
}

fn base_of(tag: &str) -> &str {
    tag.split('-').next().unwrap_or(tag)
}
