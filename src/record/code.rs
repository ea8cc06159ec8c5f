//! Turns a record into the short document code printed on every page, and what somebody reads off a page back into a code.
//! Invariant: a code with one sign misread, or with two neighbours swapped, is never taken for a code.
//! Must not: hold anything that leads back to a person, or correct a misread code by itself.
//!
//! The scheme is Douglas Crockford's base 32 with its check symbol by remainder modulo 37 (described by its author, "Base 32",
//! crockford.com; read second-hand in the manuals of libraries that carry it out). 37 is a prime above 32, so a change of one
//! digit by `d` at place `k` changes the number by `d * 32^k`, and a swap of two neighbours by a multiple of `31 * 32^k`:
//! neither is divisible by 37. Codes whose check symbol would be one of the five extra signs are passed over, so that a
//! code holds letters and digits only.

use sha2::{Digest, Sha256};

/// Digits and letters without I, L, O and U.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// Signs of a code, the check character among them.
pub const LENGTH: usize = 12;
/// Bits of the digest that go into a code: five for each sign but the last.
const BITS: u32 = 5 * (LENGTH as u32 - 1);

/// A document code: eleven signs and a check character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DocumentCode([u8; LENGTH]);

/// Why a text is not a document code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CodeError {
    /// Not twelve signs.
    Length(usize),
    /// A sign that no code has.
    Sign(char),
    /// The check character does not fit the others.
    Check,
}

impl std::fmt::Display for CodeError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            CodeError::Length(found) => write!(
                f,
                "a document code has {LENGTH} letters and digits in three groups of four; this has {found}"
            ),
            CodeError::Sign(sign) => write!(
                f,
                "`{}` is not in any document code; they are made of the digits and of the letters but I, L, O and U",
                sign.escape_debug()
            ),
            CodeError::Check => write!(
                f,
                "the last letter or digit of a code is a check on the others, and here it does not fit: at least one was misread, or two were swapped"
            ),
        }
    }
}

impl std::error::Error for CodeError {}

impl DocumentCode {
    /// The code of a record, from its one line of JSON.
    pub fn of(record: &str) -> DocumentCode {
        (0_u32..)
            .find_map(|round| {
                let mut digest = Sha256::new();
                digest.update(round.to_be_bytes());
                digest.update(record.as_bytes());
                let digest = digest.finalize();
                let number = digest
                    .iter()
                    .take(8)
                    .fold(0_u64, |number, byte| (number << 8) | u64::from(*byte))
                    >> (u64::BITS - BITS);
                DocumentCode::numbered(number)
            })
            .expect(
                "32 of 37 numbers have a code, and a digest does not miss them four milliard times",
            )
    }

    /// The code of a number; `None` when its check symbol would be neither a letter nor a digit.
    pub fn numbered(number: u64) -> Option<DocumentCode> {
        let mut signs = [0; LENGTH];
        let mut rest = number;
        for sign in signs[..LENGTH - 1].iter_mut().rev() {
            *sign = (rest % 32) as u8;
            rest /= 32;
        }
        let check = check_of(&signs[..LENGTH - 1]);
        signs[LENGTH - 1] = u8::try_from(check).ok().filter(|check| *check < 32)?;
        (rest == 0).then_some(DocumentCode(signs))
    }

    /// Reads a code as somebody types it: small letters, spaces and hyphens do not matter; I and L count as 1, O as 0.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(text: &str) -> Result<DocumentCode, CodeError> {
        let read = signs_of(text);
        if read.len() != LENGTH {
            return Err(CodeError::Length(read.len()));
        }
        let mut signs = [0; LENGTH];
        for (sign, found) in signs.iter_mut().zip(read) {
            *sign = found.map_err(CodeError::Sign)?;
        }
        if check_of(&signs[..LENGTH - 1]) != u64::from(signs[LENGTH - 1]) {
            return Err(CodeError::Check);
        }
        Ok(DocumentCode(signs))
    }

    /// Whether a text is this code with one sign misread, or with two neighbours swapped.
    pub fn is_one_slip_from(&self, text: &str) -> bool {
        let read = signs_of(text);
        if read.len() != LENGTH {
            return false;
        }
        let differs: Vec<usize> = (0..LENGTH)
            .filter(|at| read[*at] != Ok(self.0[*at]))
            .collect();
        match differs[..] {
            [_] => true,
            [one, other] if one + 1 == other => {
                read[one] == Ok(self.0[other]) && read[other] == Ok(self.0[one])
            }
            _ => false,
        }
    }
}

impl std::fmt::Display for DocumentCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (at, sign) in self.0.iter().enumerate() {
            if at > 0 && at % 4 == 0 {
                f.write_str("-")?;
            }
            write!(f, "{}", char::from(ALPHABET[usize::from(*sign)]))?;
        }
        Ok(())
    }
}

fn check_of(signs: &[u8]) -> u64 {
    signs
        .iter()
        .fold(0, |rest, sign| (rest * 32 + u64::from(*sign)) % 37)
}

/// The value of every sign; what is none stands as the character it is.
fn signs_of(text: &str) -> Vec<Result<u8, char>> {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '-')
        .map(|c| {
            let plain = match c.to_ascii_uppercase() {
                'I' | 'L' => '1',
                'O' => '0',
                other => other,
            };
            ALPHABET
                .iter()
                .position(|known| char::from(*known) == plain)
                .and_then(|at| u8::try_from(at).ok())
                .ok_or(c)
        })
        .collect()
}
