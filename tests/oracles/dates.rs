//! Turns thousands of made-up dates, lengths and clock times into the program's own answers and lets Python's calendar judge them.
//! Invariant: the referee works every answer out anew (datetime, dateutil, zoneinfo); it shares no code with the program.
//! Must not: pass in CI when the referee is missing, or judge fewer than ten thousand cases.

use std::fmt::Write as _;

use beforehand::catalogue::TimeUnit;
use beforehand::select::{AdviceEnd, after, end_of};

use crate::support::{ClinicFile, Plan, referee};

/// One with clock changes in the north, two in the north on other days, one in the south, one without any.
const ZONES: [&str; 5] = [
    "Europe/London",
    "America/New_York",
    "Europe/Madrid",
    "Australia/Sydney",
    "Asia/Kolkata",
];

/// A small generator of our own: the same cases on every machine (SplitMix64).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % below
    }
}

/// Lines of tab-separated cases, each with the program's answer.
fn cases() -> String {
    let mut dice = Dice(2026);
    let mut out = String::new();
    let day = |dice: &mut Dice| {
        // half of the days fall on the turns of the calendar that go wrong most easily
        let year = 2000 + dice.roll(60) as i16;
        match dice.roll(4) {
            0 => jiff::civil::date(year - year % 4, 2, 29),
            1 => {
                let month = 1 + dice.roll(12) as i8;
                jiff::civil::date(year, month, 1).last_of_month()
            }
            _ => {
                let month = 1 + dice.roll(12) as i8;
                jiff::civil::date(year, month, 1 + dice.roll(28) as i8)
            }
        }
    };
    for _ in 0..6_000 {
        let start = day(&mut dice);
        let (unit, name) = [
            (TimeUnit::Hours, "hours"),
            (TimeUnit::Days, "days"),
            (TimeUnit::Weeks, "weeks"),
            (TimeUnit::Months, "months"),
        ][dice.roll(4) as usize];
        let amount = dice.roll(60);
        let end = after(start, amount as f64, unit);
        writeln!(out, "after\t{start}\t{amount}\t{name}\t{end}").expect("a string takes lines");
    }
    for zone in ZONES {
        let clinic = ClinicFile {
            time_zone: zone.to_owned(),
            ..ClinicFile::default()
        }
        .read();
        let mut visit = Plan::default().read(&clinic);
        for _ in 0..1_200 {
            visit.date = day(&mut dice);
            if dice.roll(2) == 0 {
                // the weeks in which clocks change
                let month = [3, 4, 10, 11][dice.roll(4) as usize];
                visit.date = jiff::civil::date(visit.date.year(), month, 1 + dice.roll(28) as i8);
            }
            let time = jiff::civil::time(dice.roll(24) as i8, dice.roll(60) as i8, 0, 0);
            visit.time = Some(time);
            let hours = 1 + dice.roll(72);
            let AdviceEnd::Clock(end) = end_of(&clinic, &visit, hours as f64, TimeUnit::Hours)
            else {
                panic!("a clock time with hours ends at a clock time");
            };
            let start = visit.date.to_datetime(time);
            writeln!(out, "clock\t{start}\t{hours}\t{zone}\t{end}").expect("a string takes lines");
        }
    }
    out
}

#[test]
fn python_reaches_the_same_dates_and_hours() {
    let Some(python) = referee::python("") else {
        return;
    };
    let cases = cases();
    assert!(cases.lines().count() >= 10_000);
    let verdict = referee::judged(&mut referee::script(&python, "dates.py"), &cases);
    referee::passes("dates", &verdict);
}
