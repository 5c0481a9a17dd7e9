//! QR Code model 2 (ISO/IEC 18004), versions 1 to 40.
//!
//! In: text and [`QrOptions`]. Out: a [`Qr`], the smallest that holds the text at the wanted error
//! correction, with its modules as rows of bits; or a [`QrError`] that says by how much the text
//! is too long. Not here: lengths in millimetres, Micro QR, kanji mode, structured append.

mod damage;
#[cfg(test)]
mod peer_tests;
mod penalty;
mod reed_solomon;
mod segment;
mod tables;
mod template;
#[cfg(test)]
mod tests;

use std::error::Error;
use std::fmt;

use penalty::{MARGIN, score};
use reed_solomon::add_error_correction;
use segment::{Segmentation, measure_text, segment_text, write_codewords};
use tables::{CLASS_ENDS, FIRST_VERSION, LAST_VERSION, block_plan, capacity_bits, format_bits};
use template::{SymbolTemplate, format_places, template_of};

use super::grid::{ModuleGrid, ModuleRow};
use super::quiet::QuietZone;

/// Light modules needed on all sides (ISO/IEC 18004:2015 §6.3.8).
pub const QUIET_ZONE: QuietZone = QuietZone::around(4);

/// How much of a symbol may be damaged before it cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ecc {
    /// About 7 % of the codewords.
    L,
    /// About 15 % of the codewords.
    M,
    /// About 25 % of the codewords.
    Q,
    /// About 30 % of the codewords.
    H,
}

/// How a symbol is to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QrOptions {
    /// The least error correction; M unless told otherwise.
    pub ecc: Ecc,
    /// Whether a higher level is taken where the version stays the same; yes unless told
    /// otherwise.
    pub boost: bool,
    /// The smallest version allowed; 1 unless told otherwise.
    pub smallest: u8,
    /// The largest version allowed; 40 unless told otherwise.
    pub largest: u8,
    /// A mask from 0 to 7; the one with the least penalty unless told otherwise.
    pub mask: Option<u8>,
}

impl Default for QrOptions {
    fn default() -> QrOptions {
        let (smallest, largest) = (FIRST_VERSION, LAST_VERSION);
        QrOptions { ecc: Ecc::M, boost: true, smallest, largest, mask: None }
    }
}

/// A finished symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Qr {
    /// The version, 1 to 40: a side of 17 + 4 × version modules.
    version: u8,
    /// The level of error correction.
    ecc: Ecc,
    /// The mask, 0 to 7: the one asked for, or that with the least penalty (ISO/IEC 18004, 7.8.3).
    mask: u8,
    /// The modules, function patterns included, without the quiet zone.
    grid: ModuleGrid,
}

/// Why a text cannot be a QR Code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum QrError {
    /// There is nothing to encode.
    Empty,
    /// The text does not fit into the largest version allowed.
    TooLong {
        /// The level of error correction asked for.
        ecc: Ecc,
        /// The largest version allowed.
        version: u8,
        /// Bits that this version holds.
        capacity: u64,
        /// Bits that the text needs.
        bits: u64,
        /// Characters that the text has.
        characters: usize,
        /// Characters that must go from its end.
        excess: usize,
    },
    /// The range of versions is empty, or not all of it lies between 1 and 40.
    Versions {
        /// The smallest allowed.
        smallest: u8,
        /// The largest allowed.
        largest: u8,
    },
    /// There is no such mask.
    Mask {
        /// The mask asked for.
        mask: u8,
    },
}

impl fmt::Display for Ecc {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self:?}")
    }
}

impl fmt::Display for QrError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            QrError::Empty => {
                f.write_str("expected at least one character for the QR Code, found none")
            }
            QrError::TooLong { ecc, version, capacity, bits, characters, excess } => write!(
                f,
                "expected at most {capacity} bits for a QR Code of version {version} at level {ecc}, found {characters} characters that need {bits} bits: {excess} characters too many"
            ),
            QrError::Versions { smallest, largest } => write!(
                f,
                "expected QR Code versions from {FIRST_VERSION} to {LAST_VERSION}, found {smallest} to {largest}"
            ),
            QrError::Mask { mask } => {
                write!(f, "expected a QR Code mask from 0 to 7, found {mask}")
            }
        }
    }
}

impl Error for QrError {}

impl Ecc {
    /// All levels, from the least to the greatest correction.
    pub const ALL: [Ecc; 4] = [Ecc::L, Ecc::M, Ecc::Q, Ecc::H];

    /// The level of a capital letter.
    #[must_use]
    pub fn from_letter(letter: &str) -> Option<Ecc> {
        match letter {
            "L" => Some(Ecc::L),
            "M" => Some(Ecc::M),
            "Q" => Some(Ecc::Q),
            "H" => Some(Ecc::H),
            _ => None,
        }
    }
}

impl Qr {
    /// Encodes text in the smallest version that holds it at the wanted level.
    ///
    /// # Errors
    /// As [`QrError`] says.
    pub fn encode(text: &str, options: &QrOptions) -> Result<Qr, QrError> {
        check_options(options)?;
        if text.is_empty() {
            return Err(QrError::Empty);
        }
        let (version, plan) = choose_version(text, options)?;
        let ecc = choose_level(version, plan.bits, options);
        let blocks = block_plan(version, ecc);
        let data = write_codewords(text, &plan, blocks.data());
        let codewords = add_error_correction(&data, &blocks);
        let (mask, rows) = draw(version, ecc, &codewords, options.mask);
        Ok(Qr { version, ecc, mask, grid: ModuleGrid::new(rows) })
    }

    /// Its modules.
    #[must_use]
    pub fn grid(&self) -> &ModuleGrid {
        &self.grid
    }

    /// Modules along each side, without quiet zone.
    #[must_use]
    pub fn size(&self) -> usize {
        self.grid.size()
    }

    /// The version, 1 to 40.
    #[must_use]
    pub fn version(&self) -> u8 {
        self.version
    }

    /// The level of error correction, at least the one asked for.
    #[must_use]
    pub fn ecc(&self) -> Ecc {
        self.ecc
    }

    /// The mask, 0 to 7.
    #[must_use]
    pub fn mask(&self) -> u8 {
        self.mask
    }
}

/// Refuses versions and masks that do not exist.
fn check_options(options: &QrOptions) -> Result<(), QrError> {
    let QrOptions { smallest, largest, mask, .. } = *options;
    if smallest < FIRST_VERSION || largest > LAST_VERSION || smallest > largest {
        return Err(QrError::Versions { smallest, largest });
    }
    match mask {
        Some(mask) if mask > 7 => Err(QrError::Mask { mask }),
        _ => Ok(()),
    }
}

/// The smallest allowed version that holds the text, with the text's shortest segments there.
fn choose_version(text: &str, options: &QrOptions) -> Result<(u8, Segmentation), QrError> {
    let fits = |version: u8, bits: u64| bits <= capacity_bits(version, options.ecc) as u64;
    let mut first = options.smallest;
    for (class, end) in CLASS_ENDS.into_iter().enumerate() {
        let last = end.min(options.largest);
        // A byte of text takes 3⅓ bits or more, which spares long texts a futile search.
        if first <= last && fits(last, text.len() as u64 * 10 / 3) {
            let plan = segment_text(text, class);
            if let Some(version) = (first..=last).find(|&version| fits(version, plan.bits)) {
                return Ok((version, plan));
            }
        }
        first = first.max(end + 1);
    }
    Err(measure_excess(text, options))
}

/// By how much a text is too long for the largest version allowed.
fn measure_excess(text: &str, options: &QrOptions) -> QrError {
    let QrOptions { ecc, largest: version, .. } = *options;
    let capacity = capacity_bits(version, ecc) as u64;
    let class = CLASS_ENDS.iter().position(|&end| version <= end).unwrap_or(CLASS_ENDS.len() - 1);
    let (bits, fitting) = measure_text(text, class, capacity);
    let characters = text.chars().count();
    QrError::TooLong { ecc, version, capacity, bits, characters, excess: characters - fitting }
}

/// The level to use: the highest that still holds the bits, or the one asked for.
fn choose_level(version: u8, bits: u64, options: &QrOptions) -> Ecc {
    let holds = |ecc: &Ecc| *ecc > options.ecc && bits <= capacity_bits(version, *ecc) as u64;
    match options.boost {
        true => Ecc::ALL.into_iter().rev().find(holds).unwrap_or(options.ecc),
        false => options.ecc,
    }
}

/// Draws codewords into the matrix with the given or the best mask. Rows of small versions are
/// handled as one word, because masks are compared word by word.
fn draw(version: u8, ecc: Ecc, codewords: &[u8], mask: Option<u8>) -> (u8, Vec<ModuleRow>) {
    let template = template_of(version);
    match template.size.div_ceil(64) {
        1 => draw_in_words::<1>(template, ecc, codewords, mask),
        2 => draw_in_words::<2>(template, ecc, codewords, mask),
        _ => draw_in_words::<3>(template, ecc, codewords, mask),
    }
}

/// [`draw`] with rows of W words.
fn draw_in_words<const W: usize>(
    template: &SymbolTemplate,
    ecc: Ecc,
    codewords: &[u8],
    mask: Option<u8>,
) -> (u8, Vec<ModuleRow>) {
    let plain = place_codewords::<W>(template, codewords);
    let best = mask.unwrap_or_else(|| {
        let mut masked = vec![[0; W]; template.size + 2 * MARGIN];
        let mut score_mask = |mask: u8| {
            apply_mask(template, ecc, mask, &plain, &mut masked[MARGIN..]);
            score(&masked)
        };
        // `min_by_key` takes the lowest of equally good masks.
        (0..8).min_by_key(|&mask| score_mask(mask)).unwrap_or(0)
    });
    let mut rows = vec![[0; W]; template.size];
    apply_mask(template, ecc, best, &plain, &mut rows);
    let widen = |row: &[u64; W]| std::array::from_fn(|word| row.get(word).copied().unwrap_or(0));
    (best, rows.iter().map(widen).collect())
}

/// Function patterns and unmasked codewords (7.7.3); remainder bits stay light.
fn place_codewords<const W: usize>(template: &SymbolTemplate, codewords: &[u8]) -> Vec<[u64; W]> {
    let narrow = |row: &ModuleRow| std::array::from_fn(|word| row[word]);
    let mut rows: Vec<[u64; W]> = template.function.iter().map(narrow).collect();
    for (&codeword, places) in codewords.iter().zip(template.order.chunks(8)) {
        for (bit, [x, y]) in places.iter().enumerate() {
            let dark = u64::from(codeword >> (7 - bit) & 1);
            rows[usize::from(*y)][usize::from(x / 64)] |= dark << (x % 64);
        }
    }
    rows
}

/// Copies the matrix into `rows` with a mask applied (7.8.2) and its format information drawn
/// (7.9).
fn apply_mask<const W: usize>(
    template: &SymbolTemplate,
    ecc: Ecc,
    mask: u8,
    plain: &[[u64; W]],
    rows: &mut [[u64; W]],
) {
    for ((row, plain), inverted) in
        rows.iter_mut().zip(plain).zip(&template.masks[usize::from(mask)])
    {
        *row = std::array::from_fn(|word| plain[word] ^ inverted[word]);
    }
    let format = format_bits(ecc, mask);
    for bit in 0..15 {
        let dark = u64::from(format >> bit & 1);
        for (x, y) in format_places(template.size, bit) {
            rows[y][x / 64] |= dark << (x % 64);
        }
    }
}
