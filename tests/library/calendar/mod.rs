//! Turns plans into calendar files and holds them against RFC 5545, the clock, and what a lock screen may show.
//!
//! Invariant: expected dates and offsets are written by hand from the IANA time zone data and the calendar, not computed by the program.
//! Must not: need an outside program (those are in `tests/oracles/calendar_file.rs`).

mod clock;
mod form;
mod shown;
mod updates;
