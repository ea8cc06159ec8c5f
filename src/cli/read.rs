//! Turns paths into a clinic and a visit, or into every mistake in them, shown with line and caret.
//! Invariant: every mistake of both files is shown in one go.
//! Must not: work anything out from a visit.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};

use super::overlay::read_overlay;
use crate::catalogue::Catalogue;
use crate::diagnose::{self, Diagnostic, OpenError, SourceFile, Style};
use crate::overlay::Overlay;
use crate::papers;
use crate::plan::{self, Clinic, UserText, Visit};
use crate::typeset::{Fonts, Typesetter};
use crate::wording::{Approvals, serves};

/// A visit with its clinic and the typesetter that can print both.
pub struct Read {
    pub visit: Visit,
    pub clinic: Clinic,
    /// The release's catalogue with what the clinic's overlay adds.
    pub catalogue: Catalogue,
    pub typesetter: Typesetter,
    pub approvals: Approvals,
}

/// What came of reading.
pub enum Reading {
    Fine(Box<Read>),
    /// The files have mistakes; they were shown.
    Mistakes(Vec<Diagnostic>),
}

fn style() -> Style {
    if std::io::stderr().is_terminal() {
        Style::Coloured
    } else {
        Style::Plain
    }
}

/// Opens a file; a refused one is shown.
fn open(path: &Path) -> anyhow::Result<Result<SourceFile, Diagnostic>> {
    match SourceFile::open(path) {
        Ok(source) => Ok(Ok(source)),
        Err(OpenError::Refused(diagnostic)) => {
            anstream::eprint!(
                "{}",
                diagnose::render_bare(std::slice::from_ref(&diagnostic), style())
            );
            Ok(Err(*diagnostic))
        }
        Err(error) => Err(error.into()),
    }
}

pub(super) fn show(mistakes: &[Diagnostic], source: &SourceFile) {
    anstream::eprint!("{}", diagnose::render(mistakes, source, style()));
}

/// Shows mistakes of which there is no line.
pub(super) fn show_bare(mistakes: &[Diagnostic]) {
    anstream::eprint!("{}", diagnose::render_bare(mistakes, style()));
}

/// The clinic file that belongs to a plan.
fn clinic_path(plan: &Path, given: Option<&Path>) -> anyhow::Result<PathBuf> {
    if let Some(given) = given {
        return Ok(given.to_owned());
    }
    let folder = plan.parent().unwrap_or(Path::new(""));
    ["clinic.toml", "clinic.json"]
        .iter()
        .map(|name| folder.join(name))
        .find(|path| path.exists())
        .ok_or_else(|| {
            anyhow!(
                "no clinic file: put clinic.toml beside {} or name one with --clinic FILE",
                plan.display()
            )
        })
}

/// Reads a plan with its clinic.
///
/// # Errors
/// A file cannot be read at all.
pub fn read(plan: &Path, clinic: Option<&Path>, fonts: Option<&Path>) -> anyhow::Result<Reading> {
    let plan_source = match open(plan)? {
        Ok(source) => source,
        Err(diagnostic) => return Ok(Reading::Mistakes(vec![diagnostic])),
    };
    let clinic_path = clinic_path(plan, clinic)?;
    let clinic_source = match open(&clinic_path)? {
        Ok(source) => source,
        Err(diagnostic) => return Ok(Reading::Mistakes(vec![diagnostic])),
    };
    let (overlay, mut mistakes) = read_overlay(&clinic_source, &clinic_path)?;
    let vocabulary = &vocabulary(&overlay);
    let clinic = plan::read_clinic(&clinic_source, vocabulary);
    let visit = plan::read_plan(&plan_source, vocabulary, clinic.as_ref().ok());
    if let Err(found) = &clinic {
        show(found, &clinic_source);
        mistakes.extend(found.iter().cloned());
    }
    if let Err(found) = &visit {
        show(found, &plan_source);
        mistakes.extend(found.iter().cloned());
    }
    if let (Ok(clinic), Ok(visit)) = (&clinic, &visit) {
        let found = unworded(&overlay, clinic, Some(visit));
        show_bare_if_any(&found);
        mistakes.extend(found);
    }
    let (Ok(mut clinic), Ok(visit), true) = (clinic, visit, mistakes.is_empty()) else {
        return Ok(Reading::Mistakes(mistakes));
    };
    clinic.own = overlay.own;

    let typesetter = typesetter(fonts, &clinic, &clinic_path)?;
    let mut unprintable = unprintable(&clinic.texts, &clinic_source, typesetter.fonts());
    show_if_any(&unprintable, &clinic_source);
    let of_plan = self::unprintable(&visit.texts, &plan_source, typesetter.fonts());
    show_if_any(&of_plan, &plan_source);
    unprintable.extend(of_plan);
    if !unprintable.is_empty() {
        return Ok(Reading::Mistakes(unprintable));
    }
    let approvals = read_approvals(&approvals_path(&clinic, &clinic_path))?;
    Ok(Reading::Fine(Box::new(Read {
        visit,
        clinic,
        catalogue: overlay.catalogue,
        typesetter,
        approvals,
    })))
}

/// The words of plan and clinic files, the names of the clinic's own areas among them even when they have mistakes.
fn vocabulary(overlay: &Overlay) -> plan::Vocabulary {
    let mut vocabulary = papers::vocabulary(&overlay.catalogue);
    for area in &overlay.areas {
        if vocabulary.area(area).is_none() {
            vocabulary.areas.push(plan::AreaWord {
                id: area.clone(),
                sides: plan::Side::ALL.to_vec(),
            });
        }
    }
    vocabulary
}

/// Areas of the clinic's own without words in a language that is needed: the clinic's, and for the areas of a plan the
/// patient's.
fn unworded(overlay: &Overlay, clinic: &Clinic, visit: Option<&Visit>) -> Vec<Diagnostic> {
    let of_clinic = serves(&clinic.language);
    let mut found = of_clinic.map_or(Vec::new(), |base| overlay.unworded(base, None));
    if let Some(visit) = visit
        && let Some(language) = &visit.patient.language
        && let Some(base) = serves(language).filter(|base| Some(*base) != of_clinic)
    {
        let planned = visit.areas.iter().map(|area| area.id.clone()).collect();
        found.extend(overlay.unworded(base, Some(&planned)));
    }
    found
}

fn show_bare_if_any(mistakes: &[Diagnostic]) {
    if !mistakes.is_empty() {
        show_bare(mistakes);
    }
}

fn show_if_any(mistakes: &[Diagnostic], source: &SourceFile) {
    if !mistakes.is_empty() {
        show(mistakes, source);
    }
}

fn typesetter(
    fonts: Option<&Path>,
    clinic: &Clinic,
    clinic_path: &Path,
) -> anyhow::Result<Typesetter> {
    let folder = match (fonts, &clinic.fonts) {
        (Some(given), _) => given.to_owned(),
        (None, Some(own)) => clinic_path.parent().unwrap_or(Path::new("")).join(own),
        (None, None) => return Ok(Typesetter::embedded()),
    };
    Typesetter::with_fonts(&folder)
        .with_context(|| format!("cannot read the fonts in {}", folder.display()))
}

/// Every text with a character that no loaded font can draw.
fn unprintable(texts: &[UserText], source: &SourceFile, fonts: &Fonts) -> Vec<Diagnostic> {
    texts
        .iter()
        .filter_map(|text| Some((text, fonts.missing(&text.text)?)))
        .map(|(text, character)| {
            Diagnostic::new(
                source,
                diagnose::Code::UnprintableCharacter,
                text.span.clone(),
                format!(
                    "No loaded font can print {} in this text.",
                    diagnose::character_name(character)
                ),
                "Put a font that has it into a folder and name the folder with --fonts DIR, or as `fonts` in the clinic file.",
            )
            .at(text.path.clone())
        })
        .collect()
}

/// Where a clinic's approvals are kept.
pub fn approvals_path(clinic: &Clinic, clinic_path: &Path) -> PathBuf {
    let folder = clinic_path.parent().unwrap_or(Path::new(""));
    folder.join(
        clinic
            .approvals
            .as_deref()
            .unwrap_or(Path::new("approvals.toml")),
    )
}

/// The approvals of a clinic; none when the file is not there.
///
/// # Errors
/// The file is there but cannot be read, or is not what `wording approve` writes.
pub fn read_approvals(path: &Path) -> anyhow::Result<Approvals> {
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Approvals::none()),
        Err(error) => return Err(error).with_context(|| format!("cannot read {}", path.display())),
    };
    toml::from_str(&text).with_context(|| format!("{} is not a list of approvals", path.display()))
}

/// A clinic with its overlay, for a command that takes no plan.
pub struct ClinicRead {
    pub clinic: Clinic,
    pub overlay: Overlay,
}

/// The clinic file of a command that takes no plan; `None` when it or its overlay has mistakes, which were shown.
///
/// # Errors
/// The file cannot be read at all.
pub fn read_clinic_only(path: &Path) -> anyhow::Result<Option<ClinicRead>> {
    Ok(read_clinic_as_it_is(path)?.filter(|read| read.overlay.is_right()))
}

/// The same, with an overlay that has mistakes as far as it could be read.
///
/// # Errors
/// The file cannot be read at all.
pub fn read_clinic_as_it_is(path: &Path) -> anyhow::Result<Option<ClinicRead>> {
    let Ok(source) = open(path)? else {
        return Ok(None);
    };
    let (mut overlay, _) = read_overlay(&source, path)?;
    match plan::read_clinic(&source, &vocabulary(&overlay)) {
        Ok(mut clinic) => {
            let found = unworded(&overlay, &clinic, None);
            show_bare_if_any(&found);
            if !found.is_empty() {
                overlay.mistakes.push(crate::overlay::Mistakes {
                    source: None,
                    found,
                });
            }
            clinic.own = overlay.own.clone();
            Ok(Some(ClinicRead { clinic, overlay }))
        }
        Err(found) => {
            show(&found, &source);
            Ok(None)
        }
    }
}

/// Catalogue and wording of a command that can do without a clinic: the release's in English, or the clinic's own.
/// `None` when the clinic file or its overlay has mistakes, which were shown.
///
/// # Errors
/// The file cannot be read at all.
pub fn catalogue_and_wording(
    clinic: Option<&Path>,
) -> anyhow::Result<Option<(Catalogue, crate::wording::Wording)>> {
    let Some(path) = clinic else {
        let language = "en".parse().expect("`en` is a language tag");
        let wording = crate::wording::Wording::new(&language, "GB")?;
        return Ok(Some((Catalogue::embedded().clone(), wording)));
    };
    let Some(read) = read_clinic_only(path)? else {
        return Ok(None);
    };
    let wording = papers::practice_wording(&read.clinic)?;
    Ok(Some((read.overlay.catalogue, wording)))
}
