//! The names of cautions: an entry of the rules, or one of the triggers that dates, doses and places pull.
//! Invariant: a trigger cannot be without the sentence that says when it is raised.
//! Must not: decide whether one is raised.

use serde::{Serialize, Serializer};

use super::RuleId;
use super::words::words;

words! {
    /// Cautions that come from dates, doses and places rather than from the rules.
    pub enum Trigger {
        AgeUnderMinimum = "age-under-minimum",
        TimeTooShort = "time-too-short",
        TimeNotRecorded = "time-not-recorded",
        TimeSameDay = "time-same-day",
        DoseAboveLabel = "dose-above-label",
        DoseAboveOtherLabel = "dose-above-other-label",
        DoseAboveStudies = "dose-above-studies",
        TotalAboveLabel = "total-above-label",
        DoseNotChecked = "dose-not-checked",
        LicenceNotKnown = "licence-not-known",
        SessionTotalHigh = "session-total-high",
        PointsNotEven = "points-not-even",
        OneSided = "one-sided",
        VialSizeUnknown = "vial-size-unknown",
        DilutionUnusual = "dilution-unusual",
        DilutionNotStock = "dilution-not-stock",
        DiluentReady = "diluent-ready",
        FormUnlisted = "form-unlisted",
        FormOpen = "form-open",
        MixedProducts = "mixed-products",
        Cumulative = "cumulative",
        CumulativeAbove = "cumulative-above",
        CourseBeforeLabel = "course-before-label",
        PreviousMissing = "previous-missing",
        HistoryMonth = "history-month",
        NoBenefit = "no-benefit",
        PoorCandidate = "poor-candidate",
        NotSure = "not-sure",
        DecidedAgainst = "decided-against",
        WillNotDo = "will-not-do",
        AdvisedAgainst = "advised-against",
        PrescriberNotNamed = "prescriber-not-named",
        PrescriberNotSeen = "prescriber-not-seen",
        AdviceLength = "advice-length",
        Diary = "diary",
        DiaryLate = "diary-late",
        DiaryBruise = "diary-bruise",
        DiaryAdvice = "diary-advice",
        DiaryFlying = "diary-flying",
        DiaryNoNeeds = "diary-no-needs",
    }
}

impl Trigger {
    /// It never asks; it forbids.
    pub fn always_stops(self) -> bool {
        matches!(self, Trigger::DecidedAgainst | Trigger::WillNotDo)
    }

    /// Whether it can say stop; then there is a sentence for the patient, `because.<name>`.
    pub fn may_stop(self) -> bool {
        matches!(
            self,
            Trigger::AgeUnderMinimum
                | Trigger::TimeTooShort
                | Trigger::TimeNotRecorded
                | Trigger::DecidedAgainst
                | Trigger::WillNotDo
        )
    }

    /// When it is raised, to follow "it is raised only when".
    pub fn raised_when(self) -> &'static str {
        match self {
            Trigger::AgeUnderMinimum => {
                "the patient is younger than the least age our sources name for the place"
            }
            Trigger::TimeTooShort => {
                "the place asks for more days between the written information and the visit"
            }
            Trigger::TimeNotRecorded => {
                "the place asks for a wait and the plan does not say when the information was given"
            }
            Trigger::TimeSameDay => "the information was given on the day of the visit",
            Trigger::DoseAboveLabel => "more units are planned than the label of the place names",
            Trigger::DoseAboveOtherLabel => {
                "no label of the place names a dose and more units are planned than another label names"
            }
            Trigger::DoseAboveStudies => {
                "no label names a dose and more units are planned than any study or expert we know used"
            }
            Trigger::TotalAboveLabel => {
                "several areas together exceed the total the label names for them"
            }
            Trigger::DoseNotChecked => {
                "units are planned and no source of ours gives a dose of this product for the area"
            }
            Trigger::LicenceNotKnown => {
                "neither our sources nor the clinic file say whether the product is licensed for the area in the place"
            }
            Trigger::SessionTotalHigh => {
                "the planned units of one product are more than twice the largest total for one session that our sources name"
            }
            Trigger::PointsNotEven => {
                "an odd number of points is planned for both sides of a paired area"
            }
            Trigger::OneSided => {
                "one side of a paired area is planned without the reason asymmetry"
            }
            Trigger::VialSizeUnknown => "the planned vial size is none that our sources name",
            Trigger::DilutionUnusual => {
                "the planned dilution is at least half as strong again, or as weak again, as any that our sources name for the place"
            }
            Trigger::DilutionNotStock => {
                "the planned dilution is none of those the clinic file gives for the product"
            }
            Trigger::DiluentReady => "diluent is planned for a product that is ready to use",
            Trigger::FormUnlisted => {
                "the product is planned in a form that our sources do not name"
            }
            Trigger::FormOpen => {
                "the forms of a product hold different things and the plan does not say which is used"
            }
            Trigger::MixedProducts => "more than one product is planned for one visit",
            Trigger::Cumulative => "the plan lists earlier treatments in the last months",
            Trigger::CumulativeAbove => {
                "earlier and planned units together exceed what the label names"
            }
            Trigger::CourseBeforeLabel => {
                "the next round of a course comes sooner than the label allows"
            }
            Trigger::PreviousMissing => {
                "a later round is planned and the plan does not say when the area was treated last"
            }
            Trigger::HistoryMonth => "the plan gives only the month of an earlier treatment",
            Trigger::NoBenefit => {
                "a sign without which an area gains nothing was looked for and denied"
            }
            Trigger::PoorCandidate => {
                "the patient told us something that speaks against an area and no rule says it already"
            }
            Trigger::NotSure => {
                "the patient is not sure of something that matters for a planned area or product"
            }
            Trigger::DecidedAgainst => {
                "the practitioner answered a question of this plan with the decision not to treat"
            }
            Trigger::WillNotDo => {
                "the plan or the clinic says that the practitioner will not do this area"
            }
            Trigger::AdvisedAgainst => "the practitioner advises against an area",
            Trigger::PrescriberNotNamed => {
                "whoever injects does not prescribe, and the plan names no prescriber"
            }
            Trigger::PrescriberNotSeen => {
                "another person prescribes, the place asks for a meeting face to face, and the plan does not say when"
            }
            Trigger::AdviceLength => "the clinic asks for a time outside the range met in practice",
            Trigger::Diary => {
                "an event falls between first effect and wear-off of an area that touches what it needs"
            }
            Trigger::DiaryLate => "an event falls between the usual and the longest known wear-off",
            Trigger::DiaryBruise => "photographs are planned within two weeks",
            Trigger::DiaryAdvice => {
                "an event falls into the time of an instruction that speaks against it"
            }
            Trigger::DiaryFlying => "flying is planned within a day",
            Trigger::DiaryNoNeeds => "an event names nothing it needs",
        }
    }
}

/// What raised a caution.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CautionId {
    Rule(RuleId),
    Trigger(Trigger),
}

impl CautionId {
    /// As written in reports; rules and triggers never share a name.
    pub fn as_str(&self) -> &str {
        match self {
            CautionId::Rule(id) => id.as_str(),
            CautionId::Trigger(trigger) => trigger.as_str(),
        }
    }
}

impl std::fmt::Display for CautionId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.as_str())
    }
}

impl From<Trigger> for CautionId {
    fn from(trigger: Trigger) -> Self {
        CautionId::Trigger(trigger)
    }
}

impl From<&RuleId> for CautionId {
    fn from(id: &RuleId) -> Self {
        CautionId::Rule(id.clone())
    }
}

impl PartialEq<str> for CautionId {
    fn eq(&self, text: &str) -> bool {
        self.as_str() == text
    }
}

impl PartialEq<&str> for CautionId {
    fn eq(&self, text: &&str) -> bool {
        self.as_str() == *text
    }
}

impl PartialEq<String> for CautionId {
    fn eq(&self, text: &String) -> bool {
        self.as_str() == text
    }
}

impl Serialize for CautionId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}
