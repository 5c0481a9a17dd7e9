//! The pages of a file in their order, ISO 32000-1 §7.7.3.
//!
//! In: the catalog. Out: one [`PageLeaf`] for each page, with what it inherits. Not here: what a
//! page's entries mean (`page_box`, `content`).

use std::sync::Arc;

use super::error::{Result, broken, too_large};
use super::limits::{DEPTH, PAGES};
use super::object::{Dict, Object};
use super::reader::ObjectReader;

/// The attributes that a page may leave to the nodes above it (table 30).
const INHERITED: [&str; 4] = ["Resources", "MediaBox", "CropBox", "Rotate"];

/// What a node hands down: a value for each of [`INHERITED`].
type Heritage = [Option<Arc<Object>>; 4];

/// A page by its place in the file, not yet looked at.
#[derive(Clone, Debug)]
pub(super) struct PageLeaf {
    /// The page's dictionary, as a rule by reference.
    page: Object,
    /// What it inherits.
    heritage: Heritage,
}

impl PageLeaf {
    /// The page's entries, inherited ones filled in.
    pub(super) fn entries(&self, reader: &mut ObjectReader<'_>) -> Result<Dict> {
        let loaded = reader.resolve(&self.page)?;
        let own = loaded.dict().ok_or_else(|| broken("a page is not a dictionary"))?;
        reader.fuel.spend(loaded.object.weight())?;
        let mut entries = own.clone();
        for (key, value) in INHERITED.iter().zip(&self.heritage) {
            if let Some(value) = value
                && own.get(key).is_none()
            {
                // In front, so that a null entry of the page's own does not hide it.
                entries.entries.insert(0, (key.as_bytes().into(), (**value).clone()));
            }
        }
        Ok(entries)
    }
}

/// All pages below the catalog's `Pages`.
pub(super) fn list_pages(reader: &mut ObjectReader<'_>, catalog: &Dict) -> Result<Vec<PageLeaf>> {
    let root = catalog.get("Pages").ok_or_else(|| broken("it has no page tree"))?;
    let mut walk = TreeWalk { leaves: Vec::new(), nodes: 0 };
    walk.visit(reader, root, &Heritage::default(), DEPTH)?;
    Ok(walk.leaves)
}

/// A walk down the page tree.
struct TreeWalk {
    /// The pages found so far.
    leaves: Vec<PageLeaf>,
    /// How many nodes were visited, pages included.
    nodes: usize,
}

impl TreeWalk {
    /// Visits a node and those below it, at most `depth` levels further down.
    fn visit(
        &mut self,
        reader: &mut ObjectReader<'_>,
        node: &Object,
        heritage: &Heritage,
        depth: usize,
    ) -> Result<()> {
        if depth == 0 {
            return Err(broken("its page tree leads in a circle"));
        }
        self.nodes += 1;
        if self.nodes > PAGES {
            return Err(too_large(format!("more than {PAGES} pages")));
        }
        let loaded = reader.resolve(node)?;
        let dict = loaded.dict().ok_or_else(|| broken("a part of its page tree is missing"))?;
        let Some(kids) = reader.get(dict, "Kids")? else {
            if dict.has_name("Type", "Pages") {
                return Err(broken("a part of its page tree is missing"));
            }
            self.leaves.push(PageLeaf { page: node.clone(), heritage: heritage.clone() });
            return Ok(());
        };
        let kids = kids.object.array().ok_or_else(|| broken("its page tree is damaged"))?;
        let mut handed_down = heritage.clone();
        for (key, value) in INHERITED.iter().zip(&mut handed_down) {
            if let Some(own) = dict.get(key) {
                reader.fuel.spend(own.weight())?;
                *value = Some(Arc::new(own.clone()));
            }
        }
        kids.iter().try_for_each(|kid| self.visit(reader, kid, &handed_down, depth - 1))
    }
}
