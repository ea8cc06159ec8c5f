//! Every screen of the desk in every state, opened in a browser: accessible, within its width, asking nobody else, keeping nothing.
//!
//! Invariant: each screen is judged in both languages (one visit's screens, which draw its papers, in one of the two in turn), and over
//! all screens at every width and in every look, with script and without; the long test leaves none of it out.
//! Must not: judge a screen itself.

use std::path::Path;

use serde_json::{Value, json};

use super::folders::{Desks, codes_in, complete, desks};
use super::{Practice, browser};
use crate::support::desk::Desk;
use crate::support::referee;

const WIDTHS: [u32; 4] = [1280, 390, 1024, 640];
const LOOKS: [&str; 3] = ["light", "dark", "forced"];

/// Whether a screen works without script.
#[derive(Clone, Copy, PartialEq)]
enum Scripts {
    Both,
    /// Only script leads there.
    Only,
    /// Only where there is no script.
    Without,
}

/// The screens of one language.
struct Screens {
    all: Vec<Value>,
    /// Which of four views of each screen: the widths in turn, the looks in another turn.
    views: &'static [usize],
}

impl Screens {
    /// One screen: where it is, and what is done there before it is judged.
    fn add(&mut self, name: &str, path: &str, steps: Value, scripts: Scripts, more: Value) {
        let number = self.all.len();
        let views: Vec<Value> = self
            .views
            .iter()
            .map(|view| {
                let width = WIDTHS[(number + view) % WIDTHS.len()];
                let look = LOOKS[(number + view) % LOOKS.len()];
                let scripted = match scripts {
                    Scripts::Both => view % 2 == 0,
                    Scripts::Only => true,
                    Scripts::Without => false,
                };
                json!([width, look, scripted])
            })
            .collect();
        let mut screen = json!({ "name": name, "path": path, "steps": steps, "views": views });
        for (key, value) in more.as_object().into_iter().flatten() {
            screen[key] = value.clone();
        }
        self.all.push(screen);
    }

    fn plain(&mut self, name: &str, path: &str) {
        self.add(name, path, json!([]), Scripts::Both, json!({}));
    }

    fn after(&mut self, name: &str, path: &str, steps: Value) {
        self.add(name, path, steps, Scripts::Both, json!({}));
    }
}

/// Opens a visit from the list of all.
fn visit_of(name: &str, more: &[Value]) -> Value {
    let link = format!(".visits a:has-text(\"{name}\")");
    let mut steps = vec![
        json!(["click", link]),
        json!(["wait", "h1"]),
        json!(["wait", ".save, .text"]),
    ];
    steps.extend_from_slice(more);
    Value::from(steps)
}

/// From a visit to that of its next round.
fn to_the_next_round() -> [Value; 4] {
    [
        json!(["click", ".papers a[href$=\"/next\"]"]),
        json!(["fill", "#date", "2027-04-08"]),
        json!(["click", "button.fill"]),
        json!(["wait", ".told"]),
    ]
}

fn screens_of(
    practice: &Practice,
    desks: &Desks,
    aside: &Path,
    views: &'static [usize],
) -> Vec<Value> {
    use Scripts::{Both, Only, Without};
    let mut s = Screens {
        all: Vec::new(),
        views,
    };
    let on = |desk: &Desk| json!({ "address": desk.address });
    let with =
        |desk: &Desk, key: &str, value: Value| json!({ "address": desk.address, key: value });

    s.add("start", "", json!([]), Both, json!({ "hold": true }));
    s.add("first-empty", "first", json!([]), Both, on(&desks.empty));
    let write = json!([
        ["fill", "[name=\"clinic.phone\"]", "none"],
        ["click", "button.fill"],
        ["wait", ".wrong"]
    ]);
    s.add("first-refused", "first", write, Both, on(&desks.empty));
    s.add(
        "first-plans-only",
        "first",
        json!([]),
        Both,
        on(&desks.plans_only),
    );
    s.add(
        "clinic-mistakes",
        "day",
        json!([]),
        Both,
        with(&desks.mistaken, "status", json!(409)),
    );

    s.plain("day", "day");
    s.plain("day-empty", "day?date=2027-01-20");
    let lists = "form[action$=\"day/lists\"] button";
    let listed = json!([["click", lists], ["wait", ".who-acts .state.clear"]]);
    s.add(
        "day-on-lists",
        "day",
        json!([["wait", ".who-acts .state.clear"]]),
        Both,
        json!({ "once": listed }),
    );
    let print = json!([
        ["click", "form[action$=\"day/print\"] button"],
        ["wait", "progress"]
    ]);
    let running = with(&desks.many, "once", print);
    let held = json!([["wait", "progress"]]);
    s.add("day-printing", "day", held, Both, {
        let mut more = running;
        more["hold"] = true.into();
        more
    });
    let stop = json!([
        ["click", "form[action$=\"day/stop\"] button"],
        ["wait", "a.main-act"]
    ]);
    let mut stopped = with(&desks.many, "once", stop);
    stopped["patience"] = 90.into();
    s.add(
        "day-stopped",
        "day",
        json!([["wait", "a.main-act"]]),
        Both,
        stopped,
    );
    let print = json!([
        ["click", "form[action$=\"day/print\"] button"],
        ["wait", "a.main-act"]
    ]);
    s.add(
        "day-pile",
        "day",
        json!([["wait", "a.main-act"]]),
        Both,
        json!({ "once": print, "patience": 90 }),
    );
    let print = json!([
        ["click", "form[action$=\"day/print\"] button"],
        ["wait", ".wrong"]
    ]);
    s.add(
        "day-failed",
        "day",
        print,
        Both,
        with(&desks.failed, "patience", json!(60)),
    );
    s.add("day-nobody", "day", json!([]), Both, on(&desks.alone));
    s.add(
        "sorry-no-day",
        "day?date=sometime",
        json!([]),
        Both,
        json!({ "status": 400 }),
    );
    s.add(
        "sorry-no-visit",
        "visit/0000",
        json!([]),
        Both,
        json!({ "status": 404 }),
    );

    s.plain("to-answer", "to-answer");
    s.plain("to-answer-one", &format!("to-answer?by={}", practice.first));
    s.add(
        "to-answer-none",
        "to-answer",
        json!([["wait", "h1"]]),
        Both,
        on(&desks.alone),
    );

    s.plain("visit-new", "visit/new");
    s.after(
        "visit-new-refused",
        "visit/new",
        json!([
            ["fill", "[name=\"patient.born\"]", "someday"],
            ["click", "#save"],
            ["wait", ".wrong"]
        ]),
    );
    s.after(
        "visit-questions",
        "to-answer",
        visit_of("Caspian Oyelowo", &[]),
    );
    s.after(
        "visit-to-answer",
        "to-answer",
        visit_of("Rosa Lindqvist", &[]),
    );
    s.after(
        "visit-stopped",
        "to-answer",
        visit_of("Odette Vanterpool", &[]),
    );
    s.after("visit-mistakes", "to-answer", visit_of("Tobias Renn", &[]));
    s.after(
        "visit-front-desk",
        "day",
        json!([["click", "table.day a"], ["wait", ".save"]]),
    );
    s.after(
        "visit-broken",
        "day",
        json!([
            ["click", "table.day a:has-text(\"broken.toml\")"],
            ["wait", ".wrong"]
        ]),
    );
    s.after(
        "visit-saved",
        "to-answer",
        visit_of(
            "Signe Brattland",
            &[json!(["click", "#save"]), json!(["wait", ".saved"])],
        ),
    );
    let papers = json!([["click", "a.no-script"], ["wait", ".set img"]]);
    s.add(
        "visit-papers",
        "to-answer",
        visit_of("Pilar Quintana", papers.as_array().expect("steps")),
        Without,
        json!({}),
    );
    let [next, ..] = to_the_next_round();
    s.after(
        "next-which-day",
        "to-answer",
        visit_of("Signe Brattland", &[next.clone(), json!(["wait", "#date"])]),
    );
    let no_day = [
        next,
        json!(["fill", "#date", "sometime"]),
        json!(["click", "button.fill"]),
        json!(["wait", ".bad"]),
    ];
    s.after(
        "next-no-day",
        "to-answer",
        visit_of("Signe Brattland", &no_day),
    );
    let go = to_the_next_round();
    s.after("next-round", "to-answer", visit_of("Signe Brattland", &go));
    let record = [
        json!(["check", "article[data-ask] input[value=\"go-ahead\"]"]),
        json!([
            "fill",
            "article[data-ask] textarea",
            "A low dose; the lid was looked at."
        ]),
        json!(["click", "article[data-ask] button"]),
        json!(["wait", ".answered"]),
    ];
    let answered = visit_of("Ylva Sand", &[json!(["wait", "article.ask"])]);
    s.add(
        "visit-answered",
        "to-answer",
        answered,
        Both,
        json!({ "once": visit_of("Ylva Sand", &record) }),
    );

    let base = practice.path().join("two-at-it.toml");
    let (mine, theirs) = (aside.join("mine.toml"), aside.join("theirs.toml"));
    std::fs::copy(&base, &mine).expect("a copy");
    let text = practice
        .text("two-at-it.toml")
        .replace("Ebba Strand", "Ebba Strandh");
    std::fs::write(
        &theirs,
        text.replace(&format!("units = {}", practice.units), "units = 25"),
    )
    .expect("a file");
    let mut two = vec![json!(["copy", mine, base])];
    let in_form = [
        json!(["fill", "[name=\"area.glabella.units\"]", "30"]),
        json!(["copy", theirs, base]),
        json!(["click", "#save"]),
        json!(["wait", ".versus"]),
    ];
    two.extend(
        visit_of("Ebba Strand", &in_form)
            .as_array()
            .expect("steps")
            .clone(),
    );
    s.after("changed-underneath", "to-answer", two.into());

    s.add(
        "visit-everything",
        "to-answer",
        visit_of("Maximiliana", &[]),
        Both,
        on(&desks.everything),
    );
    // the pages of twelve areas, made by a program built for tests, on a machine that draws other screens meanwhile
    let laid_out_first = with(&desks.everything, "patience", json!(60));
    let page = [
        json!(["click", "a[data-page][href$='/information/1.svg']"]),
        json!(["wait", "dialog img"]),
    ];
    s.add(
        "visit-page-open",
        "to-answer",
        visit_of("Maximiliana", &page),
        Only,
        laid_out_first.clone(),
    );
    // among the signs to call at once, which stand on the first page whatever is planned
    let sentence = [
        json!(["click", "a[data-page][href$='/aftercare/1.svg']"]),
        page[1].clone(),
        json!(["at", "dialog img", 0.7, 0.45]),
        json!(["wait", ".why p + p"]),
    ];
    s.add(
        "visit-sentence",
        "to-answer",
        visit_of("Maximiliana", &sentence),
        Only,
        laid_out_first,
    );

    let [(old, _), (new, file)] = codes_in(&practice.path().join("papers/register.jsonl"));
    let look = |code: &str, wait: &str| {
        json!([
            ["fill", "#code", code],
            ["click", "button.fill"],
            ["wait", wait]
        ])
    };
    s.plain("look-up", "look-up");
    s.after("look-up-found", "look-up", look(&new, ".found"));
    s.after("look-up-superseded", "look-up", look(&old, ".found .heavy"));
    let (begun, last) = new.split_at(new.len() - 1);
    let other = if last == "0" { "1" } else { "0" };
    s.after(
        "look-up-mistyped",
        "look-up",
        look(&format!("{begun}{other}"), ".wrong"),
    );
    let drop = |file: &Path, wait: &str| {
        json!([
            ["file", "#pdf", file],
            ["click", "form[enctype] button"],
            ["wait", wait]
        ])
    };
    s.after(
        "look-up-paper",
        "look-up",
        drop(&practice.path().join("papers").join(file), ".found"),
    );
    let foreign = aside.join("foreign.pdf");
    std::fs::write(&foreign, "%PDF-1.4\n%%EOF\n").expect("a file");
    s.after("look-up-foreign", "look-up", drop(&foreign, ".wrong"));

    s.plain("words", "words");
    s.after(
        "words-refused",
        "words",
        json!([
            ["fill", "[name=\"code\"]", "none"],
            ["click", "form button.fill"],
            ["wait", ".wrong"]
        ]),
    );
    let changed = json!([["wait", "#changed ~ article"]]);
    s.add("words-changed", "words", changed, Both, on(&desks.approved));
    let code = book_code(practice);
    let record = json!([
        ["fill", "[name=\"code\"]", code],
        ["click", "form button.fill"],
        ["wait", ".saved"]
    ]);
    s.add("words-recorded", "words", record, Both, on(&desks.alone));
    s.all
}

/// The code at the foot of the book of the practice's own words.
fn book_code(practice: &Practice) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    crate::support::put(folder.path(), "clinic.toml", practice.text("clinic.toml"));
    let made = crate::support::run(folder.path(), &["wording", "book", "--out", "books"]);
    crate::support::wording::code_of_book(&made.out)
}

/// What is judged of the screens of one visit.
#[derive(Clone, Copy, PartialEq)]
enum Visits {
    Every,
    /// Drawing papers takes most of the time, and they are the same papers in both languages: every other screen.
    EveryOther(usize),
}

fn judge(practice: &Practice, what: &str, views: &'static [usize], visits: Visits) {
    let Some(python) = browser() else {
        return;
    };
    complete(practice);
    let aside = tempfile::tempdir().expect("a folder");
    let desks = desks(practice);
    let mut screens = screens_of(practice, &desks, aside.path(), views);
    if let Visits::EveryOther(first) = visits {
        let mut of_a_visit = 0;
        screens.retain(|screen| {
            let name = screen["name"].as_str().expect("a screen has a name");
            if !name.starts_with("visit-") {
                return true;
            }
            of_a_visit += 1;
            of_a_visit % 2 == first
        });
        assert!(of_a_visit > 10, "only {of_a_visit} screens of a visit");
    }
    let mut case = json!({ "screens": screens, "locale": practice.locale });
    if std::env::var_os("BEFOREHAND_PICTURES").is_some() {
        case["pictures"] = json!(referee::scratch("desk-pictures").join(practice.locale));
    }
    let case_file = referee::scratch(&format!("desk-screens-{}.json", practice.locale));
    std::fs::write(case_file, case.to_string()).expect("a file");
    referee::passes(what, &desks.main.screens(&python, &case));
}

#[test]
fn every_screen_in_english() {
    judge(
        &Practice::english(),
        "screens in English",
        &[0],
        Visits::EveryOther(0),
    );
}

#[test]
fn every_screen_in_spanish() {
    judge(
        &Practice::spanish(),
        "screens in Spanish",
        &[3],
        Visits::EveryOther(1),
    );
}

/// Half an hour or more; each screen in four views, in both languages.
#[test]
#[ignore = "takes long"]
fn every_screen_in_every_view() {
    let every = Visits::Every;
    judge(
        &Practice::english(),
        "all views in English",
        &[0, 1, 2, 3],
        every,
    );
    judge(
        &Practice::spanish(),
        "all views in Spanish",
        &[0, 1, 2, 3],
        every,
    );
}

/// The pictures of the tour in the README: the same practice, as its people see it at a desk.
#[test]
#[ignore = "writes samples/desk"]
fn the_tour() {
    let Some(python) = browser() else {
        return;
    };
    let practice = Practice::english();
    let desk = practice.open();
    let at_a_desk = |name: &str, path: &str, steps: Value, height: u32| json!({ "name": name, "path": path, "steps": steps, "views": [[1280, "light", true]], "clip": height, "patience": 90 });
    let print = json!([
        ["click", "form[action$=\"day/print\"] button"],
        ["wait", "a.main-act"]
    ]);
    let papers = json!(["wait", ".set img"]);
    super::runs(practice.path(), &["make", "ohrn.toml", "--out", "papers"]);
    let made = practice.path().join("papers");
    let mut names = crate::support::names_in(&made).into_iter();
    let paper = names.find(|name| name.ends_with("-information.pdf"));
    let found = json!([
        ["file", "#pdf", made.join(paper.expect("a paper"))],
        ["click", "form[enctype] button"],
        ["wait", ".found"]
    ]);
    let next = visit_of("Signe Brattland", &to_the_next_round());
    let nothing = tempfile::tempdir().expect("a folder");
    let empty = super::open(nothing.path());
    let mut first = at_a_desk("first-start", "first", json!([]), 900);
    first["address"] = empty.address.clone().into();
    let screens = json!([
        at_a_desk("day", "day", json!([]), 860),
        at_a_desk("to-answer", "to-answer", json!([]), 860),
        at_a_desk(
            "visit",
            "to-answer",
            visit_of("Rosa Lindqvist", &[papers]),
            900
        ),
        at_a_desk("pile", "day", print, 520),
        at_a_desk("words", "words", json!([]), 620),
        at_a_desk("next-round", "to-answer", next, 900),
        at_a_desk("look-up", "look-up", found, 760),
        first,
    ]);
    let folder = super::root().join("samples/desk");
    let case = json!({ "screens": screens, "pictures": folder });
    referee::passes("pictures of the tour", &desk.screens(&python, &case));
}

/// A page that is kept for nobody, but says so in a colour that is hard to see, behind a button that is too small.
const FAULTY: &str = "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>Today</title></head><body><main><h1>Today</h1>\
    <p id=\"hidden\" style=\"color:#ccc\" hidden>It is done.</p><button style=\"width:9px;height:9px;padding:0\" aria-label=\"Go\" \
    onclick=\"document.getElementById('hidden').hidden = false\"></button>\
    <button style=\"width:9px;height:9px;padding:0\" aria-label=\"Stop\"></button></main></body></html>";

#[test]
fn a_fault_behind_a_step_is_found() {
    let Some(python) = browser() else {
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    crate::support::put(folder.path(), "index.html", FAULTY);
    let desk = Desk::careless(&python, folder.path());
    let screen = |name: &str, steps: Value| json!({ "name": name, "path": "", "steps": steps, "views": [[390, "light", true]], "patience": 2 });
    let press = json!([["click", "[aria-label=Go]"], ["wait", "#hidden"]]);
    let screens = json!([
        screen("before", json!([])),
        screen("after", press),
        screen("elsewhere", json!([["wait", "#nothing"]])),
        { "name": "gone", "path": "gone", "views": [[390, "light", true]] },
    ]);
    let answer = desk.screens(&python, &json!({ "screens": screens }));
    let said = referee::said(&answer);
    assert_eq!(answer.status.code(), Some(1), "{said}");
    for wanted in [
        "before, 390 px, light: target-size:",
        "after, 390 px, light: color-contrast:",
        "elsewhere, 390 px, light: AssertionError: #nothing does not appear",
        "gone, 390 px, light: status 404",
    ] {
        assert!(said.contains(wanted), "{wanted} was missed:\n{said}");
    }
    assert!(
        !said.contains("before, 390 px, light: color-contrast:"),
        "{said}"
    );
}
