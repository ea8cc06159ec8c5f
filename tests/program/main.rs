//! What a user does: the built program with samples, the README, overlays, calendars and `trace`.
//!
//! Invariant: every run is a process of its own in a temporary folder.
//! Must not: judge what a page looks like.

// files of these tests have owners, links and permissions as Unix has them
#![cfg(unix)]

#[path = "../support/mod.rs"]
mod support;

mod book;
mod calendar;
mod cli;
mod day;
mod desk;
mod gate;
mod overlay;
mod questions;
mod readme;
mod samples;
mod trace;
