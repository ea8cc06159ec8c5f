//! Turns dates, times, numbers, amounts, lists and plurals into the program's words in each locale and lets Node's Intl judge them.
//! Invariant: every form that `Formats` can print is judged in every locale; a form that is added there is missed here by name.
//! Must not: pass in CI when the referee is missing, or judge fewer than ten thousand forms.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use beforehand::wording::Formats;

use crate::support::{referee, root};

/// The locales of the samples, one that only negotiation reaches, and one without data of its own; each with the currency
/// in which a clinic there charges.
const LOCALES: [(&str, &str); 7] = [
    ("en-GB", "GBP"),
    ("en-US", "USD"),
    ("en-AU", "AUD"),
    ("es-ES", "EUR"),
    ("es-US", "USD"),
    ("es-MX", "MXN"),
    ("es-GB", "GBP"),
];

/// Node as the referees have it; an installation from before the languages lacks it.
fn node() -> Option<PathBuf> {
    let node = |folder: &Path| folder.join("node");
    referee::installed(|folder| node(folder).exists()).map(|folder| node(&folder))
}

fn lists() -> Vec<Vec<String>> {
    // the second word of a Spanish list changes the "y" and the "o" before it
    [
        "uno",
        "a|b",
        "a|b|c",
        "a|b|c|d",
        "dolor|hinchazón",
        "padres|hijos",
        "agua|hielo",
        "uno|otro",
        "siete|ocho",
        "mejillas|iris|hombros",
        "onabotulinumtoxinA|incobotulinumtoxinA",
    ]
    .iter()
    .map(|list| list.split('|').map(str::to_owned).collect())
    .collect()
}

/// Lines of tab-separated cases, each with the program's words.
fn cases() -> String {
    let mut out = String::new();
    let mut case = |tag: &str, form: &str, value: &str, said: &str| {
        writeln!(out, "{tag}\t{form}\t{value}\t{said}").expect("a string takes lines");
    };
    for (tag, currency) in LOCALES {
        let formats = Formats::new(tag).expect("known locale");
        let mut day = jiff::civil::date(2024, 1, 1);
        // a leap year and an ordinary one, then one day of each month of later years
        while day.year() < 2040 {
            let value = day.to_string();
            case(tag, "date", &value, &formats.date(day));
            case(tag, "weekday-date", &value, &formats.weekday_date(day));
            case(tag, "day-month", &value, &formats.day_month(day));
            case(tag, "weekday-day", &value, &formats.weekday_day(day));
            case(tag, "short-date", &value, &formats.short_date(day));
            case(
                tag,
                "short-day-month",
                &value,
                &formats.short_day_month(day),
            );
            case(tag, "short-month", &value, &formats.short_month(day));
            case(
                tag,
                "short-month-year",
                &value,
                &formats.short_month_year(day),
            );
            let step = if day.year() < 2026 { 1 } else { 29 };
            day = day
                .checked_add(jiff::Span::new().days(step))
                .expect("within the calendar");
        }
        for minute in (0..24 * 60).step_by(7) {
            let time = jiff::civil::time((minute / 60) as i8, (minute % 60) as i8, 0, 0);
            case(tag, "time", &time.to_string(), &formats.time(time));
        }
        for number in [
            0.0, 0.04, 0.1, 0.25, 0.5, 1.0, 1.5, 2.0, 7.5, 10.0, 12.34, 99.99, 100.0, 999.0,
            1000.0, 1234.5, 2036.0, 9999.0, 10000.0, 12345.67, 250000.0, 1000000.0,
        ] {
            case(tag, "number", &number.to_string(), &formats.number(number));
            case(tag, "plural", &number.to_string(), formats.plural(number));
            let said = formats.money(number, currency);
            case(tag, "money", &format!("{number} {currency}"), &said);
        }
        // volumes, with every digit they are written with
        for digits in [
            "0.1", "0.125", "0.05", "0.0625", "1.5", "2.25", "12.375", "100", "1000.5",
        ] {
            case(tag, "digits", digits, &formats.digits(digits));
        }
        for list in lists() {
            let value = list.join("|");
            case(tag, "and", &value, &formats.and(&list));
            case(tag, "or", &value, &formats.or(&list));
        }
    }
    out
}

fn judge(node: &Path, cases: &str) -> (bool, String) {
    let script = root().join("tests/referee/locale.mjs");
    let verdict = referee::judged(Command::new(node).arg(script), cases);
    let said = String::from_utf8_lossy(&verdict.stdout).trim().to_owned();
    (verdict.status.success(), said)
}

#[test]
fn node_says_every_form_the_same() {
    let Some(node) = node() else { return };
    let cases = cases();
    assert!(cases.lines().count() >= 10_000);
    let (same, said) = judge(&node, &cases);
    assert!(same, "{said}");
    referee::tell(&format!("locale forms: {said}"));
}

#[test]
fn the_referee_notices_a_changed_form() {
    let Some(node) = node() else { return };
    let forms = [
        "date",
        "weekday-date",
        "day-month",
        "weekday-day",
        "short-date",
        "short-day-month",
        "short-month",
        "short-month-year",
        "time",
        "number",
        "digits",
        "money",
        "and",
        "or",
        "plural",
    ];
    let mut waiting = forms.to_vec();
    let mut changed = String::new();
    // the first case of each form
    for line in cases().lines() {
        let form = line.split('\t').nth(1).expect("a form");
        let before = waiting.len();
        waiting.retain(|other| *other != form);
        let mark = if waiting.len() < before { "x" } else { "" };
        writeln!(changed, "{line}{mark}").expect("a String takes everything");
    }
    assert!(waiting.is_empty(), "no case of {waiting:?}");
    let (same, said) = judge(&node, &changed);
    let all = format!("{} differences", forms.len());
    assert!(!same && said.ends_with(&all), "{said}");
    for form in forms {
        assert!(said.contains(&format!(" {form} ")), "{form}: {said}");
    }
}

/// The forms of `Formats` are the ones judged above: whoever adds one adds it there.
#[test]
fn every_form_of_the_program_is_judged() {
    let source = include_str!("../../src/wording/locale.rs");
    let known = [
        "new",
        "tag",
        "date",
        "day_month",
        "weekday_date",
        "weekday_day",
        "short_date",
        "short_day_month",
        "short_month",
        "short_month_year",
        "time",
        "number",
        "digits",
        "money",
        "and",
        "or",
        "plural",
    ];
    let found: Vec<&str> = source
        .lines()
        .filter_map(|line| line.trim().strip_prefix("pub fn "))
        .filter_map(|rest| rest.split('(').next())
        .collect();
    assert_eq!(
        found
            .iter()
            .filter(|name| !known.contains(name))
            .collect::<Vec<_>>(),
        Vec::<&&str>::new(),
        "not judged"
    );
    assert!(known.iter().all(|name| found.contains(name)), "{found:?}");
}
