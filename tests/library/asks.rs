//! Turns every rule and trigger that can ask into the one short question that the check sheet prints.
//! Invariant: in every language, whatever can be of level *ask* has its question, and nothing else has one.
//! Must not: judge whether a question is a good one; a person reads them.

use std::collections::BTreeSet;

use beforehand::catalogue::{Catalogue, Level};
use beforehand::domain::{CautionId, LabelId, Trigger};
use beforehand::wording::library;

/// Triggers that only note or only stop, wherever the visit is.
fn never_asks(trigger: Trigger) -> bool {
    use Trigger::*;
    trigger.always_stops()
        || matches!(
            trigger,
            TimeTooShort
                | TimeNotRecorded
                | TimeSameDay
                | FormOpen
                | Cumulative
                | CourseBeforeLabel
                | PreviousMissing
                | HistoryMonth
                | AdviceLength
                | DiaryLate
                | DiaryBruise
                | DiaryAdvice
                | DiaryFlying
                | DiaryNoNeeds
        )
}

fn that_ask() -> BTreeSet<String> {
    let catalogue = Catalogue::embedded();
    // where authorities differ, the strictest is followed
    let rules = catalogue.rules.iter().filter(|rule| {
        let levels = rule.authority.iter().map(|one| one.level);
        levels.chain([rule.level]).max() == Some(Level::Ask)
    });
    let rules = rules.map(|rule| CautionId::from(&rule.id));
    let triggers = Trigger::ALL.into_iter().filter(|one| !never_asks(*one));
    let all = rules.chain(triggers.map(CautionId::from));
    all.map(|id| LabelId::ask(&id).to_string()).collect()
}

#[test]
fn whatever_can_ask_has_its_question_in_every_language() {
    let wanted = that_ask();
    assert!(wanted.len() > 70, "{wanted:?}");
    for tag in library::tags() {
        let words = library::statements(tag).expect("the language reads");
        let has: BTreeSet<String> = words
            .keys()
            .filter(|id| id.starts_with("ask."))
            .cloned()
            .collect();
        assert_eq!(wanted, has, "{tag}");
    }
}

#[test]
fn a_question_is_one_and_is_short() {
    for tag in library::tags() {
        let words = library::statements(tag).expect("the language reads");
        for (id, text) in words.iter().filter(|(id, _)| id.starts_with("ask.")) {
            let text = format!("{text:?}");
            assert_eq!(text.matches('?').count(), 1, "{tag} {id}: {text}");
            let plain = text.split("{{").count() - 1;
            let said = text.split_whitespace().count();
            // a blank is three words of the template
            assert!(said - 2 * plain <= 40, "{tag} {id}: {said} words");
        }
    }
}

/// The boxes say go ahead, change, do not treat: a question for a fact alone would have no box for its answer.
#[test]
fn a_question_is_one_that_the_boxes_answer() {
    let of_a_decision = |tag: &str| match tag.split('-').next() {
        Some("en") => {
            "o you treat|still treat|go ahead|go above|choose|may you|meant|worth it|right here|plan right|decide|pack say|correct"
        }
        _ => {
            "e trata|se puede tratar|supera|lige|s correct|n correct|vale la pena|es adecuado|el plan?|decida|envase"
        }
    };
    let mut asked = 0;
    for tag in library::tags() {
        let words = library::statements(tag).expect("the language reads");
        for (id, text) in words.iter().filter(|(id, _)| id.starts_with("ask.")) {
            let text = format!("{text:?}");
            let mut endings = of_a_decision(tag).split('|');
            assert!(
                endings.any(|ending| text.contains(ending)),
                "{tag} {id}: {text}"
            );
            // a box for two questions at once answers one of them
            let two = [
                "and do you treat",
                "y se trata?",
                "or do you leave",
                "o no se trata",
            ];
            assert!(
                !two.iter().any(|one| text.contains(one)),
                "{tag} {id}: {text}"
            );
            asked += 1;
        }
    }
    assert!(asked > 140, "{asked} questions");
}
