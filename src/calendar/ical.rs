//! Turns names, values and texts into the content lines of an iCalendar file (RFC 5545).
//! Invariant: every line ends in CRLF and holds at most 75 octets; folding cuts no character; no value can start a line of its own.
//! Must not: know visits, areas or sentences.

use jiff::civil::{Date, DateTime};

/// Most octets of a line without its line break (RFC 5545, section 3.1).
pub const LINE_OCTETS: usize = 75;

/// The content lines written so far.
#[derive(Debug, Default)]
pub struct Lines {
    text: String,
}

impl Lines {
    /// A property whose value is already in the form of its type: a date, a duration, a name from the standard.
    pub fn value(&mut self, name: &str, value: &str) {
        self.text.push_str(&fold(&format!("{name}:{value}")));
    }

    /// A property of type TEXT.
    pub fn text(&mut self, name: &str, value: &str) {
        self.value(name, &escape(value));
    }

    pub fn begin(&mut self, component: &str) {
        self.value("BEGIN", component);
    }

    pub fn end(&mut self, component: &str) {
        self.value("END", component);
    }

    pub fn finish(self) -> String {
        self.text
    }
}

/// A value of type TEXT (RFC 5545, section 3.3.11): backslash, semicolon, comma and line break are escaped, other control
/// characters but the tab are not allowed and left out.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            // CRLF is one line break
            '\r' if rest.peek() == Some(&'\n') => {}
            '\r' | '\n' => out.push_str("\\n"),
            '\t' => out.push(c),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// One line with its line break, folded where it is too long (RFC 5545, section 3.1).
pub fn fold(line: &str) -> String {
    let mut out = String::with_capacity(line.len() + 2);
    let mut used = 0;
    for c in line.chars() {
        if used + c.len_utf8() > LINE_OCTETS {
            // the space that marks a continuation counts towards its length
            out.push_str("\r\n ");
            used = 1;
        }
        out.push(c);
        used += c.len_utf8();
    }
    out.push_str("\r\n");
    out
}

/// A value of type DATE: `20261203`.
pub fn date(day: Date) -> String {
    format!("{:04}{:02}{:02}", day.year(), day.month(), day.day())
}

/// A value of type DATE-TIME in local time: `20261203T183000`.
pub fn local(moment: DateTime) -> String {
    format!(
        "{}T{:02}{:02}{:02}",
        date(moment.date()),
        moment.hour(),
        moment.minute(),
        moment.second()
    )
}

/// Midnight at the start of a day in UTC: `20261126T000000Z`.
pub fn utc_midnight(day: Date) -> String {
    format!("{}T000000Z", date(day))
}
