//! Turns plan and clinic files, right and wrong ones, into visits and mistakes.
//!
//! Must not: use the catalogue; the vocabulary is an invented one.

mod mistakes;
mod reading;
mod render;
mod robust;
mod slips;
mod source;
