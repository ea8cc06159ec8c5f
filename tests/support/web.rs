//! Turns addresses and forms into requests over a plain connection, as a browser without script sends them, and answers into pages.
//!
//! Invariant: a form is sent with the fields that a browser would send, and says that it comes from the page it stands on.
//! Must not: know a screen, follow a link by itself, or keep anything between two requests.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use super::html::{Form, Page, Sends};

/// An answer as it came over the wire.
#[derive(Debug, Clone)]
pub struct Answer {
    pub status: u16,
    headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut headers = self.headers.iter();
        headers
            .find(|(own, _)| own.eq_ignore_ascii_case(name))
            .map(|(_, value)| value.as_str())
    }

    pub fn text(&self) -> String {
        String::from_utf8(self.body.clone()).expect("pages are UTF-8")
    }
}

/// Somebody at one desk, without script.
#[derive(Debug, Clone)]
pub struct Browser {
    /// `127.0.0.1:PORT`
    host: String,
    /// `/SECRET/`
    pub root: String,
    /// What its reader reads.
    pub languages: &'static str,
}

impl Browser {
    /// At the desk with this address: `http://127.0.0.1:PORT/SECRET/`.
    pub fn at(address: &str) -> Browser {
        let rest = address.strip_prefix("http://").expect("an address");
        let (host, path) = rest.split_once('/').expect("an address with a path");
        Browser {
            host: host.to_owned(),
            root: format!("/{path}"),
            languages: "en",
        }
    }

    /// A path of the desk, or one that stands on a page of it.
    fn whole(&self, path: &str) -> String {
        match path.starts_with('/') {
            true => path.to_owned(),
            false => format!("{}{path}", self.root),
        }
    }

    fn ask(&self, head: &str, body: &[u8]) -> std::io::Result<Answer> {
        let mut stream = TcpStream::connect(&self.host)?;
        stream.set_read_timeout(Some(Duration::from_secs(240)))?;
        stream.write_all(head.as_bytes())?;
        stream.write_all(body)?;
        let mut whole = Vec::new();
        stream.read_to_end(&mut whole)?;
        let end = whole.windows(4).position(|four| four == b"\r\n\r\n");
        let end = end.ok_or_else(|| std::io::Error::other("the answer was broken off"))?;
        let head = String::from_utf8_lossy(&whole[..end]).into_owned();
        let mut lines = head.split("\r\n");
        let first = lines.next().unwrap_or_default();
        let status = first.split(' ').nth(1).and_then(|code| code.parse().ok());
        let headers = lines.filter_map(|line| line.split_once(": "));
        let headers = headers.map(|(name, value)| (name.to_owned(), value.to_owned()));
        let answer = Answer {
            status: status.ok_or_else(|| std::io::Error::other(first.to_owned()))?,
            headers: headers.collect(),
            body: whole[end + 4..].to_vec(),
        };
        let length = answer.header("content-length").and_then(|n| n.parse().ok());
        match length == Some(answer.body.len()) {
            true => Ok(answer),
            false => Err(std::io::Error::other("the answer was broken off")),
        }
    }

    /// Asks for something, as an address that is typed.
    pub fn get(&self, path: &str) -> Answer {
        self.try_get(path).expect("the desk answers")
    }

    pub fn try_get(&self, path: &str) -> std::io::Result<Answer> {
        let (path, host, languages) = (self.whole(path), &self.host, self.languages);
        let head = format!(
            "GET {path} HTTP/1.1\r\nHost: {host}\r\nAccept-Language: {languages}\r\nConnection: close\r\n\r\n"
        );
        self.ask(&head, b"")
    }

    fn post(&self, path: &str, kind: &str, body: &[u8]) -> std::io::Result<Answer> {
        let (path, host, languages) = (self.whole(path), &self.host, self.languages);
        let length = body.len();
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nSec-Fetch-Site: same-origin\r\n\
             Accept-Language: {languages}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n"
        );
        self.ask(&head, body)
    }

    /// Sends fields, and stays where the answer is.
    pub fn try_send(&self, path: &str, fields: &[(String, String)]) -> std::io::Result<Answer> {
        let body = encoded(fields);
        self.post(path, "application/x-www-form-urlencoded", body.as_bytes())
    }

    /// Sends a file that was chosen or dropped in a form.
    pub fn send_file(&self, path: &str, field: &str, name: &str, bytes: &[u8]) -> Page {
        let edge = "----a-browser-makes-one-up";
        let mut body = format!(
            "--{edge}\r\nContent-Disposition: form-data; name=\"{field}\"; filename=\"{name}\"\r\n\
             Content-Type: application/octet-stream\r\n\r\n"
        )
        .into_bytes();
        body.extend(bytes);
        body.extend(format!("\r\n--{edge}--\r\n").bytes());
        let kind = format!("multipart/form-data; boundary={edge}");
        let answer = self.post(path, &kind, &body).expect("the desk answers");
        self.shown(answer, path)
    }

    /// The page at a path; where the answer goes on to another, that one.
    pub fn page(&self, path: &str) -> Page {
        self.shown(self.get(path), path)
    }

    fn shown(&self, answer: Answer, path: &str) -> Page {
        match (answer.status, answer.header("location")) {
            (303, Some(place)) => {
                let place = place.to_owned();
                self.shown(self.get(&place), &place)
            }
            _ => Page::new(answer.status, &self.whole(path), &answer.text()),
        }
    }

    /// Sends a form by one of its buttons; without one by Enter, which is its first.
    pub fn submit(&self, form: &Form, button: Option<&str>) -> Page {
        let (path, fields) = self.filled(form, button);
        match form.sends {
            Sends::Get => self.page(&format!("{path}?{}", encoded(&fields))),
            Sends::Post => {
                let answer = self.try_send(&path, &fields).expect("the desk answers");
                self.shown(answer, &path)
            }
        }
    }

    /// What [`Browser::submit`] sends, and where.
    pub fn filled(&self, form: &Form, button: Option<&str>) -> (String, Vec<(String, String)>) {
        (self.whole(&form.action), form.sent(button))
    }
}

/// Names and values as a form sends them: line ends as the web has them, everything but plain letters in hexadecimal.
fn encoded(fields: &[(String, String)]) -> String {
    let encode = |text: &str| -> String {
        let text = text.replace("\r\n", "\n").replace('\n', "\r\n");
        text.bytes()
            .map(|byte| match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'*' => {
                    char::from(byte).to_string()
                }
                b' ' => "+".to_owned(),
                _ => format!("%{byte:02X}"),
            })
            .collect()
    };
    let pairs = fields
        .iter()
        .map(|(name, value)| format!("{}={}", encode(name), encode(value)));
    pairs.collect::<Vec<_>>().join("&")
}
