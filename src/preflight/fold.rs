//! Findings that say the same on page after page, told once.
//!
//! In: findings in the order they come. Out: each once, with the parcels for which it came again.
//! What says the same is of one rule, weight, place and wording, numbers included; only the parcel
//! may differ. An `out-of-block` is left out where composing has reported an `overflow` of the
//! same block and parcel: it is the same fault, and composing knows what the block needs.

use std::collections::{HashMap, HashSet};

use crate::diag::{Diagnostic, Subject, list_ranges};
use crate::source::Span;

/// What findings that say the same have in common.
#[derive(PartialEq, Eq, Hash)]
struct Saying {
    /// The rule.
    rule: &'static str,
    /// How much it weighs.
    severity: &'static str,
    /// The place in a source.
    span: Option<Span>,
    /// The path in a data file.
    path: Option<String>,
    /// The message.
    message: String,
}

/// A finding and its repeats.
struct Folded {
    /// The first of them.
    first: Diagnostic,
    /// How many came after it.
    repeats: usize,
    /// The parcels of those; one after another is told once.
    parcels: Vec<usize>,
}

/// Takes findings page by page and keeps each once, so that a fault of the layout takes no more
/// room on ten thousand labels than on one.
#[derive(Default)]
pub struct RepeatFold {
    /// The findings kept.
    folded: Vec<Folded>,
    /// Where each saying is kept.
    known: HashMap<Saying, usize>,
    /// Blocks and parcels of which composing has reported an overflow.
    overflows: HashSet<(Option<Span>, Option<usize>)>,
}

/// Findings with those that say the same told once; the order of the first ones is kept.
#[must_use]
pub fn fold_repeats(findings: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut fold = RepeatFold::default();
    fold.extend(findings);
    fold.finish()
}

impl Extend<Diagnostic> for RepeatFold {
    fn extend<T: IntoIterator<Item = Diagnostic>>(&mut self, findings: T) {
        for finding in findings {
            self.push(finding);
        }
    }
}

impl RepeatFold {
    /// Takes in one finding.
    pub fn push(&mut self, finding: Diagnostic) {
        let parcel = finding.subject.as_ref().and_then(|subject| subject.position);
        match finding.rule {
            "overflow" => {
                self.overflows.insert((finding.span, parcel));
            }
            "out-of-block" if self.overflows.contains(&(finding.span, parcel)) => return,
            _ => {}
        }
        let saying = Saying {
            rule: finding.rule,
            severity: finding.severity.word(),
            span: finding.span,
            path: finding.path.clone(),
            message: finding.message.clone(),
        };
        let place = *self.known.entry(saying).or_insert(self.folded.len());
        match self.folded.get_mut(place) {
            None => {
                let parcels = Vec::new();
                self.folded.push(Folded { first: finding, repeats: 0, parcels });
            }
            Some(folded) => {
                folded.repeats += 1;
                folded.parcels.extend(finding.others);
                if let Some(parcel) = parcel.filter(|parcel| folded.parcels.last() != Some(parcel))
                {
                    folded.parcels.push(parcel);
                }
            }
        }
    }

    /// The findings, those that came again with how often and for whom.
    #[must_use]
    pub fn finish(self) -> Vec<Diagnostic> {
        self.folded.into_iter().map(tell).collect()
    }
}

/// A finding that says how often it came again.
fn tell(folded: Folded) -> Diagnostic {
    let Folded { mut first, repeats, mut parcels } = folded;
    if repeats == 0 {
        return first;
    }
    parcels.extend(std::mem::take(&mut first.others));
    let own = first.subject.as_ref().and_then(|Subject { position, .. }| *position);
    parcels.sort_unstable();
    parcels.dedup();
    parcels.retain(|parcel| Some(*parcel) != own);
    let plural = |count: usize| if count == 1 { "" } else { "s" };
    if !parcels.is_empty() {
        let (count, list) = (parcels.len(), list_ranges(&parcels));
        first.again = Some(format!("(the same for {count} more parcel{}: {list})", plural(count)));
    } else {
        first.again = Some(format!("({repeats} more time{})", plural(repeats)));
    }
    first.others = parcels;
    first
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::preflight::sample::span;

    /// A finding about a parcel.
    fn about(position: Option<usize>, message: &str) -> Diagnostic {
        let subject = Subject { order: format!("TH-{position:?}"), position };
        Diagnostic::error("small-type", message).at(span(7)).subject(subject)
    }

    /// The messages that remain.
    fn told(findings: Vec<Diagnostic>) -> Vec<String> {
        fold_repeats(findings).iter().map(|finding| finding.full_message().into_owned()).collect()
    }

    #[test]
    fn the_same_for_many_parcels_is_told_once() {
        let mut findings = vec![about(Some(3), "too small")];
        findings.extend([4, 5, 6, 9, 9, 2].map(|number| about(Some(number), "too small")));
        findings.insert(2, about(Some(4), "smaller still"));
        let expected = ["too small (the same for 5 more parcels: 2, 4-6, 9)", "smaller still"];
        assert_eq!(told(findings), expected);
        let one = vec![about(Some(1), "x"), about(Some(1), "x"), about(Some(2), "x")];
        assert_eq!(told(one), ["x (the same for 1 more parcel: 2)"]);
    }

    #[test]
    fn what_differs_is_kept_apart() {
        let other_place = about(Some(2), "x").at(span(8));
        let warning =
            Diagnostic { severity: crate::diag::Severity::Warning, ..about(Some(2), "x") };
        assert_eq!(told(vec![about(Some(1), "x"), other_place, warning]), ["x", "x", "x"]);
    }

    #[test]
    fn repeats_for_nobody_in_particular_are_counted() {
        assert_eq!(told(vec![about(None, "x"); 3]), ["x (2 more times)"]);
        assert_eq!(told(vec![about(Some(1), "x"); 2]), ["x (1 more time)"]);
    }

    #[test]
    fn an_overflow_that_composing_reports_is_told_once() {
        let composed = Diagnostic { rule: "overflow", ..about(Some(1), "needs 3 mm more") };
        let checked = Diagnostic { rule: "out-of-block", ..about(Some(1), "leaves its `text`") };
        let other = Diagnostic { rule: "out-of-block", ..about(Some(2), "leaves its `text`") };
        assert_eq!(told(vec![composed, checked, other]), ["needs 3 mm more", "leaves its `text`"]);
    }
}
