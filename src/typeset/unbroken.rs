//! Turns the texts of a paper's data into ones in which no line ends inside a date, a measure or a telephone number.
//! Invariant: only spaces are changed, each into one no-break space.
//! Must not: change a name of a file, a digest or a picture.

use std::borrow::Cow;

use serde_json::Value;

use super::needs::UNSEEN;
use crate::wording::unbroken::{Unbroken, held};

/// Changes every text of a document in this language, in which these telephone numbers may stand.
pub(super) fn hold_together(data: &mut Value, language: &str, calls: &[String]) {
    let unbroken = Unbroken::of(language);
    walk(data, &|text| match unbroken.text(text) {
        Cow::Owned(held) => Some(held),
        Cow::Borrowed(_) => None,
    });
    // half a telephone number is another one
    for number in calls.iter().filter(|number| number.contains(' ')) {
        let whole = held(number);
        walk(data, &|text| {
            text.contains(number.as_str())
                .then(|| text.replace(number.as_str(), &whole))
        });
    }
}

/// Every text that a reader sees, in place of which `change` has another.
fn walk(data: &mut Value, change: &dyn Fn(&str) -> Option<String>) {
    match data {
        Value::String(text) => {
            if let Some(changed) = change(text) {
                *text = changed;
            }
        }
        Value::Array(items) => items.iter_mut().for_each(|item| walk(item, change)),
        Value::Object(entries) => entries
            .iter_mut()
            .filter(|(key, _)| !UNSEEN.contains(&key.as_str()))
            .for_each(|(_, value)| walk(value, change)),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_reader_sees_stays() {
        let text = "On 3 December 2026, call 01632 960 101.";
        let mut data = serde_json::json!({ "text": [text], "file": text });
        hold_together(&mut data, "en-GB", &["01632 960 101".to_owned()]);
        assert_eq!(data["file"], text);
        let held = data["text"][0].as_str().expect("a text");
        assert_eq!(
            held.replace('\u{a0}', "~"),
            "On 3~December~2026, call 01632~960~101."
        );
    }
}
