//! The lists of those who treat: what the front desk puts on them, and what a torn file costs.

use std::io::Write;

use super::{Opened, THURSDAY, TODAY, copied, open, read};
use crate::support::html::Page;

const ASKED_FOR: &str = "The front desk asks for this one.";

fn asked_for(page: &Page) -> usize {
    page.text().matches(ASKED_FOR).count()
}

/// The one question of Rosa Lindqvist's visit, answered with a decision and saved.
fn answered(desk: &Opened, decision: &str) -> Page {
    let mut form = super::visit(desk, "Rosa Lindqvist").form("/visit/save");
    let key = super::filled::open_question(&form);
    form.set(&format!("decide.{key}.decision"), decision);
    let because = "Seen and discussed (invented)";
    form.set(&format!("decide.{key}.because"), because);
    desk.submit(&form, Some(&format!("desk.record={key}")))
}

#[test]
fn one_press_puts_everybody_on_their_lists_and_a_second_adds_nothing() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    assert_eq!(asked_for(&desk.page("to-answer")), 0);
    let form = desk.page("day").form("/day/lists");
    let day = desk.submit(&form, None);
    assert!(day.text().contains("On their lists"), "{}", day.text());
    assert!(
        !day.forms()
            .iter()
            .any(|form| form.action.ends_with("/day/lists"))
    );
    let lists = read(folder.path(), "lists.jsonl");
    let count = lists.lines().count();
    let waits = |group: &&String| group.contains("for a practitioner");
    let heading = day.texts_of("h3", None).iter().find(waits).cloned();
    assert!(
        heading
            .expect("a group")
            .starts_with(&format!("{count} wait"))
    );
    assert!(count >= 2, "{lists}");
    assert_eq!(asked_for(&desk.page("to-answer")), count);

    // somebody else had the day open still
    desk.submit(&form, None);
    assert_eq!(read(folder.path(), "lists.jsonl"), lists);
    // the lists of one person hold only that person's
    let of_one = desk.page(&desk.page("to-answer").link("Mats Ek"));
    assert!(asked_for(&of_one) < count, "{}", of_one.text());
    assert!(of_one.text().contains("Rosa Lindqvist"));
}

#[test]
fn a_torn_line_costs_only_itself() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let form = desk.page("day").form("/day/lists");
    desk.submit(&form, None);
    let whole = read(folder.path(), "lists.jsonl");
    let count = whole.lines().count();
    let path = folder.path().join("lists.jsonl");

    // the machine stopped in the middle of the last line
    std::fs::write(&path, &whole[..whole.len() - 9]).expect("a file");
    assert_eq!(asked_for(&desk.page("to-answer")), count - 1);
    let day = desk.submit(&desk.page("day").form("/day/lists"), None);
    assert!(day.text().contains("On their lists"), "{}", day.text());
    assert_eq!(asked_for(&desk.page("to-answer")), count);

    // in the middle of a letter
    let mut file = std::fs::OpenOptions::new()
        .append(true)
        .open(&path)
        .expect("a file");
    file.write_all(b"{\"plan\":\"\xc3").expect("written");
    let day = desk.page("day");
    assert_eq!(day.status, 200, "{}", day.text());
    assert_eq!(asked_for(&desk.page("to-answer")), count);
}

/// A visit stands on the list until it is answered, and not longer.
#[test]
fn what_is_answered_leaves_the_list() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let before = desk.page("to-answer");
    assert!(before.text_of("main").contains("Rosa Lindqvist"));
    let saved = answered(&desk, "go-ahead");
    assert!(
        saved.text().contains("Saved in lindqvist.toml"),
        "{}",
        saved.text()
    );
    let headings = desk.page("to-answer").texts_of("h3", None).join(" ");
    assert!(!headings.contains("Rosa Lindqvist"), "{headings}");
}

/// Whoever decided to change the plan has not changed it yet.
#[test]
fn an_answer_that_asks_for_a_change_leaves_the_visit_on_the_list() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let text = answered(&desk, "change").text();
    assert!(text.contains("1 answer asks for a change"), "{text}");
    assert!(!text.contains("Nothing is open"), "{text}");
    let list = desk.page("to-answer").text_of("main");
    assert!(list.contains("Rosa Lindqvist"), "{list}");
    assert!(list.contains("Change the plan, as answered: "), "{list}");
}
