//! Which names a template may use where it stands, and what is known of each.
//!
//! A scope is the variables of the document, and on top of them the names that the layout itself
//! gives: those of loops and of `let`. A loop over a list that we know brings the fields of its
//! values, so that `item.titel` is found when the layout is read.

use std::collections::BTreeSet;

use super::variables::{OWN, Variable};
use crate::language::shipped_keys;
use crate::words::is_digits;

/// A name that the layout gives.
#[derive(Clone, Debug)]
struct Local {
    /// What templates say for it.
    name: String,
    /// The fields it has; `None`: nothing is known of them.
    fields: Option<&'static [Variable]>,
    /// Whether it is a group of values that have these fields.
    is_group: bool,
}

/// The names known at one place of a layout.
#[derive(Clone, Debug)]
pub(super) struct Scope {
    /// The variables of the document.
    roots: &'static [Variable],
    /// Names of the layout's own, inner ones last.
    locals: Vec<Local>,
    /// The keys of the layout's own words.
    words: BTreeSet<String>,
}

/// The variable with the words of the page's language.
const WORDS: &str = "words";

/// What a group knows.
const GROUP: &[&str] = &["name", "count", "items"];

/// A name, or part of one, that is not known.
pub(super) struct UnknownName {
    /// The part of the name that is at fault.
    pub(super) part: String,
    /// The list that a field was asked of, if it was one.
    pub(super) of_list: Option<String>,
    /// The names known in its place.
    pub(super) known: Vec<String>,
}

/// What a name leads to.
struct FoundName {
    /// Its fields; `None`: nothing is known of them.
    fields: Option<&'static [Variable]>,
    /// Whether it is a list of values with these fields.
    list: bool,
}

/// Filters that leave the values of a list as they are.
const KEEPING: &[&str] =
    &["list", "reject", "rejectattr", "reverse", "select", "selectattr", "sort", "unique"];

impl Scope {
    /// The variables of a document, and nothing else.
    pub(super) fn new(roots: &'static [Variable]) -> Scope {
        Scope { roots, locals: Vec::new(), words: BTreeSet::new() }
    }

    /// How many names of the layout's own there are, for [`Scope::close`].
    pub(super) fn depth(&self) -> usize {
        self.locals.len()
    }

    /// Forgets the inner names, down to a former depth.
    pub(super) fn close(&mut self, depth: usize) {
        self.locals.truncate(depth);
    }

    /// Knows more words of the layout's own.
    pub(super) fn add_words<'k>(&mut self, keys: impl Iterator<Item = &'k str>) {
        self.words.extend(keys.map(str::to_owned));
    }

    /// Knows one more single value.
    pub(super) fn open(&mut self, name: impl Into<String>) {
        self.locals.push(Local { name: name.into(), fields: Some(&[]), is_group: false });
    }

    /// Knows one more value of which nothing is known: it may have fields.
    pub(super) fn open_unknown(&mut self, name: impl Into<String>) {
        self.locals.push(Local { name: name.into(), fields: None, is_group: false });
    }

    /// Knows the value of a loop over a list.
    pub(super) fn open_entry(&mut self, name: impl Into<String>, list: &str) {
        let fields = self.entry_fields(list);
        self.locals.push(Local { name: name.into(), fields, is_group: false });
    }

    /// Knows a group of the values of a list.
    pub(super) fn open_group(&mut self, name: impl Into<String>, list: &str) {
        let fields = self.entry_fields(list);
        self.locals.push(Local { name: name.into(), fields, is_group: true });
    }

    /// Whether a name is already one of the document's variables.
    pub(super) fn is_variable(&self, name: &str) -> bool {
        self.roots.iter().any(|root| root.name == name)
    }

    /// The fields that the values of a list have, if that can be told from how it is written.
    fn entry_fields(&self, list: &str) -> Option<&'static [Variable]> {
        let mut parts = list.split('|').map(str::trim);
        let name = parts.next()?;
        let word = |part: &str| {
            let end = part.find(|c: char| !c.is_ascii_alphanumeric()).unwrap_or(part.len());
            part[..end].to_owned()
        };
        let plain = name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '.'));
        if !plain || !parts.all(|part| KEEPING.contains(&word(part).as_str())) {
            return None;
        }
        match self.resolve(name) {
            Ok(FoundName { fields, list: true }) => fields,
            _ => None,
        }
    }

    /// Why a dotted name such as `ship_to.city` is unknown, if it is.
    pub(super) fn find_unknown(&self, dotted: &str) -> Option<UnknownName> {
        self.resolve(dotted).err()
    }

    /// The innermost name of the layout's own that is known to have a field.
    pub(super) fn find_entry_with(&self, field: &str) -> Option<&str> {
        let has = |local: &&Local| {
            !local.is_group && local.fields.is_some_and(|all| all.iter().any(|it| it.name == field))
        };
        self.locals.iter().rev().find(has).map(|local| &*local.name)
    }

    /// Whether a name leads to a list or a group of fields, the former with `true`, and the fields;
    /// none for a single value, and for one of which nothing is known.
    pub(super) fn find_shape(&self, dotted: &str) -> Option<(bool, Vec<&'static str>)> {
        let is_local =
            self.locals.iter().any(|local| dotted.split('.').next() == Some(&local.name));
        if !is_local && dotted.rsplit('.').next() == Some(OWN) {
            return Some((false, Vec::new()));
        }
        let FoundName { fields, list } = self.resolve(dotted).ok()?;
        let names: Vec<&str> = fields?.iter().map(|field| field.name).collect();
        (list || !names.is_empty()).then_some((list, names))
    }

    /// What a dotted name leads to.
    fn resolve(&self, dotted: &str) -> Result<FoundName, UnknownName> {
        let mut parts = dotted.split('.');
        let first = parts.next().unwrap_or_default();
        let mut found = self.find_first(first)?;
        if first == WORDS && self.locals.iter().all(|local| local.name != WORDS) {
            return self.find_word(parts.next());
        }
        let mut path = first.to_owned();
        let innermost = self.locals.iter().rev().find(|local| local.name == first);
        if innermost.is_some_and(|local| local.is_group) {
            match parts.next() {
                None => return Ok(FoundName { fields: None, list: false }),
                Some("items") => found.list = true,
                Some(part) if GROUP.contains(&part) => found.fields = Some(&[]),
                Some(part) => {
                    let known = GROUP.iter().map(|name| format!("{path}.{name}")).collect();
                    return Err(UnknownName { part: part.to_owned(), of_list: None, known });
                }
            }
            path = format!("{path}.items");
        }
        for part in parts {
            let Some(fields) = found.fields else { return Ok(found) };
            let index = is_digits(part);
            if found.list && index {
                found.list = false;
            } else if let Some(field) =
                fields.iter().find(|field| !found.list && field.name == part)
            {
                found = FoundName { fields: fields_of(field), list: field.list };
            } else {
                return Err(UnknownName {
                    part: part.to_owned(),
                    of_list: found.list.then_some(path.clone()),
                    known: fields.iter().map(|field| format!("{path}.{}", field.name)).collect(),
                });
            }
            path = format!("{path}.{part}");
        }
        Ok(found)
    }

    /// What a word's key leads to; none asks for all words.
    fn find_word(&self, key: Option<&str>) -> Result<FoundName, UnknownName> {
        match key {
            Some(key) if !self.words.contains(key) && shipped_keys().all(|known| known != key) => {
                let keys = self.words.iter().cloned().chain(shipped_keys().map(str::to_owned));
                let known = keys.map(|key| format!("{WORDS}.{key}")).collect();
                Err(UnknownName { part: key.to_owned(), of_list: None, known })
            }
            _ => Ok(FoundName { fields: None, list: false }),
        }
    }

    /// What the first part of a name leads to.
    fn find_first(&self, name: &str) -> Result<FoundName, UnknownName> {
        if let Some(local) = self.locals.iter().rev().find(|local| local.name == name) {
            return Ok(FoundName { fields: local.fields, list: false });
        }
        if let Some(root) = self.roots.iter().find(|root| root.name == name) {
            return Ok(FoundName { fields: fields_of(root), list: root.list });
        }
        let roots = self.roots.iter().map(|root| root.name.to_owned());
        let locals = self.locals.iter().map(|local| local.name.clone());
        Err(UnknownName {
            part: name.to_owned(),
            of_list: None,
            known: roots.chain(locals).collect(),
        })
    }
}

/// The fields of a variable that are known; nothing is known of the seller's own.
fn fields_of(variable: &Variable) -> Option<&'static [Variable]> {
    (variable.name != OWN).then_some(variable.fields)
}

#[cfg(test)]
mod tests {
    use super::super::variables::{BATCH_VARIABLES, VARIABLES};
    use super::*;

    /// The part of a name that is at fault.
    fn fault(scope: &Scope, name: &str) -> Option<String> {
        scope.find_unknown(name).map(|unknown| unknown.part)
    }

    #[test]
    fn every_part_of_a_name_is_looked_at() {
        let scope = Scope::new(VARIABLES);
        assert_eq!(fault(&scope, "ship_to.city"), None);
        assert_eq!(fault(&scope, "ship_to.town").unwrap(), "town");
        assert_eq!(fault(&scope, "shipto.city").unwrap(), "shipto");
        assert_eq!(fault(&scope, "items.0.title"), None);
        assert_eq!(fault(&scope, "items.title").unwrap(), "title");
        assert_eq!(fault(&scope, "tag.length").unwrap(), "length");
    }

    #[test]
    fn a_loop_knows_the_fields_of_its_list() {
        let mut scope = Scope::new(BATCH_VARIABLES);
        scope.open_entry("one", "parcels | selectattr('gift') | sort(attribute='tag')");
        assert_eq!(fault(&scope, "one.ship_to.city"), None);
        assert_eq!(fault(&scope, "one.ship_to.town").unwrap(), "town");
        scope.open_entry("item", "one.items");
        assert_eq!(fault(&scope, "item.titel").unwrap(), "titel");
        scope.open_entry("group", "parcels | groupby('tag')");
        assert_eq!(fault(&scope, "group.anything"), None, "nothing is known of it");
        scope.close(0);
        assert_eq!(fault(&scope, "item.title").unwrap(), "item");
    }

    #[test]
    fn a_group_knows_the_fields_of_its_values() {
        let mut scope = Scope::new(BATCH_VARIABLES);
        scope.open_group("group", "items");
        for good in ["group", "group.name", "group.count", "group.items", "group.items.0.shelf"] {
            assert_eq!(fault(&scope, good), None, "{good}");
        }
        assert_eq!(fault(&scope, "group.shelf").unwrap(), "shelf");
        scope.open_entry("item", "group.items");
        assert_eq!(fault(&scope, "item.tag"), None);
        assert_eq!(fault(&scope, "item.titel").unwrap(), "titel");
    }
}
