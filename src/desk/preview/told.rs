//! A look at the files as the browser gets it.
//!
//! Lengths are millimetres, lines and numbers of findings count from 1. What users wrote is text in JSON
//! and stays text in the page.

use serde_json::{Value, json};

use super::PreviewLook;
use super::odd::measure_oddness;
use crate::findings::Finding;
use crate::geom::{Insets, Rect};
use crate::scene::{MarkKind, Page, PlacedBlock};
use crate::source::{Sources, Span};

/// Blocks of one page that a finding is shown at: a row that is repeated has as many.
const MOST_SPOTS: usize = 8;

/// Characters of a text that is shown whole beside the pages; of a longer one only what findings quote.
/// Ours: a layout has some thousands, the orders of a year may have millions.
const WHOLE_SOURCE: usize = 100_000;

/// Lines that are quoted around a finding's.
const AROUND: usize = 3;

/// The pages, each with its blocks and what must stay white.
pub(super) fn tell_pages(look: &PreviewLook) -> Vec<Value> {
    let odd = measure_oddness(&look.pages);
    let tell = |(page, odd): (&Page, f64)| {
        let blocks: Vec<Value> = page.blocks.iter().map(|it| tell_block(it, look)).collect();
        let quiet = page.marks.iter().filter_map(|mark| match &mark.kind {
            MarkKind::Code(code) => Some(tell_rect(code.quiet)),
            _ => None,
        });
        let Insets { top, right, bottom, left } = page.clear_edge;
        let edge = [top, right, bottom, left].map(|side| short(side.0));
        json!({
            "title": page.title,
            "parcel": page.subject.as_ref().and_then(|subject| subject.position),
            "width": short(page.size.width.0),
            "height": short(page.size.height.0),
            "dots_per_mm": page.grid.per_mm(),
            "edge": edge,
            "odd": short(odd),
            "blocks": blocks,
            "quiet": quiet.collect::<Vec<_>>(),
            "spots": tell_spots(page, &look.findings),
        })
    };
    look.pages.iter().zip(odd).map(tell).collect()
}

/// A block: its name, its box and its place in the layout.
fn tell_block(block: &PlacedBlock, look: &PreviewLook) -> Value {
    let place = look.sources.position(block.span);
    json!({
        "name": block.name,
        "rect": tell_rect(block.rect),
        "file": look.sources.get(block.span.file).name(),
        "line": place.line,
    })
}

/// What of a page findings are about: the number of the finding and the number of the block.
fn tell_spots(page: &Page, findings: &[Finding]) -> Vec<Value> {
    let position = page.subject.as_ref().and_then(|subject| subject.position);
    let is_here = |finding: &Finding| match (finding.position(), position) {
        (Some(about), Some(here)) => about == here || finding.others.contains(&here),
        (Some(_), None) | (None, _) => true,
    };
    let numbered = findings.iter().zip(1..).filter(|(finding, _)| is_here(finding));
    let spots = numbered.flat_map(|(finding, number): (&Finding, usize)| {
        let blocks = finding.span.into_iter().flat_map(|span| page.innermost_blocks(span));
        blocks.take(MOST_SPOTS).map(move |block| json!([number, block]))
    });
    spots.collect()
}

/// The findings, as scripts get them, each with the lines around it.
pub(super) fn tell_findings(look: &PreviewLook) -> Vec<Value> {
    let tell = |finding: &Finding| {
        let mut told = finding.to_json(&look.sources);
        if let Some(span) = finding.span {
            told["quote"] = quote(&look.sources, span);
        }
        told
    };
    look.findings.iter().map(tell).collect()
}

/// The lines around a place, with the number of the first.
fn quote(sources: &Sources, span: Span) -> Value {
    let text = sources.get(span.file).text();
    let at = (span.start as usize).min(text.len());
    let starts = |at: usize| text[..at].rfind('\n').map_or(0, |end| end + 1);
    let floor = (0..=at).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
    let (mut start, mut before) = (starts(floor), 0);
    while before < AROUND && start > 0 {
        start = starts(start - 1);
        before += 1;
    }
    let line = sources.position(span).line;
    // A line may be a megabyte long.
    let cut = |line: &str| line.chars().take(200).collect::<String>();
    let lines: Vec<String> = text[start..].lines().take(before + 1 + AROUND).map(cut).collect();
    json!({ "first": line - before, "lines": lines })
}

/// The texts that are shown whole.
pub(super) fn tell_sources(sources: &Sources) -> Value {
    let whole = sources.all().filter(|source| source.text().len() <= WHOLE_SOURCE);
    let told = whole.map(|source| {
        let lines: Vec<&str> = source.text().lines().collect();
        (source.name().to_owned(), json!(lines))
    });
    Value::Object(told.collect())
}

/// A box as its left and upper side, width and height.
fn tell_rect(rect: Rect) -> Value {
    let sides = [rect.x, rect.y, rect.width, rect.height].map(|side| short(side.0));
    json!(sides)
}

/// A length in thousandths of a millimetre, so that what is sent stays short.
fn short(length: f64) -> f64 {
    (length * 1000.0).round() / 1000.0
}
