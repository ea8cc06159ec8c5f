//! Dates that the program writes in words read back, in every language and place it has.
//!
//! Must not: hold a name of a month; the formats have them.

use beforehand::catalogue::Catalogue;
use beforehand::plan_form::{typed_date, typed_month, typed_time};
use beforehand::wording::{Formats, library};
use jiff::civil::{date, time};
use proptest::prelude::*;

/// A locale for each language in each place where clinics can be.
fn formats() -> Vec<Formats> {
    let places = Catalogue::embedded().regions.iter();
    let countries: std::collections::BTreeSet<&str> = places
        .map(|region| region.id.as_str().split('-').next().expect("a country"))
        .collect();
    let tags = library::tags().flat_map(|language| {
        let countries = countries.iter();
        countries.map(move |country| format!("{language}-{country}"))
    });
    let formats: Vec<Formats> = tags
        .map(|tag| Formats::new(&tag).expect("the release has it"))
        .collect();
    assert!(formats.len() >= 20);
    formats
}

#[test]
fn what_the_program_writes_reads_back() {
    let formats = formats();
    let config = ProptestConfig {
        cases: 150,
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    proptest!(config, |(year in 1900_i16..2200, month in 1_i8..=12, day in 1_i8..=28, hour in 0_i8..24, minute in 0_i8..60)| {
        let (day, clock) = (date(year, month, day), time(hour, minute, 0, 0));
        for formats in &formats {
            let long = formats.date(day);
            prop_assert_eq!(typed_date(&long), Some(day), "{} {}", formats.tag(), long);
            let medium = formats.short_date(day);
            // some places write the month in digits; which of two numbers is the month is then never guessed
            if medium.chars().any(char::is_alphabetic) {
                prop_assert_eq!(typed_date(&medium), Some(day), "{} {}", formats.tag(), medium);
            } else {
                prop_assert!(typed_date(&medium).is_none_or(|read| read == day && medium == day.to_string()));
            }
            let month_only = formats.short_month_year(day);
            if month_only.chars().any(char::is_alphabetic) {
                let wanted = format!("{year:04}-{month:02}");
                prop_assert_eq!(typed_month(&month_only), Some(wanted), "{} {}", formats.tag(), month_only);
            }
            let said = formats.time(clock);
            prop_assert_eq!(typed_time(&said), Some(format!("{hour:02}:{minute:02}")), "{} {}", formats.tag(), said);
        }
        for text in [
            format!("{:02}/{:02}/{}", day.day(), day.month(), day.year()),
            format!("{}.{}.{}", day.day(), day.month(), day.year()),
            format!("{}-{}-{}", day.day(), day.month(), day.year()),
        ] {
            prop_assert_eq!(typed_date(&text), None, "{}", text);
        }
    });
}
