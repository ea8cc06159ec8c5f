//! Turns an opened desk into times: what follows from a form, a page of its preview, the pile of a day.
//!
//! Invariant: times are those of a browser: from the first byte sent to the last byte read. Must not: ask for anything a page
//! would not ask for.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use beforehand::catalogue::Catalogue;
use beforehand::diagnose::{Format, SourceFile};
use beforehand::plan_form::PlanForm;

/// What a keystroke may take until everything beside the form is there.
pub const KEYSTROKE: Duration = Duration::from_millis(30);

/// What the first page of a changed plan may take.
pub const PAGE: Duration = Duration::from_millis(150);

pub struct Desk {
    child: Child,
    /// `127.0.0.1:PORT`.
    host: String,
    /// `/SECRET/`.
    root: String,
}

impl Desk {
    /// A desk on a folder, a process of its own.
    pub fn open(folder: &Path, today: &str) -> Desk {
        let mut child = Command::new(env!("CARGO_BIN_EXE_beforehand"))
            .arg("desk")
            .arg(folder)
            .args(["--today", today])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program was built before");
        let mut address = String::new();
        let pipe = child.stdout.take().expect("it was piped");
        BufReader::new(pipe)
            .read_line(&mut address)
            .expect("the desk says its address");
        let address = address.trim().trim_start_matches("http://");
        let (host, root) = address.split_once('/').expect("host and secret");
        Desk {
            child,
            host: host.to_owned(),
            root: format!("/{root}"),
        }
    }

    fn ask(&self, head: &str, body: &str) -> String {
        let mut stream = TcpStream::connect(&self.host).expect("the desk listens");
        let host = &self.host;
        let length = body.len();
        let request = format!(
            "{head} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {length}\r\n\r\n{body}"
        );
        stream.write_all(request.as_bytes()).expect("it is open");
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).expect("it answers");
        let answer = String::from_utf8_lossy(&answer).into_owned();
        let fine = answer.starts_with("HTTP/1.1 200") || answer.starts_with("HTTP/1.1 303");
        assert!(fine, "{}", answer.lines().next().unwrap_or_default());
        answer
    }

    pub fn get(&self, path: &str) -> String {
        self.ask(&format!("GET {}{path}", self.root), "")
    }

    pub fn post(&self, path: &str, fields: &[(String, String)]) -> String {
        let field = |(name, value): &(String, String)| format!("{}={}", coded(name), coded(value));
        let body: Vec<String> = fields.iter().map(field).collect();
        self.ask(&format!("POST {}{path}", self.root), &body.join("&"))
    }

    /// What follows from a form with another dose.
    pub fn keystroke(&self, plan: &Path, units: usize) -> Duration {
        let fields = form(plan, units);
        let begun = Instant::now();
        let said = self.post("visit/work-out", &fields);
        let took = begun.elapsed();
        assert!(said.contains("\"beside\""), "{said}");
        took
    }

    /// The first page of a plan with another dose, as it would print.
    pub fn page(&self, plan: &Path, units: usize) -> Duration {
        let fields = form(plan, units);
        let begun = Instant::now();
        let said = self.post("visit/preview", &fields);
        let at = said.find("visit/page/").or(said.find("visit&#x2f;page"));
        let at = at.expect("a page of the preview");
        let address: String = said[at..].replace("&#x2f;", "/");
        let address: String = address
            .chars()
            .take_while(|c| *c != '"' && *c != '\\')
            .collect();
        let picture = self.get(&address);
        let took = begun.elapsed();
        assert!(picture.contains("<svg"), "{address}");
        took
    }

    /// The pile of a day.
    pub fn pile(&self, date: &str) -> Duration {
        let fields = [("date".to_owned(), date.to_owned())];
        let begun = Instant::now();
        self.post("day/print", &fields);
        loop {
            let said = self.get(&format!("day/printing?date={date}"));
            if said.contains("\"running\":false") {
                assert!(!said.contains("\"failed\""), "{said}");
                return begun.elapsed();
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        // it may have ended by itself
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A plan as its form, with another dose in its first area.
fn form(plan: &Path, units: usize) -> Vec<(String, String)> {
    let text = std::fs::read_to_string(plan).expect("a sample");
    let source = SourceFile::from_bytes("plan.toml", text.as_bytes(), Format::Toml);
    let source = source.expect("a sample");
    let vocabulary = beforehand::papers::vocabulary(Catalogue::embedded());
    let mut form = PlanForm::of(&source, &vocabulary).expect("a sample");
    let area = form.all("area").first().cloned().expect("an area");
    // a quarter of a unit more each time: never the same plan twice
    let dose = 4.0 + 0.25 * units as f64 % 40.0;
    form.set(&format!("area.{area}.units"), [dose.to_string()]);
    form.set("patient.record", [format!("TR-{units}")]);
    let base = serde_json::Value::from(text).to_string();
    let own = [("desk.code", String::new()), ("desk.base", base)];
    let own = own.map(|(name, value)| (name.to_owned(), value));
    let fields = form
        .pairs()
        .map(|(name, value)| (name.to_owned(), value.to_owned()));
    own.into_iter().chain(fields).collect()
}

/// As a browser sends a form.
fn coded(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => out.push(byte.into()),
            byte => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}
