//! Turns the catalogue into text for reading: all areas, or everything known about one.
//! Invariant: every number is printed with its unit, its source and its status.
//! Must not: recommend.

use std::fmt::Write as _;
use std::path::Path;

use super::Outcome;
use super::open::catalogue_and_wording;
use super::output::Output;
use crate::catalogue::{
    Area, Band, Catalogue, Counted, DoseKind, DosePer, Evidence, NumberUnit, Restriction, SourceId,
    Standing, WindowKind,
};
use crate::diagnose;
use crate::domain::{LabelId, StatementId};
use crate::wording::{Piece, Wording, rich};

pub fn run(wanted: Option<&str>, clinic: Option<&Path>) -> anyhow::Result<Outcome> {
    let Some((catalogue, wording)) = catalogue_and_wording(clinic)? else {
        return Ok(Outcome::Unsettled);
    };
    let catalogue = &catalogue;
    let text = match wanted {
        None => list(catalogue, &wording)?,
        Some(id) => match catalogue.area(id) {
            Some(area) => describe(area, catalogue, &wording)?,
            None => {
                say_unknown(id, catalogue, &wording)?;
                return Ok(Outcome::Unsettled);
            }
        },
    };
    Output::default().say(&text)?;
    Ok(Outcome::Fine)
}

/// Tells on stderr that no area is called so, and which one may have been meant: by its name in files or its everyday name.
pub(super) fn say_unknown(
    id: &str,
    catalogue: &Catalogue,
    wording: &Wording,
) -> anyhow::Result<()> {
    let known = everyday(catalogue, wording)?;
    let ids = || known.iter().map(|(id, _)| *id);
    let meant = diagnose::closest(id, ids()).or_else(|| {
        let near = diagnose::closest(id, known.iter().map(|(_, name)| name.as_str()))?;
        known
            .iter()
            .find(|(_, name)| name == near)
            .map(|(id, _)| *id)
    });
    let shown = |wanted: &dyn Fn(&str) -> bool| -> Vec<String> {
        let wanted = known.iter().filter(|(id, _)| wanted(id));
        wanted
            .map(|(id, name)| format!("`{id}` ({name})"))
            .collect()
    };
    let hint = match meant {
        Some(near) => format!("did you mean {}?", shown(&|id| id == near).concat()),
        None => format!("known areas: {}", shown(&|_| true).join(", ")),
    };
    anstream::eprintln!("no area is called `{}`; {hint}", diagnose::echo(id));
    Ok(())
}

/// Every area as files write it, with its everyday name.
pub(super) fn everyday<'c>(
    catalogue: &'c Catalogue,
    wording: &Wording,
) -> anyhow::Result<Vec<(&'c str, String)>> {
    let mut names = Vec::new();
    for area in &catalogue.areas {
        names.push((
            area.id.as_str(),
            wording.label(&LabelId::area_name(&area.id))?,
        ));
    }
    Ok(names)
}

fn list(catalogue: &Catalogue, wording: &Wording) -> anyhow::Result<String> {
    let width = catalogue
        .areas
        .iter()
        .map(|area| area.id.as_str().len())
        .max()
        .unwrap_or(0);
    let mut out = String::new();
    for area in &catalogue.areas {
        let mark = match area.restriction.value {
            Restriction::None => "",
            Restriction::ReconstructiveOnly => "  (only to balance an asymmetry)",
            Restriction::DoNotTreat => "  (do not treat)",
        };
        writeln!(
            out,
            "{:<width$}  {}{mark}",
            area.id,
            wording.label(&LabelId::area_name(&area.id))?
        )?;
    }
    Ok(out)
}

fn evidence(evidence: &Evidence) -> String {
    let Evidence { source, status } = evidence;
    format!("[{}; {}]", source.join(", "), status.as_str())
}

fn describe(area: &Area, catalogue: &Catalogue, wording: &Wording) -> anyhow::Result<String> {
    let mut out = String::new();
    writeln!(
        out,
        "{} ({})",
        wording.label(&LabelId::area_name(&area.id))?,
        area.id
    )?;
    writeln!(out, "\nMuscles (Terminologia Anatomica)")?;
    for muscle in &area.muscle {
        let part = muscle
            .part
            .as_ref()
            .map_or(String::new(), |part| format!(", {part}"));
        writeln!(
            out,
            "  {}{part}  {}",
            muscle.latin,
            evidence(&muscle.evidence)
        )?;
    }
    let sides: Vec<&str> = area.sides.iter().map(|side| side.as_str()).collect();
    writeln!(out, "\nSides: {}", sides.join(", "))?;
    let restriction = match area.restriction.value {
        Restriction::None => "none",
        Restriction::ReconstructiveOnly => "only to balance an asymmetry, not for looks",
        Restriction::DoNotTreat => "do not treat",
    };
    writeln!(
        out,
        "Restriction: {restriction}  {}",
        evidence(&area.restriction.evidence)
    )?;
    if !area.window.is_empty() {
        writeln!(out, "\nWindows after treatment")?;
    }
    for window in &area.window {
        let kind = match window.kind {
            WindowKind::Onset => "first change",
            WindowKind::FullEffect => "full effect",
            WindowKind::Review => "review",
            WindowKind::WearsOff => "wears off",
            WindowKind::Repeat => "repeat",
            WindowKind::MayLast => "may last",
            WindowKind::MayEnd => "may end",
        };
        let products = if window.products.is_empty() {
            String::new()
        } else {
            format!(" ({})", window.products.join(", "))
        };
        writeln!(
            out,
            "  {kind}: {}{products}  {}",
            wording.window(window)?,
            evidence(&window.evidence)
        )?;
    }
    if let Some(course) = &area.course {
        let said = wording.course(course)?;
        let part = |name: &str| said[name].as_str().unwrap_or_default().to_owned();
        writeln!(
            out,
            "  course: {} rounds, {} apart  {}",
            part("rounds"),
            part("interval"),
            evidence(&course.evidence)
        )?;
    }
    writeln!(out, "\nFunctions it can touch")?;
    for effect in &area.effect {
        let function = wording.label(&LabelId::function(effect.kind))?;
        writeln!(out, "  {function}  {}", evidence(&effect.evidence))?;
    }
    risks(area, wording, &mut out)?;
    if !area.advice.is_empty() {
        writeln!(out, "\nAdvice this area adds")?;
    }
    for advice in &area.advice {
        writeln!(out, "  {}  {}", advice.id, evidence(&advice.evidence))?;
    }
    for sign in &area.needs_sign {
        writeln!(
            out,
            "\nNothing to gain without {}  {}",
            sign.fact,
            evidence(&sign.evidence)
        )?;
    }
    if !area.poor_candidate.is_empty() {
        writeln!(out, "\nMay not suit a patient with")?;
    }
    for poor in &area.poor_candidate {
        let mut facts = String::new();
        if !poor.facts.is_empty() {
            let above = poor.above.map(|above| format!(" above {above}"));
            write!(
                facts,
                " (facts: {}{})",
                poor.facts.join(", "),
                above.unwrap_or_default()
            )?;
        }
        if !poor.denied.is_empty() {
            write!(facts, " (denied: {})", poor.denied.join(", "))?;
        }
        writeln!(out, "  {}{facts}  {}", poor.id, evidence(&poor.evidence))?;
    }
    doses_and_licences(area, &mut out)?;
    if !area.number.is_empty() {
        writeln!(out, "\nOther numbers the papers quote")?;
    }
    for number in &area.number {
        writeln!(
            out,
            "  {}: {}{}  {}",
            number.id,
            range(number.low, number.high),
            unit(number.unit),
            evidence(&number.evidence)
        )?;
    }
    if !area.statement.is_empty() {
        writeln!(out, "\nOther statements the papers make")?;
    }
    for claim in &area.statement {
        let template = &wording.statements()[StatementId::of_area(&area.id, &claim.id).wording()];
        let said = rich::parse(template)
            .map_or_else(|_| template.clone(), |pieces| rich::text_of_pieces(&pieces));
        writeln!(
            out,
            "  {}: {}  {}",
            claim.id,
            said.replace('\n', " "),
            evidence(&claim.evidence)
        )?;
    }
    writeln!(out, "\nSources")?;
    let mut used: Vec<&SourceId> = Vec::new();
    let toml = toml::Table::try_from(area).expect("an area was read from TOML");
    collect_sources(&toml::Value::Table(toml), catalogue, &mut used);
    for id in used {
        if let Some(source) = catalogue.sources.get(id) {
            writeln!(out, "  {}  {}", source.id, source.title)?;
        }
    }
    Ok(out)
}

/// Every source id anywhere in an area, in the order of the register.
fn collect_sources<'c>(
    value: &toml::Value,
    catalogue: &'c Catalogue,
    used: &mut Vec<&'c SourceId>,
) {
    fn walk(value: &toml::Value, found: &mut Vec<String>) {
        match value {
            toml::Value::Table(table) => {
                for (key, inner) in table {
                    if key == "source" {
                        found.extend(
                            inner
                                .as_array()
                                .into_iter()
                                .flatten()
                                .filter_map(|v| v.as_str())
                                .map(str::to_owned),
                        );
                    } else {
                        walk(inner, found);
                    }
                }
            }
            toml::Value::Array(items) => items.iter().for_each(|item| walk(item, found)),
            _ => {}
        }
    }
    let mut found = Vec::new();
    walk(value, &mut found);
    used.extend(
        catalogue
            .sources
            .keys()
            .filter(|id| found.iter().any(|f| f == *id)),
    );
    used.sort_by_key(|id| id.place());
}

fn risks(area: &Area, wording: &Wording, out: &mut String) -> anyhow::Result<()> {
    writeln!(out, "\nRequired risks")?;
    for risk in &area.risk {
        let template = &wording.statements()[StatementId::risk(&area.id, &risk.id).wording()];
        let lead = rich::parse(template)
            .ok()
            .and_then(|pieces| match pieces.into_iter().next() {
                Some(Piece::Para { text }) => text.into_iter().next().map(|run| run.text),
                _ => None,
            })
            .unwrap_or_default();
        writeln!(out, "  {}: {}  {}", risk.id, lead, evidence(&risk.evidence))?;
        if risk.figure.is_empty() {
            writeln!(out, "    no figure has been published")?;
        }
        for figure in &risk.figure {
            let products = if figure.products.is_empty() {
                "several products".to_owned()
            } else {
                figure.products.join(", ")
            };
            let placebo = figure.placebo.map_or(String::new(), |p| {
                format!("; dummy injection {p} in {}", figure.per)
            });
            let counted = match figure.counted {
                Counted::People => "people",
                Counted::Treatments => "treatments",
            };
            let size = figure
                .size
                .map_or(String::new(), |size| format!(" of {size} {counted}"));
            let band = Band::of(figure.affected_high.unwrap_or(figure.affected), figure.per)
                .map_or(String::new(), |band| {
                    format!(", product-text band: {}", band.as_str())
                });
            writeln!(
                out,
                "    {} in {} {counted}{band}{placebo} ({products}{size})  {}",
                range(
                    figure.affected,
                    figure.affected_high.unwrap_or(figure.affected)
                ),
                figure.per,
                evidence(&figure.evidence)
            )?;
        }
    }
    Ok(())
}

fn doses_and_licences(area: &Area, out: &mut String) -> anyhow::Result<()> {
    writeln!(
        out,
        "\nDoses that a source gives (units of that product only)"
    )?;
    if area.dose.is_empty() {
        writeln!(out, "  none")?;
    }
    for dose in &area.dose {
        let kind = match dose.kind {
            DoseKind::Label => "label",
            DoseKind::Study => "study",
            DoseKind::Expert => "expert",
        };
        let per = match dose.per {
            DosePer::Session => "for the session",
            DosePer::Side => "for each side",
            DosePer::Point => "for each point",
            DosePer::Band => "for each band",
        };
        let place = dose
            .place
            .as_ref()
            .map_or(String::new(), |place| format!(" {place}"));
        let points = dose
            .points
            .map_or(String::new(), |points| format!(", {points} points"));
        writeln!(
            out,
            "  {}: {} units {per}{points} ({kind}{place})  {}",
            dose.product,
            range(dose.low, dose.high),
            evidence(&dose.evidence)
        )?;
    }
    writeln!(out, "\nLicence")?;
    for licence in &area.licence {
        let standing = match licence.standing {
            Standing::Licensed => "licensed",
            Standing::OffLabel => "off-label",
            Standing::Unknown => "not known",
        };
        let since = licence
            .since
            .map_or(String::new(), |year| format!(" since {year}"));
        writeln!(
            out,
            "  {} in {}: {standing}{since}  {}",
            licence.product,
            licence.place,
            evidence(&licence.evidence)
        )?;
    }
    Ok(())
}

fn range(low: f64, high: f64) -> String {
    if low == high {
        low.to_string()
    } else {
        format!("{low} to {high}")
    }
}

fn unit(unit: NumberUnit) -> &'static str {
    match unit {
        NumberUnit::In100 => " in 100",
        NumberUnit::Millimetres => " mm",
        NumberUnit::Units => " units",
        NumberUnit::People => " people",
        NumberUnit::Hours => " hours",
        NumberUnit::Days => " days",
        NumberUnit::Weeks => " weeks",
        NumberUnit::Months => " months",
        NumberUnit::Years => " years",
        NumberUnit::Rounds => " rounds",
    }
}
