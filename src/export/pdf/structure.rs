//! The structure tree (ISO 32000-1 §14.7): what a document says, in reading order, built while pages
//! stream by.
//!
//! In: the [`TagElement`]s of each page. Out: a document of one section a page, each with its texts,
//! headings and figures, and the parent tree, which leads from a page's pieces of content back to
//! them. Everything of a page is written with it and forgotten, but for four bytes; the parent tree
//! is written leaf by leaf. Elements are written as bytes, because there are a dozen on a label.

use std::io::{self, Write};

use pdf_writer::{Name, Ref};

use super::super::decimal::push_fixed;
use super::content::hex;
use super::objects::Objects;
use super::tags::TagElement;

/// Pages in a leaf of the parent tree.
const PAGES_A_LEAF: i32 = 64;

/// The structure so far.
pub(super) struct Structure {
    /// The root of the tree.
    root: Ref,
    /// The one element below it.
    document: Ref,
    /// The section of each page.
    sections: Vec<u32>,
    /// Pages so far that have anything to say; each is known by how many there were before it.
    pages: i32,
    /// The entries of the parent tree's open leaf.
    entries: Vec<u8>,
    /// The parent tree's leaves, each with the last page in it.
    leaves: Vec<(Ref, i32)>,
    /// The numbers of the elements of the page at hand.
    numbers: Vec<Ref>,
    /// The object at hand.
    body: Vec<u8>,
}

/// A page as the structure sees it.
pub(super) struct TaggedPage<'p> {
    /// Its number.
    pub(super) page: Ref,
    /// What it says.
    pub(super) elements: &'p [TagElement],
    /// The number of the first piece of its content.
    pub(super) first_piece: u32,
    /// The language of its words where it is another than the document's (ISO 32000-1 §14.9.2).
    pub(super) language: Option<&'p str>,
}

impl Structure {
    /// A document of no page.
    pub(super) fn new<W: Write>(objects: &mut Objects<W>) -> Structure {
        let (root, document) = (objects.reserve(), objects.reserve());
        let (sections, leaves, numbers) = (Vec::new(), Vec::new(), Vec::new());
        let (entries, body) = (Vec::new(), Vec::new());
        Structure { root, document, sections, pages: 0, entries, leaves, numbers, body }
    }

    /// Writes what a page says, its pieces numbered from `first_piece`, and tells the number that
    /// the page is known by in the parent tree.
    pub(super) fn add_page<W: Write>(
        &mut self,
        tagged: &TaggedPage<'_>,
        objects: &mut Objects<W>,
    ) -> io::Result<Option<i32>> {
        let TaggedPage { page, elements, first_piece, language } = *tagged;
        if elements.is_empty() {
            return Ok(None);
        }
        let section = objects.reserve_next();
        self.numbers.clear();
        self.numbers.extend(elements.iter().map(|_| objects.reserve_next()));
        self.sections.push(section.get() as u32);
        self.put_section(section, language, objects)?;
        let mut piece = first_piece;
        for (&id, element) in self.numbers.iter().zip(elements) {
            self.body.clear();
            write_element(&mut self.body, element, section, page, piece);
            objects.put_next(id, &self.body)?;
            piece += element.pieces;
        }
        let key = self.pages;
        self.pages += 1;
        self.add_entry(key, elements, first_piece, objects)?;
        Ok(Some(key))
    }

    /// Writes the section of a page.
    fn put_section<W: Write>(
        &mut self,
        id: Ref,
        language: Option<&str>,
        objects: &mut Objects<W>,
    ) -> io::Result<()> {
        let body = &mut self.body;
        body.clear();
        body.extend_from_slice(b"<</S/Sect/P ");
        push_ref(body, self.document);
        // A tag has letters, figures and hyphens (RFC 5646 §2.1): nothing that a string would escape.
        if let Some(tag) = language {
            body.extend_from_slice(b"/Lang(");
            body.extend(tag.bytes().filter(|it| it.is_ascii_alphanumeric() || *it == b'-'));
            body.push(b')');
        }
        body.extend_from_slice(b"/K[");
        self.numbers.iter().for_each(|id| push_item(body, *id));
        body.extend_from_slice(b"]>>");
        objects.put_next(id, body)
    }

    /// Adds a page to the parent tree: the element of each of its pieces.
    fn add_entry<W: Write>(
        &mut self,
        key: i32,
        elements: &[TagElement],
        first_piece: u32,
        objects: &mut Objects<W>,
    ) -> io::Result<()> {
        let entries = &mut self.entries;
        push_fixed(entries, i64::from(key), 0);
        entries.push(b'[');
        // The place in the list is the piece's number.
        (0..first_piece).for_each(|_| entries.extend_from_slice(b"null "));
        for (&id, element) in self.numbers.iter().zip(elements) {
            (0..element.pieces).for_each(|_| push_item(entries, id));
        }
        entries.push(b']');
        if (key + 1) % PAGES_A_LEAF == 0 { self.put_leaf(objects) } else { Ok(()) }
    }

    /// Writes the open leaf of the parent tree (ISO 32000-1 §7.9.7).
    fn put_leaf<W: Write>(&mut self, objects: &mut Objects<W>) -> io::Result<()> {
        let first = self.leaves.last().map_or(0, |(_, last)| last + 1);
        if first == self.pages {
            return Ok(());
        }
        let (id, last) = (objects.reserve_next(), self.pages - 1);
        let body = &mut self.body;
        body.clear();
        body.extend_from_slice(format!("<</Limits[{first} {last}]/Nums[").as_bytes());
        body.append(&mut self.entries);
        body.extend_from_slice(b"]>>");
        self.leaves.push((id, last));
        objects.put_next(id, body)
    }

    /// Writes what remains and tells the root's number.
    pub(super) fn finish<W: Write>(mut self, objects: &mut Objects<W>) -> io::Result<Ref> {
        self.put_leaf(objects)?;
        let parents = objects.reserve();
        let mut chunk = objects.chunk();
        let mut tree = chunk.indirect(parents).dict();
        // The root of a number tree has no limits; a leaf that is alone would have to be it.
        tree.insert(Name(b"Kids")).array().items(self.leaves.iter().map(|(id, _)| *id));
        drop(tree);
        objects.put_small(&chunk)?;
        let mut chunk = objects.chunk();
        let mut root = chunk.indirect(self.root).dict();
        root.pair(Name(b"Type"), Name(b"StructTreeRoot"));
        root.pair(Name(b"K"), self.document);
        root.pair(Name(b"ParentTree"), parents);
        root.pair(Name(b"ParentTreeNextKey"), self.pages);
        drop(root);
        objects.put_small(&chunk)?;
        let mut chunk = objects.chunk();
        let mut document = chunk.indirect(self.document).dict();
        document.pair(Name(b"Type"), Name(b"StructElem"));
        document.pair(Name(b"S"), Name(b"Document"));
        document.pair(Name(b"P"), self.root);
        let sections = self.sections.iter().map(|id| Ref::new(*id as i32));
        document.insert(Name(b"K")).array().items(sections);
        drop(document);
        objects.put_small(&chunk)?;
        Ok(self.root)
    }
}

/// Writes an element (ISO 32000-1 §14.7.2, table 323) whose content begins with a piece of its page.
fn write_element(out: &mut Vec<u8>, element: &TagElement, section: Ref, page: Ref, piece: u32) {
    out.extend_from_slice(b"<</S/");
    out.extend_from_slice(element.role.name());
    out.extend_from_slice(b"/P ");
    push_ref(out, section);
    out.extend_from_slice(b"/Pg ");
    push_ref(out, page);
    out.extend_from_slice(b"/K");
    if element.pieces == 1 {
        out.push(b' ');
        push_fixed(out, i64::from(piece), 0);
    } else {
        out.push(b'[');
        for piece in piece..piece + element.pieces {
            push_fixed(out, i64::from(piece), 0);
            out.push(b' ');
        }
        out.push(b']');
    }
    for (key, text) in [(&b"/Alt"[..], &element.alternative), (b"/ActualText", &element.text)] {
        if let Some(text) = text {
            out.extend_from_slice(key);
            push_text(out, text);
        }
    }
    out.extend_from_slice(b">>");
}

/// Writes a reference.
fn push_ref(out: &mut Vec<u8>, id: Ref) {
    push_fixed(out, i64::from(id.get()), 0);
    out.extend_from_slice(b" 0 R");
}

/// Writes a reference and a space.
fn push_item(out: &mut Vec<u8>, id: Ref) {
    push_ref(out, id);
    out.push(b' ');
}

/// Writes a text string (ISO 32000-1 §7.9.2.2). Separators inside codes are read as spaces.
fn push_text(out: &mut Vec<u8>, text: &str) {
    if text.is_ascii() {
        out.push(b'(');
        for byte in text.bytes() {
            match byte {
                b'(' | b')' | b'\\' => out.extend([b'\\', byte]),
                b' '..=b'~' => out.push(byte),
                _ => out.push(b' '),
            }
        }
        return out.push(b')');
    }
    out.extend_from_slice(b"<FEFF");
    for unit in text.encode_utf16() {
        out.extend_from_slice(&hex(if unit < 32 { 32 } else { unit }));
    }
    out.push(b'>');
}
