//! A square of modules, whatever it says.
//!
//! In: rows of bits. Out: single modules, runs and rows. Not here: what the modules mean.

use crate::geom::Stance;

/// Words in a row: 192 bits hold the 177 modules of the largest QR Code.
pub(super) const ROW_WORDS: usize = 3;

/// A row of modules: column x is bit x % 64 of word x / 64, set when dark.
pub(super) type ModuleRow = [u64; ROW_WORDS];

/// The modules of a square symbol, without its quiet zone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ModuleGrid {
    /// The rows from the top, as many as there are columns.
    rows: Vec<ModuleRow>,
}

impl ModuleGrid {
    /// A square of these rows.
    pub(super) fn new(rows: Vec<ModuleRow>) -> ModuleGrid {
        ModuleGrid { rows }
    }

    /// Modules along each side.
    #[must_use]
    pub fn size(&self) -> usize {
        self.rows.len()
    }

    /// The rows from the top; column x is bit x % 64 of word x / 64, set when dark.
    #[must_use]
    pub fn rows(&self) -> &[[u64; ROW_WORDS]] {
        &self.rows
    }

    /// Whether the module in this column and row is dark; outside the symbol all is light.
    #[must_use]
    pub fn get(&self, x: usize, y: usize) -> bool {
        let word = self.rows.get(y).and_then(|row| row.get(x / 64));
        word.is_some_and(|word| word >> (x % 64) & 1 == 1)
    }

    /// The runs of dark modules in a row from left to right, each with its first column and its
    /// length; none for a row outside the symbol.
    pub fn runs(&self, y: usize) -> impl Iterator<Item = (usize, usize)> + use<> {
        let row = self.rows.get(y).copied().unwrap_or_default();
        let mut from = 0;
        std::iter::from_fn(move || {
            let start = find_column(row, from, ModuleShade::Dark)?;
            // The bits beyond the symbol are light, so every run ends inside the row.
            let end = find_column(row, start, ModuleShade::Light)?;
            from = end;
            Some((start, end - start))
        })
    }

    /// The same modules as they stand on a page.
    #[must_use]
    pub fn oriented(&self, stance: Stance) -> ModuleGrid {
        let size = self.size();
        let mut rows = vec![[0; ROW_WORDS]; size];
        for y in 0..size {
            for (start, length) in self.runs(y) {
                for x in start..start + length {
                    let [x, y, ..] = stance.place_box([x, y, 1, 1], [size, size]);
                    rows[y][x / 64] |= 1 << (x % 64);
                }
            }
        }
        ModuleGrid { rows }
    }

    /// The modules that differ from what they ought to be when they look as `is_dark` (column,
    /// row) says, function patterns included.
    pub fn count_wrong(&self, is_dark: impl Fn(usize, usize) -> bool) -> usize {
        let size = self.size();
        let modules = (0..size).flat_map(|y| (0..size).map(move |x| (x, y)));
        modules.filter(|&(x, y)| is_dark(x, y) != self.get(x, y)).count()
    }
}

/// What a module looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ModuleShade {
    /// Printed.
    Dark,
    /// Left white.
    Light,
}

/// The first column from `from` on that has a shade.
fn find_column(row: ModuleRow, from: usize, shade: ModuleShade) -> Option<usize> {
    let mut skip = from % 64;
    for (place, word) in row.iter().enumerate().skip(from / 64) {
        let of_shade = match shade {
            ModuleShade::Dark => *word,
            ModuleShade::Light => !word,
        };
        let wanted = of_shade & (u64::MAX << skip);
        if wanted != 0 {
            return Some(64 * place + wanted.trailing_zeros() as usize);
        }
        skip = 0;
    }
    None
}
