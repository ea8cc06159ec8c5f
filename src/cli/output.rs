//! Turns text into output on stdout that survives a reader who goes away.
//! Invariant: a closed pipe never changes what is written to files or the exit code; any other failure is reported.
//! Must not: decide what is said.

use std::io::{ErrorKind, Write};

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
}

/// A path for people: control characters, which could steer a terminal, are shown as escapes.
pub fn shown(path: &std::path::Path) -> String {
    path.display()
        .to_string()
        .chars()
        .flat_map(|c| {
            if c.is_control() {
                c.escape_default().collect()
            } else {
                vec![c]
            }
        })
        .collect()
}
