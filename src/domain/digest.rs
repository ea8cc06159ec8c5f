//! Turns bytes into digests as people write them.
//! Invariant: the forms stand on printed papers and in registers, so none of them ever changes.
//! Must not: know what is digested.

use sha2::{Digest, Sha256};

/// Two hexadecimal digits for each byte.
pub fn hexadecimal(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digit = |value: u8| char::from(DIGITS[usize::from(value)]);
    let pair = |byte: &u8| [digit(byte >> 4), digit(byte & 15)];
    bytes.iter().flat_map(pair).collect()
}

/// SHA-256 (FIPS 180-4) in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

/// Thirty-two hexadecimal digits of the SHA-256 of some parts, each with its length, so that no two lists of parts are alike.
pub fn of_parts<'p>(parts: impl IntoIterator<Item = &'p [u8]>) -> String {
    let mut digest = Sha256::new();
    for part in parts {
        digest.update((part.len() as u64).to_be_bytes());
        digest.update(part);
    }
    hexadecimal(&digest.finalize()[..16])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_published() {
        // FIPS 180-4, the example of one block
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(hexadecimal(&[0, 9, 10, 255]), "00090aff");
    }

    #[test]
    fn parts_are_not_run_together() {
        let of = |parts: [&'static str; 2]| of_parts(parts.map(str::as_bytes));
        assert_ne!(of(["ab", "c"]), of(["a", "bc"]));
        assert_eq!(of(["ab", "c"]).len(), 32);
    }
}
