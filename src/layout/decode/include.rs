//! Blocks from other layout files.
//!
//! An included block is read where it is included: it sees the names known there, and its own
//! file's type styles and `let`. Files lie in or below the folder of the layout that is printed;
//! a name that is not there can be that of a shipped layout.

use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::super::{Block, Definition};
use super::inks::Inks;
use super::types::Types;
use super::{Decoder, LayoutFile, read_tree};
use crate::findings::{Finding, rules};
use crate::limits::{INCLUDE_DEPTH, INCLUDES};
use crate::shipped::{SHIPPED, find_shipped};
use crate::source::{Env, FileId, SharedText, Sources, confine, describe_failure};
use crate::tree::{Node, Value};
use crate::words::did_you_mean;

/// The parts that every layout file may have under their own names.
const OWN_PARTS: &[&str] = &["body", "head", "foot", "back"];

/// The files that can be included, each read once.
pub(super) struct Library<'a> {
    /// All texts of the run.
    sources: &'a mut Sources,
    /// Where files come from.
    env: &'a dyn Env,
    /// The folder they lie in.
    folder: &'a Path,
    /// That folder as messages name it.
    shown: PathBuf,
    /// What was read so far, by name; none of what cannot be used.
    read: BTreeMap<String, Option<Arc<Included>>>,
    /// The files being read, outermost first.
    open: Vec<String>,
    /// Includes so far.
    count: usize,
}

/// A file that is included.
struct Included {
    /// What its places are places in.
    source: SharedText,
    /// Its tree.
    node: Node,
}

impl<'a> Library<'a> {
    /// A library that has read nothing but the layout itself.
    pub(super) fn new(
        sources: &'a mut Sources,
        env: &'a dyn Env,
        folder: &'a Path,
        file: FileId,
    ) -> Library<'a> {
        let path = Path::new(sources.get(file).name());
        let shown = path.parent().map(Path::to_owned).unwrap_or_default();
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
        let open = name.into_iter().collect();
        Library { sources, env, folder, shown, read: BTreeMap::new(), open, count: 0 }
    }

    /// The text behind a name.
    fn find(&mut self, name: &str) -> Result<FileId, Finding> {
        let shipped = find_shipped(name.strip_suffix(".yaml").unwrap_or(name));
        let Some(path) = confine(self.folder, name) else {
            let fault = format!("the layout `{name}` lies outside this layout's folder");
            return Err(Finding::new(&rules::INCLUDE, fault).hint("put it beside this one"));
        };
        match (self.env.read(&path), shipped) {
            (Ok(bytes), _) => match String::from_utf8(bytes) {
                Ok(text) => Ok(self.sources.add(self.shown.join(name).display().to_string(), text)),
                Err(_) => {
                    let fault = format!("the layout `{name}` is not UTF-8 text");
                    Err(Finding::new(&rules::INCLUDE, fault).hint("save it as UTF-8"))
                }
            },
            (Err(_), Some(shipped)) => {
                Ok(self.sources.add(format!("{}.yaml", shipped.name), shipped.text))
            }
            (Err(error), None) if error.kind() == ErrorKind::NotFound => {
                let names: Vec<_> = SHIPPED.iter().map(|shipped| shipped.name).collect();
                let fault = format!("there is no layout `{name}` beside this one");
                let hint = did_you_mean(name, &names);
                Err(Finding::new(&rules::INCLUDE, fault).hint_if(hint))
            }
            (Err(error), None) => {
                let words = describe_failure(&error);
                Err(Finding::new(&rules::INCLUDE, format!("`{name}` cannot be read: {words}")))
            }
        }
    }

    /// A file, read when first asked for; faults in it go to `out`.
    fn get(&mut self, name: &Node, out: &mut Vec<Finding>) -> Option<Arc<Included>> {
        let wanted = name.literal()?;
        if let Some(known) = self.read.get(wanted) {
            return known.clone();
        }
        let included = match self.find(wanted) {
            Ok(file) => {
                let source = self.sources.get(file).shared_text();
                read_tree(&source, file, out).map(|node| Arc::new(Included { source, node }))
            }
            Err(fault) => {
                out.push(fault.at(name.span));
                None
            }
        };
        self.read.insert(wanted.to_owned(), included.clone());
        included
    }
}

impl Decoder<'_> {
    /// Reads a block of another file.
    pub(super) fn include(&mut self, node: &Node, content: &Node, depth: usize) -> Option<Block> {
        self.check_depth(content)?;
        let included = self.library.get(content, self.out)?;
        let part = self.find_part(node, &included.node)?;
        let outside = self.scope.depth();
        let mut lets = self.overrides(node, &included.node);
        let outer = &self.file.types;
        let types = Types::read(&included.node, outer, &mut self.families, self.out);
        let inks = Inks::read(&included.node, &self.file.inks, self.out);
        let file = LayoutFile { source: included.source.clone(), types, inks };
        let outer = std::mem::replace(&mut self.file, file);
        self.library.open.push(content.literal()?.to_owned());
        self.add_words(&included.node);
        let own = self.definitions(&included.node);
        let block = self.block(part, depth + 1);
        self.library.open.pop();
        self.file = outer;
        self.scope.close(outside);
        // What the place of the include says comes first, so that the file's own may build on it.
        let given: Vec<String> = lets.iter().map(|it| it.name.clone()).collect();
        lets.extend(own.into_iter().filter(|own| !given.contains(&own.name)));
        let mut block = block?;
        block.lets.splice(0..0, lets);
        Some(block)
    }

    /// Reports includes that go too deep, or in a circle.
    fn check_depth(&mut self, content: &Node) -> Option<()> {
        let name = content.literal()?;
        let open = &self.library.open;
        let same = |known: &str| known.trim_end_matches(".yaml") == name.trim_end_matches(".yaml");
        self.library.count += 1;
        let fault = if open.iter().any(|known| same(known)) {
            let chain = open.join("`, then `");
            Finding::new(&rules::INCLUDE, format!("`{name}` includes itself: `{chain}`"))
                .hint("take one `include` out")
        } else if open.len() > INCLUDE_DEPTH {
            let fault = format!("includes go deeper than {INCLUDE_DEPTH} files");
            Finding::new(&rules::LAYOUT_LIMIT, fault).hint("put the block into one file")
        } else if self.library.count > INCLUDES {
            let fault = format!("there are more than {INCLUDES} includes");
            Finding::new(&rules::LAYOUT_LIMIT, fault).hint("put repeated blocks into an `each`")
        } else {
            return Some(());
        };
        self.fault(fault.at(content.span));
        None
    }

    /// The block that an `include` asks for.
    fn find_part<'n>(&mut self, node: &Node, file: &'n Node) -> Option<&'n Node> {
        let asked = node.get("part");
        let wanted = asked.and_then(Node::literal).unwrap_or("body");
        let own = OWN_PARTS.contains(&wanted).then(|| file.get(wanted)).flatten();
        let parts = file.get("parts").map(Node::entries).unwrap_or_default();
        let named = parts.iter().find(|(key, _)| key.name == wanted).map(|(_, part)| part);
        if let Some(found) = own.or(named).filter(|part| !part.is_null()) {
            return Some(found);
        }
        let own = OWN_PARTS.iter().copied().filter(|name| file.get(name).is_some());
        let known: Vec<&str> = own.chain(parts.iter().map(|(key, _)| &*key.name)).collect();
        let name = node.entries()[0].1.literal().unwrap_or_default();
        let fault = format!("`{name}` has no part `{wanted}`");
        self.fault(
            Finding::new(&rules::INCLUDE, fault)
                .at(asked.unwrap_or(&node.entries()[0].1).span)
                .hint_if(did_you_mean(wanted, &known)),
        );
        None
    }

    /// The values that an `include` gives in place of the file's own.
    fn overrides(&mut self, node: &Node, file: &Node) -> Vec<Definition> {
        let known = file.get("let").map(Node::entries).unwrap_or_default();
        let known: Vec<&str> = known.iter().map(|(key, _)| &*key.name).collect();
        let given = node.get("let").filter(|given| matches!(given.value, Value::Map(_)));
        let mut lets = Vec::new();
        for (key, value) in given.map(Node::entries).unwrap_or_default() {
            if !known.contains(&&*key.name) {
                let name = node.entries()[0].1.literal().unwrap_or_default();
                let fault = format!("`{name}` has no `{}` under its `let`", key.name);
                let fault = Finding::new(&rules::INCLUDE, fault).at(key.span);
                self.fault(fault.hint_if(did_you_mean(&key.name, &known)));
                continue;
            }
            lets.extend(self.definition(key, value));
        }
        lets
    }
}
