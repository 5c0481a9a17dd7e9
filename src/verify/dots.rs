//! The dots of a part of a page as the decoder takes them, without a way by grey.
//!
//! In: a page in dots and the part to look at. Out: rows and a matrix of bits for the decoder
//! (rxing), made when it asks for them. Not here: what it reads in them.

use std::borrow::Cow;
use std::cell::OnceCell;

use rxing::common::{BitArray, BitMatrix, LineOrientation, Result};
use rxing::{Binarizer, Exceptions, LuminanceSource};

use crate::export::Bitmap;
use crate::geom::Stance;

/// What white paper reflects.
const WHITE: u8 = 255;

/// Dots in a word of the decoder's.
const WORD: u32 = usize::BITS;

/// Bytes in such a word.
const WORD_BYTES: usize = size_of::<usize>();

/// A part of a page in whole dots.
#[derive(Clone, Copy, Debug)]
pub(super) struct PagePart {
    /// Dots left of it; negative when it begins left of the page.
    pub(super) x: i64,
    /// Dots above it.
    pub(super) y: i64,
    /// Dots across.
    pub(super) width: u32,
    /// Dots down.
    pub(super) height: u32,
}

impl PagePart {
    /// Whether a dot lies in it or next to it.
    pub(super) fn holds(self, x: i64, y: i64) -> bool {
        (-1..=i64::from(self.width)).contains(&(x - self.x))
            && (-1..=i64::from(self.height)).contains(&(y - self.y))
    }
}

/// A part of a page as the decoder sees it; beyond the page there is white.
///
/// To the decoder it is both what reflects light and what tells black from white: a dot is one or
/// the other already.
pub(super) struct Dots<'p> {
    /// Whose dots they are.
    page: &'p Bitmap,
    /// The part, as it lies on the page.
    part: PagePart,
    /// How what is looked at stands there: the decoder gets it upright.
    stance: Stance,
    /// All rows, once they are asked for.
    matrix: OnceCell<Result<BitMatrix>>,
}

impl<'p> Dots<'p> {
    /// A part of a page, and how what is in it stands.
    pub(super) fn new(page: &'p Bitmap, part: PagePart, stance: Stance) -> Dots<'p> {
        Dots { page, part, stance, matrix: OnceCell::new() }
    }

    /// Dots in a row.
    fn width(&self) -> u32 {
        if self.stance.is_lying() { self.part.height } else { self.part.width }
    }

    /// Rows.
    fn height(&self) -> u32 {
        if self.stance.is_lying() { self.part.width } else { self.part.height }
    }

    /// Whether a dot is black.
    fn is_dark(&self, along: usize, row: usize) -> bool {
        let whole = [self.width() as usize, self.height() as usize];
        if along >= whole[0] || row >= whole[1] {
            return false;
        }
        let [x, y, ..] = self.stance.place_box([along, row, 1, 1], whole);
        let place = |start: i64, at: usize| u32::try_from(start + i64::try_from(at).ok()?).ok();
        let place = place(self.part.x, x).zip(place(self.part.y, y));
        place.is_some_and(|(x, y)| self.page.get(x, y))
    }

    /// What the decoder gets of a row: a bit a dot, dark ones set.
    fn row(&self, row: usize) -> BitArray {
        let width = self.width() as usize;
        let mut bits = BitArray::with_size(width);
        if !self.stance.is_upright() {
            (0..width).filter(|&along| self.is_dark(along, row)).for_each(|along| bits.set(along));
            return bits;
        }
        let y = self.part.y + i64::try_from(row).unwrap_or(i64::MAX / 2);
        let Some(bytes) = usize::try_from(y).ok().and_then(|y| self.page.row(y)) else {
            return bits;
        };
        for first in (0..self.part.width).step_by(WORD as usize) {
            let word = read_word(bytes, self.part.x + i64::from(first));
            let left = self.part.width - first;
            let mask = if left < WORD { !(usize::MAX << left) } else { usize::MAX };
            bits.setBulk(first as usize, word & mask);
        }
        bits
    }
}

/// The dots of a packed row from `start` on, the first of them in the lowest bit; white where the
/// row is not.
fn read_word(row: &[u8], start: i64) -> usize {
    let (byte, shift) = (start.div_euclid(8), start.rem_euclid(8) as u32);
    let inside = usize::try_from(byte).ok().and_then(|at| row.get(at..)?.first_chunk());
    let bytes: [u8; WORD_BYTES] = inside.copied().unwrap_or_else(|| {
        // Across an edge of the page.
        std::array::from_fn(|place| byte_at(row, byte + place as i64))
    });
    // The first dot of a row is the highest bit of its first byte.
    let word = usize::from_be_bytes(bytes).reverse_bits();
    match shift {
        0 => word,
        _ => {
            let next = usize::from(byte_at(row, byte + WORD_BYTES as i64).reverse_bits());
            word >> shift | next << (WORD - shift)
        }
    }
}

/// A byte of a packed row; white where the row is not.
fn byte_at(row: &[u8], at: i64) -> u8 {
    usize::try_from(at).ok().and_then(|at| row.get(at)).copied().unwrap_or(0)
}

impl Binarizer for Dots<'_> {
    type Source = Self;

    fn get_luminance_source(&self) -> &Self {
        self
    }

    fn get_black_row(&self, y: usize) -> Result<Cow<'_, BitArray>> {
        match y < self.height() as usize {
            true => Ok(Cow::Owned(self.row(y))),
            false => Err(Exceptions::INDEX_OUT_OF_BOUNDS),
        }
    }

    fn get_black_row_from_matrix(&self, y: usize) -> Result<Cow<'_, BitArray>> {
        self.get_black_row(y)
    }

    fn get_black_matrix(&self) -> Result<&BitMatrix> {
        let make = || {
            let mut matrix = BitMatrix::new(self.width(), self.height())?;
            for row in 0..self.height() {
                matrix.setRow(row, &self.row(row as usize));
            }
            Ok(matrix)
        };
        self.matrix.get_or_init(make).as_ref().map_err(Clone::clone)
    }

    fn get_black_line(&self, line: usize, way: LineOrientation) -> Result<Cow<'_, BitArray>> {
        match way {
            LineOrientation::Row => self.get_black_row(line),
            LineOrientation::Column if line < self.width() as usize => {
                let mut bits = BitArray::with_size(self.height() as usize);
                let rows = 0..self.height() as usize;
                rows.filter(|&row| self.is_dark(line, row)).for_each(|row| bits.set(row));
                Ok(Cow::Owned(bits))
            }
            LineOrientation::Column => Err(Exceptions::INDEX_OUT_OF_BOUNDS),
        }
    }

    fn create_binarizer(&self, source: Self) -> Self {
        source
    }

    fn get_width(&self) -> usize {
        self.width() as usize
    }

    fn get_height(&self) -> usize {
        self.height() as usize
    }
}

impl LuminanceSource for Dots<'_> {
    const SUPPORTS_CROP: bool = true;

    fn get_row(&self, y: usize) -> Option<Cow<'_, [u8]>> {
        let light = |x| self.get_luma8_point(x, y);
        (y < self.height() as usize).then(|| (0..self.width() as usize).map(light).collect())
    }

    fn get_column(&self, x: usize) -> Cow<'_, [u8]> {
        (0..self.height() as usize).map(|y| self.get_luma8_point(x, y)).collect()
    }

    fn get_matrix(&self) -> Cow<'_, [u8]> {
        let rows = (0..self.height() as usize).filter_map(|y| self.get_row(y));
        rows.flat_map(Cow::into_owned).collect()
    }

    fn get_width(&self) -> usize {
        self.width() as usize
    }

    fn get_height(&self) -> usize {
        self.height() as usize
    }

    fn crop(&self, left: usize, top: usize, width: usize, height: usize) -> Result<Self> {
        let small = |length: usize| u32::try_from(length).ok();
        let inside = |start: usize, length: usize, all: u32| {
            start.checked_add(length).is_some_and(|end| end <= all as usize)
        };
        let fits = inside(left, width, self.width()) && inside(top, height, self.height());
        let sides = small(left).zip(small(top)).zip(small(width).zip(small(height)));
        let Some(((left, top), (width, height))) = sides.filter(|_| fits) else {
            return Err(Exceptions::INDEX_OUT_OF_BOUNDS);
        };
        let whole = [self.width(), self.height()];
        let part = self.stance.place_box([left, top, width, height], whole);
        let [x, y, width, height] = part;
        let (x, y) = (self.part.x + i64::from(x), self.part.y + i64::from(y));
        Ok(Dots::new(self.page, PagePart { x, y, width, height }, self.stance))
    }

    /// Nothing: a printed page is never looked at as its own negative.
    fn invert(&mut self) {}

    fn get_luma8_point(&self, x: usize, y: usize) -> u8 {
        if self.is_dark(x, y) { 0 } else { WHITE }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::QuarterTurn;

    /// A page with a pattern that repeats nowhere near.
    fn page() -> Bitmap {
        let bytes = (0..23_u32 * 40).map(|at| (at.wrapping_mul(2_654_435_761) >> 13) as u8);
        Bitmap::from_rows(181, 40, bytes.collect()).unwrap()
    }

    /// Parts inside a page, across its edges and beyond.
    fn parts() -> impl Iterator<Item = PagePart> {
        [-70, -3, 0, 1, 7, 8, 64, 117, 179, 300].into_iter().flat_map(|x| {
            [1, 63, 64, 65, 130, 181].map(|width| PagePart { x, y: x / 16, width, height: 41 })
        })
    }

    /// All ways to stand.
    fn stances() -> impl Iterator<Item = Stance> {
        let turns =
            [QuarterTurn::None, QuarterTurn::Quarter, QuarterTurn::Half, QuarterTurn::ThreeQuarter];
        turns.into_iter().flat_map(|turn| [false, true].map(|mirrored| Stance { turn, mirrored }))
    }

    /// Where a dot of a part is seen by who looks at it as if it stood upright.
    fn seen_at(stance: Stance, x: u32, y: u32, part: PagePart) -> (u32, u32) {
        let (width, height) = (part.width, part.height);
        let (along, row, long) = match stance.turn {
            QuarterTurn::None => (x, y, width),
            QuarterTurn::Quarter => (y, width - 1 - x, height),
            QuarterTurn::Half => (width - 1 - x, height - 1 - y, width),
            QuarterTurn::ThreeQuarter => (height - 1 - y, x, height),
        };
        (if stance.mirrored { long - 1 - along } else { along }, row)
    }

    #[test]
    fn rows_and_columns_hold_the_dots_of_the_page() {
        let page = page();
        for part in parts() {
            for stance in stances() {
                let dots = Dots::new(&page, part, stance);
                let matrix = dots.get_black_matrix().unwrap();
                assert_eq!((matrix.width(), matrix.height()), (dots.width(), dots.height()));
                for (x, y) in (0..part.width).flat_map(|x| (0..part.height).map(move |y| (x, y))) {
                    let on_page = |start: i64, at| u32::try_from(start + i64::from(at));
                    let dark = match (on_page(part.x, x), on_page(part.y, y)) {
                        (Ok(x), Ok(y)) => page.get(x, y),
                        _ => false,
                    };
                    let (along, row) = seen_at(stance, x, y, part);
                    assert_eq!(matrix.get(along, row), dark, "{part:?} {stance:?} {x} {y}");
                    assert_eq!(dots.get_luma8_point(along as usize, row as usize) == 0, dark);
                }
            }
        }
    }

    #[test]
    fn a_crop_holds_what_it_cuts_out() {
        let page = page();
        let part = PagePart { x: -3, y: 2, width: 100, height: 30 };
        for stance in stances() {
            let whole = Dots::new(&page, part, stance);
            let cut = whole.crop(5, 9, 20, 21).unwrap();
            assert_eq!((cut.width(), cut.height()), (20, 21));
            for (x, y) in (0..20).flat_map(|x| (0..21).map(move |y| (x, y))) {
                assert_eq!(cut.is_dark(x, y), whole.is_dark(x + 5, y + 9), "{stance:?} {x} {y}");
            }
            assert!(whole.crop(90, 0, 11, usize::MAX).is_err());
        }
    }

    #[test]
    fn nothing_is_read_where_there_is_nothing() {
        let page = page();
        let dots = Dots::new(&page, PagePart { x: 0, y: 0, width: 0, height: 0 }, Stance::UPRIGHT);
        assert!(dots.get_black_matrix().is_err());
        assert!(dots.get_black_row(0).is_err());
    }
}
