//! What happens to a print after it was composed, and a scanner's look at it.
//!
//! A print is black and white dots; a look is what a scanner's spot of light gets back from it.

use std::collections::HashSet;

use rxing::{BarcodeFormat, DecodeHints};
use slipwright::DotGrid;
use slipwright::export::Bitmap;
use slipwright::scene::{CodeMark, Symbol};

/// A code cut out of a page with the white around it.
#[derive(Clone)]
pub(crate) struct Print {
    /// Dots across.
    pub(crate) width: usize,
    /// Dots down.
    pub(crate) height: usize,
    /// Rows from the top; true is black.
    pub(crate) black: Vec<bool>,
}

impl Print {
    /// A code of a page with its quiet zone.
    pub(crate) fn cut(page: &Bitmap, code: &CodeMark, grid: DotGrid) -> Print {
        let dot = |length| grid.dots(length).round() as i64;
        let (left, right) = (dot(code.quiet.x), dot(code.quiet.right()));
        let (top, bottom) = (dot(code.quiet.y), dot(code.quiet.bottom()));
        let get = |x: i64, y: i64| {
            u32::try_from(x).is_ok_and(|x| u32::try_from(y).is_ok_and(|y| page.get(x, y)))
        };
        let black =
            (top..bottom).flat_map(|y| (left..right).map(move |x| (x, y))).map(|(x, y)| get(x, y));
        Print {
            width: (right - left) as usize,
            height: (bottom - top) as usize,
            black: black.collect(),
        }
    }

    /// Whether a dot is black; around the print all is white.
    fn get(&self, x: i64, y: i64) -> bool {
        let inside = |at: i64, end: usize| usize::try_from(at).ok().filter(|at| *at < end);
        inside(x, self.width)
            .zip(inside(y, self.height))
            .is_some_and(|(x, y)| self.black[y * self.width + x])
    }

    /// A print of this size whose dots are taken from places of this one.
    fn resampled(
        &self,
        width: usize,
        height: usize,
        place: impl Fn(f64, f64) -> (f64, f64),
    ) -> Print {
        let mut black = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                let (from_x, from_y) = place(x as f64 + 0.5, y as f64 + 0.5);
                black.push(self.get(from_x.floor() as i64, from_y.floor() as i64));
            }
        }
        Print { width, height, black }
    }

    /// The same print with one column of dots that never prints, or always.
    pub(crate) fn with_column(&self, x: usize, black: bool) -> Print {
        let mut print = self.clone();
        for y in 0..self.height {
            print.black[y * self.width + x] = black;
        }
        print
    }

    /// The same print with one dot in `every` turned over, by a generator of our own.
    pub(crate) fn speckled(&self, every: u64, seed: u64) -> Print {
        let mut print = self.clone();
        // Xorshift with 64 bits (Marsaglia, 2003); a seed of 0 would stay 0.
        let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
        for dot in &mut print.black {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            *dot ^= (state >> 32).is_multiple_of(every);
        }
        print
    }

    /// The same print made longer or shorter in feed direction and across by this factor.
    pub(crate) fn stretched(&self, factor: f64) -> Print {
        let size = |dots: usize| (dots as f64 * factor).round() as usize;
        self.resampled(size(self.width), size(self.height), |x, y| (x / factor, y / factor))
    }

    /// The same print held askew.
    pub(crate) fn skewed(&self, degrees: f64) -> Print {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (w, h) = (self.width as f64, self.height as f64);
        let (width, height) = ((w * cos + h * sin).ceil(), (w * sin + h * cos).ceil());
        self.resampled(width as usize, height as usize, |x, y| {
            let (dx, dy) = (x - width / 2.0, y - height / 2.0);
            (w / 2.0 + dx * cos + dy * sin, h / 2.0 - dx * sin + dy * cos)
        })
    }

    /// The middle rows of the print, this many at most.
    pub(crate) fn middle(&self, rows: usize) -> Print {
        let height = self.height.min(rows);
        let first = (self.height - height) / 2 * self.width;
        let black = self.black[first..first + height * self.width].to_vec();
        Print { width: self.width, height, black }
    }

    /// What a scanner takes for black: where a round spot of light this many dots across gets back
    /// less than half of what paper gives: the threshold lies midway between the lightest and the
    /// darkest (the global threshold of ISO/IEC 15415 and 15416, as the reference manual of the
    /// DataMan 475 verifier explains it).
    pub(crate) fn seen(&self, spot: f64) -> Print {
        let reach = (spot / 2.0).ceil() as i64;
        let mut dark = vec![0_u32; self.black.len()];
        let mut all = 0;
        for (dx, dy) in (-reach..=reach).flat_map(|dy| (-reach..=reach).map(move |dx| (dx, dy))) {
            let weight = weigh(dx, dy, spot);
            all += weight;
            let columns = (-dx).max(0)..(self.width as i64 - dx).min(self.width as i64);
            for y in 0..self.height as i64 {
                let row = |x: i64, y: i64| (y * self.width as i64 + x) as usize;
                let len = if weight == 0 { 0 } else { (columns.end - columns.start).max(0) };
                let to = row(columns.start, y);
                // A print cut out of bars goes on above and below as it ends.
                let from_y = (y + dy).clamp(0, self.height as i64 - 1);
                let from = row(columns.start + dx, from_y);
                let under = &self.black[from..from + len as usize];
                for (sum, black) in dark[to..to + len as usize].iter_mut().zip(under) {
                    *sum += weight * u32::from(*black);
                }
            }
        }
        let black = dark.into_iter().map(|sum| 2 * sum > all).collect();
        Print { width: self.width, height: self.height, black }
    }

    /// What rxing reads.
    pub(crate) fn read(&self, symbol: &Symbol) -> Option<String> {
        let format = match symbol {
            Symbol::Code128(_) => BarcodeFormat::CODE_128,
            Symbol::Ean(_) => BarcodeFormat::EAN_13,
            Symbol::Qr(_) => BarcodeFormat::QR_CODE,
            Symbol::DataMatrix(_) => BarcodeFormat::DATA_MATRIX,
        };
        let mut hints = DecodeHints {
            TryHarder: Some(true),
            PossibleFormats: Some(HashSet::from([format])),
            ..DecodeHints::default()
        };
        let luma = self.black.iter().map(|black| if *black { 0 } else { 255 }).collect();
        let (width, height) = (self.width as u32, self.height as u32);
        let found =
            rxing::helpers::detect_in_luma_with_hints(luma, width, height, None, &mut hints);
        found.ok().map(|found| found.getText().to_owned())
    }
}

/// How much of a dot a spot covers, in sixteenths.
fn weigh(dx: i64, dy: i64, spot: f64) -> u32 {
    let inside = (0..16).filter(|point| {
        let x = dx as f64 + (f64::from(point % 4) - 1.5) / 4.0;
        let y = dy as f64 + (f64::from(point / 4) - 1.5) / 4.0;
        x * x + y * y <= spot * spot / 4.0
    });
    inside.count() as u32
}

/// The spot that a code of this module is measured with, in millimetres: the table of apertures of
/// ISO/IEC 15416, as Appendix A of the user's guide to the QC890 verifier gives it.
pub(crate) fn spot_of(module: f64) -> f64 {
    match module {
        _ if module <= 0.18 => 0.075,
        _ if module <= 0.33 => 0.125,
        _ if module <= 0.635 => 0.25,
        _ => 0.5,
    }
}

/// A print from its picture.
fn draw(picture: &[&str]) -> Print {
    let dots = picture.iter().flat_map(|row| row.bytes()).map(|dot| dot == b'#');
    Print { width: picture[0].len(), height: picture.len(), black: dots.collect() }
}

/// A print as its picture.
fn show(print: &Print) -> Vec<String> {
    let rows = print.black.chunks(print.width);
    rows.map(|row| row.iter().map(|black| if *black { '#' } else { '.' }).collect()).collect()
}

#[test]
fn a_spot_sees_what_is_wider_than_half_of_it() {
    let lines = draw(&["#...#...##...", "#...#...##...", "#...#...##..."]);
    assert_eq!(show(&lines.seen(1.0)), show(&lines));
    assert_eq!(show(&lines.seen(2.0))[1], "#...#...##...");
    assert_eq!(show(&lines.seen(4.0))[1], "........##...");
}
