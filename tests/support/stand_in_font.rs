//! Turns the embedded DejaVu Sans into a font that claims to draw Chinese, so that `--fonts` can be tested on any machine.
//!
//! Invariant: every character of U+4E00 to U+9FFF has a glyph (some Latin one: it is the path of the font that is tested,
//! not its drawing), no other character has; the family has a name that no template knows.
//! Must not: be shown to a reader.

/// The bytes of the font.
pub fn chinese() -> Vec<u8> {
    let original = dejavu::sans::regular();
    let word = |at: usize| u16::from_be_bytes([original[at], original[at + 1]]);
    let long = |at: usize| {
        u32::from_be_bytes([
            original[at],
            original[at + 1],
            original[at + 2],
            original[at + 3],
        ])
    };

    // table directory of an OpenType file: 12 bytes, then 16 for each table: tag, checksum, offset, length
    let count = usize::from(word(4));
    let mut tables: Vec<([u8; 4], Vec<u8>)> = (0..count)
        .map(|index| {
            let entry = 12 + 16 * index;
            let tag = original[entry..entry + 4].try_into().expect("four bytes");
            let (start, length) = (long(entry + 8) as usize, long(entry + 12) as usize);
            (tag, original[start..start + length].to_vec())
        })
        // layout tables speak of the old characters
        .filter(|(tag, _)| !matches!(tag, b"GSUB" | b"GPOS" | b"GDEF" | b"kern"))
        .collect();
    for (tag, data) in &mut tables {
        match &*tag {
            b"cmap" => *data = character_map(),
            b"name" => rename(data),
            _ => {}
        }
    }
    assemble(&tables)
}

/// Format 12, in groups of 26 characters: glyphs 36 to 61 of this font are its capital letters.
fn character_map() -> Vec<u8> {
    let mut map = Vec::new();
    for half in [0u16, 1, 3, 10] {
        map.extend(half.to_be_bytes()); // version, one subtable, for Windows with all of Unicode
    }
    map.extend(12u32.to_be_bytes());
    let groups: Vec<(u32, u32, u32)> = (0x4E00..=0x9FFFu32)
        .step_by(26)
        .map(|first| (first, (first + 25).min(0x9FFF), 36))
        .collect();
    map.extend(12u16.to_be_bytes());
    map.extend(0u16.to_be_bytes());
    let count = u32::try_from(groups.len()).expect("a few hundred");
    for long in [16 + 12 * count, 0, count] {
        map.extend(long.to_be_bytes());
    }
    for (first, last, glyph) in groups {
        for long in [first, last, glyph] {
            map.extend(long.to_be_bytes());
        }
    }
    map
}

/// Another family name of the same length, in both encodings a name table uses.
fn rename(names: &mut [u8]) {
    let wide = |text: &str| text.bytes().flat_map(|b| [0, b]).collect::<Vec<u8>>();
    for (old, new) in [
        (b"DejaVu".to_vec(), b"Probe7".to_vec()),
        (wide("DejaVu"), wide("Probe7")),
    ] {
        let mut at = 0;
        while at + old.len() <= names.len() {
            if names[at..at + old.len()] == old[..] {
                names[at..at + old.len()].copy_from_slice(&new);
            }
            at += 1;
        }
    }
}

fn assemble(tables: &[([u8; 4], Vec<u8>)]) -> Vec<u8> {
    let count = u16::try_from(tables.len()).expect("a font has few tables");
    let mut file = vec![0, 1, 0, 0];
    file.extend(count.to_be_bytes());
    file.extend([0; 6]); // helps for binary search, which readers do without
    let mut offset = 12 + 16 * tables.len();
    for (tag, data) in tables {
        file.extend(tag);
        file.extend([0; 4]); // checksum, which readers do not check
        for long in [offset, data.len()] {
            file.extend(u32::try_from(long).expect("a small file").to_be_bytes());
        }
        offset += data.len().next_multiple_of(4);
    }
    for (_, data) in tables {
        file.extend(data);
        file.resize(file.len().next_multiple_of(4), 0);
    }
    file
}
