//! What was found while a job was read and printed.
//!
//! In: findings and the texts they lie in. Out: one value that shows itself, and is an error where
//! it stops a job. Not here: how a finding is shown (`findings`).

use std::error::Error;
use std::fmt;

use serde_json::Value;

use crate::findings::{Finding, Style, has_errors, render, rules};
use crate::preflight::DUPLICATE_TAG;
use crate::source::Sources;

use super::fields::fold_missing_letters;

/// Everything that was found, with the texts it lies in.
///
/// Shown, it is what the command prints: each finding with its line, a caret and a way out.
#[derive(Clone, Default)]
pub struct Report {
    /// The texts.
    pub(super) sources: Sources,
    /// What was found, in the order of the work.
    findings: Vec<Finding>,
}

impl Report {
    /// What was found, in the order of the work.
    #[must_use]
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// The texts that findings lie in.
    #[must_use]
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// Whether anything stops the job.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        has_errors(&self.findings)
    }

    /// The findings as `--diagnostics json` prints them.
    #[must_use]
    pub fn to_json(&self) -> Value {
        self.findings.iter().map(|finding| finding.to_json(&self.sources)).collect()
    }

    /// The same with more behind it.
    pub(super) fn with(mut self, more: impl IntoIterator<Item = Finding>) -> Report {
        self.findings.extend(more);
        self
    }

    /// The same without what pages repeat of the batch.
    pub(super) fn without_echoes(mut self) -> Report {
        drop_echoes(&mut self.findings);
        self
    }
}

/// Leaves out what pages repeat of faults that the batch has already told with their place in the
/// orders, and what one document after another says of the same letters.
pub(crate) fn drop_echoes(findings: &mut Vec<Finding>) {
    fold_missing_letters(findings);
    if findings.iter().any(|finding| finding.is(&rules::EQUAL_TAGS)) {
        findings.retain(|finding| !finding.is(&DUPLICATE_TAG));
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.findings.iter().try_for_each(|finding| {
            f.write_str(render(finding, &self.sources, Style::Full).trim_end())?;
            f.write_str("\n\n")
        })
    }
}

/// The same as shown: `main` prints the error it returns in this way.
impl fmt::Debug for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl Error for Report {}
