//! Diagnostics as text for people: the line, three either side, a caret and the way out.
//!
//! Whatever a finding quotes, and the lines around its place, are shown with escapes where a
//! terminal would obey them: no text of a file can clear the screen or pass for a line of ours.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};

use super::{Finding, Severity};
use crate::source::{Sources, Span};
use crate::words::{escape_obeyed, is_obeyed};

/// How findings are written out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    /// With the source lines, a caret and hints.
    #[default]
    Full,
    /// As [`Style::Full`], coloured for a terminal.
    Coloured,
    /// One line each.
    Short,
}

/// Lines shown before and after the one concerned.
const CONTEXT_LINES: usize = 3;

/// Bytes shown before and after a place in a line too long to show whole.
const CONTEXT_BYTES: usize = 60;

/// Lines longer than this are shown in part; exports often come as one line.
const LONG_LINE: usize = 240;

/// Writes a finding out, with a line end.
#[must_use]
pub fn render(finding: &Finding, sources: &Sources, style: Style) -> String {
    match style {
        Style::Short => render_short(finding, sources),
        Style::Full => render_full(finding, sources, &Renderer::plain()),
        Style::Coloured => render_full(finding, sources, &Renderer::styled()),
    }
}

/// One line: place, severity, rule, message, and whom it concerns.
fn render_short(finding: &Finding, sources: &Sources) -> String {
    let mut line = String::new();
    if let Some(span) = finding.span {
        let position = sources.position(span);
        let name = sources.get(span.file).name();
        let _ = write!(line, "{name}:{}:{}: ", position.line, position.column);
    }
    let _ =
        write!(line, "{}[{}]: {}", finding.severity.word(), finding.rule, finding.full_message());
    if let Some(context) = describe_context(finding) {
        let _ = write!(line, " ({context})");
    }
    format!("{}\n", escape_obeyed(&line))
}

/// The whole of it, with source lines.
fn render_full(finding: &Finding, sources: &Sources, renderer: &Renderer) -> String {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let message = finding.full_message();
    let title = level.primary_title(escape_obeyed(&message)).id(finding.rule.name);
    let mut group = Group::with_title(title);
    if let Some(span) = finding.span {
        group = add_excerpt(group, sources, span, finding.label.as_deref());
    }
    if !finding.details.is_empty() {
        let details: Vec<_> = finding.details.iter().map(|line| escape_obeyed(line)).collect();
        group = group.element(Level::NOTE.no_name().message(details.join("\n")));
    }
    if let Some(context) = describe_context(finding) {
        group = group.element(Level::NOTE.message(escape_obeyed(&context).into_owned()));
    }
    for hint in &finding.hints {
        group = group.element(Level::HELP.message(escape_obeyed(hint)));
    }
    let mut report = vec![group];
    for (span, words) in &finding.related {
        let related = Group::with_title(Level::NOTE.secondary_title(escape_obeyed(words)));
        report.push(add_excerpt(related, sources, *span, None));
    }
    let mut text = renderer.render(&report);
    text.push('\n');
    text
}

/// Order, bench position, block and data path in one phrase.
fn describe_context(finding: &Finding) -> Option<String> {
    let mut parts = Vec::new();
    if let Some(subject) = &finding.subject {
        match subject.position {
            Some(position) => parts.push(format!("parcel {position}, order `{}`", subject.order)),
            None => parts.push(format!("order `{}`", subject.order)),
        }
    }
    if let Some(block) = &finding.block {
        parts.push(format!("block `{block}`"));
    }
    if let Some(path) = &finding.path {
        parts.push(format!("at `{path}`"));
    }
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Adds the place and its source lines to a group.
fn add_excerpt<'a>(
    group: Group<'a>,
    sources: &'a Sources,
    span: Span,
    label: Option<&'a str>,
) -> Group<'a> {
    let source = sources.get(span.file);
    let position = sources.position(span);
    let name = escape_obeyed(source.name());
    let excerpt = Excerpt::around(source.text(), span).escaped();
    let mut annotation = AnnotationKind::Primary.span(excerpt.marked);
    if let Some(label) = label {
        annotation = annotation.label(escape_obeyed(label));
    }
    let snippet = Snippet::source(excerpt.text)
        .line_start(position.line - excerpt.lines_before)
        .fold(false)
        .annotation(annotation);
    if excerpt.moved {
        // Columns counted in a window, or among escapes, would be wrong, so the true place is given apart from it.
        let origin = Origin::path(name).line(position.line).char_column(position.column);
        return group.element(Element::Origin(origin)).element(snippet);
    }
    group.element(snippet.path(name))
}

/// The part of a source shown for one place.
struct Excerpt<'a> {
    /// Whole lines, or a window of one long line.
    text: Cow<'a, str>,
    /// How many lines stand before the one concerned.
    lines_before: usize,
    /// The bytes of `text` under the caret.
    marked: Range<usize>,
    /// Whether columns in `text` are not those of the source: it is a window of one long line, or
    /// has escapes.
    moved: bool,
}

impl<'a> Excerpt<'a> {
    /// Cuts the lines around a span out of its source.
    fn around(text: &'a str, span: Span) -> Excerpt<'a> {
        let start = floor_boundary(text, span.start as usize);
        let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        // The caret stays on the first line of what it marks: a block can be many lines long.
        let end = floor_boundary(text, span.end as usize).clamp(start, line_end);
        if line_end - line_start > LONG_LINE {
            let from = floor_boundary(text, start.saturating_sub(CONTEXT_BYTES)).max(line_start);
            let end = end.min(floor_boundary(text, start + CONTEXT_BYTES));
            let to = floor_boundary(text, end + CONTEXT_BYTES).min(line_end);
            return Excerpt {
                text: Cow::Borrowed(&text[from..to]),
                lines_before: 0,
                marked: start - from..end.max(start) - from,
                moved: true,
            };
        }
        let (from, lines_before) = step_back(text, line_start);
        let to = step_on(text, line_end);
        let marked = start - from..end - from;
        Excerpt { text: Cow::Borrowed(&text[from..to]), lines_before, marked, moved: false }
    }

    /// The same with escapes for what a terminal would obey, but for line ends and tabs.
    fn escaped(self) -> Excerpt<'a> {
        let text = &*self.text;
        let is_ours = |at: usize, c: char| {
            matches!(c, '\n' | '\t') || (c == '\r' && text[at + 1..].starts_with('\n'))
        };
        let mut characters = text.char_indices();
        if !characters.any(|(at, c)| is_obeyed(c) && !is_ours(at, c)) {
            return self;
        }
        let mut shown = String::with_capacity(text.len() + 64);
        let mut marked = 0..0;
        for (at, c) in text.char_indices() {
            if at == self.marked.start {
                marked.start = shown.len();
            }
            if at == self.marked.end {
                marked.end = shown.len();
            }
            match is_obeyed(c) && !is_ours(at, c) {
                true => shown.extend(c.escape_default()),
                false => shown.push(c),
            }
        }
        if self.marked.start >= text.len() {
            marked.start = shown.len();
        }
        if self.marked.end >= text.len() {
            marked.end = shown.len();
        }
        Excerpt { text: Cow::Owned(shown), marked, moved: true, ..self }
    }
}

/// Goes back over the lines shown before; returns where they start and how many there are.
fn step_back(text: &str, line_start: usize) -> (usize, usize) {
    let mut from = line_start;
    for count in 0..CONTEXT_LINES {
        let Some(before) = from.checked_sub(1) else { return (from, count) };
        let previous = text[..before].rfind('\n').map_or(0, |at| at + 1);
        if before - previous > LONG_LINE {
            return (from, count);
        }
        from = previous;
    }
    (from, CONTEXT_LINES)
}

/// Goes on over the lines shown after; returns where they end.
fn step_on(text: &str, line_end: usize) -> usize {
    let mut to = line_end;
    for _ in 0..CONTEXT_LINES {
        if to >= text.len() {
            break;
        }
        let next = text[to + 1..].find('\n').map_or(text.len(), |at| to + 1 + at);
        if next - to > LONG_LINE {
            break;
        }
        to = next;
    }
    to
}

/// The last character boundary at or before a byte.
fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::Subject;
    use crate::findings::rules;

    #[test]
    fn a_place_is_shown_with_its_lines_and_the_way_out() {
        let mut sources = Sources::new();
        let file = sources.add("label.yaml", "page:\n  stock: 4x6in\nbody:\n  txt: \"a\"\n");
        let start = 36 - 7;
        let finding = Finding::new(&rules::UNKNOWN_BLOCK, "unknown block `txt`")
            .at(Span::new(file, start, start + 3))
            .label("no block has this name")
            .subject(Subject { order: "TH-1".into(), position: Some(3) })
            .hint("did you mean `text`?");
        let expected = "\
error[unknown-block]: unknown block `txt`
 --> label.yaml:4:3
  |
1 | page:
2 |   stock: 4x6in
3 | body:
4 |   txt: \"a\"
  |   ^^^ no block has this name
  |
  = note: parcel 3, order `TH-1`
  = help: did you mean `text`?
";
        assert_eq!(render(&finding, &sources, Style::Full), expected);
        assert_eq!(
            render(&finding, &sources, Style::Short),
            "label.yaml:4:3: error[unknown-block]: unknown block `txt` (parcel 3, order `TH-1`)\n"
        );
    }

    #[test]
    fn nothing_that_a_terminal_obeys_is_shown() {
        let mut sources = Sources::new();
        let text = "a\r\nb\u{1b}[2J\u{2028}c\rd\u{202e}e\r\nf\n";
        let file = sources.add("o\u{7}.json", text);
        let at = text.find('c').unwrap();
        let finding = Finding::new(&rules::WRONG_TYPE, "`\u{1b}[2J\n12 parcels: no findings`")
            .at(Span::new(file, at, at + 2))
            .label("\u{9b}2J")
            .path("a\u{85}b")
            .hint("\u{2066}")
            .details(["x\ry".to_owned()]);
        let expected = "\
error[wrong-type]: `\\u{1b}[2J\\n12 parcels: no findings`
 --> o\\u{7}.json:2:7
  |
 ::: 
1 | a
2 | b\\u{1b}[2J\\u{2028}c\\rd\\u{202e}e
  |                   ^^^ \\u{9b}2J
3 | f
  |
  = x\\ry
  = note: at `a\\u{85}b`
  = help: \\u{2066}
";
        assert_eq!(render(&finding, &sources, Style::Full), expected);
        let expected = "o\\u{7}.json:2:7: error[wrong-type]: \
                        `\\u{1b}[2J\\n12 parcels: no findings` (at `a\\u{85}b`)\n";
        assert_eq!(render(&finding, &sources, Style::Short), expected);
    }

    #[test]
    fn one_endless_line_is_shown_in_part() {
        let mut sources = Sources::new();
        let text = format!("{}X{}", "a".repeat(5000), "b".repeat(5000));
        let file = sources.add("orders.json", text);
        let finding =
            Finding::new(&rules::WRONG_TYPE, "expected text").at(Span::new(file, 5000, 5001));
        let shown = render(&finding, &sources, Style::Full);
        assert!(shown.contains("orders.json:1:5001"), "{shown}");
        assert!(shown.len() < 600, "{shown}");
    }
}
