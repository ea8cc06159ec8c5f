//! What a clinic writes never becomes code: not for the template engine, not for Markdown, not for the typesetter.

use super::{desk, mistakes_at};
use crate::support::{read_back, run, squeeze};

#[test]
fn what_looks_like_typst_is_printed_as_typed() {
    let hostile = "#panic(\"x\") $x^2$ #import \"y.typ\" @cite `#read(\"/etc/passwd\")`";
    // Markdown reads backquotes, so they are escaped as its users escape them
    let words = format!(
        "## advice.no-rubbing\n\nDo not rub. {}\n\n## clinic.consent.extra\n\n{}\n",
        hostile.replace('`', "\\`"),
        hostile.replace('`', "\\`")
    );
    let folder = desk(&[("wording/en/a.md", &words)]);
    let ran = run(folder.path(), &["make", "plan.toml", "--out", "papers"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for paper in ["aftercare", "information"] {
        let pdf = folder
            .path()
            .join(format!("papers/INV-1-2026-12-03-{paper}.pdf"));
        let Some(pages) = read_back(&pdf) else { return };
        let text = squeeze(&pages.concat());
        assert!(text.contains(&squeeze(hostile)), "{paper}: {text}");
    }
}

#[test]
fn templates_that_reach_further_than_their_blanks_are_refused() {
    for text in [
        "{{ 7*7 }}",
        "{% include \"paper.draft\" %}",
        "{% include \"/etc/passwd\" %}",
        "{% import \"advice.no-ice\" as x %}",
        "{% extends \"advice.no-ice\" %}",
        "{% for a in range(99999999) %}{% for b in range(99999999) %}x{% endfor %}{% endfor %}",
        "{% macro f() %}{{ f() }}{% endmacro %}{{ f() }}",
        "{{ \"x\" * 999999999999 }}",
        "{{ phone.__class__ }}",
        "{{ phone | upper }}",
        "{{ debug() }}",
        "{% raw %}{{ x }}{% endraw %}",
        "{% set w = 1 %}",
    ] {
        let words = format!("## advice.no-ice\n\nNo ice. {text}\n");
        let folder = desk(&[("wording/en/a.md", &words)]);
        assert_eq!(
            mistakes_at(folder.path()),
            ["ours/wording/en/a.md P813 3:9"],
            "{text}"
        );
    }
}

/// A value of the plan that looks like a template is a value, in a clinic's own sentence too.
#[test]
fn values_in_own_words_stay_values() {
    let words = "## clinic.aftercare.extra\n\nAsk at {{ clinic }} about {{ areas }}{% if urgent %} or dial {{ urgent }}{% endif %}.\n";
    let folder = desk(&[("wording/en/a.md", words)]);
    let clinic = std::fs::read_to_string(folder.path().join("clinic.toml")).expect("a clinic");
    let clinic = clinic.replace("Fern Bank Rooms (invented)", "{{ 7*7 }} *Rooms* #x");
    crate::support::put(folder.path(), "clinic.toml", clinic);
    let ran = run(folder.path(), &["make", "plan.toml", "--out", "papers"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let pdf = folder.path().join("papers/INV-1-2026-12-03-aftercare.pdf");
    let Some(pages) = read_back(&pdf) else { return };
    let text = squeeze(&pages.concat());
    assert!(text.contains("Askat{{7*7}}*Rooms*#xabout"), "{text}");
}
