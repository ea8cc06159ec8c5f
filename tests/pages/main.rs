//! What stands on the pages: every required word, pictures, names, languages, large print, the same bytes, the document checks.
//!
//! Invariant: what takes more than a few seconds is a module of `slow`, so that `--skip slow::` leaves the quick ones.
//! Must not: need an outside referee; those are in `oracles`.

#[path = "../support/mod.rs"]
mod support;

mod approval;
mod arrays;
mod book;
mod languages;
mod large_print;
mod names;
mod phone;
mod pictures;
mod published_figures;
mod same_bytes;
mod sides;
mod slow;
mod standards;
mod timeline;
