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

/// How high the bars of an EAN ought to be for the scanner of a till.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TillHeight {
    /// Their height in modules, so that a larger symbol has higher bars.
    pub modules: f64,
    /// Their least height, however small the module.
    pub least: Mm,
}

/// The numbers that pages are held to; the defaults suit a thermal printer.
#[derive(Clone, Debug, PartialEq)]
pub struct Rules {
    /// Whether the printer has black and nothing else; yes unless told otherwise.
    pub one_bit: bool,
    /// What of the page its printer can print; all of it when not given.
    pub printable: Option<Rect>,
    /// The smallest type; 6 pt. DIN 5008 has no smaller one in an address field
    /// (din-5008-richtlinien.de, "Anschriftenfeld"), and at 203 dpi sellers of thermal printers advise
    /// against 6 pt already (barcodefactory.com, "203, 300 or 600 dpi Thermal Label Printer").
    pub least_type: Mm,
    /// The smallest type of a recipient's address; 8 pt (DIN 5008, at the same place).
    pub least_address: Mm,
    /// Modules of Code 128; 2 dots and 0.25 mm. Both are ours, since ISO/IEC 15417 leaves the module
    /// to the application: codes of 2 dots still read with speckle, stretched and askew, but no
    /// longer with a dot of gain (`tests/cases/damage/modules.md`), and with 1 dot a dot of loss
    /// leaves no bar at all. At 203 dpi 0.25 mm are these 2 dots; it stops a finer printer's 2 dots
    /// from being taken for as much.
    pub code128: ModuleLimits,
    /// Modules of QR; 3 dots, and 4 advised. The advice and the length, 0.25 mm, are those of the
    /// code's originator (qrcode.com, "Point for setting the module size": 4 or more dots a
    /// module; 0.25 mm is what its table gives for standard scanners). 3 dots are ours: with 2, a
    /// label a hundredth too short no longer always reads (`tests/cases/damage/modules.md`).
    pub qr: ModuleLimits,
    /// Modules of an EAN or UPC; 2 dots and 0.249 mm, which GS1 allows to printers on demand only;
    /// for all others 0.264 mm is the least (barcodes.cz, "EAN-13 Specifications": 75 % and 80 % of
    /// 0.33 mm).
    pub ean: ModuleLimits,
    /// Modules of Data Matrix; 3 dots and 0.25 mm, as for QR, and 3 advised. Ours: with 2 dots of 203
    /// dpi a dot of gain closes the light modules of its border
    /// (`a_data_matrix_of_three_dots_survives_a_dot_of_gain` in `tests/it/codes_data_matrix.rs`).
    pub data_matrix: ModuleLimits,
    /// The lowest bars; 5 mm. ISO/IEC 15417:2007 demands no height and recommends for scanning by
    /// hand 5 mm or 15 % of the symbol's length, the larger (as quoted by avapose.com, "Code 128
    /// Size Setting"; the page on Code 39 there quotes the same of ISO/IEC 16388:2007).
    pub least_bar_height: Mm,
    /// The lowest bars as a part of the symbol's length; 0.15, from the same place.
    pub least_bar_share: f64,
    /// The lowest bars of a GS1-128 with an SSCC; 31.75 mm. GS1's offices publish 32 mm, rounded
    /// (gs1jo.org.jo, "About GS1 128": min. bar height 32 mm); 1¼ inches are taken for enough.
    pub least_sscc_height: Mm,
    /// The bars of an EAN-13 or UPC-A at a till: 22.85 mm at a module of 0.33 mm and as much more or
    /// less at others, but 18.28 mm at least (gs1.se, "Guidelines for size").
    pub till_height: TillHeight,
    /// The bars of an EAN-8 at a till: 18.23 mm at a module of 0.33 mm, 14.58 mm at least (there too).
    pub till_height_ean8: TillHeight,
    /// The thinnest line that is advised, in dots; 2. Ours: one dot that dies takes a line of one dot
    /// with it.
    pub advised_line_dots: f64,
    /// The smaller side from which a black box is an area and no line; 3 mm. Ours: the cells of a
    /// tally are no smaller, and a bar of six dots is a quarter of it.
    pub solid_side: Mm,
    /// The part of a page that black areas may cover; a tenth. Ours, half of the
    /// fifth of the paper from which a maker of thermal printers limits how long solid areas may be
    /// printed (user guide of the HP Value receipt printer, p. 14, duty cycle): codes and letters,
    /// an eighth of the paper there, come on top.
    pub most_black: f64,
    /// The end of the page, in feed direction, that stays free of black areas; 10 mm. Ours, a
    /// guess on the careful side: no print was measured.
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
            ean: ModuleLimits { least_dots: 2, least: Mm(0.249), advised_dots: 2 },
            data_matrix: ModuleLimits { least_dots: 3, least: Mm(0.25), advised_dots: 3 },
            least_bar_height: Mm(5.0),
            least_bar_share: 0.15,
            least_sscc_height: Mm(31.75),
            till_height: TillHeight { modules: 22.85 / 0.33, least: Mm(18.28) },
            till_height_ean8: TillHeight { modules: 18.23 / 0.33, least: Mm(14.58) },
            advised_line_dots: 2.0,
            solid_side: Mm(3.0),
            most_black: 0.1,
            calm_end: Mm(10.0),
            advice: false,
            most_findings: 20,
        }
    }
}
