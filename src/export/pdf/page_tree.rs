//! The page tree (ISO 32000-1 §7.7.3), built while pages stream by.
//!
//! In: pages in order. Out: nodes of at most [`CHILDREN`] children, all leaves equally deep, so
//! that a viewer finds page 9,000 in three steps. A node is written as soon as it is full and
//! forgotten; only one open node a level is kept.

use std::io::{self, Write};

use pdf_writer::{Finish, Ref};

use super::objects::Objects;

/// Most children of a node.
const CHILDREN: usize = 32;

/// A node that still takes children.
struct TreeNode {
    /// Its number.
    id: Ref,
    /// Pages or nodes below it, in order.
    children: Vec<Ref>,
    /// The pages below it.
    pages: i32,
}

/// The open nodes.
#[derive(Default)]
pub(super) struct PageTree {
    /// One a level, leaves first; none where a node was filled and no further child has come.
    levels: Vec<Option<TreeNode>>,
}

impl PageTree {
    /// Whether no page was added.
    pub(super) fn is_empty(&self) -> bool {
        self.levels.is_empty()
    }

    /// Adds a page and tells the number of the node that it hangs on.
    pub(super) fn add<W: Write>(&mut self, page: Ref, objects: &mut Objects<W>) -> io::Result<Ref> {
        let parent = self.open(0, objects);
        self.attach(0, page, 1, objects)?;
        Ok(parent)
    }

    /// The number of the open node at a level.
    fn open<W: Write>(&mut self, level: usize, objects: &mut Objects<W>) -> Ref {
        if self.levels.len() <= level {
            self.levels.resize_with(level + 1, || None);
        }
        let fresh = || TreeNode { id: objects.reserve(), children: Vec::new(), pages: 0 };
        self.levels[level].get_or_insert_with(fresh).id
    }

    /// Hangs a child on the open node at a level, and closes the node when that fills it.
    fn attach<W: Write>(
        &mut self,
        level: usize,
        child: Ref,
        pages: i32,
        objects: &mut Objects<W>,
    ) -> io::Result<()> {
        self.open(level, objects);
        let Some(node) = &mut self.levels[level] else { return Ok(()) };
        node.children.push(child);
        node.pages += pages;
        if node.children.len() < CHILDREN { Ok(()) } else { self.close(level, objects) }
    }

    /// Writes the open node at a level and hangs it on the next.
    fn close<W: Write>(&mut self, level: usize, objects: &mut Objects<W>) -> io::Result<()> {
        let Some(node) = self.levels[level].take() else { return Ok(()) };
        let parent = self.open(level + 1, objects);
        put_node(&node, Some(parent), objects)?;
        self.attach(level + 1, node.id, node.pages, objects)
    }

    /// Writes all open nodes and tells the number of the root.
    pub(super) fn finish<W: Write>(mut self, objects: &mut Objects<W>) -> io::Result<Ref> {
        let mut level = 0;
        // The root is the highest open node; closing those below it may fill it and open another.
        while let Some(top) = self.levels.iter().rposition(Option::is_some)
            && level < top
        {
            self.close(level, objects)?;
            level += 1;
        }
        let root = self.levels.get_mut(level).and_then(Option::take);
        let root = root.unwrap_or_else(|| TreeNode {
            id: objects.reserve(),
            children: Vec::new(),
            pages: 0,
        });
        put_node(&root, None, objects)?;
        Ok(root.id)
    }
}

/// Writes a node once no more children come.
fn put_node<W: Write>(
    node: &TreeNode,
    parent: Option<Ref>,
    objects: &mut Objects<W>,
) -> io::Result<()> {
    let mut chunk = objects.chunk();
    let mut pages = chunk.pages(node.id);
    if let Some(parent) = parent {
        pages.parent(parent);
    }
    pages.kids(node.children.iter().copied());
    pages.count(node.pages);
    pages.finish();
    objects.put_small(&chunk)
}
