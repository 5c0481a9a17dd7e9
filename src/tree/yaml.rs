//! YAML text to nodes.
//!
//! Reads the plain part of YAML that people write by hand: maps, lists, scalars in every style,
//! comments. Scalars without quotes stay as written (`no`, `00123` and `1e3` are text until a
//! setting that wants something else says so). Anchors, aliases, tags and several documents in
//! one file are refused by name. `granit-parser` does the scanning; it is the parser under
//! serde-saphyr, used directly because the layout language is decoded by hand from the first key
//! of each block, with a place for every key.

use std::collections::HashMap;

use granit_parser::{Event, Options, Parser, ScalarStyle, ScanError, Span as EventSpan};

use super::json::{repeated_key, too_deep};
use super::{Key, Node, Value};
use crate::findings::{Finding, rules};
use crate::limits::{DATA_DEPTH, YAML_BYTES};
use crate::source::{FileId, Span};
use crate::words::counted;

/// Reads a file's only document; an empty file is [`Value::Null`].
///
/// # Errors
/// The first fault in the syntax, or the first use of something that is not read here.
pub(crate) fn read_document(text: &str, file: FileId) -> Result<Node, Finding> {
    if text.len() > YAML_BYTES {
        let message = format!("this file is larger than {YAML_BYTES} bytes");
        let place = Span::new(file, 0, text.chars().next().map_or(0, char::len_utf8));
        let hint = "layouts and shop files are short: is this the file you meant?";
        return Err(Finding::new(&rules::FILE_LIMIT, message).at(place).hint(hint));
    }
    check_tabs(text, file)?;
    let mut options = Options::default();
    options.emit_comments = false;
    let parser = Parser::new_from_str_with_options(text, options);
    let mut reader = YamlReader { parser, text, file };
    let mut document = None;
    while let Some((event, span)) = reader.next()? {
        match event {
            Event::StreamStart | Event::DocumentEnd => {}
            Event::StreamEnd => break,
            Event::DocumentStart(..) if document.is_some() => {
                return Err(Finding::new(&rules::SECOND_DOCUMENT, "a second document starts here")
                    .at(reader.place(&span))
                    .hint("keep one document a file and delete the `---`"));
            }
            Event::DocumentStart(..) => {}
            other => document = Some(reader.read_node(other, &span, 0)?),
        }
    }
    Ok(document.unwrap_or(Node { span: Span::new(file, 0, 0), value: Value::Null }))
}

/// Reads a file's only document; what is wrong with its syntax goes to `out`.
pub(crate) fn read_or_report(text: &str, file: FileId, out: &mut Vec<Finding>) -> Option<Node> {
    read_document(text, file).map_err(|fault| out.push(fault)).ok()
}

/// Tabs in front of a line are the commonest slip of the hand, so they get their own words.
fn check_tabs(text: &str, file: FileId) -> Result<(), Finding> {
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let indent = line.len() - line.trim_start_matches([' ', '\t']).len();
        let rest = line[indent..].trim_end();
        if let Some(tab) = line[..indent].find('\t')
            && !rest.is_empty()
            && !rest.starts_with('#')
        {
            return Err(Finding::new(&rules::TAB_INDENT, "a tab stands in the indentation")
                .at(Span::new(file, start + tab, start + tab + 1))
                .hint("indent with spaces: two for each level"));
        }
        start += line.len();
    }
    Ok(())
}

/// The events of one text.
struct YamlReader<'a> {
    /// Where the events come from.
    parser: Parser<'a, granit_parser::StrInput<'a>>,
    /// The text itself.
    text: &'a str,
    /// Where findings point.
    file: FileId,
}

impl<'a> YamlReader<'a> {
    /// What comes next; none at the end, and a finding where the syntax ends.
    fn next(&mut self) -> Result<Option<(Event<'a>, EventSpan)>, Finding> {
        match self.parser.next() {
            None => Ok(None),
            Some(Ok(event)) => Ok(Some(event)),
            Some(Err(error)) => Err(self.explain(&error)),
        }
    }

    /// The next event inside a value; the parser never ends there without an error.
    fn next_inside(&mut self) -> Result<(Event<'a>, EventSpan), Finding> {
        let end = self.text.len();
        self.next()?.ok_or_else(|| {
            Finding::new(&rules::YAML_SYNTAX, "the file stops inside a value")
                .at(Span::new(self.file, end, end))
        })
    }

    /// Where an event stands, without the white space behind it.
    fn place(&self, span: &EventSpan) -> Span {
        let range = span.byte_range().unwrap_or(0..0);
        // Block values end at the start of the next token; the white space between is no part.
        let covered = self.text.get(range.clone()).unwrap_or_default();
        Span::new(self.file, range.start, range.start + covered.trim_end().len())
    }

    /// The value that starts with `event`.
    fn read_node(
        &mut self,
        event: Event<'a>,
        span: &EventSpan,
        depth: usize,
    ) -> Result<Node, Finding> {
        let start = self.place(span);
        if depth > DATA_DEPTH {
            return Err(too_deep(start));
        }
        self.refuse_extras(&event, start)?;
        match event {
            Event::Scalar(text, style, ..) => {
                let value = match style {
                    ScalarStyle::Plain if text.is_empty() || text == "~" => Value::Null,
                    ScalarStyle::Plain => Value::Bare(text.into_owned()),
                    _ => Value::Text(text.into_owned()),
                };
                Ok(Node { span: start, value })
            }
            Event::SequenceStart(..) => self.read_list(start, depth),
            Event::MappingStart(..) => self.read_map(start, depth),
            _ => Err(Finding::new(&rules::YAML_SYNTAX, "expected a value").at(start)),
        }
    }

    /// The rest of a list.
    fn read_list(&mut self, start: Span, depth: usize) -> Result<Node, Finding> {
        let mut items = Vec::new();
        loop {
            let (event, span) = self.next_inside()?;
            if matches!(event, Event::SequenceEnd) {
                let end = self.end_of(start, &span, items.last());
                return Ok(Node { span: end, value: Value::List(items) });
            }
            items.push(self.read_node(event, &span, depth + 1)?);
        }
    }

    /// The rest of a map.
    fn read_map(&mut self, start: Span, depth: usize) -> Result<Node, Finding> {
        let mut entries: Vec<(Key, Node)> = Vec::new();
        // Comparing each key with all before it would take a hostile file of many keys for ever.
        let mut places: HashMap<String, Span> = HashMap::new();
        loop {
            let (event, span) = self.next_inside()?;
            if matches!(event, Event::MappingEnd) {
                let end = self.end_of(start, &span, entries.last().map(|(_, node)| node));
                return Ok(Node { span: end, value: Value::Map(entries) });
            }
            let key = self.read_key(event, &span, depth)?;
            if let Some(first) = places.insert(key.name.clone(), key.span) {
                return Err(repeated_key(&key.name, first, key.span));
            }
            let (event, span) = self.next_inside()?;
            entries.push((key, self.read_node(event, &span, depth + 1)?));
        }
    }

    /// A map's key, which must be a scalar.
    fn read_key(
        &mut self,
        event: Event<'a>,
        span: &EventSpan,
        depth: usize,
    ) -> Result<Key, Finding> {
        let node = self.read_node(event, span, depth + 1)?;
        match node.literal() {
            Some(name) => Ok(Key { name: name.to_owned(), span: node.span }),
            None => Err(Finding::new(
                &rules::YAML_SYNTAX,
                format!("expected a name before the colon, found {}", node.value.describe()),
            )
            .at(node.span)
            .hint("put a template in quotes: `text: \"{{ tag }}\"`")),
        }
    }

    /// The whole place of a list or map: to its closing bracket, or to the end of its last value.
    fn end_of(&self, start: Span, close: &EventSpan, last: Option<&Node>) -> Span {
        let close = self.place(close);
        let last = last.map_or(start.end, |node| node.span.end);
        // A block has no closing bracket: its end event is an empty place further down.
        Span { end: if close.start < close.end { close.end } else { last }, ..start }
    }

    /// Refuses what plain files do not need and what would hide where a value came from.
    fn refuse_extras(&self, event: &Event<'a>, place: Span) -> Result<(), Finding> {
        let (anchor, tagged) = match event {
            Event::Alias(_) => (true, false),
            Event::Scalar(_, _, anchor, tag) => (*anchor != 0, tag.is_some()),
            Event::SequenceStart(_, anchor, tag) | Event::MappingStart(_, anchor, tag) => {
                (*anchor != 0, tag.is_some())
            }
            _ => (false, false),
        };
        if anchor {
            return Err(Finding::new(&rules::YAML_EXTRAS, "anchors (`&`, `*`) are not read here")
                .at(place)
                .hint("write the value out, or put text that starts with `&` or `*` in quotes"));
        }
        if tagged {
            return Err(Finding::new(&rules::YAML_EXTRAS, "tags (`!`) are not read here")
                .at(place)
                .hint("put text that starts with `!` in quotes"));
        }
        Ok(())
    }

    /// A fault in the syntax as a finding at its place.
    fn explain(&self, error: &ScanError) -> Finding {
        let at = error.marker().byte_offset().unwrap_or(0).min(self.text.len());
        if error.info().contains("did not find expected")
            && let Some(fault) = self.explain_indentation(at)
        {
            return fault;
        }
        let finding = Finding::new(&rules::YAML_SYNTAX, error.info().to_lowercase()).at(Span::new(
            self.file,
            at,
            at + 1,
        ));
        match self.guess_slip(at) {
            Some(hint) => finding.hint(hint),
            None => finding,
        }
    }

    /// A fault at the first character of a line that stands where no line above it does.
    fn explain_indentation(&self, at: usize) -> Option<Finding> {
        let start = self.text.get(..at)?.rfind('\n')? + 1;
        let line = self.text[start..].lines().next()?;
        let indent = at - start;
        if line.trim_start().len() + indent != line.len() {
            return None;
        }
        // Where the names, or the dashes, of the lines around this one stand.
        let wanted_dash = line.trim_start().starts_with("- ");
        let mut columns: Vec<(usize, &str)> = Vec::new();
        let mut lowest = usize::MAX;
        for above in self.text[..start].lines().rev() {
            let rest = above.trim_start();
            let column = above.len() - rest.len();
            if rest.is_empty() || rest.starts_with('#') || column >= lowest {
                continue;
            }
            lowest = column;
            match rest.strip_prefix("- ") {
                Some(_) if wanted_dash => columns.push((column, rest)),
                Some(name) => columns.push((above.len() - name.trim_start().len(), name)),
                None if !wanted_dash => columns.push((column, rest)),
                None => {}
            }
        }
        let (column, beside) = *columns
            .iter()
            .min_by_key(|(column, _)| column.abs_diff(indent))
            .filter(|it| it.0 != indent)?;
        let beside = beside.split(':').next().unwrap_or_default().trim();
        let spaces = |count: usize| match count {
            0 => "no space".to_owned(),
            _ => counted(count, "space"),
        };
        let message = format!("this line has {} before it, as no line above", spaces(indent));
        Some(
            Finding::new(&rules::YAML_INDENT, message)
                .at(Span::new(self.file, at, at + 1))
                .hint(format!("put {} before it, as before `{beside}`", spaces(column))),
        )
    }

    /// The commonest slips that end in a syntax error, told from the line they are on.
    fn guess_slip(&self, at: usize) -> Option<String> {
        let start = self.text.get(..at)?.rfind('\n').map_or(0, |end| end + 1);
        let line = self.text[start..].lines().next()?;
        let (key, value) = line.split_once(':')?;
        let value = value.trim();
        if value.starts_with("{{") || value.starts_with("{%") {
            let key = key.trim();
            return Some(format!("put the template in quotes: `{key}: \"{value}\"`"));
        }
        if value.matches('"').count() % 2 == 1 || value.matches('\'').count() % 2 == 1 {
            return Some("a quotation mark is opened but not closed".into());
        }
        if has_more_behind_quotes(value) {
            let hint = "put the next setting on a line of its own";
            return Some(format!(
                "{hint}, or all of them in braces: `{{{}}}`",
                line.trim_start_matches(['-', ' ']).trim()
            ));
        }
        if value.contains(": ") {
            return Some("text that contains a colon and a space goes in quotes".into());
        }
        None
    }
}

/// Whether a text in quotes has a comma and another setting behind it: `"Hi", size: 12pt`.
fn has_more_behind_quotes(value: &str) -> bool {
    let Some(quote) = value.chars().next().filter(|first| matches!(first, '"' | '\'')) else {
        return false;
    };
    let behind = value[1..].split_once(quote).map(|(_, behind)| behind.trim_start());
    behind.and_then(|behind| behind.strip_prefix(',')).is_some_and(|next| next.contains(": "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Node, Finding> {
        let mut sources = crate::source::Sources::new();
        let file = sources.add("t", text);
        read_document(text, file)
    }

    #[test]
    fn scalars_keep_their_letters() {
        let node = read("a: no\nb: 00340434\nc: \"1\"\nd:\ne: 1e3\n").unwrap();
        let value = |name| node.get(name).unwrap().value.clone();
        assert_eq!(value("a"), Value::Bare("no".into()));
        assert_eq!(value("b"), Value::Bare("00340434".into()));
        assert_eq!(value("c"), Value::Text("1".into()));
        assert_eq!(value("d"), Value::Null);
        assert_eq!(value("e"), Value::Bare("1e3".into()));
    }

    #[test]
    fn every_value_and_key_has_its_place() {
        let text = "body:\n  down:\n    - text: \"é\"\n      width: 20\n  gap: 2\n";
        let node = read(text).unwrap();
        let at = |span: Span| &text[span.start as usize..span.end as usize];
        let block = &node.get("body").unwrap().get("down").unwrap().items()[0];
        assert_eq!(at(block.span), "text: \"é\"\n      width: 20");
        assert_eq!(at(block.entries()[1].0.span), "width");
        assert_eq!(at(block.get("width").unwrap().span), "20");
    }

    #[test]
    fn slips_are_named() {
        let rule = |text: &str| read(text).unwrap_err().rule;
        assert_eq!(rule("a:\n\tb: 1\n"), "tab-indent");
        assert_eq!(rule("a: 1\na: 2\n"), "repeated-key");
        assert_eq!(rule("a: &x 1\nb: *x\n"), "yaml-extras");
        assert_eq!(rule("a: !t 1\n"), "yaml-extras");
        assert_eq!(rule("a: 1\n---\nb: 2\n"), "second-document");
        assert_eq!(rule("a: \"x\nb: 2\n"), "yaml-syntax");
        assert_eq!(rule(&format!("{}{}", "[".repeat(70), "]".repeat(70))), "too-deep");
        assert_eq!(rule(&"[".repeat(50_000)), "yaml-syntax");
    }

    #[test]
    fn an_unquoted_template_is_told_from_a_map() {
        let error = read("text: {{ tag }}\n").unwrap_err();
        assert_eq!(error.rule, "yaml-syntax");
        assert!(error.hints[0].contains("in quotes"), "{error:?}");
    }
}
