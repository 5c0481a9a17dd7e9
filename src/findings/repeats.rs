//! Findings that say the same again and again, told once, and the one wording for it.
//!
//! In: findings in the order they come, each with what makes another the same. Out: each once,
//! with how often it came again, and for which parcels. The order of the first ones is kept.

use std::collections::{HashMap, HashSet};
use std::fmt;

use super::{Finding, Rule, Severity};
use crate::source::Span;
use crate::words::counted;

/// Lines on what was said otherwise that a finding shows; the others are counted.
const MOST_LINES: usize = 6;

/// How often a finding came again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repeats {
    /// For so many further parcels.
    Parcels(usize),
    /// For so many further orders.
    Orders(usize),
    /// So many further times, for no parcel in particular or for the same one.
    Times(usize),
}

impl fmt::Display for Repeats {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (count, noun) = match *self {
            Repeats::Parcels(count) => (count, "parcel"),
            Repeats::Orders(count) => (count, "order"),
            Repeats::Times(count) => (count, "time"),
        };
        write!(f, "and {}", counted(count, &format!("more {noun}")))
    }
}

/// What makes a later finding the same as an earlier one; only the parcel may always differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Likeness {
    /// Rule, weight, place and words, numbers included.
    Place,
    /// Rule, weight and words, wherever they are said.
    Words,
    /// Rule and weight alone: what is said otherwise is added in lines of its own.
    Rule,
    /// Nothing: each stays a finding of its own.
    Nothing,
}

/// What findings that say the same have in common.
#[derive(PartialEq, Eq, Hash)]
struct Saying {
    /// What kind of fault it is.
    rule: &'static Rule,
    /// How much it weighs.
    severity: Severity,
    /// The place in a source and the path in a data file, where they count.
    place: Option<(Option<Span>, Option<String>)>,
    /// The message, where it counts.
    message: Option<String>,
}

impl Saying {
    /// What a finding says, as far as it counts; nothing when it stays a finding of its own.
    fn of(finding: &Finding, likeness: Likeness) -> Option<Saying> {
        let place = || (finding.span, finding.path.clone());
        Some(Saying {
            rule: finding.rule,
            severity: finding.severity,
            place: (likeness == Likeness::Place).then(place),
            message: match likeness {
                Likeness::Place | Likeness::Words => Some(finding.message.clone()),
                Likeness::Rule => None,
                Likeness::Nothing => return None,
            },
        })
    }
}

/// A finding and its repeats.
struct Folded {
    /// The first of them.
    first: Finding,
    /// How many came after it.
    repeats: usize,
    /// The parcels of those; one that comes several times in a row is here once.
    parcels: Vec<usize>,
    /// What those said otherwise.
    sayings: Vec<String>,
}

/// Takes findings one by one and keeps each once, so that a fault of the layout takes no more room
/// on ten thousand labels than on one.
#[derive(Default)]
pub(crate) struct RepeatFold {
    /// The findings kept.
    folded: Vec<Folded>,
    /// Where each saying is kept.
    known: HashMap<Saying, usize>,
}

/// Findings with those that say the same in the same place told once.
pub(crate) fn fold_repeats(findings: Vec<Finding>) -> Vec<Finding> {
    let mut fold = RepeatFold::default();
    findings.into_iter().for_each(|finding| fold.push(finding, Likeness::Place));
    fold.finish()
}

/// Leaves out what findings of one rule say of a block and parcel of which another rule `by` has
/// said it already, and better.
pub(crate) fn drop_covered(findings: &mut Vec<Finding>, rule: &Rule, by: &Rule) {
    let place = |finding: &Finding| (finding.span, finding.position());
    let covered: HashSet<_> = findings.iter().filter(|it| it.rule == by).map(place).collect();
    findings.retain(|finding| finding.rule != rule || !covered.contains(&place(finding)));
}

impl RepeatFold {
    /// Takes in one finding.
    pub(crate) fn push(&mut self, finding: Finding, likeness: Likeness) {
        let next = self.folded.len();
        let place = match Saying::of(&finding, likeness) {
            Some(saying) => *self.known.entry(saying).or_insert(next),
            None => next,
        };
        let Some(folded) = self.folded.get_mut(place) else {
            let (parcels, sayings) = (Vec::new(), Vec::new());
            self.folded.push(Folded { first: finding, repeats: 0, parcels, sayings });
            return;
        };
        folded.repeats += 1;
        let parcel = finding.position();
        folded.parcels.extend(finding.others);
        folded.parcels.extend(parcel.filter(|parcel| folded.parcels.last() != Some(parcel)));
        if folded.first.message != finding.message && !folded.sayings.contains(&finding.message) {
            folded.sayings.push(finding.message);
        }
    }

    /// The findings, those that came again with how often and for whom.
    pub(crate) fn finish(self) -> Vec<Finding> {
        self.folded.into_iter().map(tell).collect()
    }
}

/// A finding that says how often it came again, and what was said otherwise then.
fn tell(folded: Folded) -> Finding {
    let Folded { mut first, repeats, mut parcels, mut sayings } = folded;
    if repeats == 0 {
        return first;
    }
    let own = first.position();
    parcels.extend(std::mem::take(&mut first.others));
    parcels.sort_unstable();
    parcels.dedup();
    parcels.retain(|parcel| Some(*parcel) != own);
    first.repeats = Some(match parcels.len() {
        0 => Repeats::Times(repeats),
        count => Repeats::Parcels(count),
    });
    first.others = parcels;
    let more = sayings.len().saturating_sub(MOST_LINES);
    sayings.truncate(MOST_LINES);
    first.details.extend(sayings.into_iter().map(|saying| format!("also {saying}")));
    if more > 0 {
        first.details.push(format!("and {more} more"));
    }
    first
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::{Subject, rules};
    use crate::source::Sources;

    /// A place in some layout.
    fn span(number: u32) -> Span {
        let file = Sources::new().add("label.yaml", "");
        Span { file, start: number * 10, end: number * 10 + 4 }
    }

    /// A finding about a parcel.
    fn about(position: Option<usize>, message: &str) -> Finding {
        let subject = Subject { order: format!("TH-{position:?}"), position };
        Finding::new(&rules::OVERFLOW, message).at(span(7)).subject(subject)
    }

    /// The messages that remain.
    fn told(findings: Vec<Finding>) -> Vec<String> {
        fold_repeats(findings).iter().map(|finding| finding.full_message().into_owned()).collect()
    }

    #[test]
    fn the_same_for_many_parcels_is_told_once() {
        let mut findings = vec![about(Some(3), "too small")];
        findings.extend([4, 5, 6, 9, 9, 2].map(|number| about(Some(number), "too small")));
        findings.insert(2, about(Some(4), "smaller still"));
        let expected = ["too small (and 5 more parcels: 2, 4-6, 9)", "smaller still"];
        assert_eq!(told(findings), expected);
        let one = vec![about(Some(1), "x"), about(Some(1), "x"), about(Some(2), "x")];
        assert_eq!(told(one), ["x (and 1 more parcel: 2)"]);
    }

    #[test]
    fn what_differs_is_kept_apart() {
        let other_place = about(Some(2), "x").at(span(8));
        let warning = about(Some(2), "x").weighing(Severity::Warning);
        assert_eq!(told(vec![about(Some(1), "x"), other_place, warning]), ["x", "x", "x"]);
    }

    #[test]
    fn repeats_for_nobody_in_particular_are_counted() {
        assert_eq!(told(vec![about(None, "x"); 3]), ["x (and 2 more times)"]);
        assert_eq!(told(vec![about(Some(1), "x"); 2]), ["x (and 1 more time)"]);
    }

    #[test]
    fn what_is_asked_of_parcel_after_parcel_is_told_once_whatever_it_is() {
        let mut fold = RepeatFold::default();
        fold.push(about(Some(1), "no size of `a`"), Likeness::Rule);
        fold.push(about(Some(2), "no size of `b`"), Likeness::Rule);
        fold.push(about(Some(3), "no size of `a`"), Likeness::Rule);
        fold.push(about(Some(4), "no size of `a`"), Likeness::Nothing);
        let found = fold.finish();
        assert_eq!(found[0].full_message(), "no size of `a` (and 2 more parcels: 2-3)");
        assert_eq!(found[0].details, ["also no size of `b`"]);
        assert_eq!((found.len(), found[1].position()), (2, Some(4)));
    }

    #[test]
    fn what_another_rule_says_better_is_told_once() {
        let better = about(Some(1), "needs 3 mm more");
        let of = |parcel| Finding { rule: &rules::TALLY, ..about(Some(parcel), "leaves it") };
        let mut found = vec![better, of(1), of(2)];
        drop_covered(&mut found, &rules::TALLY, &rules::OVERFLOW);
        assert_eq!(told(found), ["needs 3 mm more", "leaves it"]);
    }
}
