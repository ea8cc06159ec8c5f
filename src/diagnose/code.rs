//! The closed list of mistakes: each kind with its number and its title.
//!
//! Invariant: no two codes share a number, and `Code::all` holds every one (the macro writes both from one list).
//!
//! Must not: be renumbered. A code that is given up is left out and its number is never used again, because people
//! write codes into notes and scripts.

macro_rules! codes {
    ($($(#[$meta:meta])* $name:ident = $text:literal, $title:literal;)+) => {
        /// One kind of mistake. P1: the file itself; P2: its shape; P3: texts; P4: dates; P5: numbers; P6: words of a
        /// plan; P7: clinic file; P8: a clinic's overlay.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Code { $($(#[$meta])* #[doc = $title] $name,)+ }

        impl Code {
            /// The number printed beside the mistake, e.g. `P401`.
            pub fn as_str(self) -> &'static str { match self { $(Code::$name => $text,)+ } }

            /// What this kind of mistake is called, for a list of all of them.
            pub fn title(self) -> &'static str { match self { $(Code::$name => $title,)+ } }

            /// Every code, in the order of the numbers.
            pub fn all() -> &'static [Code] { &[$(Code::$name,)+] }
        }
    };
}

codes! {
    NotUtf8 = "P101", "the file is not saved as UTF-8 text";
    EmptyFile = "P102", "the file is empty";
    NotAFile = "P103", "a folder or device stands where a file is needed";
    TooLarge = "P104", "the file is far too large";
    UnknownExtension = "P105", "the file name ends in neither .toml nor .json";

    Syntax = "P201", "a line that cannot be understood";
    DuplicateKey = "P202", "the same key twice in one place";
    UnknownKey = "P203", "a key that is not known";
    MisplacedKey = "P204", "a key that belongs elsewhere";
    MissingKey = "P205", "something required is missing";
    WrongType = "P206", "a value of the wrong kind";
    TooMany = "P207", "more entries than a visit can have";
    OtherFile = "P208", "a clinic file in place of a plan, or the reverse";

    TextEmpty = "P301", "a text with nothing in it";
    TextTooLong = "P302", "a text that is too long";
    ForbiddenCharacter = "P303", "a character that may not be used";
    UnprintableCharacter = "P304", "a character that no loaded font can print";

    DateImpossible = "P401", "a date that cannot be";
    TimeImpossible = "P402", "a time of day that cannot be";
    VisitBeforeBirth = "P403", "a visit before the patient's birth";
    ImplausibleAge = "P404", "a patient older than 120 years";
    InformedAfterVisit = "P405", "information given after the visit";
    InformedBeforeBirth = "P406", "information given before the patient's birth";
    PreviousImpossible = "P407", "an earlier round not before the visit, or before birth";
    EventImpossible = "P408", "a planned event before the visit or years away";
    HistoryImpossible = "P409", "an earlier treatment not before the visit, or before birth";
    ClockWithoutZone = "P410", "a time of day at a clinic without a time zone";
    VisitFarOff = "P411", "a visit in a year no plan can mean";
    ClockSkipped = "P412", "a time of day that the clocks skip on that day";
    InformedAtAlone = "P419", "a time of information without its day";
    PrescriberImpossible = "P420", "a meeting with the prescriber after the visit, or before birth";
    AskedImpossible = "P421", "a question asked after the visit, or before birth";
    AnsweredImpossible = "P422", "an answer given after the visit, or before birth";

    UnitsNegative = "P501", "fewer than no units";
    UnitsZero = "P502", "zero units";
    UnitsAbsurd = "P503", "more units than any plan can mean";
    UnitsNotANumber = "P504", "units that are not a number";
    RoundOutOfRange = "P505", "a round outside 1 to 20";
    VialOutOfRange = "P506", "a vial size that cannot be";
    DiluentOutOfRange = "P507", "a diluent volume that cannot be";
    PointsOutOfRange = "P508", "a number of injection points outside 1 to 100";
    PointsMissing = "P509", "units per point without the number of points";
    UnitsMissing = "P510", "how units are counted, without any units";
    RevisionOutOfRange = "P511", "a revision outside 1 to 1000";
    PerSideWithoutSides = "P512", "units per side in an area that has no sides";
    LastTimeOfFirst = "P513", "how the last round went, where this is the first";

    NoArea = "P601", "a plan without any area";
    AreaTwice = "P602", "the same area twice";
    SideNotAllowed = "P603", "a side this area does not have";
    SideMissing = "P604", "an area without its side";
    UnknownSide = "P605", "a side that is not known";
    UnknownArea = "P606", "an area that is not known";
    UnknownFact = "P607", "a patient fact that is not known";
    FactOfWrongKind = "P608", "a patient fact given in the wrong way";
    UnknownProduct = "P609", "a product that is not known";
    ProductNotInStock = "P610", "a product the clinic does not stock";
    UnknownPractitioner = "P611", "a practitioner the clinic file does not list";
    MalformedLanguage = "P612", "a language tag that is not well formed";
    UnknownLanguage = "P613", "a language without wording";
    UnknownNeed = "P614", "a need of an event that is not known";
    UnknownReason = "P615", "a reason that is not known";
    UnknownPer = "P616", "a way of counting units that is not known";
    UnknownStance = "P617", "a stance that is not known";
    UnknownAdvice = "P618", "an advice that is not known";
    OtherToxin = "P619", "a botulinum toxin of another type than A as a product";
    UnknownFormulation = "P620", "a form of a product that is not known";
    ToldAndDenied = "P631", "a fact that is told in one place and denied in another";
    UnknownCaution = "P632", "an answer to a caution that is not known";
    AnswerToStop = "P633", "an answer to a stop";
    UnknownDecision = "P634", "a decision that is not known";
    MalformedQuestion = "P635", "a question's code that is not four letters or digits";

    UnknownRegion = "P701", "a region that is not known";
    UnknownPaper = "P702", "a paper size that is not known";
    PractitionerTwice = "P703", "two practitioners with one id";
    NoPractitioner = "P704", "a clinic without any practitioner";
    UnknownTimeZone = "P705", "a time zone that is not known";
    MalformedPhone = "P706", "a telephone number without digits";
    MalformedCurrency = "P707", "a currency that is not three capital letters";
    FeeOutOfRange = "P708", "a fee that cannot be";
    StockTwice = "P709", "the same product and vial size twice in stock";
    MalformedId = "P710", "a short name with characters it may not have";
    FontsOutside = "P711", "a file or folder that is not inside the clinic's own folder";
    HoursOutOfRange = "P712", "a number of hours that cannot be";
    UnknownAllowance = "P713", "an allowance that is not known";
    FileNames = "P714", "a pattern of file names that cannot be used";
    HoursAndDays = "P715", "one advice with a length in hours and in days";
    ExperienceMalformed = "P716", "a clinic's experience that is neither weeks nor words";
    LicenceTwice = "P717", "an area for which a product is licensed and not licensed";
    TranslationOfNothing = "P718", "a translation of words that the clinic file does not hold";
    TranslationTwice = "P719", "the same words translated twice into one language";

    OverlayFolder = "P801", "an overlay folder that is not there or leads out of the clinic's folder";
    OverlayFile = "P802", "a file in the overlay that is not known";
    AccentMalformed = "P803", "an accent colour that is not six hexadecimal digits";
    AccentTooLight = "P804", "an accent colour too light for text";
    LogoMissing = "P805", "a logo that is not there";
    LogoTooLarge = "P806", "a logo that is too large";
    LogoUnusable = "P807", "a logo that cannot be printed";
    WordingShape = "P808", "a wording file that is not statements under their names";
    UnknownStatement = "P809", "a statement that is not known";
    StatementTwice = "P810", "the same statement twice";
    StatementFixed = "P811", "a statement that a clinic cannot change";
    StatementMarkdown = "P812", "a statement with formatting the papers do not use";
    StatementTemplate = "P813", "a blank or condition that cannot be understood";
    UnknownBlank = "P814", "a blank that is not filled in this statement";
    BlankDropped = "P815", "a statement that lost a blank of the release";
    OverlayLanguage = "P816", "overlay wording in a language the program does not have";
    AreaBuiltIn = "P817", "an overlay area with the name of one that is built in";
    AreaData = "P818", "an overlay area whose data is not consistent";
    AreaUnworded = "P819", "an overlay area without all its words";
    OverlaySource = "P820", "an overlay source that cannot be used";
    MentionMissing = "P821", "a statement that no longer speaks of its matter";
}

#[cfg(test)]
mod tests {
    use crate::diagnose::Code;
    use std::collections::BTreeSet;

    #[test]
    fn numbers_and_titles_are_unique_and_in_order() {
        let numbers: Vec<_> = Code::all().iter().map(|c| c.as_str()).collect();
        assert!(
            numbers.windows(2).all(|w| w[0] < w[1]),
            "out of order or twice: {numbers:?}"
        );
        let titles: BTreeSet<_> = Code::all().iter().map(|c| c.title()).collect();
        assert_eq!(titles.len(), numbers.len());
    }
}
