//! What the desk and its workers ask the system for, as strace writes it down while the desk is used.
//!
//! Invariant: every call that names a place is read; a place that is not on this machine fails, and so does a trace without any.
//! Must not: trust the desk's own word for whom it speaks to.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::{Practice, TODAY};
use crate::support::referee;

/// Names of calls that name a place to send to or to listen at.
const NAME_A_PLACE: [&str; 5] = ["connect(", "bind(", "sendto(", "sendmsg(", "sendmmsg("];

/// What of a trace is not on this machine; and how many calls name a place.
fn elsewhere(trace: &str) -> (Vec<&str>, usize) {
    let calls: Vec<&str> = trace
        .lines()
        .filter(|line| NAME_A_PLACE.iter().any(|call| line.contains(call)))
        .collect();
    let is_here = |line: &str| {
        let unix = line.contains("sa_family=AF_UNIX");
        let loopback = line.contains("sa_family=AF_INET,")
            && line.contains("sin_addr=inet_addr(\"127.0.0.1\")");
        // on a line that is connected already, which was judged when it was
        let nowhere =
            !line.contains("sa_family=") && !line.contains("connect(") && !line.contains("bind(");
        unix || loopback || nowhere
    };
    let named = calls
        .iter()
        .filter(|line| line.contains("sa_family="))
        .count();
    let found = calls.into_iter().filter(|line| !is_here(line)).collect();
    (found, named)
}

/// The desk under strace, which ends when the desk does.
struct Traced {
    strace: Child,
    trace: PathBuf,
}

impl Drop for Traced {
    fn drop(&mut self) {
        // strace itself does not hear this while it writes to a file; the desk is the first process that it saw
        let trace = std::fs::read_to_string(&self.trace).unwrap_or_default();
        let desk = trace.split_whitespace().next().unwrap_or_default();
        let told = Command::new("kill").args(["-TERM", desk]).status();
        if !told.is_ok_and(|told| told.success()) {
            let _ = self.strace.kill();
        }
        let _ = self.strace.wait();
    }
}

/// One request on a line of its own, as a browser of this machine sends it.
fn asked(address: &str, method: &str, path: &str, body: &str) -> String {
    let place = address.strip_prefix("http://").expect("an address");
    let (host, root) = place.split_once('/').expect("a path");
    let mut line = TcpStream::connect(host).expect("the desk listens");
    let form = "Content-Type: application/x-www-form-urlencoded\r\n";
    write!(
        line,
        "{method} /{root}{path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nSec-Fetch-Site: same-origin\r\n{form}Content-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    )
    .expect("the desk reads");
    let mut answer = Vec::new();
    line.read_to_end(&mut answer).expect("the desk answers");
    String::from_utf8_lossy(&answer).into_owned()
}

#[test]
fn the_desk_and_its_workers_speak_to_this_machine_only() {
    if referee::installed(|_| crate::support::has_tool("strace")).is_none() {
        return;
    }
    let practice = Practice::english();
    let trace = practice.path().join("trace.txt");
    let mut command = Command::new("strace");
    command
        .args(["-f", "-qq", "-s", "0", "-e", "trace=network,execve", "-o"])
        .arg(&trace)
        .arg(env!("CARGO_BIN_EXE_beforehand"))
        .args(["desk", "--today", TODAY])
        .current_dir(practice.path())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    let mut child = command.spawn().expect("strace starts");
    let pipe = child.stdout.take().expect("a pipe");
    let traced = Traced {
        strace: child,
        trace: trace.clone(),
    };
    let mut address = String::new();
    BufReader::new(pipe)
        .read_line(&mut address)
        .expect("an address");
    let address = address.trim_end();

    let day = asked(address, "GET", "day?date=2026-12-03", "");
    assert!(day.contains("Signe Brattland"), "{day}");
    let form = "patient.name=Ada+Ferrow+%28invented%29&patient.record=BV-900&patient.born=1990-02-03&visit.date=2026-12-05&visit.practitioner=e-lind\
        &product.name=abobotulinumtoxinA&area=glabella&area.glabella.units=50&visit.informed_on=2026-11-27";
    let preview = asked(address, "POST", "visit/preview", form);
    assert!(preview.contains("\"papers\""), "{preview}");
    let saved = asked(address, "POST", "visit/save", form);
    assert!(saved.starts_with("HTTP/1.1 303"), "{saved}");
    asked(address, "POST", "day/print", "date=2026-12-03");
    let end = Instant::now() + Duration::from_secs(120);
    loop {
        let said = asked(address, "GET", "day/printing?date=2026-12-03", "");
        if said.contains("\"running\":false") {
            break;
        }
        assert!(Instant::now() < end, "{said}");
        std::thread::sleep(Duration::from_millis(200));
    }
    let pile = asked(address, "GET", "day/pile?date=2026-12-03", "");
    assert!(pile.contains("%PDF-"), "no pile");
    drop(traced);

    let trace = std::fs::read_to_string(trace).expect("a trace");
    let (found, named) = elsewhere(&trace);
    assert_eq!(found, Vec::<&str>::new());
    let programs = trace
        .lines()
        .filter(|line| line.contains("execve("))
        .count();
    assert!(named > 0, "nothing was traced:\n{trace}");
    assert!(programs > 1, "the workers were not traced:\n{trace}");
    referee::tell(&format!(
        "strace of the desk: {named} places, all on this machine, in {programs} programs"
    ));
}

#[test]
fn a_trace_that_leads_elsewhere_is_found() {
    let here = "7 bind(3, {sa_family=AF_INET, sin_port=htons(0), sin_addr=inet_addr(\"127.0.0.1\")}, 16) = 0\n\
        7 sendto(4, \"\"..., 12, MSG_NOSIGNAL, NULL, 0) = 12\n";
    assert_eq!(elsewhere(here), (vec![], 1));
    for wrong in [
        "8 connect(5, {sa_family=AF_INET, sin_port=htons(53), sin_addr=inet_addr(\"192.0.2.1\")}, 16) = 0",
        "8 bind(5, {sa_family=AF_INET, sin_port=htons(80), sin_addr=inet_addr(\"0.0.0.0\")}, 16) = 0",
        "8 connect(5, {sa_family=AF_INET6, sin6_port=htons(80), inet_pton(AF_INET6, \"2001:db8::1\", &sin6_addr)}, 28) = 0",
        "8 sendto(5, \"\"..., 12, 0, {sa_family=AF_INET, sin_port=htons(53), sin_addr=inet_addr(\"192.0.2.1\")}, 16) = 12",
    ] {
        assert_eq!(elsewhere(wrong).0, vec![wrong]);
    }
}
