//! Turns thousands of visits through one worker of a day into how much memory the worker holds.
//!
//! Invariant: the worker is the program's own, asked as a day asks it; no two visits are of one patient. Must not: fail because
//! something is slow, or judge the figures.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use beforehand::practice::Job;
use sha2::{Digest, Sha256};

/// The papers of so many visits go into one folder, as of one day; then it is emptied.
const A_DAY: usize = 1000;

/// Resident memory of a process in kibibytes, now and at its most.
fn resident(process: u32) -> (u64, u64) {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let of = |key: &str| {
        let line = status.lines().find(|line| line.starts_with(key));
        let number = line.and_then(|line| line.split_whitespace().nth(1));
        number.and_then(|number| number.parse().ok()).unwrap_or(0)
    };
    (of("VmRSS:"), of("VmHWM:"))
}

/// Feeds one worker `visits` visits made of `plan` and prints its memory after each thousand, and where it settles.
pub fn print(folder: &Path, clinic: &Path, plan: &str, date: &str, visits: usize) {
    let out = folder.join("papers");
    let mut worker = Command::new(env!("CARGO_BIN_EXE_beforehand"))
        .args(["day-worker", "--date", date, "--clinic"])
        .arg(clinic)
        .arg("--out")
        .arg(&out)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .env("RAYON_NUM_THREADS", "1")
        .spawn()
        .expect("the program was built");
    let mut to = worker.stdin.take().expect("piped");
    let mut from = BufReader::new(worker.stdout.take().expect("piped")).lines();
    println!("| visits | memory, MB | at its most, MB | s |\n|---:|---:|---:|---:|");
    let begun = Instant::now();
    for visit in 1..=visits {
        let path = folder.join(format!("plan-{}.toml", visit % 40));
        let born = format!("19{}-{:02}-09", 76 + visit % 20, 1 + visit % 12);
        let text = plan
            .replace("BV-118", &format!("BV-{visit}"))
            .replace("Åsa Öhrn", &format!("Patient {visit}"))
            .replace("1990-09-09", &born);
        std::fs::write(&path, &text).expect("a temporary folder");
        let digest = Sha256::digest(text.as_bytes());
        let job = Job {
            plan: path,
            looked_at: digest.iter().map(|byte| format!("{byte:02x}")).collect(),
        };
        let job = serde_json::to_string(&job).expect("text");
        writeln!(to, "{job}").expect("the worker reads");
        let answer = from.next().expect("an answer").expect("text");
        assert!(answer.contains("\"made\""), "{answer}");
        if [1, 10, 100, 300].contains(&visit) || visit % A_DAY == 0 {
            let (now, most) = resident(worker.id());
            let seconds = begun.elapsed().as_secs();
            println!("| {visit} | {} | {} | {seconds} |", now / 1024, most / 1024);
        }
        if visit % A_DAY == 0 {
            std::fs::remove_dir_all(&out).expect("it was made");
        }
    }
    drop(to);
    let _ = worker.wait();
}
