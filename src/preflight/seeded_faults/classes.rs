//! The table of the classes of faults.

use super::chance::Chance;
use super::{blocks, codes, inks};
use crate::scene::Page;

/// A class of faults.
pub(super) struct Class {
    /// What is done.
    pub(super) name: &'static str,
    /// Does it.
    pub(super) inject: fn(&mut Page, Chance),
    /// The rules of which one at least must speak.
    pub(super) found_by: &'static [&'static str],
}

/// The classes of faults.
pub(super) const CLASSES: &[Class] = &[
    Class {
        name: "a block is shifted over the edge of the paper",
        inject: blocks::shift_off_page,
        // There are no dots before the first, so a tally goes to the edge at most.
        found_by: &["off-page", "code-off-grid", "quiet-zone", "clear-edge"],
    },
    Class {
        name: "a block is shifted into the clear edge",
        inject: blocks::shift_into_edge,
        found_by: &["clear-edge"],
    },
    Class {
        name: "a block is shifted onto another",
        inject: blocks::shift_onto,
        found_by: &["overlap"],
    },
    Class { name: "a block loses room", inject: blocks::narrow_block, found_by: &["out-of-block"] },
    Class { name: "a quiet zone is narrowed", inject: codes::intrude, found_by: &["quiet-zone"] },
    Class { name: "a code is covered", inject: codes::cover_code, found_by: &["code-covered"] },
    Class {
        name: "a code is put on black",
        inject: codes::blacken_code,
        found_by: &["code-covered"],
    },
    Class {
        name: "a module is made small",
        inject: codes::shrink_module,
        found_by: &["code-module"],
    },
    Class { name: "bars are cut low", inject: codes::lower_bars, found_by: &["code-height"] },
    Class { name: "a symbol loses dots", inject: codes::lose_dots, found_by: &["code-off-grid"] },
    Class { name: "a font is shrunk", inject: inks::shrink_type, found_by: &["small-type"] },
    Class {
        name: "an address is shrunk",
        inject: inks::shrink_address,
        found_by: &["small-address"],
    },
    Class { name: "a line is cut", inject: inks::cut_line, found_by: &["lost-text"] },
    Class { name: "a text turns white", inject: inks::whiten_text, found_by: &["invisible-text"] },
    Class {
        name: "a ground turns black",
        inject: inks::blacken_text,
        found_by: &["invisible-text"],
    },
    Class {
        name: "a text is painted over",
        inject: inks::cover_text,
        found_by: &["invisible-text"],
    },
    Class { name: "a line is made thin", inject: inks::thin_line, found_by: &["thin-rule"] },
    Class {
        name: "a large area turns black",
        inject: inks::blacken_area,
        found_by: &["large-black"],
    },
    Class { name: "a page is left empty", inject: inks::empty_page, found_by: &["blank-page"] },
    Class { name: "a place is no number", inject: inks::break_number, found_by: &["off-page"] },
];
