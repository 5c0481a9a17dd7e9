//! Findings kept up to a number, and counted beyond it.

use std::collections::BTreeMap;

use super::{Finding, Repeats, Rule, Severity, Subject, has_errors};

/// How often one error or warning is told before it is only counted; a note is told once.
const TOLD: usize = 3;

/// How many of those that are only counted are still named by what was found there.
const NAMED: usize = 12;

/// What one rule finds on one page, counted but not kept beyond a number.
pub(crate) struct RuleFindings {
    /// Those that are told, in the order they came.
    kept: Vec<Finding>,
    /// How many are kept.
    most: usize,
    /// How many were not.
    left_out: usize,
    /// The weight of the heaviest of those.
    heaviest: Severity,
}

impl RuleFindings {
    /// No findings yet.
    pub(crate) fn new(most: usize) -> RuleFindings {
        RuleFindings { kept: Vec::new(), most, left_out: 0, heaviest: Severity::Note }
    }

    /// Takes in a finding.
    pub(crate) fn push(&mut self, finding: Finding) {
        if self.kept.len() < self.most {
            self.kept.push(finding);
        } else {
            self.left_out += 1;
            self.heaviest = self.heaviest.max(finding.severity);
        }
    }

    /// Takes in a finding that is kept however many there are.
    pub(crate) fn push_anyhow(&mut self, finding: Finding) {
        self.most += 1;
        self.kept.push(finding);
    }

    /// The findings, and one more that counts those that were not kept.
    pub(crate) fn finish(self, rule: &'static Rule, subject: Option<&Subject>) -> Vec<Finding> {
        let mut list = self.kept;
        if self.left_out > 0 {
            let message = format!("{} more of this kind on this page", self.left_out);
            let mut rest = Finding::new(rule, message)
                .weighing(self.heaviest)
                .hint("mend those before; most of these go with them");
            rest.subject = subject.cloned();
            list.push(rest);
        }
        list
    }
}

/// Findings of a long file: the first few of each kind are told, the others counted.
#[derive(Default)]
pub(crate) struct FewOfEach {
    /// What is told.
    found: Vec<Finding>,
    /// How often each kind was found: by severity, rule and whatever else makes a kind.
    counts: BTreeMap<(Severity, &'static str, String), KindCount>,
}

/// How often a kind was found.
#[derive(Default)]
struct KindCount {
    /// All of them.
    all: usize,
    /// The last that was told.
    last: usize,
    /// What was found where it was told, and then what else was found where it was not, so that a
    /// seller who mends them by one rule sees all that need one.
    said: Vec<String>,
    /// How many of `said` were told.
    told: usize,
}

impl KindCount {
    /// Keeps what a finding says that it found, unless it was said before.
    fn name(&mut self, finding: &Finding, is_told: bool) {
        let Some((_, found)) = finding.message.rsplit_once(", found `") else { return };
        // The column is that of the finding that was told.
        let found = format!("`{}", found.split(" in column").next().unwrap_or(found));
        if self.said.len() < NAMED + self.told && !self.said.contains(&found) {
            self.told += usize::from(is_told);
            self.said.push(found);
        }
    }
}

/// How many findings of a weight are told of one kind.
fn most_told(severity: Severity) -> usize {
    if severity == Severity::Note { 1 } else { TOLD }
}

impl FewOfEach {
    /// Takes in a finding that is told however many there are.
    pub(crate) fn push(&mut self, finding: Finding) {
        self.found.push(finding);
    }

    /// Takes in a finding of a kind: the same rule, weight and `kind`. Gives it when it is told.
    pub(crate) fn push_of_kind(&mut self, finding: Finding, kind: String) -> Option<&mut Finding> {
        let key = (finding.severity, finding.rule.name, kind);
        let count = self.counts.entry(key).or_default();
        count.all += 1;
        let is_told = count.all <= most_told(finding.severity);
        count.name(&finding, is_told);
        if !is_told {
            return None;
        }
        count.last = self.found.len();
        self.found.push(finding);
        self.found.last_mut()
    }

    /// Whether an error was found.
    pub(crate) fn has_errors(&self) -> bool {
        has_errors(&self.found)
    }

    /// All findings, the last of a kind with how many of it were not told.
    pub(crate) fn finish(mut self) -> Vec<Finding> {
        for ((severity, ..), count) in &self.counts {
            let last = &mut self.found[count.last];
            let more = count.all.saturating_sub(most_told(*severity));
            last.repeats = (more > 0).then_some(Repeats::Times(more)).or(last.repeats);
            let others = count.said.get(count.told..).unwrap_or_default();
            if !others.is_empty() {
                last.details.push(format!("also found {}", others.join(", ")));
            }
        }
        self.found
    }
}
