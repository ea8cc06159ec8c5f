//! The day on the page: the same visits and states as the program lists, the same pile as it packs, and nothing clinical.

use std::path::Path;
use std::time::{Duration, Instant};

use beforehand::domain::LabelId;
use beforehand::wording::Wording;
use serde_json::Value;

use super::{DATE, Opened, PLANS, THURSDAY, TODAY, copied, open};
use crate::support::html::Page;
use crate::support::{names_in, program, put, run};

/// The visits as the program lists them.
fn listed(folder: &Path) -> Vec<Value> {
    let ran = run(folder, &["day", ".", "--date", DATE, "--format", "json"]);
    let said: Value = serde_json::from_str(&ran.out).expect("JSON");
    said["visits"].as_array().expect("a list").clone()
}

/// The day once its pile is made, or not made.
fn after_printing(desk: &Opened) -> Page {
    let begun = Instant::now();
    loop {
        let page = desk.page("day");
        let running = page
            .forms()
            .iter()
            .any(|form| form.action.ends_with("/day/stop"));
        if !running {
            return page;
        }
        assert!(
            begun.elapsed() < Duration::from_secs(400),
            "{}",
            page.text()
        );
        std::thread::sleep(Duration::from_millis(200));
    }
}

fn printed(desk: &Opened) -> Page {
    let page = desk.submit(&desk.page("day").form("/day/print"), None);
    assert_eq!(page.status, 200);
    after_printing(desk)
}

#[test]
fn the_day_names_every_visit_with_the_state_that_the_program_lists() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let page = desk.page("day");
    assert_eq!(page.status, 200);
    assert!(page.text().contains("Thursday, 3 December 2026"));
    let rows = page.texts_of("tr", None);
    let visits = listed(folder.path());
    // the head of the table is a row
    assert_eq!(rows.len(), visits.len() + 1);
    for (visit, row) in visits.iter().zip(&rows[1..]) {
        let said = |key: &str| visit[key].as_str().expect("a text");
        for word in [said("name"), said("state_text")] {
            assert!(row.contains(word), "{word} is not in {row}");
        }
        for need in visit["needs"].as_array().expect("a list") {
            assert!(
                row.contains(need.as_str().expect("a text")),
                "{need}: {row}"
            );
        }
    }
    let ready = visits.iter().filter(|visit| visit["state"] == "ready");
    let words = format!("Print the {} ready ones", ready.count());
    let buttons = page.form("/day/print").buttons;
    assert_eq!(buttons[0].2, words);
}

#[test]
fn the_day_opens_no_visit_and_says_nothing_clinical() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let page = desk.page("day");
    let names: Vec<String> = listed(folder.path())
        .iter()
        .map(|visit| visit["name"].as_str().expect("a name").to_owned())
        .collect();
    for link in page.links() {
        let opens = link.href.contains("/visit/");
        let about_mistakes = link.href.ends_with("?part=desk");
        assert!(!opens || about_mistakes, "{link:?}");
        assert!(!names.contains(&link.text), "{link:?}");
    }

    let language = "en".parse().expect("a tag");
    let words = Wording::new(&language, "SE").expect("the words are complete");
    let catalogue = beforehand::catalogue::Catalogue::embedded();
    let mut clinical: Vec<String> = ["units", "toxin", "dose", "mL"].map(str::to_owned).into();
    for area in &catalogue.areas {
        clinical.push(
            words
                .label(LabelId::area_name(&area.id).as_str())
                .expect("a word"),
        );
        clinical.push(area.id.to_string());
    }
    for fact in &catalogue.facts {
        for id in [LabelId::question(&fact.id), LabelId::fact(&fact.id)] {
            clinical.push(words.label(id.as_str()).expect("a word"));
        }
    }
    assert!(clinical.len() > 100, "{clinical:?}");
    let shown = page.text().to_lowercase();
    for word in clinical {
        assert!(
            !shown.contains(&word.to_lowercase()),
            "{word} is on the day"
        );
    }
    // a broken file is shown to the front desk without what is clinical in it
    let mend = page
        .links()
        .into_iter()
        .find(|link| link.href.contains("?part=desk"));
    let part = desk.page(&mend.expect("a visit with mistakes").href);
    assert_eq!(part.status, 200);
    for clinical in ["Frown", "units", "glabella", "toxin"] {
        assert!(!part.text().contains(clinical), "{clinical}");
    }
    let fields = part.form("/visit/save").names().join(" ");
    assert!(
        !fields.contains("area") && !fields.contains("fact"),
        "{fields}"
    );
}

#[test]
fn the_pile_is_the_one_that_the_program_packs() {
    let (folder, other) = (copied(THURSDAY), copied(THURSDAY));
    let desk = open(folder.path(), TODAY);
    let page = printed(&desk);
    assert!(page.text().contains("The pile is ready"), "{}", page.text());
    let made = page.text().matches("papers made at").count();
    assert_eq!(made, 3);
    let pile = desk.get(&page.link("Open the pile to print"));
    assert_eq!(pile.status, 200);
    assert_eq!(pile.header("content-type"), Some("application/pdf"));

    let pack = format!("papers/{DATE}.pdf");
    let arguments = [
        "day", ".", "--date", DATE, "--out", "papers", "--pack", &pack,
    ];
    let ran = run(other.path(), &arguments);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let wanted = std::fs::read(other.path().join(&pack)).expect("a pack");
    assert!(
        pile.body == wanted,
        "the pile has other bytes than the pack"
    );
    assert!(pile.body == std::fs::read(folder.path().join(&pack)).expect("the pile on disk"));

    // printing again makes nothing anew, and the pile is the same
    let before = std::fs::metadata(folder.path().join("papers/BV-118-2026-12-03-consent.pdf"));
    let before = before.and_then(|file| file.modified()).expect("a paper");
    let page = printed(&desk);
    assert_eq!(page.text().matches("papers made at").count(), 3);
    let after = std::fs::metadata(folder.path().join("papers/BV-118-2026-12-03-consent.pdf"));
    let after = after.and_then(|file| file.modified()).expect("a paper");
    assert_eq!(before, after);
    assert!(desk.get(&page.link("Open the pile to print")).body == wanted);
}

/// Units that were changed, or somebody who was added, would be missing from what is handed over.
#[test]
fn a_pile_that_no_longer_says_what_the_files_say_is_not_offered() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let address = printed(&desk).link("Open the pile to print");
    let offered = || {
        let page = desk.page("day");
        let made = page.text().matches("papers made at").count();
        let told = "Something has changed since the pile was made";
        let text = page.text();
        let ready = text.contains("The pile is ready");
        assert_ne!(ready, text.contains(told), "{text}");
        (ready, made, desk.get(&address).status)
    };
    assert_eq!(offered(), (true, 3, 200));

    let plan = super::read(folder.path(), "ohrn.toml");
    put(
        folder.path(),
        "ohrn.toml",
        plan.replace("units = 50", "units = 40"),
    );
    assert_eq!(offered(), (false, 2, 404));
    printed(&desk);
    assert_eq!(offered(), (true, 3, 200));

    // one more is ready, then one who waits
    let more = plan
        .replace("BV-118", "BV-900")
        .replace("Åsa Öhrn", "Nora Vale");
    put(folder.path(), "vale.toml", &more);
    assert_eq!(offered(), (false, 3, 404));
    printed(&desk);
    assert_eq!(offered(), (true, 4, 200));
    let waits = more
        .replace("BV-900", "BV-901")
        .replace("\"pregnant\", ", "");
    put(folder.path(), "waits.toml", waits);
    assert_eq!(offered(), (false, 4, 404));
    printed(&desk);
    assert_eq!(offered(), (true, 4, 200));

    // every paper says what the clinic file says
    let clinic = super::read(folder.path(), "clinic.toml");
    put(
        folder.path(),
        "clinic.toml",
        format!("{clinic}\n# another price\n"),
    );
    assert_eq!(offered(), (false, 0, 404));
}

/// The paper that is read at home is given days before, when little of the visit is settled.
#[test]
fn the_information_paper_of_a_visit_is_printed_ahead_of_the_day() {
    let folder = copied(THURSDAY);
    let ahead = |desk: &Opened| {
        let page = desk.page(&format!("day?date={DATE}"));
        let forms = page.forms().into_iter();
        let forms = forms.filter(|form| form.action.ends_with("/day/information"));
        forms.collect::<Vec<_>>()
    };
    // those of whom it is written that they have it are offered none
    assert_eq!(ahead(&open(folder.path(), TODAY)).len(), 0);
    let desk = open(folder.path(), "2026-11-26");
    let offered = ahead(&desk);
    let visits = listed(folder.path());
    let open_states = ["ready", "not-asked", "to-answer"];
    let may_go = |visit: &&Value| open_states.contains(&visit["state"].as_str().expect("a state"));
    assert_eq!(offered.len(), visits.iter().filter(may_go).count());
    let (path, fields) = desk.filled(&offered[0], None);
    let answer = desk.try_send(&path, &fields).expect("an answer");
    assert_eq!(
        (answer.status, answer.header("content-type")),
        (200, Some("application/pdf"))
    );
    let written = names_in(&folder.path().join("papers"));
    let papers: Vec<&String> = written
        .iter()
        .filter(|name| name.ends_with(".pdf"))
        .collect();
    let [paper] = papers[..] else {
        panic!("{written:?}");
    };
    assert!(paper.ends_with("-information.pdf"), "{paper}");
    let on_disk = std::fs::read(folder.path().join("papers").join(paper)).expect("a paper");
    assert!(answer.body == on_disk);
    let register = super::read(folder.path(), "papers/register.jsonl");
    assert!(register.contains(paper.as_str()), "{register}");

    // changed while the day was on the screen: nothing is made of it
    for name in PLANS {
        let plan = super::read(folder.path(), &format!("{name}.toml"));
        put(
            folder.path(),
            &format!("{name}.toml"),
            plan.replace("[visit]", "[visti]"),
        );
    }
    let (path, fields) = desk.filled(&offered[1], None);
    let answer = desk.try_send(&path, &fields).expect("an answer");
    assert_eq!(answer.status, 409);
    assert!(
        answer.text().contains("This paper cannot be made now"),
        "{}",
        answer.text()
    );
}

/// Those in hand are finished; nothing more is begun, and the day says which were not made.
#[test]
fn printing_stops_when_it_is_told_to() {
    let folder = copied(THURSDAY);
    let ready = super::read(folder.path(), "ohrn.toml");
    for number in 0..6 {
        let plan = ready
            .replace("BV-118", &format!("BV-{number}"))
            .replace("Åsa Öhrn", &format!("Patient {number}"));
        put(folder.path(), &format!("plan-{number}.toml"), plan);
    }
    let desk = open(folder.path(), TODAY);
    let page = desk.submit(&desk.page("day").form("/day/print"), None);
    desk.submit(&page.form("/day/stop"), None);
    let page = after_printing(&desk);
    let made = page.text().matches("papers made at").count();
    assert!(made < 9, "{made} were made although it was told to stop");
    // what was made is a pile, or there is none and the day says so
    let text = page.text();
    let told = ["The pile is ready", "The pile was not made"];
    assert!(told.iter().any(|words| text.contains(words)), "{text}");
    assert_eq!(
        text.contains("The pile is ready"),
        folder.path().join("papers/2026-12-03.pdf").is_file()
    );
    // and it can be finished
    let page = printed(&desk);
    assert_eq!(page.text().matches("papers made at").count(), 9);
}

#[test]
fn a_folder_that_cannot_be_written_is_said_in_a_sentence() {
    let folder = copied(THURSDAY);
    put(folder.path(), "papers", "not a folder");
    let desk = open(folder.path(), TODAY);
    let page = printed(&desk);
    assert_eq!(page.status, 200);
    let text = page.text();
    assert!(text.contains("The pile was not made"), "{text}");
    let why = page.texts_of("div", Some("wrong")).join(" ");
    assert!(why.contains("papers"), "{why}");
    assert_eq!(super::read(folder.path(), "papers"), "not a folder");
    assert!(!text.contains("papers made at"), "{text}");
    // mended, it goes on without being started anew
    std::fs::remove_file(folder.path().join("papers")).expect("it was there");
    let page = printed(&desk);
    assert!(page.text().contains("The pile is ready"), "{}", page.text());
}

#[test]
fn a_day_is_asked_for_with_its_month_in_letters() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), "2026-11-01");
    let mut another = desk.page("day").form("/day");
    let page = desk.submit(another.set("date", "3 Dec 2026"), None);
    assert!(
        page.text().contains("Thursday, 3 December 2026"),
        "{}",
        page.text()
    );
    assert!(page.text().contains("In 32 days"));
    let page = desk.submit(another.set("date", "03/12/2026"), None);
    assert_eq!(page.status, 400);
    assert!(
        page.text()
            .contains("“03/12/2026” is no day that can be told"),
        "{}",
        page.text()
    );
    let page = desk.page(&desk.page("day?date=2026-12-03").link("On to"));
    assert!(page.text().contains("Nobody is expected") || page.text().contains("Friday"));
}

#[test]
fn a_folder_that_is_none_and_a_port_that_is_taken_end_the_program_with_a_sentence() {
    let folder = copied(THURSDAY);
    let ran = run(folder.path(), &["desk", "nowhere"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("nowhere is not a folder"), "{}", ran.err);
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = taken.local_addr().expect("an address").port().to_string();
    let ran = crate::support::finish(program(folder.path()).args(["desk", ".", "--port", &port]));
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("cannot listen"), "{}", ran.err);
}
