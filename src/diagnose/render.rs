//! Turns diagnostics into text for a terminal: code, place, the line with a caret, what is wrong, what to do.
//!
//! Invariant: of the file nothing is shown but the lines the diagnostics point at.
//!
//! Must not: print, decide about colour by itself, or show a file in full because one line is wrong.

use std::ops::Range;

use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use crate::diagnose::{Diagnostic, SourceFile, is_refused};

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

    let line = Line::at(source, span.start);
    let mut snippet = line
        .snippet(&diagnostic.file)
        .annotation(AnnotationKind::Primary.span(line.within(span)));
    let mut others = Vec::new();
    for (place, note) in &diagnostic.also {
        let other = Line::at(source, place.start);
        let annotation = AnnotationKind::Context
            .span(other.within(place))
            .label(note.as_str());
        if other.number == line.number {
            snippet = snippet.annotation(annotation);
        } else {
            others.push(other.snippet(&diagnostic.file).annotation(annotation));
        }
    }
    title.element(snippet).elements(others).element(help)
}

/// One line of the source, safe to show. Only this is handed to the renderer, so nothing else of a patient's file can
/// appear.
struct Line<'a> {
    source: &'a SourceFile,
    number: usize,
    span: Range<usize>,
}

impl<'a> Line<'a> {
    fn at(source: &'a SourceFile, byte: usize) -> Self {
        let span = source.line_span(byte);
        Line {
            source,
            number: source.position(span.start).line,
            span,
        }
    }

    fn snippet<'f>(&self, file: &'f str) -> Snippet<'f, Annotation<'f>> {
        Snippet::source(safe(&self.source.text()[self.span.clone()]))
            .line_start(self.number)
            .path(file)
    }

    /// The part of `span` on this line, in bytes of the line as it is shown.
    fn within(&self, span: &Range<usize>) -> Range<usize> {
        let start = span.start.clamp(self.span.start, self.span.end);
        let end = span.end.clamp(start, self.span.end);
        let shown = |upto: usize| safe(&self.source.text()[self.span.start..upto]).len();
        shown(start)..shown(end)
    }
}

/// The line with a visible mark in place of every character that hides or reorders text. One mark for one character, so
/// that columns stay true; tabs are left to the renderer.
fn safe(line: &str) -> String {
    line.chars()
        .map(|c| {
            if c != '\t' && is_refused(c) {
                '\u{FFFD}'
            } else {
                c
            }
        })
        .collect()
}
