//! Every screen of the desk in every state, opened in a browser: accessible, within its width, asking nobody else, keeping nothing.
//!
//! Invariant: each screen is judged in both languages, and over both at every width and in every look, once without script where it
//! works without; which view falls to which language differs from screen to screen.
//! Must not: judge a screen itself.

use std::path::Path;

use serde_json::{Value, json};

use super::{Practice, browser, open, runs};
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
    is_first_language: bool,
}

impl Screens {
    /// One screen: where it is, and what is done there before it is judged.
    fn add(&mut self, name: &str, path: &str, steps: Value, scripts: Scripts, more: Value) {
        let number = self.all.len();
        // of four views each language has two: the widths in turn, the looks in another turn
        let mine = if self.is_first_language {
            [0, 1]
        } else {
            [2, 3]
        };
        let views: Vec<Value> = mine
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

/// The plans that the samples do not have: twice, broken, of other days.
fn complete(practice: &Practice) {
    practice.put(
        "ohrn-again.toml",
        practice.text("ohrn.toml").replace("Öhrn", "Öhrn-Berg"),
    );
    practice.put("broken.toml", "[visit\ndate = 2026-12-03\n");
    let asks = practice.text("lindqvist.toml");
    let on = |day: &str, name: &str| {
        asks.replace("Rosa Lindqvist", name)
            .replace("2026-12-03", day)
            .replace("BV-131", &format!("BV-{}", name.len()))
    };
    practice.put("answered.toml", on("2026-12-05", "Ylva Sand"));
    practice.put("two-at-it.toml", on("2026-12-06", "Ebba Strand"));
    practice.put(
        "printed.toml",
        practice
            .text("ohrn.toml")
            .replace("2026-12-03", "2026-12-07")
            .replace("Åsa Öhrn", "Tuva Myr"),
    );
    // made twice: the paper of the first time is out of date
    let make = || {
        runs(
            practice.path(),
            &["make", "printed.toml", "--out", "papers"],
        )
    };
    make();
    let other = practice
        .text("printed.toml")
        .replace(&format!("units = {}", practice.units), "units = 15");
    practice.put("printed.toml", other);
    make();
}

/// Code and file of a paper that was made twice: the first and the second time.
fn codes_in(register: &Path) -> [(String, String); 2] {
    let text = std::fs::read_to_string(register).expect("a register");
    let lines: Vec<(String, String)> = text
        .lines()
        .map(|line| {
            let line: Value = serde_json::from_str(line).expect("lines of JSON");
            let text = |key: &str| line[key].as_str().unwrap_or_default().to_owned();
            (text("code"), text("file"))
        })
        .filter(|(_, file)| file.ends_with("information.pdf"))
        .collect();
    <[_; 2]>::try_from(lines).expect("a paper that was made twice")
}

/// A desk on this practice and those on folders in which something is wrong.
struct Desks {
    main: Desk,
    everything: Desk,
    many: Desk,
    failed: Desk,
    alone: Desk,
    empty: Desk,
    plans_only: Desk,
    mistaken: Desk,
    _folders: Vec<tempfile::TempDir>,
}

fn desks(practice: &Practice) -> Desks {
    let folder = |files: &[(&str, String)]| {
        let folder = tempfile::tempdir().expect("a folder");
        for (name, text) in files {
            crate::support::put(folder.path(), name, text);
        }
        folder
    };
    let clinic = practice.text("clinic.toml");
    let ready = practice.text("ohrn.toml");
    let everything = super::root().join("samples/linden-court");
    let read = |name: &str| std::fs::read_to_string(everything.join(name)).expect("a sample");
    let of_everything = match practice.locale {
        "en-GB" => [
            ("clinic.toml", read("clinic.toml")),
            ("everything.toml", read("everything.toml")),
        ],
        _ => [
            ("clinic.toml", clinic.clone()),
            (
                "everything.toml",
                read("everything.toml").replace("m-varga", practice.first),
            ),
        ],
    };
    let many = folder(&[("clinic.toml", clinic.clone())]);
    for number in 0..60 {
        let one = ready.replace("BV-118", &format!("BV-{number:03}"));
        crate::support::put(many.path(), &format!("{number}.toml"), one);
    }
    let folders = vec![
        folder(&of_everything),
        many,
        folder(&[
            ("clinic.toml", clinic.clone()),
            ("ohrn.toml", ready.clone()),
            ("papers", String::new()),
        ]),
        folder(&[("clinic.toml", clinic.clone())]),
        folder(&[]),
        folder(&[("ohrn.toml", ready)]),
        folder(&[(
            "clinic.toml",
            clinic
                .replace("region", "regoin")
                .replace("time_zone = \"", "time_zone = \"Nowhere/"),
        )]),
    ];
    let at = |number: usize| open(folders[number].path());
    Desks {
        main: practice.open(),
        everything: at(0),
        many: at(1),
        failed: at(2),
        alone: at(3),
        empty: at(4),
        plans_only: at(5),
        mistaken: at(6),
        _folders: folders,
    }
}

fn screens_of(practice: &Practice, desks: &Desks, aside: &Path) -> Vec<Value> {
    use Scripts::{Both, Only, Without};
    let mut s = Screens {
        all: Vec::new(),
        is_first_language: practice.locale == "en-GB",
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
            ["wait", ".text"]
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
    let next = json!(["click", ".papers a[href$=\"/next\"]"]);
    s.after(
        "next-which-day",
        "to-answer",
        visit_of("Signe Brattland", &[next.clone(), json!(["wait", "#date"])]),
    );
    let no_day = [
        next.clone(),
        json!(["fill", "#date", "sometime"]),
        json!(["click", "button.fill"]),
        json!(["wait", ".bad"]),
    ];
    s.after(
        "next-no-day",
        "to-answer",
        visit_of("Signe Brattland", &no_day),
    );
    let go = [
        next,
        json!(["fill", "#date", "2027-04-08"]),
        json!(["click", "button.fill"]),
        json!(["wait", ".told"]),
    ];
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
    let page = [
        json!(["click", "a[data-page]"]),
        json!(["wait", "dialog img"]),
    ];
    s.add(
        "visit-page-open",
        "to-answer",
        visit_of("Maximiliana", &page),
        Only,
        on(&desks.everything),
    );
    let sentence = [
        page[0].clone(),
        page[1].clone(),
        json!(["at", "dialog img", 0.3, 0.3]),
        json!(["wait", ".why p + p"]),
    ];
    s.add(
        "visit-sentence",
        "to-answer",
        visit_of("Maximiliana", &sentence),
        Only,
        on(&desks.everything),
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
    s.after(
        "look-up-mistyped",
        "look-up",
        look(&format!("{}0", &new[..new.len() - 1]), ".wrong"),
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
    s.all
}

fn judge(practice: &Practice, what: &str) {
    let Some(python) = browser() else {
        return;
    };
    complete(practice);
    let aside = tempfile::tempdir().expect("a folder");
    let desks = desks(practice);
    let screens = screens_of(practice, &desks, aside.path());
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
    judge(&Practice::english(), "screens in English");
}

#[test]
fn every_screen_in_spanish() {
    judge(&Practice::spanish(), "screens in Spanish");
}
