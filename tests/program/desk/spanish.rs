//! A practice in Spanish: every screen in Spanish, and no word of the English desk on it.

use std::collections::BTreeSet;

use beforehand::wording::library;

use super::{addresses, copied, open, read};
use crate::support::put;

/// What the English desk says and the Spanish one does not: whole texts, and long pieces of those that are filled in.
fn english_only() -> (BTreeSet<String>, BTreeSet<String>) {
    let english = library::desk("en").expect("English reads");
    let spanish = library::desk("es").expect("Spanish reads");
    let spanish: BTreeSet<&String> = spanish.values().collect();
    let spaced = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let (mut whole, mut pieces) = (BTreeSet::new(), BTreeSet::new());
    for text in english.values().filter(|text| !spanish.contains(text)) {
        if text.contains("{{") || text.contains("{%") {
            let outside = text.split("{{").flat_map(|part| part.split("}}").last());
            let outside = outside
                .flat_map(|part| part.split("{%"))
                .flat_map(|part| part.split("%}").last());
            pieces.extend(
                outside
                    .map(spaced)
                    .filter(|piece| piece.len() > 12 && piece.contains(' ')),
            );
        } else {
            whole.insert(spaced(text));
        }
    }
    (whole, pieces)
}

#[test]
fn every_screen_of_a_spanish_practice_is_in_spanish() {
    let folder = copied("samples/patio-verde");
    let broken = read(folder.path(), "mandibula.toml")
        .replace("units = 50\nround", "units = \"muchas\"\nround")
        .replace("Óscar Güell Montañés", "Lía Duarte")
        .replace("PV-0233", "PV-0234")
        .replace("2026-12-10", "2026-12-01");
    assert!(broken.contains("muchas"));
    put(folder.path(), "rota.toml", broken);
    let desk = open(folder.path(), "2026-11-30");
    let name = |file: &str| {
        let text = read(folder.path(), file);
        let at = text.find("name = \"").expect("a name") + 8;
        text[at..].split(" (").next().expect("a name").to_owned()
    };
    let (one, other) = (name("mandibula.toml"), name("locutora.toml"));
    let mut screens = addresses::screens(folder.path(), &desk, &[&one, &other, "Lía Duarte"]);
    let forms = desk.page("look-up").forms().into_iter();
    let mut form = forms
        .filter(|form| form.has("code"))
        .collect::<Vec<_>>()
        .remove(0);
    form.set("code", "ABCD-EFGH-JKLM");
    screens.insert("looked up".to_owned(), desk.submit(&form, None));
    let (whole, pieces) = english_only();
    assert!(
        whole.len() > 200 && pieces.len() > 20,
        "{} {}",
        whole.len(),
        pieces.len()
    );
    assert!(screens.len() > 30, "{:?}", screens.keys());
    for (name, page) in &screens {
        let wanted = match name.as_str() {
            "day?date=nonsense" => 400,
            "visit/0000" => 404,
            _ => 200,
        };
        assert_eq!(page.status, wanted, "{name}: {}", page.text());
        assert!(page.lang().starts_with("es-"), "{name}: {}", page.lang());
        for said in page.texts().into_iter().chain(page.spoken()) {
            assert!(!whole.contains(&said), "{name} says {said}");
            let piece = pieces.iter().find(|piece| said.contains(piece.as_str()));
            assert_eq!(piece, None, "{name} says {said}");
        }
    }
}
