//! Which layers of a file are printed, ISO 32000-1 §8.11.
//!
//! In: the catalog. Out: for anything that names a layer, whether it is seen on paper. Layers
//! themselves are not carried along: what is seen becomes plain content, what is not is left out
//! or refused. Not here: what lies on a layer (`carry`, `scan`).

use std::collections::BTreeMap;

use super::error::{Result, broken};
use super::limits::DEPTH;
use super::object::{Dict, Object, ObjectId, text_value};
use super::reader::ObjectReader;

/// The layers of a file.
#[derive(Clone, Debug, Default)]
pub(super) struct Layers {
    /// Layers that the file's settings say something about: seen or not.
    stated: BTreeMap<ObjectId, bool>,
    /// Whether the others are off.
    off_by_default: bool,
}

impl Layers {
    /// Reads the settings in which a file opens, and what they change for printing.
    pub(super) fn read(reader: &mut ObjectReader<'_>, catalog: &Dict) -> Result<Layers> {
        let mut layers = Layers::default();
        let Some(properties) = reader.dict(catalog, "OCProperties")? else { return Ok(layers) };
        let Some(properties) = properties.dict() else { return Ok(layers) };
        let Some(settings) = reader.dict(properties, "D")? else { return Ok(layers) };
        let Some(settings) = settings.dict() else { return Ok(layers) };
        let base = reader.get(settings, "BaseState")?;
        layers.off_by_default = base.is_some_and(|base| base.object.is_name("OFF"));
        for (key, on) in [("ON", true), ("OFF", false)] {
            for layer in reader.list(settings, key)? {
                if let Object::Ref(id) = layer {
                    layers.stated.insert(id, on);
                }
            }
        }
        for usage in reader.list(settings, "AS")? {
            layers.apply_usage(reader, &usage)?;
        }
        Ok(layers)
    }

    /// Applies an entry of `AS` (table 103) if it is about printing.
    fn apply_usage(&mut self, reader: &mut ObjectReader<'_>, usage: &Object) -> Result<()> {
        let usage = reader.resolve(usage)?;
        let Some(usage) = usage.dict() else { return Ok(()) };
        let categories = reader.list(usage, "Category")?;
        let about_print = categories.iter().any(|category| category.is_name("Print"));
        if !usage.has_name("Event", "Print") || !about_print {
            return Ok(());
        }
        for layer in reader.list(usage, "OCGs")? {
            let loaded = reader.resolve(&layer)?;
            let (Object::Ref(id), Some(dict)) = (layer, loaded.dict()) else { continue };
            let Some(usage) = reader.dict(dict, "Usage")? else { continue };
            let Some(print) = usage.dict().map(|usage| reader.dict(usage, "Print")) else {
                continue;
            };
            let state = print?.and_then(|print| print.dict()?.get("PrintState").cloned());
            match state {
                Some(state) if state.is_name("ON") => self.stated.insert(id, true),
                Some(state) if state.is_name("OFF") => self.stated.insert(id, false),
                _ => None,
            };
        }
        Ok(())
    }

    /// Whether every layer is seen, so that nothing needs to be asked.
    pub(super) fn all_seen(&self) -> bool {
        !self.off_by_default && self.stated.values().all(|seen| *seen)
    }

    /// Whether what belongs to `membership`, a layer or a rule about layers, is seen.
    pub(super) fn is_seen(
        &self,
        reader: &mut ObjectReader<'_>,
        membership: &Object,
    ) -> Result<bool> {
        if self.all_seen() {
            return Ok(true);
        }
        let loaded = reader.resolve(membership)?;
        let Some(dict) = loaded.dict() else { return Ok(true) };
        if !dict.has_name("Type", "OCMD") {
            return Ok(self.is_on(membership));
        }
        // The expression goes before the list (table 99).
        if let Some(expression) = dict.get("VE") {
            return self.holds(reader, expression, DEPTH);
        }
        let members = reader.list(dict, "OCGs")?;
        let mut on = Vec::new();
        for member in members.iter().filter(|member| **member != Object::Null) {
            on.push(self.is_on(member));
        }
        let policy = reader.get(dict, "P")?.and_then(|policy| policy.object.name());
        Ok(on.is_empty()
            || match policy.as_deref() {
                Some(b"AllOn") => on.iter().all(|on| *on),
                Some(b"AnyOff") => on.iter().any(|on| !on),
                Some(b"AllOff") => on.iter().all(|on| !on),
                _ => on.iter().any(|on| *on),
            })
    }

    /// Whether a layer is shown; one that the file says nothing of is as all others are by default.
    fn is_on(&self, layer: &Object) -> bool {
        match layer {
            Object::Ref(id) => self.stated.get(id).copied().unwrap_or(!self.off_by_default),
            _ => true,
        }
    }

    /// Whether an expression over layers holds (§8.11.2.2), at most `depth` levels deep.
    fn holds(
        &self,
        reader: &mut ObjectReader<'_>,
        expression: &Object,
        depth: usize,
    ) -> Result<bool> {
        if depth == 0 {
            return Err(broken("a rule about layers is nested too deep"));
        }
        reader.fuel.spend(64)?;
        let loaded = reader.resolve(expression)?;
        let Some([operator, operands @ ..]) = loaded.object.array() else {
            return Ok(self.is_on(expression));
        };
        if operator.is_name("Not") {
            let operand = operands.first().ok_or_else(|| broken("a rule about layers is empty"))?;
            return Ok(!self.holds(reader, operand, depth - 1)?);
        }
        // Both kinds stop at the first operand that decides.
        let deciding = operator.is_name("Or");
        for operand in operands {
            if self.holds(reader, operand, depth - 1)? == deciding {
                return Ok(deciding);
            }
        }
        Ok(!deciding)
    }

    /// What to call a layer, or the first one of a rule, in messages.
    pub(super) fn name(
        &self,
        reader: &mut ObjectReader<'_>,
        membership: &Object,
    ) -> Result<String> {
        let loaded = reader.resolve(membership)?;
        let Some(dict) = loaded.dict() else { return Ok(String::new()) };
        if let Some(name) = reader.get(dict, "Name")?
            && let Object::Text(token) = &name.object
        {
            return Ok(text_value(token));
        }
        for member in reader.list(dict, "OCGs")? {
            let loaded = reader.resolve(&member)?;
            let name = loaded.dict().and_then(|dict| dict.get("Name"));
            if let Some(Object::Text(token)) = name {
                return Ok(text_value(token));
            }
        }
        Ok("without a name".into())
    }
}
