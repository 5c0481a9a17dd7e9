//! What the engine has to say about its input: one shape for every error, warning and note.
//!
//! Stages return all the findings they have, each of a [`Rule`] and with its place; the command
//! shows them to a person ([`render`]) or hands them to a script ([`Finding::to_json`]). A lower
//! stage never names the flag or file it serves: the span says it. Not here: deciding what is wrong.

mod collect;
mod repeats;
mod rule;
pub mod rules;
mod show;

pub(crate) use collect::{FewOfEach, RuleFindings};
pub use repeats::Repeats;
pub(crate) use repeats::{Likeness, RepeatFold, drop_covered, fold_repeats};
pub use rule::{Rule, Severity};
pub use show::{Style, render};

use std::borrow::Cow;

use serde_json::{Value, json};

use crate::source::{Sources, Span};
use crate::words::{list_ranges, shorten_to, shorten_values};

/// Characters that a message shows of a value.
const VALUE_IN_MESSAGE: usize = 80;

/// Characters that a hint shows of a value, which is often a text to copy or a command to paste; ours:
/// a field on one line has at most 200.
const VALUE_IN_HINT: usize = 200;

/// The parcel or order that a finding is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Subject {
    /// The order's id, or the ids of a combined parcel joined by ` + `.
    pub order: String,
    /// The parcel's place on the bench from 1, once the batch is numbered.
    pub position: Option<usize>,
}

/// One error, warning or note.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// How much it weighs.
    pub severity: Severity,
    /// What kind of fault it is, by the name that scripts count on.
    pub rule: &'static Rule,
    /// What is the matter: lower case, no full stop, user text in backticks.
    pub message: String,
    /// Where it is, if it has a place in a source.
    pub span: Option<Span>,
    /// A few words under the caret, such as what was expected there.
    pub label: Option<String>,
    /// Other places that belong to it, each with a few words.
    pub related: Vec<(Span, String)>,
    /// Further lines on what is the matter, such as two values side by side; mostly none.
    pub details: Vec<String>,
    /// The path to it inside a data file, such as `orders[3].ship_to.postcode`.
    pub path: Option<String>,
    /// The order or parcel concerned.
    pub subject: Option<Subject>,
    /// Places on the bench, from 1, of further parcels that have the same fault; mostly none.
    pub others: Vec<usize>,
    /// How often it came again, if it did.
    pub repeats: Option<Repeats>,
    /// The layout block concerned, by its name, such as `code128`.
    pub block: Option<String>,
    /// Ways out, in the imperative; most have exactly one.
    pub hints: Vec<String>,
}

impl Finding {
    /// A finding of a rule, with the rule's usual weight. Values in backticks are shortened, here and
    /// in all else that is said: what stands in a file may be a megabyte.
    #[must_use]
    pub fn new(rule: &'static Rule, message: impl Into<String>) -> Finding {
        let mut message = shorten_values(message.into(), VALUE_IN_MESSAGE);
        // A batch may have tens of thousands of them, and text is put together with room to grow.
        message.shrink_to_fit();
        Finding {
            severity: rule.severity,
            rule,
            message,
            span: None,
            label: None,
            related: Vec::new(),
            details: Vec::new(),
            path: None,
            subject: None,
            others: Vec::new(),
            repeats: None,
            block: None,
            hints: Vec::new(),
        }
    }

    /// Gives it another weight than its rule usually has.
    #[must_use]
    pub fn weighing(mut self, severity: Severity) -> Finding {
        self.severity = severity;
        self
    }

    /// Adds the place.
    #[must_use]
    pub fn at(mut self, span: impl Into<Option<Span>>) -> Finding {
        self.span = span.into();
        self
    }

    /// Adds words under the caret.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Finding {
        self.label = Some(shorten_values(label.into(), VALUE_IN_MESSAGE));
        self
    }

    /// Adds another place with a few words.
    #[must_use]
    pub fn related(mut self, span: Span, words: impl Into<String>) -> Finding {
        self.related.push((span, shorten_values(words.into(), VALUE_IN_MESSAGE)));
        self
    }

    /// Adds further lines on what is the matter.
    #[must_use]
    pub fn details(mut self, lines: impl IntoIterator<Item = String>) -> Finding {
        self.details.extend(lines);
        self
    }

    /// Adds the path inside a data file.
    #[must_use]
    pub fn path(mut self, path: impl Into<String>) -> Finding {
        self.path = Some(shorten_to(&path.into(), VALUE_IN_HINT));
        self
    }

    /// Names the parcel concerned.
    #[must_use]
    pub fn subject(mut self, subject: Subject) -> Finding {
        self.subject = Some(subject);
        self
    }

    /// Adds a further parcel that has the same fault, by its place on the bench from 1.
    #[must_use]
    pub fn other(mut self, position: usize) -> Finding {
        self.others.push(position);
        self
    }

    /// Says how often it came again; nothing when it did not.
    #[must_use]
    pub fn repeated(mut self, repeats: Option<Repeats>) -> Finding {
        self.repeats = repeats;
        self
    }

    /// Names the layout block concerned.
    #[must_use]
    pub fn block(mut self, block: impl Into<String>) -> Finding {
        self.block = Some(block.into());
        self
    }

    /// Adds a way out.
    #[must_use]
    pub fn hint(self, hint: impl Into<String>) -> Finding {
        self.hint_if(Some(hint.into()))
    }

    /// Adds a way out if there is one.
    #[must_use]
    pub fn hint_if(mut self, hint: Option<String>) -> Finding {
        if let Some(hint) = hint {
            // Most have one, and there may be tens of thousands of findings.
            self.hints.reserve_exact(1);
            self.hints.push(shorten_values(hint, VALUE_IN_HINT));
        }
        self
    }

    /// The message, and how often it came again.
    #[must_use]
    pub fn full_message(&self) -> Cow<'_, str> {
        let Some(repeats) = self.repeats else { return Cow::Borrowed(&self.message) };
        let parcels = match (repeats, &self.others[..]) {
            (Repeats::Parcels(_), others @ [_, ..]) => format!(": {}", list_ranges(others)),
            _ => String::new(),
        };
        Cow::Owned(format!("{} ({repeats}{parcels})", self.message))
    }

    /// The place on the bench, from 1, of the parcel concerned.
    #[must_use]
    pub fn position(&self) -> Option<usize> {
        self.subject.as_ref().and_then(|subject| subject.position)
    }

    /// Whether a rule found it.
    #[must_use]
    pub fn is(&self, rule: &Rule) -> bool {
        self.rule == rule
    }

    /// Whether it keeps output from being written.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }

    /// The finding as a script sees it; places are given as file, line and column.
    #[must_use]
    pub fn to_json(&self, sources: &Sources) -> Value {
        let place = |span: Span| {
            let position = sources.position(span);
            json!({
                "file": sources.get(span.file).name(),
                "line": position.line,
                "column": position.column,
            })
        };
        let mut entry = json!({
            "severity": self.severity.word(),
            "rule": self.rule.name,
            "message": self.full_message(),
            "hints": self.hints,
        });
        let mut put = |key: &str, value: Option<Value>| {
            if let Some(value) = value {
                entry[key] = value;
            }
        };
        put("place", self.span.map(place));
        put("details", (!self.details.is_empty()).then(|| self.details.clone().into()));
        put("path", self.path.clone().map(Value::from));
        put("block", self.block.clone().map(Value::from));
        put("order", self.subject.as_ref().map(|subject| subject.order.clone().into()));
        put("position", self.position().map(Value::from));
        put("others", (!self.others.is_empty()).then(|| self.others.clone().into()));
        entry
    }
}

/// Whether any of them is an error.
#[must_use]
pub fn has_errors(findings: &[Finding]) -> bool {
    findings.iter().any(Finding::is_error)
}
