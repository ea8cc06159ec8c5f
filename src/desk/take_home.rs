//! Turns one visit of a day into its information paper, for the patient to take home days before.
//! Invariant: the paper is the one that `make` writes: in the papers' folder, noted in the register, and none under a stop.
//! Must not: show anything else of the visit, or write down that the paper was given.

use axum::body::Bytes;
use axum::http::StatusCode;

use super::asking::{Answer, Asked};
use super::house::{Opened, code_of};
use super::{Desk, day, label};
use crate::paper::PaperKind;
use crate::practice::{Content, DayVisit, MakeOptions, OutFolder, Wanted, Written, explained};
use crate::select::VisitState;

/// Under which code the day offers the paper; none where it was given before, or nothing may be handed out.
pub(super) fn offered(desk: &Desk, visit: &DayVisit) -> Option<String> {
    let may_go = matches!(
        visit.state(),
        VisitState::Ready | VisitState::NotAsked(_) | VisitState::ToAnswer(_)
    );
    let today = desk.today();
    let given = visit.row.informed_before.is_some_and(|day| day < today);
    (may_go && !given).then(|| code_of(desk.gateway.secret(), &visit.row.file))
}

/// Makes the paper and hands it to the browser.
pub(super) fn make(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| match paper(desk, opened, asked) {
        Ok(Some((name, bytes))) => Answer::File {
            kind: "application/pdf",
            bytes,
            name: Some(name),
        },
        Ok(None) => {
            let what = label(&opened.words, "desk.day.no-information");
            desk.sorry(opened, StatusCode::CONFLICT, &what)
        }
        Err(what) => desk.sorry(opened, StatusCode::INTERNAL_SERVER_ERROR, &what),
    })
}

/// The name of the file and the paper; none where it is not offered any more.
fn paper(desk: &Desk, opened: &Opened, asked: &Asked) -> Result<Option<(String, Bytes)>, String> {
    let date = day::wanted(desk, opened, asked)?;
    let practice = &opened.practice;
    let day = practice.day(desk.house.folder(), date);
    let day = day.map_err(|failed| explained(&failed))?;
    let code = asked.filled("visit");
    let wanted = |visit: &&DayVisit| {
        let offered = offered(desk, visit);
        offered.is_some() && offered.as_deref() == code
    };
    let Some(visit) = day.visits.iter().find(wanted) else {
        return Ok(None);
    };
    // the file may have changed since the day was looked through
    let Ok(plan) = practice.read_plan(&visit.plan) else {
        return Ok(None);
    };
    let papers = practice.make(&plan, &MakeOptions::default());
    let papers = papers.map_err(|failed| explained(&failed))?;
    let mut out = OutFolder::new(&desk.house.papers(), None);
    out.sweep();
    let only = [Wanted::Paper(PaperKind::Information)];
    let written = out.write(&visit.row.file, &papers, &only);
    let Written::Files { files, .. } = written.map_err(|failed| explained(&failed))? else {
        return Ok(None);
    };
    let is_paper = |content: &Content| matches!(content, Content::Paper { .. });
    let Some((path, _)) = files.iter().find(|(_, content)| is_paper(content)) else {
        return Ok(None);
    };
    let bytes = std::fs::read(path).map_err(|error| error.to_string())?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    Ok(Some((name.into_owned(), bytes.into())))
}
