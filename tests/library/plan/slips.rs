//! Lines as beginners write them: one message for each, and a line changed as the message says reads well.

use crate::support::plan_reader::{good, plan};

/// Lines of the good plan, the same as somebody wrote them, and what the message has to say for the way back.
const SLIPS: [(&str, &str, &str); 30] = [
    ("units = 25", "units = 25 units", "units = 25."),
    ("units = 25", "units = 25u", "units = 25."),
    ("units = 25", "units = 25 IE", "units = 25."),
    ("units = 25", "units = 025 U;", "units = 25."),
    ("units = 25", "units = 25,", "units = 25."),
    (
        "units = 25",
        "units = 25 units // as last time",
        "units = 25. Put #",
    ),
    ("units = 25", "units = 25 // as last time", "Put #"),
    ("units = 25", "units = “25”", "units = 25."),
    ("units = 25", "units: 25", "units = 25."),
    ("units = 25", "units 25", "units = 25."),
    ("units = 25", "units\t25 units", "units = 25."),
    ("units = 25", "units =\u{a0}25", "space bar"),
    ("units = 25", "\u{a0}units = 25", "space bar"),
    (
        "units = 25",
        "units = 25\u{2003}# both the same",
        "space bar",
    ),
    (
        "units = 25",
        "masseter\tboth\t25\tslimmer",
        "line of its own",
    ),
    ("units = 25", "masseter;both;25", "line of its own"),
    ("diluent_ml = 2.5", "diluent_ml = 2,5", "diluent_ml = 2.5."),
    (
        "diluent_ml = 2.5",
        "diluent_ml = 2,5 ml",
        "diluent_ml = 2.5.",
    ),
    ("diluent_ml = 2.5", "diluent_ml = 02,5", "diluent_ml = 2.5."),
    ("per = \"side\"", "per = side // each", "per = \"…\". Put #"),
    ("per = \"side\"", "per = \"side\" // each", "Put #"),
    ("per = \"side\"", "per = “side”", "straight"),
    ("per = \"side\"", "per = \"side”", "straight"),
    ("per = \"side\"", "per: side", "per = \"…\""),
    (
        "needs = [\"speech\", \"smile\"]",
        "needs = [“speech”, “smile”]",
        "straight",
    ),
    (
        "speaks_publicly = true",
        "speaks_publicly: yes",
        "speaks_publicly = true.",
    ),
    ("[product]", "[product] // what is used", "Put #"),
    ("round = 2", "round = 2nd", "round = 2."),
    ("date = 2026-09-01", "date = 2026-08", "date = \"2026-08\"."),
    (
        "aim = \"slimmer jaw line\"",
        "// aim = \"slimmer jaw line\"",
        "#",
    ),
];

#[test]
fn one_message_leads_out_of_a_slip() {
    let right = good("plan.toml");
    for (line, slip, way_out) in SLIPS {
        let wrong = right.replacen(line, slip, 1);
        assert_ne!(wrong, right, "{line} is not in the plan");
        let found = plan("plan.toml", &wrong).expect_err(slip);
        let at = right[..right.find(line).expect("it is there")]
            .lines()
            .count()
            + 1;
        let here: Vec<_> = found.iter().filter(|one| one.line() == Some(at)).collect();
        assert_eq!((here.len(), found.len()), (1, 1), "{slip}: {found:?}");
        assert!(
            here[0].remedy.contains(way_out),
            "{slip}: {}",
            here[0].remedy
        );
    }
}

/// Changes a line as a person would who reads the remedy and nothing else.
fn as_told(slip: &str, remedy: &str) -> String {
    let mut line = slip.to_owned();
    if remedy.contains("press the space bar") {
        line = line.replace(['\u{a0}', '\u{2003}'], " ");
    }
    if remedy.contains("Put #") {
        line = line.replacen("//", "#", 1);
    }
    if remedy.contains("straight") {
        line = line.replace(['“', '”'], "\"");
    }
    let told = [
        "in quotation marks: ",
        "Write the number alone: ",
        "Write it as ",
    ]
    .iter()
    .find_map(|told| remedy.split_once(told));
    let Some((_, told)) = told else { return line };
    let text = slip.trim_start_matches(|c: char| c.is_ascii_alphanumeric() || "_ :=".contains(c));
    let remark = line.find('#').map(|at| line[at..].to_owned());
    let new = match told.split_once(" = \"…\"") {
        // a text is put between quotation marks as it stands
        Some((key, _)) => {
            let value = slip
                .trim_start_matches(key)
                .trim_start_matches([' ', ':', '=']);
            format!(
                "{key} = \"{}\"",
                value.split("//").next().unwrap_or_default().trim()
            )
        }
        None => told
            .split(". ")
            .next()
            .unwrap_or_default()
            .trim_end_matches('.')
            .to_owned(),
    };
    assert!(text.len() < slip.len());
    format!("{new} {}", remark.unwrap_or_default())
}

#[test]
fn a_line_changed_as_the_message_says_reads_well() {
    let right = good("plan.toml");
    // of a row of a table only the writer knows what its cells are
    let told = SLIPS
        .iter()
        .filter(|(_, _, way_out)| *way_out != "line of its own");
    for (line, slip, _) in told {
        let found = plan("plan.toml", &right.replacen(line, slip, 1)).expect_err(slip);
        let mended = as_told(slip, &found[0].remedy);
        let read = plan("plan.toml", &right.replacen(line, &mended, 1));
        assert!(read.is_ok(), "{slip} became {mended}: {read:?}");
    }
}

#[test]
fn of_two_numbers_none_is_chosen() {
    let wrong = good("plan.toml").replacen("units = 25", "units = 20-25 units", 1);
    let found = plan("plan.toml", &wrong).expect_err("two numbers");
    assert!(
        found[0].problem.contains("More than one number"),
        "{found:?}"
    );
    assert!(
        !found[0].remedy.contains("20") && !found[0].remedy.contains("25"),
        "{found:?}"
    );
}
