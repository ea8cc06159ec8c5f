//! Turns a list of things, each with what is said of it, into what is said and all the things it is said of.
//! Invariant: nothing is lost or said twice; what was said first comes first, and so do the things.
//! Must not: compare anything but for equality.

/// Gathers what has an equal key. The lists are short, so each key is compared with all before it.
///
/// ```
/// use beforehand::domain::gathered;
///
/// let lasts = [(12, "forehead"), (24, "jaw"), (12, "frown lines")];
/// assert_eq!(gathered(lasts), [(12, vec!["forehead", "frown lines"]), (24, vec!["jaw"])]);
/// ```
pub fn gathered<K: PartialEq, T>(all: impl IntoIterator<Item = (K, T)>) -> Vec<(K, Vec<T>)> {
    let mut found: Vec<(K, Vec<T>)> = Vec::new();
    for (key, thing) in all {
        match found.iter_mut().find(|(other, _)| *other == key) {
            Some((_, things)) => things.push(thing),
            None => found.push((key, vec![thing])),
        }
    }
    found
}
