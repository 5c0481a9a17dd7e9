//! What findings are of: rules, and how much they weigh.

use std::fmt;
use std::hash::{Hash, Hasher};

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; nothing is wrong.
    Note,
    /// Probably not meant; the output is still made.
    Warning,
    /// Nothing is written until it is mended.
    Error,
}

impl Severity {
    /// All of them, the lightest first.
    pub const ALL: [Severity; 3] = [Severity::Note, Severity::Warning, Severity::Error];

    /// The word shown to people and scripts.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

/// A rule: what can be the matter, under a name that scripts may count on. Rules are equal when
/// their names are.
#[derive(Clone, Copy, Debug)]
pub struct Rule {
    /// Its name, in kebab case.
    pub name: &'static str,
    /// How much its findings usually weigh.
    pub severity: Severity,
    /// What it is about, a sentence.
    pub about: &'static str,
}

impl Rule {
    /// A rule by its name in kebab case; white space around its sentence is left out.
    #[must_use]
    pub const fn new(name: &'static str, severity: Severity, about: &'static str) -> Rule {
        Rule { name, severity, about: about.trim_ascii() }
    }
}

impl PartialEq for Rule {
    fn eq(&self, other: &Rule) -> bool {
        self.name == other.name
    }
}

impl Eq for Rule {}

impl PartialEq<str> for Rule {
    fn eq(&self, name: &str) -> bool {
        self.name == name
    }
}

impl Hash for Rule {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.name.hash(state);
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name)
    }
}
