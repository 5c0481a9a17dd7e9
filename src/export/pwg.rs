//! Finished pages into PWG Raster: the very dots that a proof looked at, for printers that take them
//! as they are.
//!
//! In: a [`Page`] and its fonts. Out: its part of a file that begins with [`PWG_START`]; pages follow
//! each other, and can be taken out again ([`PwgFile`]). Such a file passes a print queue without being drawn again, where the filters for PDF
//! may add a dot to every bar. The format is PWG 5102.4-2012 (PWG Raster Format), which all tables
//! named here are of. Not here: which dots (`png`), and how a file gets to a printer.

mod read;

use std::io;

use crate::fonts::FontBook;
use crate::geom::{DotGrid, MM_PER_INCH, Mm, Size};
use crate::scene::Page;
use crate::sides::TurnEdge;

use super::png::{Bitmap, rasterise};

pub use read::{PwgBacks, PwgFile, PwgLay, PwgPage, PwgPixels, PwgSending};

/// What every file begins with: the synchronization word.
pub const PWG_START: [u8; 4] = *b"RaS2";

/// Bytes of a page header.
const HEADER_BYTES: usize = 1796;

/// Points in an inch, the unit of the paper's size.
const POINTS_PER_INCH: f64 = 72.0;

/// `Black` among the color spaces of Table 3: ink where a bit is 1. With one bit a pixel it is the
/// `Black_1` of Table 12.
const BLACK: u32 = 3;

/// `sGray` among them, which printers that take no single bits take instead: the `Sgray_8` of Table 12.
const SGRAY: u32 = 18;

/// What every page header begins with.
const HEADER_WORD: &[u8] = b"PwgRaster\0";

/// Where a header has the fields that are written and read: Table 2's octets.
struct HeaderPlaces {
    /// `Duplex`: 1 for both sides.
    duplex: usize,
    /// `HWResolution`: across the feed, and four octets further along it.
    resolution: usize,
    /// `PageSize`: width, and four octets further height.
    paper: usize,
    /// `Tumble`: 1 where the back is turned over the short edge.
    tumble: usize,
    /// `Width`, in dots.
    width: usize,
    /// `Height`, in dots.
    height: usize,
    /// `BitsPerColor`.
    bits_per_color: usize,
    /// `BitsPerPixel`.
    bits_per_pixel: usize,
    /// `BytesPerLine`.
    stride: usize,
    /// `ColorSpace`.
    color_space: usize,
    /// `NumColors`.
    colors: usize,
    /// `CrossFeedTransform`.
    cross_feed: usize,
    /// `FeedTransform`.
    feed: usize,
    /// `AlternatePrimary`.
    paper_color: usize,
}

/// The places of a header's fields.
const AT: HeaderPlaces = HeaderPlaces {
    duplex: 272,
    resolution: 276,
    paper: 352,
    tumble: 368,
    width: 372,
    height: 376,
    bits_per_color: 384,
    bits_per_pixel: 388,
    stride: 392,
    color_space: 400,
    colors: 420,
    cross_feed: 456,
    feed: 460,
    paper_color: 480,
};

/// White as an sRGB color, which is what paper is where no ink is.
const WHITE: u32 = 0x00FF_FFFF;

/// The most rows, and the most bytes of one group, that one count can speak of.
const MOST_ROWS: usize = 256;

/// The most bytes of one group.
const MOST_BYTES: usize = 128;

/// How pages are printed, as far as their headers say it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PwgOptions {
    /// The edge that paper is turned over for the second of two pages; none when one side is printed.
    pub turn: Option<TurnEdge>,
}

/// A page as the dots a printer prints, behind its header.
///
/// # Errors
/// When the page is smaller than a dot, or its dots cannot be counted in an inch.
pub fn encode_pwg_page(page: &Page, book: &FontBook, options: &PwgOptions) -> io::Result<Vec<u8>> {
    let dots = rasterise(page, book);
    if dots.width() == 0 || dots.height() == 0 {
        return Err(io::Error::other("the page is smaller than a dot"));
    }
    let mut out = write_header(&dots, page.size, page.grid, options);
    pack_rows(dots.rows(), dots.stride(), &mut out);
    Ok(out)
}

/// The header of a page. Fields that are 0 or empty say nothing, and the job decides.
fn write_header(dots: &Bitmap, paper: Size, grid: DotGrid, options: &PwgOptions) -> Vec<u8> {
    let mut header = vec![0; HEADER_BYTES];
    let mut put = |at: usize, value: u32| {
        header[at..at + 4].copy_from_slice(&value.to_be_bytes());
    };
    // Whole dots an inch is all that can be said, and all that print queues count in: 203 stands for
    // the 203.2 of a head with 8 dots a millimetre, which prints each dot of the file as one of its own.
    let per_inch = grid.dpi().round() as u32;
    let points = |length: Mm| (length.0 / MM_PER_INCH * POINTS_PER_INCH).round() as u32;
    put(AT.duplex, u32::from(options.turn.is_some()));
    put(AT.resolution, per_inch);
    put(AT.resolution + 4, per_inch);
    put(AT.paper, points(paper.width));
    put(AT.paper + 4, points(paper.height));
    put(AT.tumble, u32::from(options.turn == Some(TurnEdge::Short)));
    put(AT.width, dots.width());
    put(AT.height, dots.height());
    put(AT.bits_per_color, 1);
    put(AT.bits_per_pixel, 1);
    put(AT.stride, dots.width().div_ceil(8));
    put(AT.color_space, BLACK);
    put(AT.colors, 1);
    // Backs are composed as they are seen, so neither direction is turned around (Table 9, `Normal`).
    put(AT.cross_feed, 1);
    put(AT.feed, 1);
    put(AT.paper_color, WHITE);
    header[..HEADER_WORD.len()].copy_from_slice(HEADER_WORD);
    header
}

/// Adds the rows of a page, of so many bytes each: equal ones once with their count, each row as its groups.
fn pack_rows(rows: &[u8], stride: usize, out: &mut Vec<u8>) {
    let mut rows = rows.chunks(stride).peekable();
    while let Some(row) = rows.next() {
        let mut more = 0;
        while usize::from(more) < MOST_ROWS - 1 && rows.next_if_eq(&row).is_some() {
            more += 1;
        }
        out.push(more);
        pack_row(row, out);
    }
}

/// Adds a row: equal bytes once behind their count less one, others behind 257 less their count.
fn pack_row(mut row: &[u8], out: &mut Vec<u8>) {
    while let Some(&first) = row.first() {
        let equal = row.iter().take(MOST_BYTES).take_while(|byte| **byte == first).count();
        // One byte by itself costs the same either way; two equal ones are cheaper as such.
        let count = if equal > 1 { equal } else { count_unlike(row) };
        let (group, rest) = row.split_at(count);
        row = rest;
        match equal > 1 || count == 1 {
            true => out.extend([(count - 1) as u8, first]),
            false => {
                out.push((257 - count) as u8);
                out.extend(group);
            }
        }
    }
}

/// How many bytes there are until two equal ones follow each other, or the row or the group ends.
fn count_unlike(row: &[u8]) -> usize {
    let pairs = row.windows(2).take(MOST_BYTES - 1);
    let until = pairs.clone().position(|pair| pair[0] == pair[1]);
    until.unwrap_or_else(|| row.len().min(MOST_BYTES)).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows of groups unpacked again, as the standard has them read.
    fn unpack(mut data: &[u8], stride: usize) -> Vec<u8> {
        let mut rows = Vec::new();
        while let Some((&more, rest)) = data.split_first() {
            data = rest;
            let mut row = Vec::new();
            while row.len() < stride {
                let count = data[0];
                let (taken, bytes) = match count {
                    0..=127 => (2, vec![data[1]; usize::from(count) + 1]),
                    128 => panic!("128 is no count"),
                    _ => (258 - usize::from(count), data[1..258 - usize::from(count)].to_vec()),
                };
                row.extend(bytes);
                data = &data[taken..];
            }
            assert_eq!(row.len(), stride, "a group ends with its row");
            rows.extend(row.repeat(usize::from(more) + 1));
        }
        rows
    }

    #[test]
    fn rows_are_packed_and_come_back() {
        // All kinds of rows: alike for long, unlike for long, pairs, and both ends of every count.
        let (width, height) = (300_u32 * 8, 700_u32);
        let byte = |x: usize, y: usize| match y {
            0..=520 => 0,
            _ if y % 7 < 3 => (x * 31 + y) as u8,
            _ if y % 7 == 3 => (x / 2) as u8,
            _ => u8::from(x > y % 300),
        };
        let rows: Vec<u8> = (0..700).flat_map(|y| (0..300).map(move |x| byte(x, y))).collect();
        let page = Bitmap::from_rows(width, height, rows.clone()).unwrap();
        let mut packed = Vec::new();
        pack_rows(page.rows(), page.stride(), &mut packed);
        assert_eq!(unpack(&packed, 300), rows);
    }

    #[test]
    fn white_costs_next_to_nothing() {
        let mut packed = Vec::new();
        let page = Bitmap::new(812, 1219);
        pack_rows(page.rows(), page.stride(), &mut packed);
        // 1219 rows are five counts; 102 bytes a row are one group.
        assert_eq!(packed.len(), 5 * 3);
        assert_eq!(packed[..3], [255, 101, 0]);
    }

    #[test]
    fn single_bytes_and_pairs_are_grouped_as_is_shortest() {
        let pack = |row: &[u8]| {
            let mut out = Vec::new();
            pack_row(row, &mut out);
            out
        };
        assert_eq!(pack(&[7]), [0, 7]);
        assert_eq!(pack(&[1, 2, 2]), [0, 1, 1, 2]);
        assert_eq!(pack(&[1, 2, 3]), [254, 1, 2, 3]);
        assert_eq!(pack(&[9; 130]), [127, 9, 1, 9]);
    }
}
