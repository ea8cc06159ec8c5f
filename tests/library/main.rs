//! What the library answers without laying out a page: data, plans read, what is chosen and why, words, calendars, codes.
//!
//! Invariant: everything runs in this process.
//! Must not: typeset, run the built program, or need an outside program.

#[path = "../support/mod.rs"]
mod support;

mod annex;
mod asks;
mod book;
mod calendar;
mod catalogue_data;
mod check_sheet;
mod desk_words;
mod doses;
mod good_signs;
mod hostile_inputs;
mod ids;
mod layers;
mod licences;
mod must_mention;
mod plan;
mod plan_form;
mod properties;
mod published_values;
mod questions;
mod readability;
mod reasoning;
mod record_code;
mod repeats;
mod responsibility;
mod screening;
mod shared_wording;
mod signs;
mod template_code;
mod together;
mod told;
mod view;
mod whose_numbers;
mod wording_data;
mod wording_lock;
