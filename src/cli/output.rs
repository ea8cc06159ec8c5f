//! Turns text into output on stdout that survives a reader who goes away.
//! Invariant: a closed pipe never changes what is written to files or the exit code; any other failure is reported.
//! Must not: decide what is said.

use std::io::{ErrorKind, Write};

pub use crate::practice::shown;

/// Standard output of one command.
#[derive(Debug, Default)]
pub struct Output {
    closed: bool,
}

impl Output {
    /// Writes a text; does nothing once the reader has gone (`| head`).
    ///
    /// # Errors
    /// The output cannot be written for another reason, such as a full disk.
    pub fn say(&mut self, text: &str) -> anyhow::Result<()> {
        if self.closed {
            return Ok(());
        }
        let mut stdout = std::io::stdout().lock();
        match stdout
            .write_all(text.as_bytes())
            .and_then(|()| stdout.flush())
        {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => self.closed = true,
            result => result?,
        }
        Ok(())
    }

    /// Writes data as JSON, two spaces to a level.
    ///
    /// # Errors
    /// As `say`.
    pub fn json(&mut self, data: &impl serde::Serialize) -> anyhow::Result<()> {
        let mut text = serde_json::to_string_pretty(data)?;
        text.push('\n');
        self.say(&text)
    }
}
