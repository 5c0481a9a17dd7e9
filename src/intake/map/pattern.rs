//! Patterns that take a cell apart which holds several parts of an address: `{postcode} {city}`.
//!
//! In: a pattern as the map has it, and cells. Out: the parts of a cell, where there is exactly one
//! way to take it apart. Nothing is guessed: a postcode must be one of the order's country, and of
//! two ways neither is taken. The ways tried are counted, so that no cell keeps the machine busy.
//! Not here: what becomes of the parts.

use std::fmt::Write as _;

use crate::limits::{PATTERN_CELL, PATTERN_STEPS, PATTERN_WAYS};

/// The parts of an address that a pattern can name, and the fields that they fill.
pub(crate) const PATTERN_FIELDS: &[(&str, &str)] = &[
    ("name", "ship_to.name"),
    ("company", "ship_to.company"),
    ("lines", "ship_to.lines"),
    ("city", "ship_to.city"),
    ("region", "ship_to.region"),
    ("postcode", "ship_to.postcode"),
    ("country", "ship_to.country"),
    ("phone", "ship_to.phone"),
];

/// A pattern that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct CellPattern {
    /// What it is made of, in order.
    steps: Vec<PatternStep>,
    /// The pattern as it was written.
    pub(crate) text: String,
}

/// What a pattern asks for, from left to right.
#[derive(Clone, Debug, PartialEq, Eq)]
enum PatternStep {
    /// A part, as an index of [`PATTERN_FIELDS`].
    Part(usize),
    /// White space inside a line; beside a mark there may be none.
    Space,
    /// Where a line of the cell ends.
    LineEnd,
    /// A mark that stands in the cell as it stands here.
    Mark(char),
}

/// The parts of a cell: indexes of [`PATTERN_FIELDS`] and texts.
pub(crate) type CellParts = Vec<(usize, String)>;

/// Why a cell was not taken apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum PatternFault {
    /// It does not have this form.
    NoMatch,
    /// There are several ways: two of them.
    Several(CellParts, CellParts),
    /// There are more ways than are tried, or it is longer than any address.
    TooMany,
}

/// The index of a part of an address by its word.
fn find_part(word: &str) -> Option<usize> {
    PATTERN_FIELDS.iter().position(|(name, target)| *name == word || *target == word)
}

/// The words of all parts, as they stand in patterns.
fn known_parts() -> String {
    let known: Vec<String> =
        PATTERN_FIELDS.iter().map(|(name, _)| format!("`{{{name}}}`")).collect();
    known.join(", ")
}

impl CellPattern {
    /// Reads a pattern.
    ///
    /// # Errors
    /// What is wrong with it, and a way out.
    pub(crate) fn parse(text: &str) -> Result<CellPattern, (String, String)> {
        let mut steps = Vec::new();
        let mut rest = text.trim();
        while let Some(c) = rest.chars().next() {
            if let Some(inner) = rest.strip_prefix('{') {
                let Some((word, after)) = inner.split_once('}') else {
                    return Err(("a `{` is never closed".into(), "write `{city}`".into()));
                };
                let part = find_part(word.trim()).ok_or_else(|| {
                    (format!("there is no part `{{{word}}}`"), format!("use {}", known_parts()))
                })?;
                steps.push(PatternStep::Part(part));
                rest = after;
            } else if c.is_whitespace() {
                let end = rest.find(|c: char| !c.is_whitespace()).unwrap_or(rest.len());
                let is_line_end = rest[..end].contains('\n');
                steps.push(if is_line_end { PatternStep::LineEnd } else { PatternStep::Space });
                rest = &rest[end..];
            } else {
                steps.push(PatternStep::Mark(c));
                rest = &rest[c.len_utf8()..];
            }
        }
        check_steps(&steps)?;
        Ok(CellPattern { steps, text: text.trim().to_owned() })
    }

    /// The fields that it fills.
    pub(crate) fn targets(&self) -> impl Iterator<Item = &'static str> {
        self.steps.iter().filter_map(|step| match step {
            PatternStep::Part(part) => Some(PATTERN_FIELDS[*part].1),
            _ => None,
        })
    }

    /// Takes a cell apart; `is_likely` judges the parts of one way as a whole.
    ///
    /// # Errors
    /// Why there is not exactly one way.
    pub(crate) fn take_apart(
        &self,
        cell: &str,
        is_likely: &mut dyn FnMut(&CellParts) -> bool,
    ) -> Result<CellParts, PatternFault> {
        let cell = cell.trim();
        if cell.len() > PATTERN_CELL {
            return Err(PatternFault::TooMany);
        }
        let mut search =
            PatternSearch { steps: &self.steps, ways: 0, found: Vec::new(), is_likely };
        search.walk(0, cell, &mut Vec::new());
        if search.ways >= PATTERN_WAYS {
            return Err(PatternFault::TooMany);
        }
        let mut found = search.found.into_iter();
        match (found.next(), found.next()) {
            (None, _) => Err(PatternFault::NoMatch),
            (Some(only), None) => Ok(only),
            (Some(one), Some(other)) => Err(PatternFault::Several(one, other)),
        }
    }
}

/// Sees that parts are told apart, and that none comes twice.
fn check_steps(steps: &[PatternStep]) -> Result<(), (String, String)> {
    let parts: Vec<usize> = steps
        .iter()
        .filter_map(|step| match step {
            PatternStep::Part(part) => Some(*part),
            _ => None,
        })
        .collect();
    if steps.len() > PATTERN_STEPS {
        let long = steps.len();
        let message = format!("this pattern has {long} parts, spaces and marks");
        let hint = format!("at most {PATTERN_STEPS} are read: write the form of one cell");
        return Err((message, hint));
    }
    if parts.is_empty() {
        let hint = format!("such as `{{postcode}} {{city}}`; the parts are {}", known_parts());
        return Err(("expected a pattern with parts in braces".into(), hint));
    }
    let twice = parts.iter().enumerate().find(|(at, part)| parts[..*at].contains(part));
    if let Some((_, part)) = twice {
        let name = PATTERN_FIELDS[*part].0;
        let hint = "several lines of a street are one part: `{lines}`".to_owned();
        return Err((format!("the part `{{{name}}}` stands twice"), hint));
    }
    for pair in steps.windows(2) {
        if let [PatternStep::Part(one), PatternStep::Part(other)] = pair {
            let (one, other) = (PATTERN_FIELDS[*one].0, PATTERN_FIELDS[*other].0);
            let hint = format!("write what parts them in the cells: `{{{one}}} {{{other}}}`");
            return Err((format!("nothing stands between `{{{one}}}` and `{{{other}}}`"), hint));
        }
    }
    Ok(())
}

/// The ways of one cell.
struct PatternSearch<'a> {
    /// What the cell has to go through.
    steps: &'a [PatternStep],
    /// How many ways were tried.
    ways: usize,
    /// The ways that go to the end; two are enough.
    found: Vec<CellParts>,
    /// Whether the parts of a way can be what they are said to be.
    is_likely: &'a mut dyn FnMut(&CellParts) -> bool,
}

impl PatternSearch<'_> {
    /// Goes on from a step with the rest of the cell.
    fn walk(&mut self, step: usize, rest: &str, parts: &mut CellParts) {
        self.ways += 1;
        if self.ways >= PATTERN_WAYS || self.found.len() > 1 {
            return;
        }
        match self.steps.get(step) {
            None => {
                if rest.trim().is_empty() && (self.is_likely)(parts) && !self.found.contains(parts)
                {
                    self.found.push(parts.clone());
                }
            }
            Some(PatternStep::Part(part)) => self.try_part(step, *part, rest, parts),
            Some(_) => {
                if let Some(length) = self.match_gap(step, rest) {
                    self.walk(step + 1, &rest[length..], parts);
                }
            }
        }
    }

    /// Tries every text that a part can be.
    fn try_part(&mut self, step: usize, part: usize, rest: &str, parts: &mut CellParts) {
        let is_list = PATTERN_FIELDS[part].0 == "lines";
        let next = step + 1;
        if next == self.steps.len() {
            return self.take(next, part, rest, "", parts);
        }
        for (at, _) in rest.char_indices() {
            if at == 0 || self.match_gap(next, &rest[at..]).is_none() {
                continue;
            }
            self.take(next, part, &rest[..at], &rest[at..], parts);
            // Only lines go on behind the mark that ends other parts.
            let is_space = matches!(self.steps[next], PatternStep::Space)
                && !matches!(self.steps.get(next + 1), Some(PatternStep::Mark(_)));
            if !is_list && !is_space {
                return;
            }
        }
    }

    /// Goes on with a part of this text, if it can be one.
    fn take(&mut self, next: usize, part: usize, text: &str, rest: &str, parts: &mut CellParts) {
        let text = text.trim();
        let name = PATTERN_FIELDS[part].0;
        let can_be = match name {
            "lines" => true,
            "postcode" => text.len() <= 12 && text.bytes().any(|byte| byte.is_ascii_digit()),
            "phone" => text.bytes().filter(u8::is_ascii_digit).count() >= 4,
            _ => true,
        };
        let one_line = name == "lines" || !text.contains('\n');
        if text.is_empty() || !can_be || !one_line {
            return;
        }
        let text = if name == "lines" { self.part_lines(next, text) } else { text.to_owned() };
        parts.push((part, text));
        self.walk(next, rest, parts);
        parts.pop();
    }

    /// The lines of a street, each on its own, parted by what ends them in the pattern.
    fn part_lines(&self, next: usize, text: &str) -> String {
        let mark = self.steps[next.min(self.steps.len())..].iter().find_map(|step| match step {
            PatternStep::Mark(mark) => Some(Some(*mark)),
            PatternStep::Space => None,
            _ => Some(None),
        });
        let before = self.steps[..next - 1].iter().rev().find_map(|step| match step {
            PatternStep::Mark(mark) => Some(Some(*mark)),
            PatternStep::Space => None,
            _ => Some(None),
        });
        let mark = mark.flatten().or(before.flatten()).unwrap_or('\n');
        let lines = text.split([mark, '\n']).map(str::trim).filter(|line| !line.is_empty());
        lines.collect::<Vec<_>>().join("\n")
    }

    /// How long the white space or mark of a step is at the start of a text; none when it is not
    /// there.
    fn match_gap(&self, step: usize, rest: &str) -> Option<usize> {
        let white = rest.find(|c: char| !c.is_whitespace()).unwrap_or(rest.len());
        let has_line_end = rest[..white].contains('\n');
        match self.steps[step] {
            PatternStep::LineEnd => has_line_end.then_some(white),
            PatternStep::Space => {
                // Beside a mark there may be none; a mark that comes next must be there.
                let behind = self.steps.get(step + 1);
                if let Some(PatternStep::Mark(mark)) = behind {
                    return rest[white..].starts_with(*mark).then_some(white);
                }
                let before = step.checked_sub(1).and_then(|at| self.steps.get(at));
                if white == 0 && matches!(before, Some(PatternStep::Mark(_))) {
                    return Some(0);
                }
                (white > 0 && !has_line_end).then_some(white)
            }
            PatternStep::Mark(mark) => rest.starts_with(mark).then(|| mark.len_utf8()),
            PatternStep::Part(_) => None,
        }
    }
}

/// The parts of a cell as a message names them.
pub(crate) fn describe_parts(parts: &CellParts) -> String {
    let mut text = String::new();
    for (part, value) in parts {
        let between = if text.is_empty() { "" } else { ", " };
        let value = value.replace('\n', " / ");
        let _ = write!(text, "{between}{} `{value}`", PATTERN_FIELDS[*part].0);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Takes a cell apart; postcodes are those that `postcodes` lists, if any.
    fn take(pattern: &str, cell: &str, postcodes: &[&str]) -> String {
        let pattern = CellPattern::parse(pattern).unwrap();
        let mut likely = |parts: &CellParts| {
            postcodes.is_empty()
                || parts.iter().all(|(part, text)| {
                    PATTERN_FIELDS[*part].0 != "postcode" || postcodes.contains(&text.as_str())
                })
        };
        match pattern.take_apart(cell, &mut likely) {
            Ok(parts) => describe_parts(&parts),
            Err(PatternFault::NoMatch) => "none".into(),
            Err(PatternFault::TooMany) => "too many".into(),
            Err(PatternFault::Several(one, other)) => {
                format!("{} or {}", describe_parts(&one), describe_parts(&other))
            }
        }
    }

    #[test]
    fn cells_are_taken_apart_where_there_is_one_way() {
        let short = "{postcode} {city}";
        assert_eq!(take(short, "26993 Grünsiel", &[]), "postcode `26993`, city `Grünsiel`");
        assert_eq!(
            take(short, "1234 AB Den Hoorn", &["1234 AB"]),
            "postcode `1234 AB`, city `Den Hoorn`"
        );
        assert_eq!(
            take(short, "1234 AB Den Hoorn", &[]),
            "postcode `1234`, city `AB Den Hoorn` or postcode `1234 AB`, city `Den Hoorn`"
        );
        assert_eq!(take(short, "Grünsiel", &[]), "none");
        assert_eq!(take(short, "Bad Grünsiel", &[]), "none");
        let long = "{name}, {lines}, {postcode} {city}";
        assert_eq!(
            take(long, "Ada Marlow,5 Mill Lane , Flat 2, TR77 4NH St Tern", &["TR77 4NH"]),
            "name `Ada Marlow`, lines `5 Mill Lane / Flat 2`, postcode `TR77 4NH`, city `St Tern`"
        );
        let block = "{name}\n{lines}\n{postcode} {city}\n{country}";
        assert_eq!(
            take(block, "Jörg\nDeichweg 3\nHinterhaus\r\n26993 Nordkoog\nDE\n", &["26993"]),
            "name `Jörg`, lines `Deichweg 3 / Hinterhaus`, postcode `26993`, city `Nordkoog`, \
             country `DE`"
        );
        for cell in ["Bad Tern (CO)", "Bad Tern(CO)"] {
            assert_eq!(take("{city} ({region})", cell, &[]), "city `Bad Tern`, region `CO`");
        }
        assert_eq!(
            take("D-{postcode} {city}", "D-26993 Koog", &["26993"]),
            "postcode `26993`, city `Koog`"
        );
    }

    #[test]
    fn no_cell_keeps_the_machine_busy() {
        let pattern = "{name} {company} {lines} {city} {region} {country}";
        let cell = "a ".repeat(490);
        let started = std::time::Instant::now();
        let pattern_never = CellPattern::parse(pattern).unwrap();
        let found = pattern_never.take_apart(&cell, &mut |_| false);
        assert_eq!(found, Err(PatternFault::TooMany));
        assert_eq!(
            pattern_never.take_apart(&"a".repeat(1_001), &mut |_| true),
            Err(PatternFault::TooMany)
        );
        assert!(started.elapsed().as_secs() < 5);
    }

    /// Of a cell of so many words three parts are two splits: one way to begin, two for the first
    /// split and three for both.
    #[test]
    fn so_many_ways_are_tried() {
        let ways = |words: usize| 1 + 2 * (words - 1) + 3 * (words - 1) * (words - 2) / 2;
        let most = (3..).take_while(|words| ways(*words) < PATTERN_WAYS).last().unwrap();
        let pattern = CellPattern::parse("{name} {city} {region}").unwrap();
        let found = |words: usize| pattern.take_apart(&"a ".repeat(words), &mut |_| false);
        assert_eq!(found(most), Err(PatternFault::NoMatch));
        assert_eq!(found(most + 1), Err(PatternFault::TooMany));
    }

    #[test]
    fn a_pattern_has_so_many_steps() {
        let of = |steps: usize| CellPattern::parse(&format!("{{city}}{}", "-".repeat(steps - 1)));
        assert!(of(PATTERN_STEPS).is_ok());
        let (message, hint) = of(PATTERN_STEPS + 1).unwrap_err();
        assert_eq!(message, "this pattern has 97 parts, spaces and marks");
        assert_eq!(hint, "at most 96 are read: write the form of one cell");
    }

    #[test]
    fn patterns_that_cannot_work_are_refused() {
        for (pattern, said) in [
            ("{postcode}{city}", "nothing stands between `{postcode}` and `{city}`"),
            ("{town}", "there is no part `{town}`"),
            ("{city", "a `{` is never closed"),
            ("city", "expected a pattern with parts in braces"),
            ("", "expected a pattern with parts in braces"),
            ("{city} {city}", "the part `{city}` stands twice"),
        ] {
            assert_eq!(CellPattern::parse(pattern).unwrap_err().0, said);
        }
    }
}
