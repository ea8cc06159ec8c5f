//! Turns a list of areas into a plan to fill in, on the terminal or in a file.
//! Invariant: a file that is there is never written over.
//! Must not: know what a plan looks like.

use std::path::Path;

use super::Outcome;
use super::areas::say_unknown;
use super::output::{Output, shown};
use crate::catalogue::Catalogue;
use crate::diagnose;
use crate::practice::{create, starter_plan};
use crate::wording::Wording;

pub fn run(areas: &[String], out: Option<&Path>) -> anyhow::Result<Outcome> {
    let catalogue = Catalogue::embedded();
    let language = "en".parse().expect("`en` is a language tag");
    let wording = Wording::new(&language, "GB")?;
    let mut unknown = false;
    for area in areas {
        if catalogue.area(area).is_none() {
            unknown = true;
            say_unknown(area, catalogue, &wording)?;
        }
    }
    let mut seen = std::collections::BTreeSet::new();
    for area in areas {
        if !seen.insert(area) {
            unknown = true;
            anstream::eprintln!(
                "the area `{}` is asked for twice; name each area once",
                diagnose::echo(area)
            );
        }
    }
    if unknown {
        return Ok(Outcome::Unsettled);
    }
    let text = starter_plan(catalogue, &wording, areas)?;
    match out {
        None => Output::default().say(&text)?,
        Some(path) => {
            create(path, text.as_bytes())?;
            let path = shown(path);
            anstream::eprintln!(
                "wrote {path}; fill in the names and dates, then run: beforehand make {path}"
            );
        }
    }
    Ok(Outcome::Fine)
}
