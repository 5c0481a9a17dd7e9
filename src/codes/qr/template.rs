//! Everything in a QR Code's matrix that does not depend on its payload.
//!
//! In: a version. Out: its [`SymbolTemplate`], made once for each version and kept: function
//! patterns, the order in which data modules are filled, the eight masks. Not here: codewords, penalties.

use std::sync::OnceLock;

use super::super::grid::{ModuleRow, ModuleShade, ROW_WORDS};
use super::tables::{alignment_centres, data_modules, size_of, version_bits};

/// The payload-independent parts of one version.
#[derive(Debug)]
pub(super) struct SymbolTemplate {
    /// Modules along each side.
    pub(super) size: usize,
    /// Function patterns and version information, dark modules set; format information is left
    /// light but for the dark module.
    pub(super) function: Vec<ModuleRow>,
    /// Column and row of every data module, in the order of the codewords' bits.
    pub(super) order: Vec<[u8; 2]>,
    /// For each mask and row, the data modules to be inverted.
    pub(super) masks: [Vec<ModuleRow>; 8],
}

/// The templates of all versions, each made when it is first asked for.
static TEMPLATES: [OnceLock<SymbolTemplate>; 40] = [const { OnceLock::new() }; 40];

/// What symbols of a version, 1 to 40, have in common; made when one is first asked for.
pub(super) fn template_of(version: u8) -> &'static SymbolTemplate {
    TEMPLATES[usize::from(version) - 1].get_or_init(|| make_template(version))
}

/// A matrix under construction: what is dark, and what is taken by function patterns.
struct Canvas {
    /// Modules along each side.
    size: usize,
    /// What is painted dark, a row each.
    dark: Vec<ModuleRow>,
    /// Modules of function patterns, format and version information.
    taken: Vec<ModuleRow>,
}

/// The shade of a module that is dark under a condition and light else.
fn dark_if(is_dark: bool) -> ModuleShade {
    if is_dark { ModuleShade::Dark } else { ModuleShade::Light }
}

impl Canvas {
    /// Takes a module for a function pattern.
    fn put(&mut self, x: usize, y: usize, shade: ModuleShade) {
        let (word, bit) = (x / 64, 1 << (x % 64));
        self.taken[y][word] |= bit;
        match shade {
            ModuleShade::Dark => self.dark[y][word] |= bit,
            ModuleShade::Light => self.dark[y][word] &= !bit,
        }
    }

    /// Whether a module belongs to a function pattern.
    fn is_taken(&self, x: usize, y: usize) -> bool {
        self.taken[y][x / 64] >> (x % 64) & 1 == 1
    }

    /// Finder patterns with their separators in three corners (6.3.3, 6.3.4).
    fn draw_finders(&mut self) {
        let far = self.size - 7;
        for (left, top) in [(0, 0), (far, 0), (0, far)] {
            for (x, y) in square(9) {
                // One module beyond the pattern on each side is the light separator.
                let (Some(column), Some(row)) =
                    ((left + x).checked_sub(1), (top + y).checked_sub(1))
                else {
                    continue;
                };
                if column < self.size && row < self.size {
                    let ring = x.abs_diff(4).max(y.abs_diff(4));
                    self.put(column, row, dark_if(ring != 2 && ring != 4));
                }
            }
        }
    }

    /// Timing patterns along row and column 6 (6.3.5).
    fn draw_timing(&mut self) {
        for at in 8..self.size - 8 {
            self.put(at, 6, dark_if(at % 2 == 0));
            self.put(6, at, dark_if(at % 2 == 0));
        }
    }

    /// Alignment patterns, but where a finder stands (6.3.6).
    fn draw_alignment(&mut self, version: u8) {
        let centres = alignment_centres(version);
        let last = self.size - 7;
        for (&centre_x, &centre_y) in
            centres.iter().flat_map(|x| centres.iter().map(move |y| (x, y)))
        {
            if [(6, 6), (6, last), (last, 6)].contains(&(centre_x, centre_y)) {
                continue;
            }
            for (x, y) in square(5) {
                let ring = x.abs_diff(2).max(y.abs_diff(2));
                self.put(centre_x + x - 2, centre_y + y - 2, dark_if(ring != 1));
            }
        }
    }

    /// Keeps the places of format information free, and draws the dark module (7.9).
    fn reserve_format(&mut self) {
        for bit in 0..15 {
            for (x, y) in format_places(self.size, bit) {
                self.put(x, y, ModuleShade::Light);
            }
        }
        self.put(8, self.size - 8, ModuleShade::Dark);
    }

    /// Version information, from version 7 (7.10).
    fn draw_version(&mut self, version: u8) {
        if version < 7 {
            return;
        }
        let bits = version_bits(version);
        for bit in 0..18 {
            let (near, far) = (bit / 3, self.size - 11 + bit % 3);
            let shade = dark_if(bits >> bit & 1 == 1);
            self.put(near, far, shade);
            self.put(far, near, shade);
        }
    }

    /// Column and row of every data module: pairs of columns from the right, in turn upwards and
    /// downwards, the right column of a pair first, without column 6 (7.7.3).
    fn order(&self, modules: usize) -> Vec<[u8; 2]> {
        let mut order = Vec::with_capacity(modules);
        let rights = (1..self.size).rev().step_by(2).map(|x| if x <= 6 { x - 1 } else { x });
        for (pair, right) in rights.enumerate() {
            for step in 0..self.size {
                let y = if pair % 2 == 0 { self.size - 1 - step } else { step };
                let free = [right, right - 1].into_iter().filter(|&x| !self.is_taken(x, y));
                order.extend(free.map(|x| [x as u8, y as u8]));
            }
        }
        order
    }
}

/// All column and row pairs of a square.
fn square(side: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..side).flat_map(move |y| (0..side).map(move |x| (x, y)))
}

/// Both places of a bit of format information, bit 0 the lowest (7.9.1).
pub(super) fn format_places(size: usize, bit: usize) -> [(usize, usize); 2] {
    let around_corner = match bit {
        0..=5 => (8, bit),
        6 | 7 => (8, bit + 1),
        8 => (7, 8),
        _ => (14 - bit, 8),
    };
    let along_others = match bit {
        0..=7 => (size - 1 - bit, 8),
        _ => (8, size - 15 + bit),
    };
    [around_corner, along_others]
}

/// Whether a mask inverts the module in this column and row (7.8.2, Table 10).
pub(super) fn is_masked(mask: u8, x: usize, y: usize) -> bool {
    let product = x * y;
    match mask {
        0 => (x + y).is_multiple_of(2),
        1 => y.is_multiple_of(2),
        2 => x.is_multiple_of(3),
        3 => (x + y).is_multiple_of(3),
        4 => (y / 2 + x / 3).is_multiple_of(2),
        5 => product % 2 + product % 3 == 0,
        6 => (product % 2 + product % 3).is_multiple_of(2),
        _ => ((x + y) % 2 + product % 3).is_multiple_of(2),
    }
}

/// Draws the template of a version.
fn make_template(version: u8) -> SymbolTemplate {
    let size = size_of(version);
    let blank = vec![[0; ROW_WORDS]; size];
    let mut canvas = Canvas { size, dark: blank.clone(), taken: blank };
    canvas.draw_timing();
    canvas.draw_finders();
    canvas.draw_alignment(version);
    canvas.reserve_format();
    canvas.draw_version(version);
    let order = canvas.order(data_modules(version));
    let masks = [0, 1, 2, 3, 4, 5, 6, 7].map(|mask| draw_mask(&canvas, mask));
    SymbolTemplate { size, function: canvas.dark, order, masks }
}

/// The data modules that a mask inverts.
fn draw_mask(canvas: &Canvas, mask: u8) -> Vec<ModuleRow> {
    let row = |y: usize| -> ModuleRow {
        let mut row = [0; ROW_WORDS];
        for x in (0..canvas.size).filter(|&x| !canvas.is_taken(x, y) && is_masked(mask, x, y)) {
            row[x / 64] |= 1 << (x % 64);
        }
        row
    };
    (0..canvas.size).map(row).collect()
}
