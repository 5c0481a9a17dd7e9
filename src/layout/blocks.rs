//! The table of the layout language: every block, every setting, with its kind and its meaning.
//!
//! The check, the JSON Schema and the reference in the documentation all read this table. It is one table
//! and one file, however long: who looks for a setting finds it beside all others of its block.

use super::values::{GROUND_NAME, INK_NAME, LENGTH, LISTED, SHARE};
use crate::record::{COUNT, FLAG, Field, Kind, Record, TEXT, optional as setting};

/// What one block may have.
#[derive(Debug)]
pub struct BlockRule {
    /// Its name, which is its first key.
    pub name: &'static str,
    /// What it puts on the page.
    pub doc: &'static str,
    /// What stands after its name.
    pub content: Kind,
    /// What that means.
    pub content_doc: &'static str,
    /// The settings of its own; [`COMMON`] ones come on top.
    pub settings: &'static [Field],
}

/// A list of blocks, which the decoder checks itself.
const BLOCK_LIST: Kind = Kind::Other("blocks");

/// One block, which the decoder checks itself.
pub(super) const ONE_BLOCK: Kind = Kind::Other("block");

/// Such as `12`, `9pt` or `3dots`.
pub(super) const A_LENGTH: Kind = Kind::Scalar(&LENGTH);

/// A length for all sides, or for two and two, or for each.
pub(super) const SIDE_LENGTHS: Kind =
    Kind::Either(&[A_LENGTH, Kind::Row(2, &A_LENGTH), Kind::Row(4, &A_LENGTH)]);

/// Text, mostly with `{{ }}` in it.
pub(super) const A_TEXT: Kind = Kind::Scalar(&TEXT);

/// Names with what they stand for.
pub(super) const LET: Kind = Kind::Named(&A_TEXT);

/// What to do with text that does not fit.
const FIT: Field = setting(
    "fit",
    Kind::Word(&["wrap", "shrink", "fail"]),
    "what happens to text that does not fit: `wrap` breaks it into lines, `shrink` also sets it \
     smaller, down to the type's `smallest`, `fail` keeps it on one line and reports an error when \
     it is too long; default `wrap`, for an address `shrink`",
);

/// How large a picture or a page becomes.
const SCALING: Field = setting(
    "fit",
    Kind::Word(&["contain", "cover", "actual"]),
    "`contain` makes all of it as large as the block allows, `cover` fills the block and cuts off \
     what reaches over (`align` and `sit` say which side stays), `actual` keeps its own size and \
     reports an error when that does not fit; default `contain`",
);

/// The type a text is set in.
pub(super) const TYPE_NAME: Field =
    setting("type", A_TEXT, "a name from the file's `type`; default 9 pt regular");

/// A type size for one block.
const SIZE: Field = setting("size", A_LENGTH, "the type size, in place of the type's own");

/// The largest module of a code.
const MOST: Field =
    setting("most", Kind::Scalar(&COUNT), "the most dots a module may have; default no limit");

/// The order of a list's values.
const SORT_BY: Field = setting(
    "sort_by",
    Kind::Either(&[A_TEXT, Kind::List(&A_TEXT)]),
    "a field of the values that they are sorted by, or several: `shelf`, `[shelf, title]`; numbers by \
     their size, what is empty last; default as they come",
);

/// Of containers; the first child has none before it.
const GAP: Field = setting("gap", A_LENGTH, "white between neighbours; default 0");

/// The names of [`LETTER_WINDOWS`](crate::stock::LETTER_WINDOWS).
const WINDOW_NAMES: &[&str] = &["din-5008-a", "din-5008-b", "no-10"];

/// The settings every block may have.
pub const COMMON: &[Field] = &[
    setting("width", A_LENGTH, "the block's width; default what its container or content gives"),
    setting("height", A_LENGTH, "the block's height; default what its container or content gives"),
    setting(
        "grow",
        Kind::Scalar(&SHARE),
        "take a share of the room left over in the container's direction; default none",
    ),
    setting(
        "inset",
        SIDE_LENGTHS,
        "white inside the block's edges: one length, `[top and bottom, left and right]`, or \
         `[top, right, bottom, left]`; default 0",
    ),
    setting("border", A_LENGTH, "the thickness of a line along the block's edges; default none"),
    setting(
        "stroke",
        Kind::Word(&["solid", "dashed", "dotted"]),
        "how that line, or the one of a `box`, is drawn; default `solid`",
    ),
    setting(
        "round",
        A_LENGTH,
        "the radius of the corners of the border, the box or the black of `reversed`, at most half of the \
         shorter side; default 0",
    ),
    setting(
        "ink",
        Kind::Scalar(&INK_NAME),
        "`reversed` prints the block white on its `ground`, which then is black if it says none; a name of \
         the file's `inks` prints words, lines and drawings in that colour, while codes stay black; default \
         `black`",
    ),
    setting(
        "ground",
        Kind::Scalar(&GROUND_NAME),
        "the colour, a name of the file's `inks`, that the block's own room is filled with; default none",
    ),
    setting(
        "turn",
        Kind::Word(&["none", "quarter", "half", "three-quarter"]),
        "how far the block is turned, clockwise, with all that is in it; its `width` and `height` are those \
         that it takes on the page; default `none`",
    ),
    setting(
        "mirror",
        Kind::Scalar(&FLAG),
        "`true` mirrors the block from left to right, for what is ironed on or read through the paper; \
         default `false`",
    ),
    setting(
        "at",
        Kind::Either(&[Kind::Row(2, &A_LENGTH), Kind::Word(WINDOW_NAMES)]),
        "inside an `over`: how far to the right of and below its top left corner, or inwards from another \
         `corner`; or the window of an envelope that a folded letter shows this block in, which gives it \
         place and size; default `[0, 0]`",
    ),
    setting(
        "corner",
        Kind::Word(&["top-left", "top-right", "bottom-left", "bottom-right"]),
        "inside an `over`: the corner that the block stands in, `at` away from it; at the right it is only \
         as wide as its content; default `top-left`",
    ),
    setting(
        "align",
        Kind::Word(&["left", "center", "right"]),
        "how the content sits from left to right; default where reading starts, for codes `center`",
    ),
    setting(
        "sit",
        Kind::Word(&["top", "middle", "bottom"]),
        "how the content sits from top to bottom; default `top`",
    ),
    setting(
        "keep",
        Kind::Word(&["whole", "next"]),
        "when the body flows over pages: `whole` is not broken, `next` stays on the page of the \
         block after it, as a caption does; default: broken where it has to be",
    ),
    setting(
        "when",
        A_TEXT,
        "an expression; the block is left out unless it is true, such as `gift` or `count > 1`",
    ),
];

/// The settings of a table's column.
pub static COLUMN: Record = Record {
    name: "column",
    doc: "A column of a table.",
    fields: &[
        Field {
            name: "cell",
            kind: A_TEXT,
            required: true,
            doc: "what each row says, such as `\"{{ item.title }}\"`",
        },
        setting("head", A_TEXT, "what the head says"),
        setting(
            "total",
            Kind::Either(&[A_TEXT, Kind::List(&A_TEXT)]),
            "what the row under the last one says; or a list, a row each, the last in the weight of the \
             head; a row in which no column says anything is left out",
        ),
        setting("width", A_LENGTH, "its width; default that of its widest cell"),
        setting("grow", Kind::Scalar(&SHARE), "take a share of the width left over"),
        setting(
            "align",
            Kind::Word(&["left", "center", "right", "decimal"]),
            "how cells sit; `decimal` puts decimal points under each other; default where reading starts",
        ),
        TYPE_NAME,
        setting(
            "when",
            A_TEXT,
            "an expression; the column is left out unless it is true, such as `not gift`",
        ),
    ],
};

/// The blocks, containers first.
pub const BLOCKS: &[BlockRule] = &[
    BlockRule {
        name: "down",
        doc: "Blocks one under another.",
        content: BLOCK_LIST,
        content_doc: "the blocks, from the top",
        settings: &[GAP],
    },
    BlockRule {
        name: "across",
        doc: "Blocks side by side.",
        content: BLOCK_LIST,
        content_doc: "the blocks, from the left",
        settings: &[
            GAP,
            setting(
                "baseline",
                Kind::Scalar(&FLAG),
                "`true` puts the first lines of the words in it on one baseline, whatever their sizes; default \
                 `false`",
            ),
        ],
    },
    BlockRule {
        name: "over",
        doc: "Blocks on top of each other, each placed with `at`.",
        content: BLOCK_LIST,
        content_doc: "the blocks, the last on top",
        settings: &[],
    },
    BlockRule {
        name: "each",
        doc: "A block repeated for every value of a list.",
        content: Kind::Scalar(&LISTED),
        content_doc: "the list, such as `items`",
        settings: &[
            Field { name: "show", kind: ONE_BLOCK, required: true, doc: "the block to repeat" },
            setting(
                "as",
                A_TEXT,
                "what each value is called inside `show`; default `item`, of groups `group`",
            ),
            SORT_BY,
            setting(
                "group_by",
                A_TEXT,
                "a field of the values: the block is repeated for each group that has it in common, in \
                 order, which has a `name`, a `count` and its `items`",
            ),
            setting(
                "direction",
                Kind::Word(&["down", "across"]),
                "whether the repeats stand one under another or side by side; default `down`",
            ),
            GAP,
            setting(
                "most",
                Kind::Scalar(&COUNT),
                "how many places there are; when there are more values, `more` takes the last one",
            ),
            setting(
                "more",
                A_TEXT,
                "the text in the last place when there are more values; `{{ rest }}` counts those left out",
            ),
            setting("type", A_TEXT, "the type of `more`; default 9 pt regular"),
            setting("between", ONE_BLOCK, "a block between each two repeats, such as a `rule`"),
        ],
    },
    BlockRule {
        name: "include",
        doc: "A block of another layout file; what is set here replaces its own settings.",
        content: A_TEXT,
        content_doc: "the file, from the layout's folder, or a shipped layout's name",
        settings: &[
            setting(
                "part",
                A_TEXT,
                "which block: `body`, `head`, `foot`, `back`, or a name under the file's `parts`; default \
                 `body`",
            ),
            setting(
                "let",
                LET,
                "values in place of those under the file's own `let`; one expression keeps its type",
            ),
        ],
    },
    BlockRule {
        name: "table",
        doc: "A row for every value of a list, under a head that is repeated on every page.",
        content: A_TEXT,
        content_doc: "the list, such as `items`",
        settings: &[
            Field {
                name: "columns",
                kind: Kind::List(&Kind::Map(&COLUMN)),
                required: true,
                doc: "the columns, from the left; on a page in a language that is read from the right, such as \
                      Arabic, from the right",
            },
            setting("as", A_TEXT, "what each value is called inside `cell`; default `item`"),
            SORT_BY,
            TYPE_NAME,
            setting(
                "head_type",
                A_TEXT,
                "the type of the head; totals take its weight; default `type`",
            ),
            setting("gap", A_LENGTH, "white between columns; default 3"),
            setting("row_gap", A_LENGTH, "white between rows; default 1"),
            setting("line", A_LENGTH, "the line under the head and above totals; default `3dots`"),
            setting("every", Kind::Scalar(&COUNT), "a thin line after every so many rows"),
        ],
    },
    BlockRule {
        name: "blank",
        doc: "Something to fill in by hand.",
        content: Kind::Word(&["line", "tick", "signature", "boxes"]),
        content_doc: "`line` to write on, a `tick` box, a `signature` line, or `boxes`, one a letter",
        settings: &[
            setting("label", A_TEXT, "what is to be filled in"),
            setting("count", Kind::Scalar(&COUNT), "how many `boxes`; default 8"),
            TYPE_NAME,
        ],
    },
    BlockRule {
        name: "cut_line",
        doc: "A dashed line to cut along: level in `down`, upright in `across`.",
        content: A_LENGTH,
        content_doc: "its thickness, such as `2dots`",
        settings: &[],
    },
    BlockRule {
        name: "fold_line",
        doc: "A dotted line to fold along: level in `down`, upright in `across`.",
        content: A_LENGTH,
        content_doc: "its thickness, such as `2dots`",
        settings: &[],
    },
    BlockRule {
        name: "text",
        doc: "Text, broken into lines.",
        content: A_TEXT,
        content_doc: "what it says; `{{ }}` puts in what changes from parcel to parcel",
        settings: &[TYPE_NAME, SIZE, FIT],
    },
    BlockRule {
        name: "address",
        doc: "An address in the order and form of its country. Never cut.",
        content: Kind::Word(&["ship_to", "seller"]),
        content_doc: "whose",
        settings: &[TYPE_NAME, SIZE, FIT],
    },
    BlockRule {
        name: "tag",
        doc: "The parcel's tag, as large as its box allows, on one line or two.",
        content: A_TEXT,
        content_doc: "the tag, mostly `\"{{ tag }}\"`",
        settings: &[],
    },
    BlockRule {
        name: "code128",
        doc: "A Code 128 with the largest module, in whole dots, that its box allows.",
        content: A_TEXT,
        content_doc: "what it says",
        settings: &[
            setting(
                "gs1",
                Kind::Scalar(&FLAG),
                "whether it is a GS1-128: element strings in brackets, `(00)…`; default `false`",
            ),
            setting(
                "caption",
                Kind::Word(&["none", "above", "below"]),
                "where what it says is written out; default `none`",
            ),
            setting("caption_text", A_TEXT, "what is written out instead; default what it says"),
            TYPE_NAME,
            setting(
                "quiet",
                Kind::Word(&["inside", "outside"]),
                "whether the white it needs at both ends (10 modules) lies inside its box or \
                 outside, up to the edge of the paper; default `inside`",
            ),
            MOST,
        ],
    },
    BlockRule {
        name: "ean",
        doc: "The barcode that shops scan: an EAN-13, EAN-8 or UPC-A, whichever its number is, with the \
              largest module, in whole dots, that its box and the standard allow.",
        content: A_TEXT,
        content_doc: "the number of 13, 8 or 12 digits, its check digit included, mostly \
                      `\"{{ item.gtin }}\"`",
        settings: &[
            setting(
                "digits",
                Kind::Word(&["below", "none"]),
                "whether the number is written out below its bars; default `below`",
            ),
            setting(
                "quiet",
                Kind::Word(&["inside", "outside"]),
                "whether the white it needs at both ends (11 and 7 modules for 13 digits, 7 for 8, 9 \
                 for 12) lies inside its box or outside, up to the edge of the paper; default `inside`",
            ),
            MOST,
        ],
    },
    BlockRule {
        name: "data_matrix",
        doc: "A Data Matrix for small tags, with the largest module, in whole dots, that its box allows.",
        content: A_TEXT,
        content_doc: "what it says",
        settings: &[
            setting(
                "gs1",
                Kind::Scalar(&FLAG),
                "whether it holds element strings of GS1, in brackets: `(01)…`; default `false`",
            ),
            setting(
                "quiet",
                Kind::Word(&["inside", "outside"]),
                "whether the white it needs around it (1 module) lies inside its box or outside, so \
                 that its edge can stand on an edge of the layout; default `inside`",
            ),
            MOST,
        ],
    },
    BlockRule {
        name: "qr",
        doc: "A QR code with the largest module, in whole dots, that its box allows.",
        content: A_TEXT,
        content_doc: "what it says",
        settings: &[
            setting(
                "correction",
                Kind::Word(&["low", "medium", "quartile", "high"]),
                "how much of it may be damaged: about 7, 15, 25 or 30 %; default `medium`",
            ),
            setting(
                "quiet",
                Kind::Word(&["inside", "outside"]),
                "whether the white it needs around it (4 modules) lies inside its box or outside, \
                 so that its edge can stand on an edge of the layout; default `inside`",
            ),
            MOST,
        ],
    },
    BlockRule {
        name: "tally",
        doc: "The row of cells that a label and its bench card share.",
        content: Kind::Word(&["pair"]),
        content_doc: "`pair`",
        settings: &[setting(
            "cell",
            A_LENGTH,
            "the width of a cell, at least 3 mm; default the widest that fits",
        )],
    },
    BlockRule {
        name: "rule",
        doc: "A line: level in `down`, upright in `across`.",
        content: A_LENGTH,
        content_doc: "its thickness, such as `3dots`",
        settings: &[],
    },
    BlockRule {
        name: "box",
        doc: "An empty box, such as one to tick.",
        content: A_LENGTH,
        content_doc: "the thickness of its line, such as `3dots`",
        settings: &[],
    },
    BlockRule {
        name: "image",
        doc: "A picture: PNG, JPEG, or SVG without text.",
        content: A_TEXT,
        content_doc: "the file, from the layout's folder",
        settings: &[SCALING],
    },
    BlockRule {
        name: "page_of",
        doc: "A page of an existing PDF, placed as it is: drawings stay sharp, text stays text.",
        content: A_TEXT,
        content_doc: "the PDF file, such as `\"{{ carrier_label.file }}\"`",
        settings: &[
            setting(
                "page",
                A_TEXT,
                "the page, from 1, mostly `\"{{ carrier_label.page }}\"`; default 1",
            ),
            setting(
                "from",
                Kind::Word(&["orders", "layout"]),
                "which folder the file lies in or below: that of the `orders` file (for standard \
                 input the working folder) or that of the `layout`; default `orders`",
            ),
            setting(
                "part",
                Kind::Row(4, &A_LENGTH),
                "the piece of the page to show, `[x, y, width, height]` from its top left corner; \
                 default all of it",
            ),
            SCALING,
        ],
    },
];

/// What a block takes; none when no block is called so.
pub(super) fn find_block(name: &str) -> Option<&'static BlockRule> {
    BLOCKS.iter().find(|rule| rule.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_window_of_a_letter_can_be_named() {
        let names: Vec<_> = crate::stock::LETTER_WINDOWS.iter().map(|window| window.name).collect();
        assert_eq!(WINDOW_NAMES, names);
    }

    #[test]
    fn names_are_unique_and_every_entry_is_explained() {
        for (index, rule) in BLOCKS.iter().enumerate() {
            assert!(BLOCKS[..index].iter().all(|other| other.name != rule.name), "{}", rule.name);
            assert!(!rule.doc.is_empty() && !rule.content_doc.is_empty(), "{}", rule.name);
            for field in rule.settings {
                assert!(!field.doc.is_empty(), "{}.{}", rule.name, field.name);
                assert!(COMMON.iter().all(|common| common.name != field.name), "{}", field.name);
                assert!(find_block(field.name).is_none(), "{} is a block", field.name);
            }
        }
        for field in COMMON {
            assert!(find_block(field.name).is_none(), "{} is a block", field.name);
        }
    }
}
