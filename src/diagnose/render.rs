//! Turns diagnostics into text for a terminal: code, place, the line with a caret, what is wrong, what to do.
//!
//! Invariant: of the file nothing is shown but the lines the diagnostics point at.
//!
//! Must not: print, decide about colour by itself, or show a file in full because one line is wrong.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use crate::diagnose::{Diagnostic, SourceFile};

/// How many mistakes are shown at once; the rest is counted. Nobody settles fifty mistakes in one go.
const SHOWN: usize = 50;

/// With or without terminal colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Text only.
    Plain,
    /// With ANSI escape codes.
    Coloured,
}

/// The diagnostics of one file, each with its line and a caret, ending in a line break.
///
/// `source` must be the file the diagnostics were made from; those of the whole file are shown without a line.
pub fn render(diagnostics: &[Diagnostic], source: &SourceFile, style: Style) -> String {
    render_all(diagnostics, Some(source), style)
}

/// The same without any line of the file: for files that could not be read as text.
pub fn render_bare(diagnostics: &[Diagnostic], style: Style) -> String {
    render_all(diagnostics, None, style)
}

fn render_all(diagnostics: &[Diagnostic], source: Option<&SourceFile>, style: Style) -> String {
    let renderer = match style {
        Style::Plain => Renderer::plain(),
        Style::Coloured => Renderer::styled(),
    };
    let mut out = String::new();
    for diagnostic in diagnostics.iter().take(SHOWN) {
        out.push_str(&renderer.render(&[group(diagnostic, source)]));
        out.push_str("\n\n");
    }
    if diagnostics.len() > SHOWN {
        let more = diagnostics.len() - SHOWN;
        out.push_str(&format!(
            "… and {more} more; settle these first, then check again.\n"
        ));
    } else {
        out.pop();
    }
    out
}

fn group<'a>(diagnostic: &'a Diagnostic, source: Option<&'a SourceFile>) -> Group<'a> {
    let title = Level::ERROR
        .primary_title(diagnostic.problem.as_str())
        .id(diagnostic.code.as_str());
    let help = Level::HELP.message(diagnostic.remedy.as_str());
    let (Some(source), Some(span)) = (source, &diagnostic.span) else {
        let mut origin = Origin::path(diagnostic.file.as_str());
        if let Some(position) = diagnostic.position {
            origin = origin.line(position.line).char_column(position.column);
        }
        return title.element(origin).element(help);
    };

    let line = source.line_span(span.start);
    let mut snippet = line_of(source, &diagnostic.file, &line)
        .annotation(AnnotationKind::Primary.span(within(span, &line)));
    let mut others = Vec::new();
    for (place, note) in &diagnostic.also {
        let other = source.line_span(place.start);
        let annotation = AnnotationKind::Context
            .span(within(place, &other))
            .label(note.as_str());
        if other == line {
            snippet = snippet.annotation(annotation);
        } else {
            others.push(line_of(source, &diagnostic.file, &other).annotation(annotation));
        }
    }
    title.element(snippet).elements(others).element(help)
}

/// Only the one line is handed over, so nothing else of a patient's file can appear.
fn line_of<'a>(
    source: &'a SourceFile,
    file: &'a str,
    line: &Range<usize>,
) -> Snippet<'a, annotate_snippets::Annotation<'a>> {
    Snippet::source(&source.text()[line.clone()])
        .line_start(source.position(line.start).line)
        .path(file)
}

/// The part of `span` on this line, counted from the start of the line.
fn within(span: &Range<usize>, line: &Range<usize>) -> Range<usize> {
    let start = span.start.clamp(line.start, line.end);
    let end = span.end.clamp(start, line.end);
    start - line.start..end - line.start
}
