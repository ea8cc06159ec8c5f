//! Starts a program that serves a page on loopback, and has the referees of such a page judge it.
//!
//! Invariant: the address is the one that the program printed; the program ends with the test.
//! Must not: know what stands on a page, or send anything anywhere but to that address.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

use super::referee;

/// A program that serves.
pub struct Desk {
    child: Child,
    /// `http://127.0.0.1:PORT/TOKEN/`, as printed.
    pub address: String,
}

impl Desk {
    /// Starts it, and waits for the line with the address.
    pub fn start(command: &mut Command) -> Desk {
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let pipe = child.stdout.take().expect("a pipe");
        let mut lines = BufReader::new(pipe).lines();
        let address = lines
            .by_ref()
            .map_while(Result::ok)
            .find_map(|line| {
                let at = line.find("http://127.0.0.1:")?;
                let end = line[at..].find(|c: char| c.is_whitespace() || c == ')');
                Some(line[at..end.map_or(line.len(), |end| at + end)].to_owned())
            })
            .expect("a line with the address");
        // read on, or the program would wait for a reader one day
        std::thread::spawn(move || lines.map_while(Result::ok).for_each(drop));
        Desk { child, address }
    }

    /// A server that takes no care of what it hands out: Python's own, on a folder.
    pub fn careless(python: &Path, folder: &Path) -> Desk {
        let mut server = Command::new(python);
        server
            .args(["-u", "-m", "http.server", "0"])
            .args(["--bind", "127.0.0.1", "--directory"])
            .arg(folder)
            .stderr(Stdio::null());
        Desk::start(&mut server)
    }

    /// Answers to forged and broken requests. `pages`: paths below the token that must be had; `form`: one that takes a POST.
    pub fn requests(&self, python: &Path, pages: &[&str], form: &str) -> Output {
        let case = serde_json::json!({ "address": self.address, "pages": pages, "post": form });
        let mut script = referee::script(python, "desk_requests.py");
        referee::judged(script.arg("--json"), &case.to_string())
    }

    /// The screens in a browser; `more` holds what `desk_pages.py` reads besides the address.
    pub fn screens(&self, python: &Path, more: &serde_json::Value) -> Output {
        let mut case = more.clone();
        case["address"] = self.address.as_str().into();
        referee::judged(
            &mut referee::script(python, "desk_pages.py"),
            &case.to_string(),
        )
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        // it may have ended by itself
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
