//! Turns what is still open about a plan into words for the check sheet: readiness, answers, and what nobody asked.
//! Invariant: every relevant fact is somewhere: told, denied, not sure, or not asked.
//! Must not: be worded for, or handed to, the patient.

use serde_json::{Value, json};

use super::Composer;
use super::check_parts::CheckPart;
use super::document::Block;
use crate::catalogue::{FactGroup, Level};
use crate::domain::{EarlierReason, FactId, LabelId};
use crate::plan::{Answer, EarlierTreatment, FactValue, PlannedArea};
use crate::select::{AnswerStanding, Caution, Idle, NotAsked};
use crate::wording::rich::Rich;
use crate::wording::{WordingError, library, rich};

/// Things that nobody asked that find room on a sheet with nothing else to decide and one area; the annex has all.
const MOST_ASKED: usize = 12;

/// So many are always on the first page: two lines.
const LEAST_ASKED: usize = 4;

impl Composer<'_, '_> {
    /// In a sentence or two of plain text, whether the plan can be treated as it stands.
    pub(super) fn readiness_text(&self) -> Result<String, WordingError> {
        let (id, said) = self.readiness_words();
        let pieces = self.wording.pieces(id, &super::values(said))?;
        Ok(rich::text_of_pieces(&pieces))
    }

    fn readiness_words(&self) -> (&'static str, Value) {
        let readiness = self.selection.readiness();
        let id = match readiness {
            ready if ready.stops > 0 => "clinician.ready.stopped",
            ready if ready.ready => "clinician.ready.yes",
            _ => "clinician.ready.no",
        };
        let said = json!({
            "open": readiness.open,
            "to_change": readiness.to_change,
            "not_asked": readiness.not_asked,
        });
        (id, said)
    }

    /// Whether a question was answered, and how; nothing where nothing is asked.
    pub(super) fn answer_rich(&self, caution: &Caution) -> Result<Option<Rich>, WordingError> {
        match self.answer_words(caution)? {
            Some((id, said)) => self.rich_line(id, said).map(Some),
            None => Ok(None),
        }
    }

    /// The same in one line of plain text.
    pub(crate) fn answer_text(&self, caution: &Caution) -> Result<Option<String>, WordingError> {
        Ok(match self.answer_words(caution)? {
            Some((id, said)) => {
                let pieces = self.wording.pieces(id, &super::values(said))?;
                Some(rich::text_of_pieces(&pieces))
            }
            None => None,
        })
    }

    fn answer_words(
        &self,
        caution: &Caution,
    ) -> Result<Option<(&'static str, Value)>, WordingError> {
        let Some(question) = caution.question else {
            return Ok(None);
        };
        let mut said = json!({ "caution": caution.id.as_str(), "question": question.to_string() });
        let Some(given) = caution.given else {
            return Ok(Some(("clinician.answer.open", said)));
        };
        self.add_answer(&mut said, &self.selection.visit.answers[given.answer])?;
        let id = match given.standing {
            AnswerStanding::Counts => "clinician.answer.counts",
            AnswerStanding::Changed => "clinician.answer.changed",
            AnswerStanding::WithoutCode => "clinician.answer.without-code",
        };
        Ok(Some((id, said)))
    }

    fn add_answer(&self, said: &mut Value, answer: &Answer) -> Result<(), WordingError> {
        let by = self.selection.clinic.practitioner(&answer.by);
        said["by"] = by.map_or(answer.by.as_str(), |by| by.name.as_str()).into();
        said["on"] = self.wording.formats().date(answer.on).into();
        said["decision"] = self.label(&LabelId::decision(answer.decision))?.into();
        said["because"] = answer.because.as_str().into();
        Ok(())
    }

    /// A sentence for each answer that no question of this plan asks for.
    pub(crate) fn idle_answers(&self) -> Result<Vec<String>, WordingError> {
        let mut lines = Vec::new();
        for (at, idle) in &self.selection.idle_answers {
            let answer = &self.selection.visit.answers[*at];
            let mut said = json!({ "caution": answer.to.as_str() });
            self.add_answer(&mut said, answer)?;
            let id = match idle {
                Idle::NothingAsks => "clinician.answer.nothing-asks",
                Idle::Stop => "clinician.answer.stop",
            };
            lines.push(self.line(id, said)?);
        }
        Ok(lines)
    }

    /// What the patient said and wants.
    pub(super) fn what_was_said(&self) -> Result<Vec<Rich>, WordingError> {
        let mut lines = vec![self.told()?];
        lines.push(self.wishes()?);
        lines.extend(self.last_time()?);
        lines.extend(self.patients_language()?);
        Ok(lines)
    }

    /// What the patient was given to read and when, who asked, and what is still to be gone through.
    pub(super) fn circumstances(&self) -> Result<Vec<Rich>, WordingError> {
        let mut lines = vec![self.informed()?];
        lines.extend(self.asking()?);
        lines.extend(self.earlier()?);
        Ok(lines)
    }

    /// What is so, and what the patient is not sure of; what only shows at the face stands in the annex alone.
    pub(super) fn told(&self) -> Result<Rich, WordingError> {
        let facts = self.told_in_words()?;
        match facts.is_empty() {
            true => {
                let asked = self.selection.visit.asked.is_some();
                self.rich_line("clinician.facts.none", json!({ "asked": asked }))
            }
            false => self.rich_line("clinician.said.told", json!({ "facts": facts.join("; ") })),
        }
    }

    /// What the patient said is so or may be.
    fn told_in_words(&self) -> Result<Vec<String>, WordingError> {
        self.told_facts(|group| group != FactGroup::Signs)
    }

    /// What was seen at the face, where anything was.
    pub(super) fn seen(&self) -> Result<Option<Rich>, WordingError> {
        let facts = self.told_facts(|group| group == FactGroup::Signs)?;
        if facts.is_empty() {
            return Ok(None);
        }
        let said = json!({ "facts": facts.join("; ") });
        self.rich_line("clinician.said.seen", said).map(Some)
    }

    /// The facts of some groups that are so or uncertain, with what was said of them.
    fn told_facts(&self, wanted: impl Fn(FactGroup) -> bool) -> Result<Vec<String>, WordingError> {
        let groups = &self.selection.catalogue.facts;
        let group_of = |id: &FactId| groups.iter().find(|fact| fact.id == *id);
        let mut facts = Vec::new();
        for (id, value) in &self.selection.visit.patient.facts {
            if !group_of(id).is_none_or(|fact| wanted(fact.group)) {
                continue;
            }
            let label = self.label(&LabelId::fact(id))?;
            facts.push(match value {
                FactValue::No => continue,
                FactValue::Yes => label,
                FactValue::NotSure => {
                    self.line("clinician.asked.not-sure", json!({ "fact": label }))?
                }
                FactValue::Side(side) => {
                    format!("{label}: {}", self.label(&LabelId::clinician_side(*side))?)
                }
                FactValue::Text(text) => format!("{label}: {text}"),
                FactValue::Number(number) => format!("{label}: {number}"),
            });
        }
        Ok(facts)
    }

    /// What the patient wants, in their own words.
    fn wishes(&self) -> Result<Rich, WordingError> {
        let wishes = self.quoted(|planned| planned.aim.as_deref())?;
        self.rich_line("clinician.said.wish", json!({ "wishes": wishes }))
    }

    /// How the round before went, as the patient said it.
    fn last_time(&self) -> Result<Option<Rich>, WordingError> {
        let said = self.quoted(|planned| planned.last_time.as_deref())?;
        if said.is_empty() {
            return Ok(None);
        }
        self.rich_line("clinician.said.last-time", json!({ "said": said }))
            .map(Some)
    }

    /// The patient's own words of each area that has any, with its number where there are several.
    fn quoted(&self, words: fn(&PlannedArea) -> Option<&str>) -> Result<String, WordingError> {
        let areas = &self.selection.areas;
        let mut quoted = Vec::new();
        for selected in areas {
            if let Some(words) = words(selected.planned) {
                let number = (areas.len() > 1).then_some(selected.number);
                let said = json!({ "number": number, "aim": words });
                quoted.push(self.line("clinician.said.wish-of", said)?);
            }
        }
        Ok(quoted.join("; "))
    }

    /// The language that the patient reads, where there are papers in it.
    fn patients_words(&self) -> Option<&'static library::Language> {
        let (visit, clinic) = (self.selection.visit, self.selection.clinic);
        let read = visit.patient.language.as_ref().unwrap_or(&clinic.language);
        crate::wording::serves(read).and_then(library::language)
    }

    /// The tag of the patient's papers: their language, and the practice's country.
    pub(super) fn patients_tag(&self) -> String {
        let base = self.wording.base();
        let country = self.wording.tag().trim_start_matches(base);
        let language = self.patients_words().map_or(base, |words| words.tag);
        format!("{language}{country}")
    }

    /// Which language the patient reads, when it is not the practice's own.
    fn patients_language(&self) -> Result<Option<Rich>, WordingError> {
        let other = self.patients_words();
        let Some(language) = other.filter(|language| language.tag != self.wording.base()) else {
            return Ok(None);
        };
        let said = json!({
            "language": self.label(&LabelId::language(language.tag))?,
            "tag": self.patients_tag(),
        });
        self.rich_line("clinician.patients-language", said)
            .map(Some)
    }

    /// When the patient was given something to read, and how long before the visit.
    fn informed(&self) -> Result<Rich, WordingError> {
        let visit = self.selection.visit;
        let Some(on) = visit.informed_on else {
            return self.rich_line("clinician.said.not-informed", json!({}));
        };
        // both are days of the calendar, so that the difference is whole days
        let days = visit.date.since(on).map_or(0, |span| span.get_days());
        let on = self.wording.formats().short_date(on);
        self.rich_line(
            "clinician.said.informed",
            json!({ "date": on, "days": days }),
        )
    }

    /// Every earlier treatment of the plan, the latest first: the sums of units and the intervals rest on them.
    fn earlier(&self) -> Result<Option<Rich>, WordingError> {
        let mut history: Vec<&EarlierTreatment> = self.selection.visit.history.iter().collect();
        if history.is_empty() {
            return Ok(None);
        }
        history.sort_by_key(|earlier| std::cmp::Reverse(earlier.date));
        let formats = self.wording.formats();
        let mut said = Vec::new();
        for earlier in history {
            let date = match earlier.month_only {
                true => formats.short_month_year(earlier.date),
                false => formats.short_date(earlier.date),
            };
            let areas = match earlier.areas.is_empty() {
                true => String::new(),
                false => self
                    .wording
                    .inside_sentence(&self.area_names(&earlier.areas)?),
            };
            said.push(self.line(
                "clinician.said.earlier-one",
                json!({
                    "date": date,
                    "product": earlier.product.as_ref().map(|product| product.as_str()),
                    "units": earlier.units,
                    "areas": areas,
                    "illness": earlier.reason == Some(EarlierReason::Illness),
                }),
            )?);
        }
        let said = json!({ "earlier": said.join("; ") });
        self.rich_line("clinician.said.earlier", said).map(Some)
    }

    /// Who asked the patient and when, and how many things were denied. Where nothing was told, that nobody asked is said there.
    fn asking(&self) -> Result<Option<Rich>, WordingError> {
        let denied = self.denied()?.len();
        let rich = match &self.selection.visit.asked {
            Some(asked) => {
                let on = self.wording.formats().short_date(asked.on);
                let said = json!({ "by": asked.by, "on": on, "denied": denied });
                self.rich_line("clinician.asked.by", said)?
            }
            None if denied == 0 && self.told_in_words()?.is_empty() => return Ok(None),
            None => self.rich_line("clinician.asked.by-nobody", json!({ "denied": denied }))?,
        };
        Ok(Some(rich))
    }

    /// What was asked and is not so.
    pub(super) fn denied(&self) -> Result<Vec<String>, WordingError> {
        let facts = self.selection.visit.patient.facts.iter();
        let denied = facts.filter(|(_, value)| **value == FactValue::No);
        denied
            .map(|(id, _)| self.label(&LabelId::fact(id)))
            .collect()
    }

    /// The most important of what nobody asked, with boxes: everything that could forbid the treatment or is always asked here, and
    /// more where there is room.
    pub(super) fn asked(&self) -> Result<Option<Block>, WordingError> {
        let mut open: Vec<_> = self.selection.not_asked.iter().collect();
        if open.is_empty() {
            return Ok(None);
        }
        let facts = &self.selection.catalogue.facts;
        let always = |id: &FactId| {
            let fact = facts.iter().find(|fact| fact.id == *id);
            fact.is_some_and(|fact| fact.always_on_sheet)
        };
        let must = |open: &NotAsked| open.level == Level::Stop || always(&open.fact);
        open.sort_by_key(|open| {
            std::cmp::Reverse((open.level == Level::Stop, must(open), open.level))
        });
        // the first thing to decide or further area takes the room of three lines with two of them, each other one that of a line
        let asks = self.selection.cautions.iter();
        let asks = asks.filter(|caution| caution.level == Level::Ask).count();
        let others = match asks + self.selection.areas.len() - 1 {
            0 => 0,
            more => 4 + 2 * more,
        };
        let first = MOST_ASKED.saturating_sub(others).max(LEAST_ASKED);
        let most = first.max(open.iter().filter(|open| must(open)).count());
        let shown = open.iter().take(most);
        let rows: Vec<String> = shown
            .map(|open| self.label(&LabelId::fact(&open.fact)))
            .collect::<Result<_, _>>()?;
        Ok(Some(Block::Check(CheckPart::Asked {
            lead: self.rich_line("clinician.asked.lead", json!({}))?,
            first: first.min(rows.len()),
            overleaf: self.line(
                "clinician.asked.overleaf",
                json!({ "count": rows.len().saturating_sub(first) }),
            )?,
            onward: self.rich_line("clinician.asked.onward", json!({}))?,
            no: self.label("clinician.asked.no")?,
            yes: self.label("clinician.asked.yes")?,
            more: match open.len() - rows.len() {
                0 => String::new(),
                more => self.line("clinician.asked.more", json!({ "more": more }))?,
            },
            rows,
        })))
    }

    /// All that nobody asked, as questions to tick, for the annex; strictest first.
    pub(super) fn asked_in_full(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let open = self.not_asked()?;
        if open.is_empty() {
            return Ok(());
        }
        blocks.push(self.heading(2, "clinician.asked.heading")?);
        blocks.push(self.note("clinician.asked.why", json!({}))?);
        for (level, title) in [
            (Level::Stop, "clinician.asked.could-stop"),
            (Level::Ask, "clinician.asked.could-ask"),
            (Level::Note, "clinician.asked.could-note"),
        ] {
            let of_level = open.iter().filter(|(of, _)| *of == level);
            let rows: Vec<String> = of_level.map(|(_, text)| text.clone()).collect();
            if !rows.is_empty() {
                blocks.push(self.heading(3, title)?);
                blocks.push(Block::Check(CheckPart::Asked {
                    lead: Rich::default(),
                    first: rows.len(),
                    overleaf: String::new(),
                    onward: Rich::default(),
                    no: self.label("clinician.asked.no")?,
                    yes: self.label("clinician.asked.yes")?,
                    more: String::new(),
                    rows,
                }));
            }
        }
        Ok(())
    }

    /// What nobody asked, as it is asked of a patient, with what it could raise.
    pub(crate) fn not_asked(&self) -> Result<Vec<(Level, String)>, WordingError> {
        let mut said = Vec::new();
        for open in &self.selection.not_asked {
            let question = self.label(&LabelId::question(&open.fact))?;
            let all = self.selection.areas.len();
            let text = if open.areas.is_empty() || open.areas.len() == all {
                question
            } else {
                let areas = self.area_names(&open.areas)?;
                self.line(
                    "clinician.asked.for",
                    json!({ "question": question, "areas": areas }),
                )?
            };
            said.push((open.level, text));
        }
        Ok(said)
    }
}
