//! What a block may not say: wrong names, wrong settings, wrong values, each with a way out.

use super::super::BlockRule;
use super::super::blocks::{BLOCKS, COMMON, find_block};
use super::meanings::mean_in_block;
use super::{Decoder, STRICT};
use crate::findings::{Finding, rules};
use crate::record::{self, Field, Kind};
use crate::source::Span;
use crate::tree::{Node, Value};
use crate::words::{did_you_mean, nearest};

impl Decoder<'_> {
    /// The rule of the block that a node's first key names.
    pub(super) fn find_rule(&mut self, node: &Node) -> Option<&'static BlockRule> {
        let names: Vec<&str> = BLOCKS.iter().map(|rule| rule.name).collect();
        let Some((first, _)) = node.entries().first() else {
            let found = node.value.describe();
            let mut fault = Finding::new(&rules::BLOCK, format!("expected a block, found {found}"))
                .at(node.span);
            fault = match (&node.value, node.literal().and_then(|text| nearest(text, names))) {
                (Value::List(_), _) => fault.hint("put the list into a container: `down:`"),
                (_, Some(near)) => fault.hint(format!("write `{near}:` with a colon and a value")),
                (Value::Bare(text) | Value::Text(text), None) => {
                    fault.hint(format!("for text, write `text: \"{text}\"`"))
                }
                _ => fault.hint("a block is a map whose first key names it: `text: \"{{ tag }}\"`"),
            };
            self.fault(fault);
            return None;
        };
        if let Some(rule) = find_block(&first.name) {
            return Some(rule);
        }
        let mut others = node.entries().iter().skip(1);
        let fault = match others.find(|(key, _)| find_block(&key.name).is_some()) {
            Some((key, _)) => Finding::new(
                &rules::BLOCK_ORDER,
                format!("expected the block's name first, found the setting `{}`", first.name),
            )
            .at(first.span)
            .related(key.span, "this names the block")
            .hint(format!("put `{}:` above `{}:`", key.name, first.name)),
            None => {
                let fault = format!("there is no block `{}`", first.name);
                Finding::new(&rules::UNKNOWN_BLOCK, fault)
                    .at(first.span)
                    .hint_if(did_you_mean(&first.name, &names))
            }
        };
        self.fault(fault);
        None
    }

    /// Checks what stands after a block's name.
    pub(super) fn check_content(&mut self, rule: &BlockRule, key: Span, content: &Node) {
        if content.is_null() && !matches!(rule.content, Kind::Other("blocks")) {
            let fault = format!("`{}` says nothing", rule.name);
            self.fault(
                Finding::new(&rules::EMPTY_BLOCK, fault)
                    .at(key)
                    .hint(format!("after the colon goes {}", rule.content_doc)),
            );
            return;
        }
        if matches!(rule.content, Kind::Other(_)) {
            if !matches!(content.value, Value::List(_)) {
                let found = content.value.describe();
                self.fault(
                    Finding::new(
                        &rules::WRONG_TYPE,
                        format!("expected a list of blocks, found {found}"),
                    )
                    .at(if content.is_null() { key } else { content.span })
                    .hint("start each block inside with `- `"),
                );
            }
            return;
        }
        let mut faults = Vec::new();
        record::check_kind(content, rule.content, "", STRICT, &mut faults);
        let hint_template = matches!(content.value, Value::Map(_));
        for mut fault in faults {
            fault.path = None;
            if hint_template && fault.hints.is_empty() {
                fault = fault.hint("put a template in quotes: `\"{{ tag }}\"`");
            }
            self.fault(fault);
        }
    }

    /// Reports settings that the block does not take, with what they may have meant, and values
    /// that do not suit.
    pub(super) fn check_settings(&mut self, rule: &BlockRule, node: &Node) {
        let known = || rule.settings.iter().chain(COMMON);
        for (key, value) in &node.entries()[1..] {
            let Some(field) = known().find(|field| field.name == key.name) else {
                self.unknown_setting(rule, &key.name, key.span);
                continue;
            };
            if value.is_null() {
                let fault = format!("`{}` says nothing", field.name);
                let hint = format!("write a value, or leave `{}` out: {}", field.name, field.doc);
                self.fault(Finding::new(&rules::EMPTY_SETTING, fault).at(key.span).hint(hint));
                continue;
            }
            let mut faults = Vec::new();
            record::check_kind(value, field.kind, "", STRICT, &mut faults);
            for mut fault in faults {
                fault.path = None;
                self.fault(fault);
            }
        }
        for field in rule.settings.iter().filter(|field| field.required) {
            if node.get(field.name).is_none() {
                self.missing_setting(rule, field, node);
            }
        }
    }

    /// Reports a setting that must be there.
    pub(super) fn missing_setting(&mut self, rule: &BlockRule, field: &Field, node: &Node) {
        let fault = format!("this `{}` has no `{}`", rule.name, field.name);
        self.fault(
            Finding::new(&rules::MISSING_SETTING, fault)
                .at(node.entries()[0].0.span)
                .hint(format!("add `{}`: {}", field.name, field.doc)),
        );
    }

    /// Reports a setting that the block does not have.
    pub(super) fn unknown_setting(&mut self, rule: &BlockRule, name: &str, span: Span) {
        let fault = format!("`{}` has no setting `{name}`", rule.name);
        let fault = Finding::new(&rules::UNKNOWN_SETTING, fault).at(span);
        if find_block(name).is_some() {
            let hint =
                format!("`{name}` is a block of its own: put it on a line with `- ` before it");
            return self.fault(fault.hint(hint));
        }
        if let Some(hint) = mean_in_block(name) {
            return self.fault(fault.hint(hint));
        }
        let all = rule.settings.iter().chain(COMMON).map(|field| field.name);
        let hint = match nearest(name, all.clone()) {
            Some(near) => Some(format!("did you mean `{near}`?")),
            None => match BLOCKS
                .iter()
                .find(|other| other.settings.iter().any(|field| field.name == name))
            {
                Some(other) => Some(format!("`{name}` is a setting of `{}`", other.name)),
                None => did_you_mean(name, &all.collect::<Vec<_>>()),
            },
        };
        self.fault(fault.hint_if(hint));
    }
}
