//! How much a file may ask for: every number in one place, and a table of them for documentation.
//!
//! They lie far above what a bench prints and far below what keeps a machine busy for long, so
//! that a mistake, or a file made to do harm, ends in an error with its place. Whoever enforces a
//! limit writes the error. Not here: the insides of imported PDFs and of pictures (`images`), the
//! lengths of an order's texts (its schema says them), and what paper and readers ask for
//! (`preflight`). A number and its row stand in one file, so that neither is changed alone; that makes it
//! long.

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

/// The most bytes of a spreadsheet file. Ours: 100,000 rows of 30 columns take a tenth of it.
pub(crate) const SHEET_FILE_BYTES: usize = 32 << 20;

/// The most bytes that the parts of a spreadsheet unpack to. Ours: 50,000 rows of 30 filled columns,
/// as openpyxl writes them, take about 60 MB, and the whole must stay below a quarter of a gigabyte.
pub(crate) const SHEET_UNPACKED: usize = 128 << 20;

/// The most parts that are listed; a workbook of 100 sheets has fewer than 400.
pub(crate) const SHEET_PARTS: usize = 10_000;

/// The most columns of a table; no shop exports a thousand.
pub(crate) const SHEET_COLUMNS: usize = 1_024;

/// The most rows of a sheet: Office's, and of spreadsheet programs since.
pub(crate) const SHEET_ROWS: usize = 1 << 20;

/// The most cells of a table, empty ones between others included.
pub(crate) const SHEET_CELLS: usize = 10_000_000;

/// The most bytes that the cells of a sheet show, each repeated one counted. Ours: twice what 100,000
/// rows of 30 columns show with ten letters in each.
pub(crate) const SHEET_SHOWN: usize = 64 << 20;

/// The most texts that cells share; a workbook of 100,000 orders has about a million.
pub(crate) const SHEET_TEXTS: usize = 4_000_000;

/// The most formats of cells; Office allows 65,490.
pub(crate) const SHEET_FORMATS: usize = 65_536;

/// How deeply elements may nest; spreadsheets stay below twenty.
pub(crate) const SHEET_DEPTH: usize = 256;

/// The longest cell that is taken apart, in bytes; an address is shorter than 300.
pub(crate) const PATTERN_CELL: usize = 1_000;

/// The most ways that are tried for one cell; an address of six lines needs a few dozen.
pub(crate) const PATTERN_WAYS: usize = 5_000;

/// The most parts, spaces and marks of one pattern.
pub(crate) const PATTERN_STEPS: usize = 96;

/// The most patterns of one column.
pub(crate) const COLUMN_PATTERNS: usize = 20;

/// The longest record, in bytes; a longer one is a quote that never closes, or no table.
pub(crate) const EXPORT_RECORD: usize = 1 << 20;

/// Lines of a file that is dropped on the desk. Ours: an answer within a few seconds. An export of 200,000 orders took
/// 1.4 s to be looked over, 6.5 s to be taken in, and 1.9 s whenever a page showed what waits (CPU time of a release
/// build on the two cores of a build machine).
pub(crate) const DROPPED_LINES: usize = 50_000;

/// Rows of one order that are gathered at most; an order may list 1,000 items.
pub(crate) const GROUP_ROWS: usize = 2_000;

/// Bytes of one order's rows that are held at most.
pub(crate) const GROUP_BYTES: usize = 16 << 20;

/// The most bytes of one order; a thousand items of four thousand bytes each.
pub(crate) const ORDER_BYTES: usize = 4_000_000;

/// The most keys of one map in JSON.
pub(crate) const MAP_KEYS: usize = 1_000;

/// The most orders of a file.
pub(crate) const ORDERS: usize = 1_000_000;

/// The most errors of the orders of a file; what is wrong is kept until all of it is known.
pub(crate) const ORDER_ERRORS: usize = 20_000;

/// The most different fields of a file's orders that are unknown here.
pub(crate) const UNKNOWN_FIELDS: usize = 1_000;

/// The most that can be wrong with one order, layout, shop file or map of an export.
pub(crate) const RECORD_FAULTS: usize = 50_000;

/// The most items of one order.
pub(crate) const ORDER_ITEMS: usize = 1_000;

/// The most extras of one order.
pub(crate) const ORDER_EXTRAS: usize = 20;

/// The most pages of one parcel in a layout with `per` or `copies`, those of a page that flows left out.
pub(crate) const PARCEL_TURNS: usize = 1_000;

/// The most copies of one layout.
pub(crate) const COPIES: u32 = 100;

/// The most taxes of one order.
pub(crate) const ORDER_TAXES: usize = 20;

/// The most kinds of stamps of a shop. Ours: a drawer of a small sender has about ten.
pub(crate) const STAMP_KINDS: usize = 30;

/// The most stamps that are stuck on one parcel. Ours: more than anybody sticks on one.
pub(crate) const PARCEL_STAMPS: usize = 20;

/// The most units that a price in stamps may have, each what all stamps are whole numbers of. Ours: the
/// search counts all sums up to it, and 200.00 in pennies is more than is ever stamped.
pub(crate) const STAMP_UNITS: u64 = 20_000;

/// The most blocks of one layout, with all that it includes.
pub(crate) const LAYOUT_BLOCKS: usize = 2_000;

/// How deeply blocks may nest.
pub(crate) const BLOCK_DEPTH: usize = 24;

/// The most names under one `type`.
pub(crate) const TYPES: usize = 200;

/// The most names under one `let`.
pub(crate) const DEFINITIONS: usize = 200;

/// The most names under `inks`.
pub(crate) const INKS: usize = 100;

/// How many files deep includes may go.
pub(crate) const INCLUDE_DEPTH: usize = 8;

/// The most includes of one layout, in all its files.
pub(crate) const INCLUDES: usize = 200;

/// The longest length of a layout, in millimetres.
pub(crate) const LENGTH_MM: u32 = 2_000;

/// The longest length of a layout that is said in dots.
pub(crate) const LENGTH_DOTS: u32 = 100_000;

/// The most bytes of a text with a template in it.
pub(crate) const TEMPLATE_BYTES: usize = 20_000;

/// The most words, strings and signs in the braces of one template, and in one expression.
pub(crate) const TEMPLATE_PARTS: usize = 1_000;

/// The most steps of one template for one parcel; a loop over a few hundred items takes thousands.
pub(crate) const TEMPLATE_STEPS: u64 = 100_000;

/// The most steps of all templates and expressions on the pages of one document. Ours: a hundred
/// templates of the longest kind, which together take a third of a second.
pub(crate) const DOCUMENT_STEPS: u64 = 100 * TEMPLATE_STEPS;

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

/// The most declarations of one `style` of an SVG file.
pub(crate) const STYLE_DECLARATIONS: usize = 500;

/// The most declarations of all style sheets of an SVG file.
pub(crate) const SHEET_DECLARATIONS: usize = 5_000;

/// The most pixels of a picture, and the most dots that a picture is brought to.
pub(crate) const PICTURE_PIXELS: u64 = 40_000_000;

/// The most pixels of a camera's picture that is looked at for codes. Ours: a camera of 1920 by 1080.
pub const CAMERA_PIXELS: u64 = 1920 * 1080;

/// The most dots of all different pictures of one document together.
pub(crate) const DOCUMENT_DOTS: u64 = 100_000_000;

/// How deeply forms of another file's page may stand in one another where it is drawn as dots. Ours:
/// the renderer goes to fifty, drawing programs to a few.
pub(crate) const DRAWN_DEPTH: usize = 30;

/// The most operators and letters of another file's page that is drawn as dots, counted as often as
/// their forms are drawn.
pub(crate) const DRAWN_STEPS: u64 = 1_000_000;

/// The most dashes of lines of another file's page that is drawn as dots.
pub(crate) const DRAWN_DASHES: u64 = 100_000;

/// The most pixels of pictures on another file's page that is drawn as dots, counted as often as they
/// are drawn.
pub(crate) const DRAWN_PIXELS: u64 = PICTURE_PIXELS;

/// The most bytes that the streams of another file's page may be unpacked to where it is drawn as dots,
/// counted as often as they are drawn. Ours: its pixels in four inks.
pub(crate) const DRAWN_BYTES: u64 = 4 * DRAWN_PIXELS;

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
        name: "bytes of a spreadsheet",
        most: SHEET_FILE_BYTES as u64,
        guards: "memory; 100,000 rows of 30 columns take a tenth of it",
    },
    Limit {
        name: "bytes that the parts of a spreadsheet unpack to",
        most: SHEET_UNPACKED as u64,
        guards: "memory; 50,000 rows of 30 filled columns, as openpyxl writes them, take half of it",
    },
    Limit {
        name: "parts of a spreadsheet",
        most: SHEET_PARTS as u64,
        guards: "time; a workbook of 100 sheets has fewer than 400",
    },
    Limit {
        name: "columns of a sheet",
        most: SHEET_COLUMNS as u64,
        guards: "memory; no shop exports a thousand",
    },
    Limit {
        name: "rows of a sheet",
        most: SHEET_ROWS as u64,
        guards: "memory; spreadsheet programs have no more",
    },
    Limit {
        name: "cells of a sheet, empty ones between others included",
        most: SHEET_CELLS as u64,
        guards: "memory; 300,000 rows of 30 columns have fewer",
    },
    Limit {
        name: "bytes that the cells of a sheet show, repeated ones counted each time",
        most: SHEET_SHOWN as u64,
        guards: "time; a row may say that it comes a million times",
    },
    Limit {
        name: "texts that the cells of a spreadsheet share",
        most: SHEET_TEXTS as u64,
        guards: "memory; a workbook of 100,000 orders has about a million",
    },
    Limit {
        name: "formats of the cells of a spreadsheet",
        most: SHEET_FORMATS as u64,
        guards: "memory; Office allows 65,490",
    },
    Limit {
        name: "levels of elements in a part of a spreadsheet",
        most: SHEET_DEPTH as u64,
        guards: "the stack; spreadsheets stay below twenty",
    },
    Limit {
        name: "bytes of a cell that a pattern takes apart",
        most: PATTERN_CELL as u64,
        guards: "time; an address is shorter than 300",
    },
    Limit {
        name: "ways that a pattern is tried on one cell",
        most: PATTERN_WAYS as u64,
        guards: "time; an address of six lines needs a few dozen",
    },
    Limit {
        name: "parts, spaces and marks of a pattern",
        most: PATTERN_STEPS as u64,
        guards: "time; an address has eight parts",
    },
    Limit {
        name: "patterns of one column",
        most: COLUMN_PATTERNS as u64,
        guards: "time: each is tried on each cell",
    },
    Limit {
        name: "bytes of one row of an export",
        most: EXPORT_RECORD as u64,
        guards: "memory; a quote that never closes would take the whole file",
    },
    Limit {
        name: "lines of a file that is dropped on the desk",
        most: DROPPED_LINES as u64,
        guards: "time: an export of so many orders is answered within a few seconds",
    },
    Limit {
        name: "rows of one order in an export",
        most: GROUP_ROWS as u64,
        guards: "memory; an order may list 1,000 items",
    },
    Limit {
        name: "bytes of the rows of one order in an export",
        most: GROUP_BYTES as u64,
        guards: "memory: they are held until the order is whole",
    },
    Limit {
        name: "bytes of an order",
        most: ORDER_BYTES as u64,
        guards: "memory: an order is held as a tree while it is read; 1,000 usual items have a twentieth",
    },
    Limit {
        name: "keys of one map in JSON",
        most: MAP_KEYS as u64,
        guards: "time and memory: each unknown one is told; an order has twenty",
    },
    Limit {
        name: "orders of a file",
        most: ORDERS as u64,
        guards: "memory: their places are held together; ten times what is measured",
    },
    Limit {
        name: "errors of the orders of a file",
        most: ORDER_ERRORS as u64,
        guards: "memory: they are told together, at the end; two or three for each order at fault",
    },
    Limit {
        name: "different unknown fields of the orders of a file",
        most: UNKNOWN_FIELDS as u64,
        guards: "time and memory: each is told, with the field that is nearest; exports have some \
                 hundred",
    },
    Limit {
        name: "faults of one order, layout, shop file or map",
        most: RECORD_FAULTS as u64,
        guards: "memory; the items of the longest order, each with fifty unknown fields",
    },
    Limit {
        name: "items of an order",
        most: ORDER_ITEMS as u64,
        guards: "time; a slip of so many items has some thirty pages",
    },
    Limit { name: "extras of an order", most: ORDER_EXTRAS as u64, guards: "room on a label" },
    Limit {
        name: "pages of one parcel by `per` and `copies`",
        most: PARCEL_TURNS as u64,
        guards: "paper; a number of an article in the place of a quantity",
    },
    Limit { name: "copies of a layout", most: COPIES as u64, guards: "paper" },
    Limit { name: "taxes of an order", most: ORDER_TAXES as u64, guards: "room on a slip" },
    Limit {
        name: "kinds of stamps of a shop",
        most: STAMP_KINDS as u64,
        guards: "time; a drawer has about ten",
    },
    Limit {
        name: "stamps on a parcel",
        most: PARCEL_STAMPS as u64,
        guards: "room on the parcel, and patience",
    },
    Limit {
        name: "units of a price in stamps, each what all stamps are whole numbers of",
        most: STAMP_UNITS,
        guards: "time and memory; 200.00 in pennies",
    },
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
        name: "colours under one `inks`",
        most: INKS as u64,
        guards: "time: each block looks for its own among them",
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
        name: "bytes of a text with a template in it",
        most: TEMPLATE_BYTES as u64,
        guards: "time; as many as it may print",
    },
    Limit {
        name: "words, strings and signs in the braces of one template",
        most: TEMPLATE_PARTS as u64,
        guards: "the stack: each may stand inside the one before",
    },
    Limit {
        name: "steps of one template for one parcel",
        most: TEMPLATE_STEPS,
        guards: "time and memory: each step, and every 64 bytes made or looked at, is one",
    },
    Limit {
        name: "steps of all templates of one document",
        most: DOCUMENT_STEPS,
        guards: "time: a template may be repeated 5,000 times; a slip of 1,000 items takes 30,000",
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
        name: "declarations of one `style` of an SVG file",
        most: STYLE_DECLARATIONS as u64,
        guards: "time: 40,000 of them took 14 s; drawing programs write some fifty",
    },
    Limit {
        name: "declarations of all style sheets of an SVG file",
        most: SHEET_DECLARATIONS as u64,
        guards: "time: each is tried on each element; drawing programs write some hundred",
    },
    Limit {
        name: "pixels of a picture, and dots it is printed with",
        most: PICTURE_PIXELS,
        guards: "memory; more than an A4 page has at 600 dpi",
    },
    Limit {
        name: "pixels of a camera's picture",
        most: CAMERA_PIXELS,
        guards: "time: each picture is looked at in four ways while the next is on its way",
    },
    Limit {
        name: "dots of all different pictures of one document",
        most: DOCUMENT_DOTS,
        guards: "memory: one picture in many sizes is many pictures; a 4×6 in label has 9 million \
                 dots at 600 dpi",
    },
    Limit {
        name: "levels of forms in one another on a page of a PDF that is drawn as dots",
        most: DRAWN_DEPTH as u64,
        guards: "the stack; drawing programs nest a few",
    },
    Limit {
        name: "steps of drawing a page of a PDF as dots, its forms repeated",
        most: DRAWN_STEPS,
        guards: "time: forms of 2 KB can double thirty times; a carrier's label has some thousand",
    },
    Limit {
        name: "dashes of the lines on a page of a PDF that is drawn as dots",
        most: DRAWN_DASHES,
        guards: "memory: dashes of 0.0001 pt took 6.5 GB",
    },
    Limit {
        name: "pixels of the pictures on a page of a PDF that is drawn as dots",
        most: DRAWN_PIXELS,
        guards: "memory; a whole A4 page at 600 dpi has 35 million",
    },
    Limit {
        name: "unpacked bytes of a page of a PDF that is drawn as dots, its forms repeated",
        most: DRAWN_BYTES,
        guards: "memory: a kilobyte of packed zeros is a megabyte, and may be packed eight times",
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
