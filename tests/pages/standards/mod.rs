//! Turns the registry, the samples and deliberately spoilt papers into proof that the document checks are whole and can fail.
//!
//! Invariant: every number of the three lists stands once; every automatic check has a judge; each table is the generated one.
//! Must not: write, unless BEFOREHAND_CHECKS=write.

mod bench;
mod can_fail;
mod form_can_fail;
mod items_can_fail;
mod risks_can_fail;
mod setting_can_fail;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use beforehand::catalogue::Catalogue;
use beforehand::diagnose::{Format, SourceFile};
use beforehand::lint::{
    self, Finding, How, Place, TEXT_NUMBERS, Verdict, VisitUnderReview, checks, judges,
    read_wording, table, words,
};
use beforehand::paper::PaperKind;
use beforehand::papers::{self, Inputs, MakeOptions, Papers};
use beforehand::plan::{self, Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approvals, Wording};

/// The papers that are judged.
const HANDED_OUT: [PaperKind; 3] = [
    PaperKind::Information,
    PaperKind::Consent,
    PaperKind::Aftercare,
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn source(path: &Path) -> SourceFile {
    let bytes = std::fs::read(path).expect("a sample");
    let format = if path.extension().is_some_and(|e| e == "json") {
        Format::Json
    } else {
        Format::Toml
    };
    SourceFile::from_bytes(&path.display().to_string(), &bytes, format).expect("text")
}

fn read(plan: &str) -> (Clinic, Visit) {
    let path = root().join("samples").join(plan);
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    let clinic = source(&path.with_file_name("clinic.toml"));
    let clinic = plan::read_clinic(&clinic, &vocabulary).expect("a good clinic");
    let visit = plan::read_plan(&source(&path), &vocabulary, Some(&clinic)).expect("a good plan");
    (clinic, visit)
}

fn made<'a>(clinic: &'a Clinic, visit: &'a Visit) -> Papers<'a> {
    let typesetter = Typesetter::embedded();
    papers::make(
        Inputs {
            catalogue: Catalogue::embedded(),
            clinic,
            visit,
            approvals: &Approvals::none(),
            typesetter: &typesetter,
        },
        &MakeOptions::default(),
    )
    .expect("papers")
}

fn subject<'p>(papers: &'p Papers<'p>) -> VisitUnderReview<'p> {
    let all = papers
        .papers
        .iter()
        .map(|m| (m.kind, &m.document, &m.pages));
    VisitUnderReview::new(&papers.selection, &papers.wording, all)
}

fn judge(number: &str, subject: &VisitUnderReview<'_>, paper: PaperKind) -> Finding {
    let (_, judge) = judges()
        .into_iter()
        .find(|(n, _)| *n == number)
        .expect("a judge");
    judge.judge(&subject.review(paper).expect("this paper was made"))
}

#[test]
fn every_number_is_listed_once() {
    let mut wanted: Vec<String> = (1..=60).map(|n| format!("DC-{n}")).collect();
    wanted.extend((1..=26).map(|n| format!("PM-{n}")));
    wanted.extend((1..=14).map(|n| format!("RF-{n}")));
    let listed: Vec<&str> = checks().iter().map(|check| check.number.as_str()).collect();
    assert_eq!(listed, wanted);
    let ids: BTreeSet<&str> = checks().iter().map(|check| check.id.as_str()).collect();
    assert_eq!(ids.len(), checks().len(), "an id stands twice");
}

#[test]
fn what_is_called_automatic_has_a_judge_and_nothing_else_has() {
    let judged: BTreeSet<&str> = judges().into_iter().map(|(number, _)| number).collect();
    assert_eq!(judged.len(), judges().len(), "two judges for one number");
    for check in checks() {
        let number = check.number.as_str();
        assert_eq!(
            check.judged.contains(&How::Paper),
            judged.contains(number),
            "{number}"
        );
        assert_eq!(
            check.judged.contains(&How::Text),
            TEXT_NUMBERS.contains(&number),
            "{number}"
        );
        let reason = [How::Person, How::Open, How::NotApplicable]
            .iter()
            .any(|how| check.judged.contains(how));
        assert!(!reason || check.why.is_some(), "{number} does not say why");
        assert!(
            !check.judged.is_empty() && !check.sources.is_empty(),
            "{number}"
        );
        for source in &check.sources {
            assert!(
                Catalogue::embedded()
                    .sources
                    .iter()
                    .any(|(id, _)| id == source),
                "{source}"
            );
        }
        assert_eq!(
            check.judged.contains(&How::Gate),
            check.gate.is_some(),
            "{number}"
        );
        let elsewhere = check.judged.contains(&How::Elsewhere);
        assert_eq!(elsewhere, check.test.is_some(), "{number}");
        if let Some(test) = &check.test {
            let (file, name) = test.split_once("::").expect("file::name");
            let text = std::fs::read_to_string(root().join(file)).expect("the named file");
            assert!(
                text.contains(&format!("#[test]\nfn {name}(")),
                "{test} is not there"
            );
        }
    }
}

#[test]
fn both_languages_have_every_word_list() {
    assert_eq!(words::all().len(), 2);
    for language in words::all() {
        let known: Vec<&str> = language.words.keys().map(String::as_str).collect();
        assert_eq!(known, words::LISTS, "{}", language.language);
        for list in words::LISTS {
            assert!(
                !language.list(list).is_empty(),
                "{} {list}",
                language.language
            );
        }
    }
    assert!(words::of("pt-BR").is_none());
}

/// Spoils one paper in one way each and holds that the check notices what it did not notice before.
#[test]
fn every_spoilt_paper_is_noticed() {
    let (clinic, visit) = read("linden-court/news-reader.toml");
    let papers = made(&clinic, &visit);
    let good = subject(&papers);
    type Spoil = fn(&mut lint::PaperUnderReview);
    let faults: &[(&str, PaperKind, Spoil)] = &[
        ("DC-2", PaperKind::Consent, |s| {
            s.content
                .runs
                .retain(|x| x.page != 1 || x.part.is_running())
        }),
        ("DC-3", PaperKind::Consent, |s| {
            s.content.sizes.push(s.content.sizes[0])
        }),
        ("DC-5", PaperKind::Consent, |s| {
            s.view.lines[3].text = "on 3/12/2026".into()
        }),
        ("DC-8", PaperKind::Information, |s| {
            s.document.title = "Form".into()
        }),
        ("DC-10", PaperKind::Information, |s| {
            s.view.lines.retain(|l| !ends(l, ".cannot"))
        }),
        ("DC-11", PaperKind::Information, |s| s.view.sections.clear()),
        ("DC-12", PaperKind::Information, |s| {
            s.view.lines.retain(|l| !ends(l, ".may-not-work"))
        }),
        ("DC-13", PaperKind::Information, |s| {
            s.view.lines.retain(|l| !ends(l, "choice.nothing"))
        }),
        ("DC-14", PaperKind::Information, |s| {
            s.view.lines.retain(|l| !ends(l, "general.repeats"))
        }),
        ("DC-15", PaperKind::Information, |s| {
            s.view.lines.retain(|l| !ends(l, "general.off-label"))
        }),
        ("DC-17", PaperKind::Consent, |s| s.view.signs.clear()),
        ("DC-21", PaperKind::Information, |s| {
            s.view.lines.retain(|l| !ends(l, "stop-any-time"))
        }),
        ("DC-22", PaperKind::Consent, |s| s.view.signs.clear()),
        ("DC-25", PaperKind::Consent, |s| s.view.signs.clear()),
        ("DC-26", PaperKind::Consent, |s| s.view.lists.clear()),
        ("DC-29", PaperKind::Information, |s| {
            s.view.lines.iter_mut().for_each(|l| l.text = HARD.into())
        }),
        ("DC-33", PaperKind::Information, |s| sentence(s, HARD)),
        ("DC-34", PaperKind::Information, |s| {
            s.view.lines.iter_mut().for_each(|l| {
                (l.mark, l.text) = (
                    Some("advice.x".into()),
                    "The skin is cleaned by a nurse.".into(),
                );
            })
        }),
        ("DC-35", PaperKind::Aftercare, |s| {
            sentence(s, "Dysphagia is known. It is bad.")
        }),
        ("DC-36", PaperKind::Aftercare, |s| {
            let at = s
                .view
                .lines
                .iter()
                .position(|l| ends(l, "normal.bumps"))
                .expect("normal");
            s.view.lines[at].text = "This is very common.".into();
        }),
        ("DC-37", PaperKind::Information, |s| {
            cell(s, "It is rare.", "9 in 100 people")
        }),
        ("DC-38", PaperKind::Information, |s| {
            cell(s, "It can be.", "9 in 1,000 people")
        }),
        ("DC-39", PaperKind::Information, |s| {
            sentence(s, "It is twice as frequent.")
        }),
        ("DC-40", PaperKind::Information, |s| {
            // the one sentence that says it for all numbers, and what is said under the tables of some
            s.view
                .lines
                .retain(|line| line.mark.as_deref() != Some("general.figures"));
            s.view.tables.iter_mut().for_each(|t| t.below.clear());
        }),
        ("DC-42", PaperKind::Information, |s| {
            cell(s, "It can be.", "9 in 100 people")
        }),
        ("DC-43", PaperKind::Consent, |s| {
            s.content.runs.iter_mut().for_each(|x| x.size = 9.0)
        }),
        ("DC-46", PaperKind::Consent, |s| {
            s.content.runs[20].italic = true
        }),
        ("DC-47", PaperKind::Consent, |s| {
            s.content.runs[20].contrast = 2.0
        }),
        ("DC-48", PaperKind::Aftercare, |s| s.content.shapes.clear()),
        ("DC-50", PaperKind::Consent, |s| {
            s.view.tables[0].header.clear()
        }),
        ("DC-52", PaperKind::Consent, |s| {
            s.content.sizes[0] = (500.0, 500.0)
        }),
        ("DC-53", PaperKind::Aftercare, |s| s.view.panels.clear()),
        ("DC-55", PaperKind::Aftercare, |s| {
            s.view.lines.retain(|l| !ends(l, "redflag.worry"))
        }),
        ("DC-56", PaperKind::Aftercare, |s| {
            let at = s
                .view
                .lines
                .iter()
                .position(|l| ends(l, "advice.no-rubbing"))
                .expect("advice");
            s.view.lines[at].text = "Wait two days.".into();
        }),
        ("DC-57", PaperKind::Aftercare, |s| s.view.sections.clear()),
        ("DC-58", PaperKind::Aftercare, |s| s.view.panels.clear()),
        ("DC-59", PaperKind::Consent, |s| {
            s.content.runs.retain(|x| !x.part.is_running())
        }),
        ("PM-1", PaperKind::Information, |s| {
            s.document.title = "Form".into()
        }),
        ("PM-2", PaperKind::Information, |s| {
            sentence(s, "A perfect result.")
        }),
        ("PM-5", PaperKind::Information, |s| {
            s.view
                .lines
                .iter_mut()
                .for_each(|l| l.text = "It is cleaned.".into())
        }),
        ("PM-6", PaperKind::Aftercare, |s| {
            s.view
                .lines
                .iter_mut()
                .for_each(|l| l.text = "It takes five days.".into())
        }),
        ("PM-7", PaperKind::Aftercare, |s| {
            s.view
                .lines
                .iter_mut()
                .for_each(|l| l.text = "Take double the dose.".into())
        }),
        ("PM-10", PaperKind::Information, |s| {
            s.view.sections.reverse()
        }),
        ("PM-11", PaperKind::Aftercare, |s| s.view.panels.clear()),
        ("PM-19", PaperKind::Information, |s| {
            s.view.tables[0].header.clear()
        }),
        ("PM-20", PaperKind::Aftercare, |s| s.view.lines.clear()),
        ("PM-23", PaperKind::Aftercare, |s| {
            s.view.tables.clear();
            s.view.lists.clear();
            s.view.room = 0;
        }),
        ("DC-23", PaperKind::Consent, |s| s.view.lines.clear()),
        ("PM-4", PaperKind::Aftercare, |s| {
            sentence(s, "Dysphagia is known. It is bad.")
        }),
        ("RF-11", PaperKind::Information, picture),
        ("PM-17", PaperKind::Information, picture),
        ("PM-25", PaperKind::Information, picture),
        ("PM-21", PaperKind::Information, |s| {
            s.view.lines.iter_mut().for_each(|l| {
                (l.mark, l.text) = (
                    Some("advice.x".into()),
                    "The skin is cleaned by a nurse.".into(),
                );
            })
        }),
        ("RF-4", PaperKind::Information, |s| {
            // the sentence over what nobody counted
            let tables = s.view.tables.iter_mut();
            let uncounted = tables.filter(|t| t.header.len() == 1);
            uncounted.for_each(|t| t.header[0] = "What can happen".to_owned());
        }),
        ("RF-5", PaperKind::Information, |s| {
            sentence(s, "There is no risk.")
        }),
        ("RF-6", PaperKind::Information, |s| {
            let tables = s.view.tables.iter_mut();
            tables.for_each(|t| t.rows.reverse());
        }),
    ];
    let mut tried = BTreeSet::new();
    for (number, paper, spoil) in faults {
        tried.insert(*number);
        let before = judge(number, &good, *paper);
        let mut spoilt = good.clone();
        let at = spoilt
            .papers
            .iter()
            .position(|s| s.kind == *paper)
            .expect("made");
        spoil(&mut spoilt.papers[at]);
        let after = judge(number, &spoilt, *paper);
        assert_eq!(after.verdict, Verdict::NotMet, "{number}: {}", after.figure);
        assert_ne!(before.places, after.places, "{number} said the same before");
    }
    for cases in [
        can_fail::CASES,
        form_can_fail::CASES,
        items_can_fail::CASES,
        risks_can_fail::CASES,
        setting_can_fail::CASES,
    ] {
        tried.extend(cases.iter().map(|(number, _)| *number));
    }
    let unspoilt: Vec<&str> = judges()
        .into_iter()
        .map(|(n, _)| n)
        .filter(|n| !tried.contains(n))
        .collect();
    assert_eq!(unspoilt, Vec::<&str>::new());
}

const HARD: &str = "Notwithstanding considerable individual variability, administration of pharmacological \
    preparations necessitates comprehensive multidisciplinary evaluation preceding the commencement of any \
    intervention whatsoever, irrespective of previously documented circumstances or communicated preferences.";

/// A picture without words.
fn picture(sheet: &mut lint::PaperUnderReview) {
    sheet.view.pictures.push(lint::Picture {
        section: 0,
        alternative: String::new(),
        marks: Some(lint::Marks {
            filled: 3,
            half: 0,
            per: 100,
            often: "4 in 100 people".to_owned(),
        }),
    });
}

/// A language without a file of words and without a formula: what needs one says so, and is neither met nor left out.
#[test]
fn a_language_without_words_is_not_judged() {
    let (clinic, visit) = read("linden-court/news-reader.toml");
    let papers = made(&clinic, &visit);
    let statements = papers.wording.statements().clone();
    let unknown = Wording::from_statements("pt-BR", statements).expect("a wording");
    let all = papers
        .papers
        .iter()
        .map(|m| (m.kind, &m.document, &m.pages));
    let subject = VisitUnderReview::new(&papers.selection, &unknown, all);
    let mut unjudged = BTreeSet::new();
    for paper in HANDED_OUT {
        let known = lint::judge(&self::subject(&papers), paper);
        let found = lint::judge(&subject, paper);
        let numbers = |all: &[lint::Judged]| all.iter().map(|j| j.number).collect::<Vec<_>>();
        assert_eq!(numbers(&known), numbers(&found), "a check fell silent");
        for judged in found {
            let by = judges().into_iter().find(|(n, _)| *n == judged.number);
            let needs_words = matches!(by, Some((_, lint::Judge::Worded(_))));
            let needs_formula = ["DC-29", "DC-30"].contains(&judged.number);
            let is_unjudged = judged.verdict == Verdict::NotJudged;
            assert_eq!(
                is_unjudged,
                needs_words || needs_formula,
                "{}",
                judged.number
            );
            if is_unjudged {
                assert!([lint::NO_WORDS, lint::NO_FORMULA].contains(&judged.figure.as_str()));
                unjudged.insert(judged.number);
            }
        }
    }
    assert!(unjudged.len() > 20, "{unjudged:?}");
    let report = read_wording(Catalogue::embedded(), &unknown);
    let numbers: Vec<&str> = report.checks.iter().map(|c| c.number).collect();
    assert_eq!(numbers, TEXT_NUMBERS);
    let not_judged = report
        .checks
        .iter()
        .filter(|c| c.verdict == Verdict::NotJudged);
    let not_judged: Vec<&str> = not_judged.map(|c| c.number).collect();
    assert_eq!(
        not_judged,
        ["DC-30", "DC-34", "DC-35", "DC-36", "DC-39", "DC-56"]
    );
}

/// Puts these words in place of the first sentence of the paper.
fn sentence(sheet: &mut lint::PaperUnderReview, text: &str) {
    let line = sheet.view.lines.iter_mut().find(|line| line.is_prose());
    line.expect("a sentence").text = text.to_owned();
}

fn ends(line: &lint::Line, end: &str) -> bool {
    line.mark.as_deref().is_some_and(|mark| mark.ends_with(end))
}

/// Puts a risk row of these words at the end of the first table with risks.
fn cell(sheet: &mut lint::PaperUnderReview, what: &str, often: &str) {
    let is_risk = |row: &lint::TableRow| row.mark.as_deref().is_some_and(|m| m.contains(".risk."));
    let marked = |t: &&mut lint::Table| t.rows.iter().any(is_risk);
    let table = sheet
        .view
        .tables
        .iter_mut()
        .find(marked)
        .expect("a table of risks");
    (table.above, table.below) = (String::new(), String::new());
    table.rows.push(bench::risk("y", &[what, often, ""]));
}

#[test]
fn the_words_can_fail_too() {
    let mut statements = Wording::new(&"en".parse().expect("a tag"), "GB")
        .expect("English")
        .statements()
        .clone();
    for (id, text) in [
        ("advice.no-rubbing", "Wait two days, [x] until 3/12/2026."),
        (
            "general.risk.infection",
            "This is very rare and twice as bad. READ THIS NOW PLEASE.",
        ),
        ("masseter.can", HARD),
        ("masseter.cannot", HARD),
        ("masseter.lasts", HARD),
        ("masseter.candid", HARD),
        ("masseter.call", "Dysphagia is bad."),
    ] {
        statements.insert(id.to_owned(), text.to_owned());
    }
    let spoilt = Wording::from_statements("en-GB", statements).expect("still a wording");
    let report = read_wording(Catalogue::embedded(), &spoilt);
    for number in [
        "DC-5", "DC-28", "DC-30", "DC-33", "DC-35", "DC-36", "DC-39", "DC-46", "DC-56",
    ] {
        let check = report
            .checks
            .iter()
            .find(|c| c.number == number)
            .expect("judged");
        let names = |p: &Place| {
            p.at.contains("masseter")
                || ["advice.no-rubbing", "general.risk.infection"].contains(&p.at.as_str())
        };
        assert!(
            check.places.iter().any(names),
            "{number}: {:?}",
            check.places
        );
    }
    let numbers: Vec<&str> = report.checks.iter().map(|c| c.number).collect();
    assert_eq!(numbers, TEXT_NUMBERS);
}

/// The verdicts on every sample; made once, because laying out takes long.
fn samples() -> &'static [table::Sample] {
    static SAMPLES: std::sync::OnceLock<Vec<table::Sample>> = std::sync::OnceLock::new();
    SAMPLES.get_or_init(judged_samples)
}

fn judged_samples() -> Vec<table::Sample> {
    let mut plans: Vec<PathBuf> = Vec::new();
    for folder in std::fs::read_dir(root().join("samples")).expect("samples") {
        let Ok(files) = std::fs::read_dir(folder.expect("an entry").path()) else {
            continue;
        };
        for file in files {
            let path = file.expect("an entry").path();
            let plan = path.extension().is_some_and(|e| e == "toml" || e == "json");
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            // a plan has a [visit]; clinic, overlay and other files have none
            let text = std::fs::read_to_string(&path).unwrap_or_default();
            let is_visit = text.contains("[visit]") || text.contains("\"visit\"");
            // a clinic with its own folder is read by the command line only; tests/overlay holds it
            let clinic = std::fs::read_to_string(path.with_file_name("clinic.toml"));
            let own = clinic.is_ok_and(|text| text.contains("overlay ="));
            if plan && is_visit && !own && !name.starts_with("must-be-refused") {
                plans.push(
                    path.strip_prefix(root().join("samples"))
                        .expect("inside")
                        .to_owned(),
                );
            }
        }
    }
    plans.sort();
    let mut all = Vec::new();
    for plan in plans {
        let (clinic, visit) = read(plan.to_str().expect("ASCII"));
        let papers = made(&clinic, &visit);
        let subject = subject(&papers);
        for paper in HANDED_OUT {
            all.push(table::Sample {
                name: plan.display().to_string(),
                paper,
                judged: lint::judge(&subject, paper),
            });
        }
    }
    all
}

/// A limit gives way where it collides with a good sentence; a check that no sample meets is then named on the page, for that paper.
#[test]
fn what_no_sample_meets_is_named() {
    let judged = |number: &'static str, verdict| lint::Judged {
        number,
        id: "",
        verdict,
        figure: String::new(),
        places: Vec::new(),
    };
    let sample = |paper, judged| table::Sample {
        name: "a sample".to_owned(),
        paper,
        judged,
    };
    let samples = [
        sample(
            PaperKind::Information,
            vec![
                judged("PM-8", Verdict::NotMet),
                judged("PM-9", Verdict::NotMet),
                judged("DC-8", Verdict::NeedsPerson),
            ],
        ),
        sample(
            PaperKind::Information,
            vec![
                judged("PM-8", Verdict::NotApplicable),
                judged("PM-9", Verdict::Met),
                judged("DC-8", Verdict::NotMet),
            ],
        ),
        // met in another paper is not met in this one
        sample(PaperKind::Aftercare, vec![judged("PM-8", Verdict::Met)]),
    ];
    assert_eq!(
        table::met_by_none(&samples),
        [("PM-8", PaperKind::Information, 1)]
    );
    let page = table::page(&samples, &[]);
    assert!(page.contains("| PM-8 | short-pieces | information paper | 1 |"));
    assert!(!page.contains("| PM-9 | headings | information paper"));
    assert_eq!(
        table::met_by_none(&samples[1..]),
        [("DC-8", PaperKind::Information, 1)]
    );
}

#[test]
fn every_check_is_about_some_paper() {
    for check in checks() {
        let about = PaperKind::ALL
            .into_iter()
            .filter(|p| check.scope.covers(*p));
        assert!(about.clone().count() > 0, "{}", check.number);
        assert!(about.into_iter().all(PaperKind::is_handed_out));
        for paper in HANDED_OUT {
            let named = check.scope.as_str().contains(paper.as_str());
            assert_eq!(named, check.scope.covers(paper), "{} {paper}", check.number);
        }
    }
}

/// Items of the PEMAT-style score are about what is read; the form that is signed has none, and so no score.
#[test]
fn only_what_is_read_has_a_score() {
    let of = |paper| {
        let mut samples = samples().iter();
        let sample = samples.find(|s| s.paper == paper).expect("a sample");
        lint::scores(&sample.judged).len()
    };
    assert_eq!(HANDED_OUT.map(of), [2, 0, 2]);
}

#[test]
fn the_page_of_checks_is_the_generated_one() {
    let samples = samples();
    assert!(samples.len() >= 30, "{} papers", samples.len());
    let wording = Wording::new(&"en".parse().expect("a tag"), "GB").expect("English");
    let texts = vec![read_wording(Catalogue::embedded(), &wording)];
    let page = table::page(samples, &texts);
    let path = root().join("samples/checks.md");
    if std::env::var("BEFOREHAND_CHECKS").is_ok_and(|v| v == "write") {
        std::fs::write(&path, page).expect("samples/checks.md can be written");
        return;
    }
    let known = std::fs::read_to_string(&path).expect("samples/checks.md");
    assert!(
        known == page,
        "samples/checks.md is not the generated one; run BEFOREHAND_CHECKS=write cargo test --test pages the_page_of_checks and read what \
         changed"
    );
}
