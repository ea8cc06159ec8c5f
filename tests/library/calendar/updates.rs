//! Papers made anew: the same events under the same UIDs.

use std::collections::BTreeSet;

use crate::support::calendar_file::{VISIT, calendar, clinic_toml, events, plan_toml, uids, value};

#[test]
fn a_re_issue_updates_instead_of_duplicating() {
    let clinic = clinic_toml("Europe/London", true);
    let first = calendar(&clinic, &plan_toml(VISIT, &["forehead"]));
    let before = uids(&first);
    assert_eq!(before.iter().collect::<BTreeSet<_>>().len(), before.len());
    assert!(
        events(&first)
            .iter()
            .all(|event| value(event, "SEQUENCE") == "0")
    );
    assert!(
        before
            .iter()
            .all(|uid| uid.len() == 40 && uid.chars().all(|c| c.is_ascii_hexdigit()))
    );

    let changes = [
        (
            "revision",
            plan_toml(&format!("{VISIT}\nrevision = 3"), &["forehead"]),
        ),
        (
            "area",
            plan_toml(VISIT, &["glabella", "forehead", "platysma"]),
        ),
        (
            "hour",
            plan_toml(&VISIT.replace("14:30", "09:15"), &["forehead"]),
        ),
    ];
    for (what, plan) in &changes {
        let again = calendar(&clinic, plan);
        let after = uids(&again);
        assert_eq!(
            after.iter().collect::<BTreeSet<_>>().len(),
            after.len(),
            "{what}"
        );
        let wanted = if *what == "revision" { "3" } else { "0" };
        for event in events(&first) {
            let uid = value(&event, "UID");
            let same = events(&again);
            let same = same.iter().find(|e| value(e, "UID") == uid);
            let same = same.unwrap_or_else(|| panic!("{what}: lost {event:#?}"));
            assert_eq!(value(same, "SEQUENCE"), wanted);
            // it is still about the same thing: the kind and, where there is one, the area
            let about = |event: &[String]| {
                let title = value(event, "SUMMARY").split(':').next().map(str::to_owned);
                (title, event.contains(&"BEGIN:VALARM".to_owned()))
            };
            assert_eq!(about(same), about(&event), "{what}");
        }
    }
    assert_eq!(
        calendar(
            &clinic_toml("Europe/London", false),
            &plan_toml(VISIT, &["forehead"])
        )
        .lines()
        .filter(|line| line.starts_with("UID:"))
        .count(),
        before.len()
    );

    // another patient's and another day's visit share nothing with it
    let others = [
        plan_toml(VISIT, &["forehead"]).replace("INV-77", "INV-78"),
        plan_toml(&VISIT.replace("12-03", "12-04"), &["forehead"]),
    ];
    for other in others {
        assert!(
            uids(&calendar(&clinic, &other))
                .iter()
                .all(|uid| !before.contains(uid))
        );
    }
}
