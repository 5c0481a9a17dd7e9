//! How much a file may ask for: every number in one place, and a table of them for documentation.
//!
//! They lie far above what a bench prints and far below what keeps a machine busy for long, so
//! that a mistake, or a file made to do harm, ends in an error with its place. Whoever enforces a
//! limit writes the error. Not here: the insides of imported PDFs and of pictures (`images`), the
//! lengths of an order's texts (its schema says them), and what paper and readers ask for
//! (`preflight`).

/// A limit for documentation.
#[derive(Debug)]
pub struct Limit {
    /// What is counted.
    pub name: &'static str,
    /// The most there may be.
    pub most: u64,
    /// Why there is a limit, and why it lies there.
    pub guards: &'static str,
}

/// The most bytes of one file, be it a picture, a PDF or a font.
pub(crate) const FILE_BYTES: usize = 64 << 20;

/// The most bytes of an SVG file.
pub const SVG_BYTES: usize = 4 << 20;

/// The most bytes of a layout or shop file.
pub(crate) const YAML_BYTES: usize = 1_000_000;

/// How deeply values may nest in any file of text.
pub(crate) const DATA_DEPTH: usize = 64;

/// The most items of one order.
pub(crate) const ORDER_ITEMS: usize = 1_000;

/// The most extras of one order.
pub(crate) const ORDER_EXTRAS: usize = 20;

/// The most blocks of one layout, with all that it includes.
pub(crate) const LAYOUT_BLOCKS: usize = 2_000;

/// How deeply blocks may nest.
pub(crate) const BLOCK_DEPTH: usize = 24;

/// The most names under one `type`.
pub(crate) const TYPES: usize = 200;

/// The most names under one `let`.
pub(crate) const DEFINITIONS: usize = 200;

/// How many files deep includes may go.
pub(crate) const INCLUDE_DEPTH: usize = 8;

/// The most includes of one layout, in all its files.
pub(crate) const INCLUDES: usize = 200;

/// The longest length of a layout, in millimetres.
pub(crate) const LENGTH_MM: u32 = 2_000;

/// The longest length of a layout that is said in dots.
pub(crate) const LENGTH_DOTS: u32 = 100_000;

/// The most steps of one template for one parcel; a loop over a few hundred items takes thousands.
pub(crate) const TEMPLATE_STEPS: u64 = 100_000;

/// The most bytes that one template may print for one parcel.
pub(crate) const TEMPLATE_TEXT: usize = 20_000;

/// The most repeats of all loops and tables for one parcel.
pub(crate) const REPEATS: usize = 5_000;

/// The most blocks and table cells on the pages of one document.
pub(crate) const DOCUMENT_BLOCKS: usize = 50_000;

/// The most bytes of text on the pages of one document.
pub(crate) const DOCUMENT_TEXT: usize = 1_000_000;

/// The most pages of one document.
pub(crate) const DOCUMENT_PAGES: usize = 200;

/// The most marks on the pages of one document.
pub(crate) const DOCUMENT_MARKS: usize = 100_000;

/// The most pixels of a picture, and the most dots that a picture is brought to.
pub(crate) const PICTURE_PIXELS: u64 = 40_000_000;

/// The most dots of all different pictures of one document together.
pub(crate) const DOCUMENT_DOTS: u64 = 100_000_000;

/// Every limit, from files to finished pages.
pub const LIMITS: &[Limit] = &[
    Limit {
        name: "bytes of a picture, PDF or font",
        most: FILE_BYTES as u64,
        guards: "memory; a photograph has a tenth of that",
    },
    Limit {
        name: "bytes of an SVG file",
        most: SVG_BYTES as u64,
        guards: "time and memory: each byte may draw",
    },
    Limit {
        name: "bytes of a layout or shop file",
        most: YAML_BYTES as u64,
        guards: "time and memory; the longest shipped layout has a three-hundredth of that",
    },
    Limit {
        name: "levels of maps and lists in one another, in any file of text",
        most: DATA_DEPTH as u64,
        guards: "the stack",
    },
    Limit {
        name: "items of an order",
        most: ORDER_ITEMS as u64,
        guards: "time; a slip of so many items has some thirty pages",
    },
    Limit { name: "extras of an order", most: ORDER_EXTRAS as u64, guards: "room on a label" },
    Limit {
        name: "blocks of a layout, with all that it includes",
        most: LAYOUT_BLOCKS as u64,
        guards: "time and memory; the shipped labels have twenty",
    },
    Limit {
        name: "levels of blocks in one another",
        most: BLOCK_DEPTH as u64,
        guards: "time: every level measures the ones inside it",
    },
    Limit {
        name: "names under one `type`",
        most: TYPES as u64,
        guards: "time: each may build on all others",
    },
    Limit {
        name: "names under one `let`",
        most: DEFINITIONS as u64,
        guards: "the stack: each is looked up through the others",
    },
    Limit {
        name: "files that include one another",
        most: INCLUDE_DEPTH as u64,
        guards: "the stack",
    },
    Limit {
        name: "includes of a layout, in all its files",
        most: INCLUDES as u64,
        guards: "time: files that include others twice double at every level",
    },
    Limit {
        name: "millimetres of a length",
        most: LENGTH_MM as u64,
        guards: "against a slip of the hand; the largest paper has 1200",
    },
    Limit {
        name: "dots of a length",
        most: LENGTH_DOTS as u64,
        guards: "against a slip of the hand; 2000 mm at 600 dpi are half of that",
    },
    Limit {
        name: "steps of one template for one parcel",
        most: TEMPLATE_STEPS,
        guards: "time and memory: each step, and every 64 bytes made or looked at, is one",
    },
    Limit {
        name: "bytes that one template prints for one parcel",
        most: TEMPLATE_TEXT as u64,
        guards: "time; a whole A4 page of 7 pt type has less",
    },
    Limit {
        name: "repeats of all loops and tables for one parcel",
        most: REPEATS as u64,
        guards: "time; five times the items of the longest order",
    },
    Limit {
        name: "blocks and table cells of one document",
        most: DOCUMENT_BLOCKS as u64,
        guards: "memory: repeats multiply the blocks of a layout",
    },
    Limit {
        name: "bytes of text of one document",
        most: DOCUMENT_TEXT as u64,
        guards: "time and memory; 200 pages of 5,000 letters",
    },
    Limit {
        name: "pages of one document",
        most: DOCUMENT_PAGES as u64,
        guards: "paper; a slip of 1,000 items has some thirty",
    },
    Limit {
        name: "marks of one document: runs of text, lines, shapes, codes, pictures",
        most: DOCUMENT_MARKS as u64,
        guards: "memory: a short layout can ask for endless dashes; 200 pages of 500 each",
    },
    Limit {
        name: "pixels of a picture, and dots it is printed with",
        most: PICTURE_PIXELS,
        guards: "memory; more than an A4 page has at 600 dpi",
    },
    Limit {
        name: "dots of all different pictures of one document",
        most: DOCUMENT_DOTS,
        guards: "memory: one picture in many sizes is many pictures; a 4×6 in label has 9 million \
                 dots at 600 dpi",
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_has_its_own_name_and_a_reason() {
        for (index, limit) in LIMITS.iter().enumerate() {
            assert!(limit.most > 0 && !limit.guards.is_empty());
            assert!(!LIMITS[..index].iter().any(|other| other.name == limit.name));
        }
    }
}
