//! The numbers that pages are held to.

use crate::geom::{MM_PER_PT, Mm, Rect};

/// How small the modules of one kind of code may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModuleLimits {
    /// Fewest dots a module; below it is an error.
    pub least_dots: u32,
    /// Shortest length of a module; below it is an error.
    pub least: Mm,
    /// Fewest dots a module that are advised; below it is a warning.
    pub advised_dots: u32,
}

/// The numbers that pages are held to; the defaults suit a thermal printer.
#[derive(Clone, Debug, PartialEq)]
pub struct Rules {
    /// Whether the printer has black and nothing else; yes unless told otherwise.
    pub one_bit: bool,
    /// What of the page its printer can print; all of it when not given.
    pub printable: Option<Rect>,
    /// The smallest type; 6 pt.
    pub least_type: Mm,
    /// The smallest type of a recipient's address; 8 pt (DIN 5008).
    pub least_address: Mm,
    /// Modules of Code 128; 2 dots and 0.25 mm (ISO/IEC 15417, from memory).
    pub code128: ModuleLimits,
    /// Modules of QR; 3 dots, and 4 advised (the QR originator's advice). The length, 0.25 mm,
    /// has no source but prudence: it stops a fine printer's 3 dots from being taken for enough.
    pub qr: ModuleLimits,
    /// The lowest bars; 6.35 mm (ISO/IEC 15417, from memory).
    pub least_bar_height: Mm,
    /// The lowest bars as a part of the symbol's width; 0.15 (ISO/IEC 15417, from memory).
    pub least_bar_share: f64,
    /// The thinnest line that is advised, in dots; 2.
    pub advised_line_dots: f64,
    /// The smaller side from which a black box is an area and no line; 3 mm.
    pub solid_side: Mm,
    /// The part of a page that black areas may cover; a tenth.
    pub most_black: f64,
    /// The end of the page, in feed direction, that stays free of black areas; 10 mm.
    pub calm_end: Mm,
    /// Whether what could be better is noted too, though it is no fault; default no.
    pub advice: bool,
    /// How many findings of one rule a page reports; the others are counted; 20.
    pub most_findings: usize,
}

impl Default for Rules {
    fn default() -> Rules {
        Rules {
            one_bit: true,
            printable: None,
            least_type: Mm(6.0 * MM_PER_PT),
            least_address: Mm(8.0 * MM_PER_PT),
            code128: ModuleLimits { least_dots: 2, least: Mm(0.25), advised_dots: 2 },
            qr: ModuleLimits { least_dots: 3, least: Mm(0.25), advised_dots: 4 },
            least_bar_height: Mm(6.35),
            least_bar_share: 0.15,
            advised_line_dots: 2.0,
            solid_side: Mm(3.0),
            most_black: 0.1,
            calm_end: Mm(10.0),
            advice: false,
            most_findings: 20,
        }
    }
}
