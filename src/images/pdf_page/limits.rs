//! How much a PDF may ask of the importer, so that a hostile one ends in an error.
//!
//! The figures lie far above what a page of print needs. Not here: the count of work (`fuel`).

use crate::geom::Mm;

/// The most bytes that one stream may unpack to.
pub(super) const STREAM_BYTES: usize = 64 << 20;

/// The most bytes that one page may bring along.
pub(super) const PAGE_BYTES: usize = 64 << 20;

/// The most objects that one page may bring along.
pub(super) const PAGE_OBJECTS: usize = 50_000;

/// The most pages, and nodes of the page tree, that a file may have.
pub(super) const PAGES: usize = 50_000;

/// The most entries that a file's object table may have.
pub(super) const TABLE_ENTRIES: usize = 1_000_000;

/// How deep arrays, dictionaries and the page tree may be nested.
pub(super) const DEPTH: usize = 64;

/// The shortest side of a page.
pub(super) const SHORTEST_SIDE: Mm = Mm(1.0);

/// The longest side of a page: 200 in, the limit of ISO 32000-1 annex C for a page without
/// `UserUnit`.
pub(super) const LONGEST_SIDE: Mm = Mm(5080.0);
