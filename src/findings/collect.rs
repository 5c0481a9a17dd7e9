//! What one rule finds in one place: kept up to a number, and counted beyond it.

use super::{Finding, Rule, Severity, Subject};

/// What one rule finds on one page, counted but not kept beyond a number.
pub(crate) struct RuleFindings {
    /// The findings kept.
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
