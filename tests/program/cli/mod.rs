//! Runs the built program as a person at a desk would, and judges exit codes, what is said where, and what lies on disk after.
//!
//! Invariant: every run is a process of its own in a temporary folder.
//! Must not: look inside the program; what a paper says is judged elsewhere.

mod areas;
mod check;
mod files;
mod new;
mod schema;
mod streams;
mod words;
