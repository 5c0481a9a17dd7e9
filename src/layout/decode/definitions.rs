//! The names that a layout gives to values of its own, under `let`.

use super::super::{Definition, DefinitionValue};
use super::Decoder;
use crate::findings::{Finding, rules};
use crate::limits::DEFINITIONS;
use crate::tree::{Key, Node, Value};

/// Names that mean something else in some place of a layout.
const TAKEN: &[&str] = &["loop", "page", "pages", "rest", "row"];

impl Decoder<'_> {
    /// Reads a file's `let`; its names are known from then on.
    pub(super) fn definitions(&mut self, node: &Node) -> Vec<Definition> {
        let entries = node.get("let").map(Node::entries).unwrap_or_default();
        let entries = within("let", entries, DEFINITIONS, self.out);
        let mut definitions = Vec::with_capacity(entries.len());
        for (index, (key, value)) in entries.iter().enumerate() {
            let before = self.out.len();
            let definition = self.definition(key, value);
            for fault in &mut self.out[before..] {
                let later = entries[index + 1..].iter().map(|(later, _)| &later.name);
                explain_order(fault, &key.name, later);
            }
            match &definition {
                Some(Definition { value: DefinitionValue::Made(_), .. }) => {
                    self.scope.open_unknown(key.name.clone());
                }
                _ => self.scope.open(key.name.clone()),
            }
            definitions.extend(definition);
        }
        definitions
    }

    /// Reads one definition; it may use those above it.
    pub(super) fn definition(&mut self, key: &Key, value: &Node) -> Option<Definition> {
        self.check_name(key)?;
        let bare = match &value.value {
            Value::Bare(text) => Some(text.as_str()),
            _ => None,
        };
        let value = match bare {
            Some("true") => DefinitionValue::Flag(true),
            Some("false") => DefinitionValue::Flag(false),
            Some(digits) if is_whole(digits) => {
                DefinitionValue::Count(digits.parse().unwrap_or_default())
            }
            _ => self.made_value(value)?,
        };
        Some(Definition { name: key.name.clone(), value })
    }

    /// Reads a value that is made for each parcel: one expression keeps its type, all else is text.
    fn made_value(&mut self, value: &Node) -> Option<DefinitionValue> {
        let source = &self.file.source;
        match self.compiler.sole_expression(value, &self.scope, source, self.out) {
            Some(expression) => expression.map(DefinitionValue::Made),
            None => self.template(value).map(DefinitionValue::Text),
        }
    }

    /// Reports a name that cannot be used.
    fn check_name(&mut self, key: &Key) -> Option<()> {
        let name = key.name.as_str();
        let is_word = |c: char| c.is_ascii_alphanumeric() || c == '_';
        let starts_well = name.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_');
        let fault = if !starts_well || !name.chars().all(is_word) {
            let better: String = name.chars().map(|c| if is_word(c) { c } else { '_' }).collect();
            let fault = format!("`{name}` cannot be a name");
            let hint = format!("names are letters, digits and `_`, such as `my_{better}`");
            Finding::new(&rules::LET_NAME, fault).hint(hint)
        } else if self.scope.is_variable(name) || TAKEN.contains(&name) {
            Finding::new(&rules::LET_NAME, format!("`{name}` means something already"))
                .hint(format!("choose another name, such as `my_{name}`"))
        } else {
            return Some(());
        };
        self.fault(fault.at(key.span));
        None
    }
}

/// The entries of a top-level map, none when there are more than `most`, which is reported.
pub(super) fn within<'n>(
    map: &str,
    entries: &'n [(Key, Node)],
    most: usize,
    out: &mut Vec<Finding>,
) -> &'n [(Key, Node)] {
    let Some((first, _)) = entries.get(most) else { return entries };
    let message = format!("there are more than {most} names under `{map}`");
    let hint = format!("take out those that nothing uses: `{}` is one too many", first.name);
    out.push(Finding::new(&rules::LAYOUT_LIMIT, message).at(first.span).hint(hint));
    &[]
}

/// Gives a name that is only defined further down its own hint.
fn explain_order<'n>(fault: &mut Finding, user: &str, mut later: impl Iterator<Item = &'n String>) {
    let names = |name: &&String| fault.message.ends_with(&format!("`{name}`"));
    if let Some(name) = later.find(names).filter(|_| fault.is(&rules::UNKNOWN_VARIABLE)) {
        fault.hints =
            vec![format!("a name is known below its own line: move `{name}` above `{user}`")];
    }
}

/// Whether a bare value is a whole number; one with leading zeros is a number on a shelf or a
/// parcel, and stays as it is written.
fn is_whole(text: &str) -> bool {
    let digits = text.bytes().all(|byte| byte.is_ascii_digit());
    digits && (1..=9).contains(&text.len()) && (text == "0" || !text.starts_with('0'))
}
