//! The closed lists of words that files, statements and papers share.
//! Invariant: each word stands once, beside its variant; files are read by it and everything else is written by it.
//! Must not: hold words that readers of a paper see (those are the wording's).

/// An enum and its words in one table: the list of all, the word of each, and the way back. Serde uses the same words.
macro_rules! words {
    ($(#[$meta:meta])* pub enum $name:ident { $($(#[$inner:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        pub enum $name {
            $($(#[$inner])* #[serde(rename = $word)] $variant),+
        }

        impl $name {
            /// All of them, in the order they are listed to a user.
            pub const ALL: [$name; [$($word),+].len()] = [$($name::$variant),+];

            /// As written in files.
            pub fn as_str(self) -> &'static str {
                match self {
                    $($name::$variant => $word),+
                }
            }

            /// The one written like this, in exactly this spelling.
            pub fn from_word(word: &str) -> Option<$name> {
                $name::ALL.into_iter().find(|one| one.as_str() == word)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.as_str())
            }
        }
    };
}
pub(super) use words;

words! {
    /// Which side of face or neck. Left and right are the patient's own.
    pub enum Side {
        /// Left and right.
        Both = "both",
        /// The patient's left.
        Left = "left",
        /// The patient's right.
        Right = "right",
        /// In the middle, without sides.
        Midline = "midline",
    }
}

words! {
    /// How a fact about a patient is given.
    pub enum FactKind {
        /// `true` or `false`.
        Flag = "flag",
        /// `left`, `right` or `both`.
        Side = "side",
        /// Free text.
        Text = "text",
        /// A whole number.
        Number = "number",
    }
}

words! {
    /// Size of a sheet; the words are also the typesetter's names.
    pub enum PageSize {
        /// 210 mm × 297 mm.
        A4 = "a4",
        /// 8.5 in × 11 in.
        UsLetter = "us-letter",
    }
}

words! {
    /// The practitioner's own view of treating an area, told to the patient with tact.
    pub enum Stance {
        /// Would advise it.
        Advise = "advise",
        /// Neither for nor against.
        Neutral = "neutral",
        /// Can do it, would not advise it.
        AdviseAgainst = "advise-against",
        /// Will not do it.
        WillNotDo = "will-not-do",
    }
}

impl Stance {
    /// Whoever has the treatment has it against this view.
    pub fn is_against(self) -> bool {
        matches!(self, Stance::AdviseAgainst | Stance::WillNotDo)
    }
}

words! {
    /// What a practitioner decided about a question.
    pub enum Decision {
        /// Treat as planned.
        GoAhead = "go-ahead",
        /// Change the plan first.
        Change = "change",
        /// Not to treat what the question is about.
        DoNotTreat = "do-not-treat",
    }
}

words! {
    /// How a product is sold.
    pub enum Formulation {
        /// Dry; diluent is put in before use.
        Powder = "powder",
        /// Ready to use; nothing is put in.
        Liquid = "liquid",
    }
}

words! {
    /// Why an earlier treatment was given.
    pub enum EarlierReason {
        /// For looks.
        Appearance = "appearance",
        /// For an illness, such as stiff muscles or headaches.
        Illness = "illness",
    }
}

words! {
    /// What an amount of units is counted for.
    #[derive(Default)]
    pub enum Per {
        /// The whole area, both sides together.
        #[default]
        Total = "total",
        /// Each side.
        Side = "side",
        /// Each injection point.
        Point = "point",
    }
}

words! {
    /// A unit of time.
    pub enum TimeUnit {
        Hours = "hours",
        Days = "days",
        Weeks = "weeks",
        Months = "months",
    }
}

impl TimeUnit {
    /// Hours in one of them; a month counts as the twelfth part of a year of 365 days. For comparing lengths, not for dates.
    pub fn hours(self) -> f64 {
        match self {
            TimeUnit::Hours => 1.0,
            TimeUnit::Days => 24.0,
            TimeUnit::Weeks => 168.0,
            TimeUnit::Months => 730.0,
        }
    }
}

words! {
    /// What a treated area can take away for a while.
    pub enum Function {
        Speech = "speech",
        Suction = "suction",
        Smile = "smile",
        LipSeal = "lip-seal",
        Chewing = "chewing",
        Swallowing = "swallowing",
        Voice = "voice",
        NeckStrength = "neck-strength",
        Brow = "brow",
        Lid = "lid",
        EyeClosure = "eye-closure",
        Nose = "nose",
    }
}

words! {
    /// How soon somebody must act; also the order of printing.
    pub enum Urgency {
        /// Emergency number, at once.
        Emergency = "emergency",
        /// Seen by a doctor the same day.
        SameDay = "same-day",
        /// Telephone the clinic.
        CallClinic = "call-clinic",
    }
}

words! {
    /// What the practitioner must do about a caution. `Note < Ask < Stop`.
    pub enum Level {
        Note = "note",
        Ask = "ask",
        Stop = "stop",
    }
}

words! {
    /// Whether a product is licensed for an area in a place.
    pub enum Standing {
        Licensed = "licensed",
        OffLabel = "off-label",
        /// Our sources do not say.
        Unknown = "unknown",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_and_programs_use_the_same_word() {
        for side in Side::ALL {
            let written = serde_json::to_value(side).expect("a word");
            assert_eq!(written, side.as_str());
            assert_eq!(Side::from_word(side.as_str()), Some(side));
        }
        assert_eq!(Side::from_word("Left"), None);
        assert_eq!(Per::default(), Per::Total);
    }
}
