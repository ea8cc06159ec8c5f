//! Turns visits into times: papers of one visit cold and warm, days of 40 and 1,000, twelve areas and large print, each held
//! against a stated rival in the same run, printed as a table of ratios.
//!
//! Invariant: every row is a ratio of two things measured in the same run, processes in turn, round by round, so that what else
//! the machine does falls on both; what shares this process's typesetter one after the other, because its memory of one would be
//! swept away by the other. Must not: fail because something is slow, or compare times of two runs.
//!
//! `cargo bench` prints the table, `cargo bench -- warm` (`out`, `cold`, `day`) some of it; `cargo bench -- long` adds the day of 1,000; `cargo bench -- memory` prints instead how much memory
//! one worker holds over 10,000 visits, or as many as follow. Rivals are installed by `benches/install.sh`; without them their rows say so.

mod bare;
#[cfg(feature = "desk")]
mod desk;
mod memory;

use std::cell::Cell;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use beforehand::diagnose::{Format, SourceFile};
use beforehand::practice::{MakeOptions, OutFolder, Practice};
use beforehand::{PaperKind, Wanted};

const PLAN: &str = "samples/linden-court/news-reader.toml";
const CLINIC: &str = "samples/linden-court/clinic.toml";
const DATE: &str = "2026-12-03";

/// One row of the table.
struct Row {
    what: String,
    ours: Duration,
    rival: &'static str,
    theirs: Option<Duration>,
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

fn timed(work: impl FnOnce()) -> Duration {
    let begun = Instant::now();
    work();
    begun.elapsed()
}

/// Two things in turn, `rounds` times: the median of each.
fn in_turn(
    rounds: usize,
    mut one: impl FnMut() -> Duration,
    mut other: impl FnMut() -> Duration,
) -> (Duration, Duration) {
    let (mut ones, mut others) = (Vec::new(), Vec::new());
    for _ in 0..rounds {
        ones.push(one());
        others.push(other());
    }
    (median(ones), median(others))
}

/// Two things that share the memory of the typesetter, one after the other: the median of each, without its first round.
fn in_blocks(
    rounds: usize,
    mut one: impl FnMut() -> Duration,
    mut other: impl FnMut() -> Duration,
) -> (Duration, Duration) {
    let ones: Vec<Duration> = (0..=rounds).map(|_| one()).collect();
    let others: Vec<Duration> = (0..=rounds).map(|_| other()).collect();
    (median(ones[1..].to_vec()), median(others[1..].to_vec()))
}

/// The first value of a key of a plan, set anew.
fn set(plan: &str, key: &str, value: &str) -> String {
    let line = plan.lines().find(|line| line.starts_with(key));
    let line = line.unwrap_or_else(|| panic!("the plan has no {key}"));
    plan.replacen(line, &format!("{key}{value}"), 1)
}

fn quiet(command: &mut Command) -> Duration {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    timed(|| {
        let _ = command.status();
    })
}

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_beforehand"))
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A Python with the rivals.
fn rivals() -> Option<PathBuf> {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or(root().join("target"), PathBuf::from);
    let python = target.join("rivals/bin/python");
    python.exists().then_some(python)
}

fn chromium() -> bool {
    let asked = Command::new("chromium").arg("--version").output();
    asked.is_ok_and(|asked| asked.status.success())
}

/// Headings and paragraphs of the papers that are handed out, one list for each paper.
fn texts(practice: &Practice, plan: &str) -> Vec<Vec<(u8, String)>> {
    use beforehand::compose::lines::Kind;
    let visit = practice.read_plan(&root().join(plan)).expect("a sample");
    let papers = practice
        .make(&visit, &MakeOptions::default())
        .expect("a sample");
    let text = |kind: PaperKind| {
        let paper = papers.paper(kind).expect("a paper of every kind");
        let lines = paper.document.lines();
        let line = |line: &beforehand::compose::lines::Line<'_>| {
            let level = match line.kind {
                Kind::Heading(level) => level,
                _ => 0,
            };
            (level, line.text.clone())
        };
        lines.iter().map(line).collect()
    };
    PaperKind::ALL.into_iter().map(text).collect()
}

fn html(lines: &[(u8, String)]) -> String {
    let escape = |text: &str| text.replace('&', "&amp;").replace('<', "&lt;");
    let body: String = lines
        .iter()
        .map(|(level, text)| match level {
            0 => format!("<p>{}</p>", escape(text)),
            level => format!("<h{level}>{}</h{level}>", escape(text)),
        })
        .collect();
    format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Paper</title><style>@page{{size:A4;margin:20mm}}body{{font:12pt/16pt sans-serif}}p{{margin:0 0 8pt}}</style>{body}"
    )
}

struct Bench {
    folder: tempfile::TempDir,
    practice: Practice,
    texts: Vec<Vec<(u8, String)>>,
    rows: Vec<Row>,
    rounds: Cell<usize>,
}

impl Bench {
    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn add(&mut self, what: impl Into<String>, rival: &'static str, times: (Duration, Duration)) {
        self.rows.push(Row {
            what: what.into(),
            ours: times.0,
            rival,
            theirs: Some(times.1),
        });
    }

    fn missing(&mut self, what: impl Into<String>, rival: &'static str) {
        self.rows.push(Row {
            what: what.into(),
            ours: Duration::ZERO,
            rival,
            theirs: None,
        });
    }

    /// All papers of one visit as a process of its own.
    fn cold(&self) -> Duration {
        let out = self.path("cold");
        let _ = std::fs::remove_dir_all(&out);
        quiet(
            program()
                .current_dir(root())
                .args(["make", PLAN, "--out"])
                .arg(&out),
        )
    }

    /// The texts of all papers as files that the rivals read.
    fn write_texts(&self) {
        let whole: Vec<&(u8, String)> = self.texts.iter().flatten().collect();
        let json = serde_json::to_vec(&whole).expect("text");
        std::fs::write(self.path("text.json"), json).expect("a temporary folder");
        for (at, lines) in self.texts.iter().enumerate() {
            std::fs::write(self.path(&format!("{at}.html")), html(lines))
                .expect("a temporary folder");
        }
    }

    fn rival(&self, python: &Path, name: &str) -> Command {
        let mut command = Command::new(python);
        command
            .arg(root().join("benches/rivals.py"))
            .arg(name)
            .arg(self.path("text.json"))
            .arg(self.path("rival.pdf"));
        command
    }

    /// One print of Chromium, a process of its own.
    fn chromium_print(&self, at: usize) -> Duration {
        let page = self.path(&format!("{at}.html"));
        let profile = self.path("profile");
        let command = &mut Command::new("chromium");
        command
            .args([
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--no-pdf-header-footer",
            ])
            .arg(format!("--user-data-dir={}", profile.display()))
            .arg(format!(
                "--print-to-pdf={}",
                self.path("chromium.pdf").display()
            ))
            .arg(format!("file://{}", page.display()));
        quiet(command)
    }

    fn cold_rows(&mut self) {
        let Some(python) = rivals() else {
            self.missing("one visit, cold", "WeasyPrint");
            self.missing("one visit, cold", "ReportLab, untagged");
            return;
        };
        let times = in_turn(
            7,
            || self.cold(),
            || quiet(&mut self.rival(&python, "weasyprint")),
        );
        self.add("one visit, cold, all papers", "WeasyPrint, PDF/UA", times);
        let times = in_turn(
            7,
            || self.cold(),
            || quiet(&mut self.rival(&python, "reportlab")),
        );
        self.add("one visit, cold, all papers", "ReportLab, untagged", times);
        if chromium() {
            let times = in_turn(
                3,
                || self.cold(),
                || (0..3).map(|at| self.chromium_print(at)).sum(),
            );
            self.add(
                "one visit, cold, all papers",
                "Chromium, three prints",
                times,
            );
        } else {
            self.missing("one visit, cold", "Chromium, three prints");
        }
    }

    /// Another patient each time: the typesetter remembers what it has laid out, and a day has no two alike.
    fn make_warm(&self, plan: &Path, options: &MakeOptions) -> (Duration, usize) {
        let round = self.rounds.get() + 1;
        self.rounds.set(round);
        let text = std::fs::read_to_string(plan).expect("a sample");
        // the first of each is the patient's
        let text = set(&text, "name = ", &format!("\"Patient {round}\""));
        let text = set(&text, "record = ", &format!("\"TR-{round}\""));
        let time = format!("{:02}:{:02}", 9 + round % 8, round % 60);
        let text = set(&text, "time = ", &time);
        let source = SourceFile::from_bytes("plan.toml", text.as_bytes(), Format::Toml);
        let source = source.expect("a sample");
        let mut pages = 0;
        let time = timed(|| {
            let visit = self.practice.read_source(&source).expect("a sample");
            let papers = self.practice.make(&visit, options).expect("a sample");
            pages = papers.papers.iter().map(|paper| paper.pages.count()).sum();
            std::hint::black_box(papers.files(&[]).expect("files"));
        });
        (time, pages)
    }

    fn warm_rows(&mut self) {
        let plan = root().join(PLAN);
        let ordinary = MakeOptions::default();
        let (_, pages) = self.make_warm(&plan, &ordinary);
        if let Some(python) = rivals() {
            let theirs: Vec<Duration> = {
                let mut rival = self.rival(&python, "weasyprint");
                let said = rival.arg("6").output().expect("the rival runs");
                let said = String::from_utf8_lossy(&said.stdout).into_owned();
                let seconds = said.lines().filter_map(|line| line.parse::<f64>().ok());
                seconds.skip(1).map(Duration::from_secs_f64).collect()
            };
            let ours = (0..9).map(|_| self.make_warm(&plan, &ordinary).0).collect();
            let times = (median(ours), median(theirs));
            self.add(
                format!("one visit, warm, all papers ({pages} pages)"),
                "WeasyPrint, warm",
                times,
            );
        } else {
            self.missing("one visit, warm", "WeasyPrint, warm");
        }
        let bare = bare::Bare::new(&self.texts);
        bare.compile(0);
        let round = Cell::new(0);
        let next = || {
            round.set(round.get() + 1);
            timed(|| bare.compile(round.get()))
        };
        let times = in_blocks(9, || self.make_warm(&plan, &ordinary).0, next);
        self.add(
            "one visit, warm, all papers",
            "bare compile of the same text",
            times,
        );
        eprintln!(
            "{:.1} ms a page, warm: plan to PDF, {pages} pages; bare {:.1} ms a page, {} pages",
            1000.0 * times.0.as_secs_f64() / pages as f64,
            1000.0 * times.1.as_secs_f64() / bare.pages() as f64,
            bare.pages(),
        );

        let everything = root().join("samples/linden-court/everything.toml");
        let (_, many) = self.make_warm(&everything, &ordinary);
        let times = in_blocks(
            5,
            || self.make_warm(&everything, &ordinary).0,
            || self.make_warm(&plan, &ordinary).0,
        );
        self.add(
            format!("twelve areas, warm ({many} pages)"),
            "one area, warm",
            times,
        );
        let large = MakeOptions {
            large_print: true,
            ..MakeOptions::default()
        };
        let (_, sides) = self.make_warm(&plan, &large);
        let times = in_blocks(
            5,
            || self.make_warm(&plan, &large).0,
            || self.make_warm(&plan, &ordinary).0,
        );
        self.add(
            format!("large print, warm ({sides} pages)"),
            "ordinary print, warm",
            times,
        );
    }

    /// A folder with so many plans that are ready.
    fn day_of(&self, count: usize) -> PathBuf {
        let folder = self.path(&format!("day-{count}"));
        std::fs::create_dir_all(&folder).expect("a temporary folder");
        let from = root().join("samples/bjorkviken/thursday");
        let read = |name: &str| std::fs::read_to_string(from.join(name)).expect("a sample");
        std::fs::write(folder.join("clinic.toml"), read("clinic.toml")).expect("written");
        let plan = read("ohrn.toml");
        for number in 0..count {
            let plan = plan
                .replace("BV-118", &format!("BV-{number}"))
                .replace("Åsa Öhrn", &format!("Patient {number}"));
            std::fs::write(folder.join(format!("plan-{number:04}.toml")), plan).expect("written");
        }
        folder
    }

    fn run_day(&self, folder: &Path, workers: usize) -> Duration {
        let out = folder.join("papers");
        let _ = std::fs::remove_dir_all(&out);
        let workers = workers.to_string();
        quiet(program().current_dir(folder).args([
            "day",
            ".",
            "--date",
            DATE,
            "--out",
            "papers",
            "--workers",
            &workers,
        ]))
    }

    fn day_rows(&mut self, long: bool) {
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let forty = self.day_of(40);
        let times = in_turn(3, || self.run_day(&forty, 1), || self.run_day(&forty, 2));
        // the other way round: how many times faster two are
        self.rows.push(Row {
            what: "day of 40, two workers".to_owned(),
            ours: times.1,
            rival: "day of 40, one worker",
            theirs: Some(times.0),
        });
        if chromium() {
            let (ours, three) = in_turn(
                2,
                || self.run_day(&forty, cores),
                || (0..3).map(|at| self.chromium_print(at)).sum(),
            );
            self.add(
                "day of 40",
                "Chromium, 40 times three prints (3 measured)",
                (ours, three * 40),
            );
        } else {
            self.missing("day of 40", "Chromium");
        }
        if long {
            let thousand = self.day_of(1000);
            let times = in_turn(
                1,
                || self.run_day(&thousand, cores),
                || self.run_day(&forty, cores),
            );
            self.add(
                "day of 1,000",
                "day of 40, 25 times",
                (times.0, times.1 * 25),
            );
        }
    }

    /// The desk: what a keystroke takes, a page of a changed plan, and the pile of a day against the command that makes the same.
    #[cfg(feature = "desk")]
    fn desk_rows(&mut self) {
        let forty = self.day_of(40);
        let plan = root().join("samples/bjorkviken/thursday/ohrn.toml");
        let desk = desk::Desk::open(&forty, DATE);
        let several = |mut one: Box<dyn FnMut(usize) -> Duration + '_>| {
            // the first opens the practice
            one(0);
            median((1..=15).map(&mut one).collect())
        };
        let keystroke = several(Box::new(|n| desk.keystroke(&plan, n)));
        let page = several(Box::new(|n| desk.page(&plan, n)));
        self.add(
            "desk: all that follows from a keystroke",
            "30 ms, as was asked",
            (keystroke, desk::KEYSTROKE),
        );
        self.add(
            "desk: the first page of a changed plan",
            "150 ms, as was asked",
            (page, desk::PAGE),
        );
        let papers = forty.join("papers");
        let times = in_turn(
            3,
            || {
                let _ = std::fs::remove_dir_all(&papers);
                desk.pile(DATE)
            },
            || {
                let _ = std::fs::remove_dir_all(&papers);
                quiet(program().current_dir(&forty).args([
                    "day", ".", "--date", DATE, "--out", "papers", "--pack", "pile.pdf",
                ]))
            },
        );
        self.add("desk: the pile of a day of 40", "`day --out --pack`", times);
    }

    /// One paper after the other into a folder with its register, as a day does it.
    fn out_rows(&mut self) {
        let plan = root().join(PLAN);
        let visit = self.practice.read_plan(&plan).expect("a sample");
        let papers = self
            .practice
            .make(&visit, &MakeOptions::default())
            .expect("a sample");
        let out = self.path("out");
        let only: [Wanted; 0] = [];
        let times = in_blocks(
            5,
            || {
                timed(|| {
                    let mut folder = OutFolder::new(&out, None);
                    let _ = folder.write(PLAN, &papers, &only);
                })
            },
            || self.make_warm(&plan, &MakeOptions::default()).0,
        );
        self.add("writing the files of a visit", "making them, warm", times);
    }
}

fn main() {
    // `cargo test --benches` only wants to know that it builds
    if std::env::args().any(|argument| argument == "--test") {
        return;
    }
    let mut arguments = std::env::args().skip_while(|argument| argument != "memory");
    if arguments.next().is_some() {
        let visits = arguments.find_map(|argument| argument.parse().ok());
        let folder = tempfile::tempdir().expect("a temporary folder");
        let day = root().join("samples/bjorkviken/thursday");
        let plan = std::fs::read_to_string(day.join("ohrn.toml")).expect("a sample");
        let clinic = day.join("clinic.toml");
        return memory::print(
            folder.path(),
            &clinic,
            &plan,
            DATE,
            visits.unwrap_or(10_000),
        );
    }
    let long = std::env::args().any(|argument| argument == "long");
    let practice = Practice::open(&root().join(CLINIC)).expect("a sample");
    let texts = texts(&practice, PLAN);
    let mut bench = Bench {
        folder: tempfile::tempdir().expect("a temporary folder"),
        practice,
        texts,
        rows: Vec::new(),
        rounds: Cell::new(0),
    };
    bench.write_texts();
    let named: Vec<String> = std::env::args().collect();
    let parts = ["warm", "out", "cold", "day", "desk"];
    let any = parts
        .iter()
        .any(|part| named.iter().any(|name| name == part));
    let wanted = |part: &str| !any || named.iter().any(|name| name == part);
    if wanted("warm") {
        bench.warm_rows();
    }
    if wanted("out") {
        bench.out_rows();
    }
    if wanted("cold") {
        bench.cold_rows();
    }
    if wanted("day") {
        bench.day_rows(long);
    }
    #[cfg(feature = "desk")]
    if wanted("desk") {
        bench.desk_rows();
    }
    println!("| what | time | rival | its time | ratio |\n|---|---:|---|---:|---:|");
    for row in &bench.rows {
        let ms = |time: Duration| format!("{:.0} ms", 1000.0 * time.as_secs_f64());
        match row.theirs {
            Some(theirs) => println!(
                "| {} | {} | {} | {} | {:.2} |",
                row.what,
                ms(row.ours),
                row.rival,
                ms(theirs),
                row.ours.as_secs_f64() / theirs.as_secs_f64()
            ),
            None => println!("| {} | | {} | not installed | |", row.what, row.rival),
        }
    }
}
