//! The ids of labels and short phrases of the wording that are made from a word of a closed list or from an id.
//! Invariant: these ids are put together here only; the text forms are those of the files in `locales/`.
//! Must not: look a label up, or hold one.

use super::{
    AreaId, CautionId, Decision, FactId, Function, Level, RegionId, Side, Stance, Status, TimeUnit,
    Urgency,
};

/// The id of a label. Whoever looks one up may take it for its text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LabelId(String);

impl LabelId {
    fn of(group: &str, name: &str) -> LabelId {
        LabelId(format!("{group}.{name}"))
    }

    /// The patient's name for an area.
    pub fn area_name(area: &AreaId) -> LabelId {
        Self::of(area.as_str(), "name")
    }

    /// The muscles of an area as the practitioner calls them.
    pub fn muscles(area: &AreaId) -> LabelId {
        Self::of("muscle", area.as_str())
    }

    /// Where an area is.
    pub fn area_where(area: &AreaId) -> LabelId {
        Self::of(area.as_str(), "where")
    }

    /// What treating an area is for.
    pub fn area_aim(area: &AreaId) -> LabelId {
        Self::of(area.as_str(), "aim")
    }

    /// In one sentence, what the medicine does in an area.
    pub fn area_short(area: &AreaId) -> LabelId {
        Self::of(area.as_str(), "short")
    }

    /// In a sentence or two, what treating an area most often costs.
    pub fn area_cost(area: &AreaId) -> LabelId {
        Self::of(area.as_str(), "cost")
    }

    /// The labels of an area.
    pub fn of_area(area: &AreaId) -> [LabelId; 5] {
        [
            Self::area_name(area),
            Self::area_where(area),
            Self::area_aim(area),
            Self::area_short(area),
            Self::area_cost(area),
        ]
    }

    pub fn side(side: Side) -> LabelId {
        Self::of("side", side.as_str())
    }

    /// A side as the practitioner reads it.
    pub fn clinician_side(side: Side) -> LabelId {
        Self::of("clinician.side", side.as_str())
    }

    pub fn fact(fact: &FactId) -> LabelId {
        Self::of("fact", fact.as_str())
    }

    /// A fact as it is asked of the patient.
    pub fn question(fact: &FactId) -> LabelId {
        Self::of("question", fact.as_str())
    }

    /// Something a practitioner looks at around the injection.
    pub fn checkpoint(id: &str) -> LabelId {
        Self::of("clinician.check", id)
    }

    /// What a practitioner decided.
    pub fn decision(decision: Decision) -> LabelId {
        Self::of("clinician.decision", decision.as_str())
    }

    /// The same beside a box to tick.
    pub fn choice(decision: Decision) -> LabelId {
        Self::of("clinician.decide", decision.as_str())
    }

    /// What a caution asks of the practitioner, in one short question.
    pub fn ask(caution: &CautionId) -> LabelId {
        Self::of("ask", caution.as_str())
    }

    /// A place as it stands after "in".
    pub fn place(region: &RegionId) -> LabelId {
        Self::of("place", region.as_str())
    }

    /// A place whose licences are meant: `US`, `UK`.
    pub fn licence_place(place: &str) -> LabelId {
        Self::of("licence-place", place)
    }

    /// How side effects are reported.
    pub fn report(how: &str) -> LabelId {
        Self::of("report", how)
    }

    pub fn status(status: Status) -> LabelId {
        Self::of("status", status.key())
    }

    pub fn level(level: Level) -> LabelId {
        Self::of("clinician.level", level.as_str())
    }

    pub fn function(function: Function) -> LabelId {
        Self::of("function", function.as_str())
    }

    /// What the form says of the practitioner's own view.
    pub fn stance(stance: Stance) -> LabelId {
        Self::of("consent.stance", stance.as_str())
    }

    /// The heading over the signs that call for this.
    pub fn urgency(urgency: Urgency) -> LabelId {
        Self::of("aftercare.urgent", urgency.as_str())
    }

    /// How far a visit is from having its papers printed.
    pub fn visit_state(state: &str) -> LabelId {
        Self::of("day.state", state)
    }

    /// The head of a column in a list of a day.
    pub fn day_column(column: &str) -> LabelId {
        Self::of("day.column", column)
    }

    /// The name of a language, by its tag.
    pub fn language(tag: &str) -> LabelId {
        Self::of("language", tag)
    }

    /// A length of time: "2 weeks".
    pub fn span(unit: TimeUnit) -> LabelId {
        Self::of("phrase.span", unit.as_str())
    }

    /// A number with what it counts: "5 people".
    pub fn number(unit: &str) -> LabelId {
        Self::of("phrase.number", unit)
    }

    /// When the counted events of a study happened.
    pub fn study_time(key: &str) -> LabelId {
        Self::of("figure.time", key)
    }

    /// How a planned dose stands to a known one.
    pub fn dose(verdict: &str) -> LabelId {
        Self::of("clinician.doses", verdict)
    }

    /// The bold lead of a sentence about an area.
    pub fn lead(part: &str) -> LabelId {
        Self::of("consent.lead", part)
    }

    /// What is written on a line of a place to sign.
    pub fn sign(line: &str) -> LabelId {
        Self::of("consent.sign", line)
    }

    /// A part of a calendar entry.
    pub fn calendar(tone: &str, kind: &str, part: &str) -> LabelId {
        LabelId(format!("calendar.{tone}.{kind}.{part}"))
    }

    /// What stands for a blank where there is no visit to fill it: "date".
    pub fn blank(name: &str) -> LabelId {
        Self::of("book.blank", name)
    }

    /// A word that differs by country.
    pub fn term(name: &str) -> LabelId {
        Self::of("term", name)
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::ops::Deref for LabelId {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for LabelId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(&self.0)
    }
}

impl From<LabelId> for String {
    fn from(id: LabelId) -> String {
        id.0
    }
}

/// What stands before the first dot of an id of the wording: an area, or the family the words belong to (`general`, `term`).
pub fn family(id: &str) -> &str {
    id.split('.').next().unwrap_or(id)
}

/// An id of the wording without its last part: `consent.decision` for `consent.decision.told`.
pub fn group(id: &str) -> &str {
    id.rsplit_once('.').map_or(id, |(group, _)| group)
}

/// The name of a term, when the id is one's.
pub fn term_of(id: &str) -> Option<&str> {
    id.strip_prefix("term.")
}
