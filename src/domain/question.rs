//! The short code of a question: what it rested on when somebody answered it.
//! Invariant: four letters or digits; two questions that rest on the same things have the same code.
//! Must not: hold anything that leads back to a person.

use serde::{Serialize, Serializer};
use sha2::{Digest, Sha256};

/// Digits and letters without I, L, O and U, which are misread (Douglas Crockford's base 32).
const SIGNS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const LENGTH: usize = 4;

/// The code of a question. One in about a million that rest on something else has the same one: enough to notice a
/// change, and short enough to copy by hand.
///
/// ```
/// # use beforehand::domain::QuestionCode;
/// let code = QuestionCode::of("interval, 3 December, 50 units");
/// assert_eq!(QuestionCode::read(&code.to_string().to_lowercase()), Some(code));
/// assert_ne!(QuestionCode::of("interval, 4 December, 50 units"), code);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct QuestionCode([u8; LENGTH]);

impl QuestionCode {
    /// The code of what a question rests on, written out in one fixed form.
    pub fn of(rests_on: &str) -> QuestionCode {
        let digest = Sha256::digest(rests_on.as_bytes());
        let mut signs = [0; LENGTH];
        for (sign, byte) in signs.iter_mut().zip(digest) {
            *sign = SIGNS[usize::from(byte % 32)];
        }
        QuestionCode(signs)
    }

    /// Reads a code as somebody types it: small letters do not matter, I and L count as 1, O as 0. `None`: not a code.
    pub fn read(text: &str) -> Option<QuestionCode> {
        let signs: Option<Vec<u8>> = text
            .trim()
            .chars()
            .map(|c| match c.to_ascii_uppercase() {
                'I' | 'L' => Some(b'1'),
                'O' => Some(b'0'),
                other => u8::try_from(other).ok().filter(|sign| SIGNS.contains(sign)),
            })
            .collect();
        signs?.try_into().ok().map(QuestionCode)
    }
}

impl std::fmt::Display for QuestionCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(std::str::from_utf8(&self.0).expect("its signs are ASCII"))
    }
}

impl Serialize for QuestionCode {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
