//! Data Matrix ECC 200 (ISO/IEC 16022), square symbols of 10 to 144 modules.
//!
//! In: text, or data with FNC1 in it. Out: a [`DataMatrix`], the smallest square that holds it, with
//! its modules; or a [`DataMatrixError`] that says by how much it is too long. Not here: lengths in
//! millimetres, rectangles, structured append, what element strings mean (`gs1`).
//!
//! Text of Latin-1 is written as that, which is what readers take without being told (extended channel
//! interpretation 3); any other text is written in UTF-8 behind its mark, interpretation 26.

mod course;
mod damage;
mod encode;
mod placement;
mod reed_solomon;
mod sets;
mod sizes;

use std::error::Error;
use std::fmt;

use super::code128::Data;
use super::grid::{ModuleGrid, ModuleRow, ROW_WORDS};
use super::quiet::QuietZone;
use encode::{find_encodation, pad};
use placement::{MatrixModule, place_codewords};
use reed_solomon::add_error_correction;
use sizes::{LARGEST, SIZES, SymbolSize};

/// Light modules needed on all sides, the least that ISO/IEC 16022 asks for.
pub const QUIET_ZONE: QuietZone = QuietZone::around(1);

/// Codewords that say that UTF-8 follows: the mark of an interpretation, and its number and one.
const UTF8_MARK: [u8; 2] = [241, 27];

/// A finished symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DataMatrix {
    /// Codewords: data, padding, error correction, as they stand in the symbol.
    codewords: Vec<u8>,
    /// Its row in the table of square sizes, 10×10 to 144×144 modules.
    size: &'static SymbolSize,
    /// Its modules with both finder edges, without the quiet zone.
    grid: ModuleGrid,
    /// Whether its first codeword says that element strings of GS1 follow.
    gs1: bool,
}

/// Why something cannot be a Data Matrix.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DataMatrixError {
    /// There is nothing to encode.
    Empty,
    /// It does not fit into the largest symbol.
    TooLong {
        /// Codewords that the largest symbol holds.
        capacity: usize,
        /// Codewords needed; `None` where it is so long that they were not counted.
        codewords: Option<usize>,
        /// Characters that were given.
        characters: usize,
    },
}

impl fmt::Display for DataMatrixError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DataMatrixError::Empty => {
                f.write_str("expected at least one character for the Data Matrix, found none")
            }
            DataMatrixError::TooLong { capacity, codewords, characters } => {
                write!(f, "expected at most {capacity} codewords for a Data Matrix, found ")?;
                write!(f, "{characters} characters that need ")?;
                match codewords {
                    Some(codewords) => write!(f, "{codewords}"),
                    None => f.write_str("far more"),
                }
            }
        }
    }
}

impl Error for DataMatrixError {}

impl DataMatrix {
    /// Encodes text in the smallest square that holds it.
    ///
    /// # Errors
    /// As [`DataMatrixError`] says.
    pub fn encode_text(text: &str) -> Result<DataMatrix, DataMatrixError> {
        let latin: Option<Vec<Data>> =
            text.chars().map(|character| u8::try_from(character).ok().map(Data::Char)).collect();
        let too_long = |error| match error {
            DataMatrixError::TooLong { capacity, codewords, .. } => {
                let characters = text.chars().count();
                DataMatrixError::TooLong { capacity, codewords, characters }
            }
            empty => empty,
        };
        match latin {
            Some(data) => encode_behind(&[], &data),
            None => {
                let data: Vec<Data> = text.bytes().map(Data::Char).collect();
                encode_behind(&UTF8_MARK, &data)
            }
        }
        .map_err(too_long)
    }

    /// Encodes characters of Latin-1 and FNC1; an FNC1 in front says that element strings of GS1
    /// follow.
    ///
    /// # Errors
    /// As [`DataMatrixError`] says.
    pub fn encode(data: &[Data]) -> Result<DataMatrix, DataMatrixError> {
        encode_behind(&[], data)
    }

    /// Modules along each side, without quiet zone.
    #[must_use]
    pub fn size(&self) -> usize {
        self.size.modules
    }

    /// What is dark and what is light, without the quiet zone.
    #[must_use]
    pub fn grid(&self) -> &ModuleGrid {
        &self.grid
    }

    /// Its codewords: data, padding and error correction, as they stand in the symbol.
    #[must_use]
    pub fn codewords(&self) -> &[u8] {
        &self.codewords
    }

    /// Whether element strings of GS1 are what it says.
    #[must_use]
    pub fn is_gs1(&self) -> bool {
        self.gs1
    }
}

/// Encodes data behind codewords that say how it is to be read.
fn encode_behind(front: &[u8], data: &[Data]) -> Result<DataMatrix, DataMatrixError> {
    if data.is_empty() {
        return Err(DataMatrixError::Empty);
    }
    let too_long = |codewords| {
        let (capacity, characters) = (LARGEST, data.len());
        Err(DataMatrixError::TooLong { capacity, codewords, characters })
    };
    // A pair of digits is the most that a codeword holds.
    if data.len().div_ceil(2) > LARGEST {
        return too_long(None);
    }
    let encodation = find_encodation(front, data);
    let fitting = SIZES.iter().find_map(|size| Some((size, encodation.write(size.data)?)));
    let Some((size, mut codewords)) = fitting else {
        return too_long(Some(encodation.least_codewords()));
    };
    pad(&mut codewords, size.data);
    let codewords = add_error_correction(&codewords, size);
    let grid = draw(size, &codewords);
    let gs1 = front.is_empty() && data.first() == Some(&Data::Fnc1);
    Ok(DataMatrix { codewords, size, grid, gs1 })
}

/// Draws the codewords and the borders of the data regions: a solid line at the left and lower side,
/// every other module at the upper and right one.
fn draw(size: &SymbolSize, codewords: &[u8]) -> ModuleGrid {
    let mut rows: Vec<ModuleRow> = vec![[0; ROW_WORDS]; size.modules];
    let mut darken = |x: usize, y: usize| rows[y][x / 64] |= 1 << (x % 64);
    let step = size.region() + 2;
    for first in (0..size.modules).step_by(step) {
        let last = first + step - 1;
        for along in 0..size.modules {
            darken(first, along);
            darken(along, last);
            if along % 2 == 0 {
                darken(along, first);
            } else {
                darken(last, along);
            }
        }
    }
    let cells = place_codewords(size.mapping());
    for (at, cell) in cells.iter().enumerate() {
        let dark = match *cell {
            MatrixModule::Bit { codeword, bit } => codewords[codeword] >> (7 - bit) & 1 == 1,
            MatrixModule::Dark => true,
            MatrixModule::Light => false,
        };
        if dark {
            let (x, y) = size.place_of(at);
            darken(x, y);
        }
    }
    ModuleGrid::new(rows)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The modules of a symbol, a row a line.
    fn drawn(text: &str) -> Vec<String> {
        let symbol = DataMatrix::encode_text(text).unwrap();
        let module = |x, y| if symbol.grid().get(x, y) { '1' } else { '0' };
        let size = symbol.size();
        (0..size).map(|y| (0..size).map(|x| module(x, y)).collect()).collect()
    }

    /// The worked example of ISO/IEC 16022, Annex O: its codewords as `ReedSolomonTestCase` of ZXing
    /// has them, its symbol, Figure O.2, as `backend/tests/test_dmatrix.c` of zint draws it.
    #[test]
    fn the_worked_example_of_the_standard_has_its_codewords_and_its_modules() {
        let symbol = DataMatrix::encode_text("123456").unwrap();
        assert_eq!(symbol.codewords(), [142, 164, 186, 114, 25, 5, 88, 102]);
        let figure = [
            "1010101010",
            "1100101101",
            "1100000100",
            "1100011101",
            "1100001000",
            "1000001111",
            "1110110000",
            "1111011001",
            "1001110100",
            "1111111111",
        ];
        assert_eq!(drawn("123456"), figure);
    }

    /// Figure 1 of ISO/IEC 16022, at the same place in zint.
    #[test]
    fn the_first_figure_of_the_standard_is_drawn_module_by_module() {
        let figure = [
            "101010101010101010",
            "101000101010001111",
            "101100000111000010",
            "100000101110100111",
            "100100000100011100",
            "101011111010101111",
            "100110011111110110",
            "110011101111111101",
            "111111111101111100",
            "101110110100101101",
            "100010110101001110",
            "101101111001100001",
            "110001101010011110",
            "110110100000100011",
            "101101001101011010",
            "100010011001011011",
            "100011000000100100",
            "111111111111111111",
        ];
        assert_eq!(drawn("A1B2C3D4E5F6G7H8I9J0K1L2"), figure);
    }

    #[test]
    fn nothing_and_too_much_are_refused() {
        assert_eq!(
            DataMatrix::encode_text("").unwrap_err().to_string(),
            "expected at least one character for the Data Matrix, found none"
        );
        let long = |text: &str| DataMatrix::encode_text(text).unwrap_err().to_string();
        assert_eq!(
            long(&"7".repeat(3_118)),
            "expected at most 1558 codewords for a Data Matrix, found 3118 characters that need far \
             more"
        );
        assert_eq!(
            long(&"é".repeat(780)),
            "expected at most 1558 codewords for a Data Matrix, found 780 characters that need 1560"
        );
        assert!(DataMatrix::encode_text(&"7".repeat(3_116)).is_ok());
    }
}
