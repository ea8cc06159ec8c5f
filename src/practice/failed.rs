//! Turns what the machine refused into one error with its chain.
//! Invariant: `Display` says what could not be done, `source` why; nothing the user wrote is blamed.
//! Must not: stand for a mistake in a user's file (that is a `Diagnostic`).

use std::path::Path;

/// Something the machine would not do: a folder that cannot be written, a font that cannot be read.
#[derive(Debug)]
pub struct Failed {
    doing: String,
    cause: Option<Box<dyn std::error::Error + Send + Sync>>,
}

impl Failed {
    /// For a failure that says all there is to say.
    pub fn because(what: impl Into<String>) -> Failed {
        Failed {
            doing: what.into(),
            cause: None,
        }
    }

    /// For something that failed while `doing`.
    pub fn doing(
        doing: impl Into<String>,
        cause: impl Into<Box<dyn std::error::Error + Send + Sync>>,
    ) -> Failed {
        Failed {
            doing: doing.into(),
            cause: Some(cause.into()),
        }
    }
}

impl std::fmt::Display for Failed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.doing)
    }
}

impl std::error::Error for Failed {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.cause
            .as_deref()
            .map(|cause| cause as &(dyn std::error::Error + 'static))
    }
}

/// Adds what was being done to an error.
pub(super) trait While<T> {
    fn while_doing(self, doing: impl FnOnce() -> String) -> Result<T, Failed>;
}

impl<T, E: std::error::Error + Send + Sync + 'static> While<T> for Result<T, E> {
    fn while_doing(self, doing: impl FnOnce() -> String) -> Result<T, Failed> {
        self.map_err(|error| Failed::doing(doing(), error))
    }
}

/// A path for people: control characters, which could steer a terminal, are shown as escapes.
pub fn shown(path: &Path) -> String {
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
