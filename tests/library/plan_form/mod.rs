//! Turns plan files into forms and back, and three versions of a plan into one.
//!
//! Must not: take what is written for right because it was written here: the plan reader reads it.

mod dates;
mod edits;
mod new_plan;
mod next_round;
mod places;
mod round_trip;
mod saving;
mod support;
mod versions;
