//! Outside referees: programs that share no code with ours judge dates, words, calendars, pictures and finished papers.
//!
//! Invariant: without a referee a test is skipped on a desk, aloud, and fails when `CI` is set; it never passes unseen.
//! Must not: judge by the program's own reading.

#[path = "../support/mod.rs"]
mod support;

mod browser;
mod calendar_file;
mod dates;
mod day_pack;
mod desk;
mod desk_referees;
mod grey;
mod locale;
mod measures;
mod papers;
mod phone;
mod pictures;
mod qr_code;
mod readability;
mod schema;
mod spelling;
