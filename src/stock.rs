//! The papers and rolls that layouts are made for.
//!
//! In: a stock's name. Out: its exact size, the edge that must stay white and the dots it is
//! printed with. Any size can be written out (`80x120mm`, `3x5in`); the names here are those with
//! a habit behind them; the printers it lies in (`printer`); and where a letter shows its address when
//! it lies in an envelope (`window`). Not here: what is printed on it.

mod printer;
mod window;

pub use printer::{Printer, Printers, QueueFormat};
pub use window::{LETTER_WINDOWS, LetterWindow};

use crate::geom::{DotGrid, Insets, Mm, Size};
use crate::words::nearest;

/// How a stock is printed, which decides its usual dots and clear edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Press {
    /// A thermal head: black dots and nothing else.
    Thermal,
    /// An office printer.
    Sheet,
}

/// A paper with what it asks of a layout.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Its name, or the size it was written as.
    pub name: String,
    /// Its exact size.
    pub size: Size,
    /// How it is printed.
    pub press: Press,
}

/// A paper that layouts may ask for by name.
#[derive(Clone, Copy, Debug)]
pub struct NamedStock {
    /// What layouts call it.
    pub name: &'static str,
    /// Width and height.
    pub size: Size,
    /// How it is printed.
    pub press: Press,
    /// What it is used for.
    pub doc: &'static str,
}

/// Shorthand for the table below, in millimetres.
const fn mm(
    name: &'static str,
    width: f64,
    height: f64,
    press: Press,
    doc: &'static str,
) -> NamedStock {
    NamedStock { name, size: Size { width: Mm(width), height: Mm(height) }, press, doc }
}

/// The named stocks.
///
/// A and letter sizes after ISO 216 and ANSI/ASME Y14.1, the halves of Letter as they come when it
/// is cut across its longer side; envelopes after ISO 269 (its table on the page `Umslag` of the Icelandic
/// Wikipedia), lying, as they are written on; rolls and fan-fold by common practice. Of a roll without
/// gaps any length can be written out.
pub const STOCKS: &[NamedStock] = &[
    mm("4x6in", 101.6, 152.4, Press::Thermal, "parcel labels, fan-fold or roll"),
    mm("100x150mm", 100.0, 150.0, Press::Thermal, "parcel labels, metric rolls"),
    mm("102x152mm", 102.0, 152.0, Press::Thermal, "parcel labels, metric for 4×6 in"),
    mm("100x50mm", 100.0, 50.0, Press::Thermal, "address and shelf labels"),
    mm("100x62mm", 100.0, 62.0, Press::Thermal, "bench cards, across a 62 mm roll"),
    mm("62x100mm", 62.0, 100.0, Press::Thermal, "letter-mail labels on a 62 mm roll"),
    mm("62x29mm", 62.0, 29.0, Press::Thermal, "addresses on a 62 mm roll"),
    mm("90x29mm", 90.0, 29.0, Press::Thermal, "longer addresses, along a 29 mm roll"),
    mm("57x32mm", 57.0, 32.0, Press::Thermal, "small labels"),
    mm("50x30mm", 50.0, 30.0, Press::Thermal, "small labels"),
    mm("50x25mm", 50.0, 25.0, Press::Thermal, "return addresses"),
    mm("40x30mm", 40.0, 30.0, Press::Thermal, "price tags"),
    mm("30x20mm", 30.0, 20.0, Press::Thermal, "small price tags"),
    mm("4x4in", 101.6, 101.6, Press::Thermal, "square parcel labels"),
    mm("4x3in", 101.6, 76.2, Press::Thermal, "half of a 4×6 in label"),
    mm("3x2in", 76.2, 50.8, Press::Thermal, "small parcels"),
    mm("2.25x1.25in", 57.15, 31.75, Press::Thermal, "shelf labels"),
    mm("a4", 210.0, 297.0, Press::Sheet, "ISO 216 A4"),
    mm("a5", 148.0, 210.0, Press::Sheet, "ISO 216 A5"),
    mm("a6", 105.0, 148.0, Press::Sheet, "ISO 216 A6, postcards and inserts"),
    mm("c5", 229.0, 162.0, Press::Sheet, "ISO 269 C5 envelopes, lying"),
    mm("c6", 162.0, 114.0, Press::Sheet, "ISO 269 C6 envelopes, lying"),
    mm("dl", 220.0, 110.0, Press::Sheet, "ISO 269 DL envelopes, lying"),
    mm("letter", 215.9, 279.4, Press::Sheet, "8.5×11 in"),
    mm("half-letter", 139.7, 215.9, Press::Sheet, "5.5×8.5 in, half of Letter"),
    mm("quarter-letter", 107.95, 139.7, Press::Sheet, "4.25×5.5 in, four to a Letter"),
];

/// The smallest and largest side a stock may have: a fingertip, and a poster.
const SIDES: std::ops::RangeInclusive<f64> = 10.0..=1200.0;

/// Stocks wider or higher than this are taken for office paper when only their size is given.
const LARGEST_LABEL: f64 = 160.0;

impl Stock {
    /// The stock that a name or a written-out size means.
    ///
    /// # Errors
    /// A message, and a hint where there is one, when it is neither.
    pub fn find(text: &str) -> Result<Stock, (String, String)> {
        let name = text.trim().to_lowercase().replace('×', "x").replace(' ', "");
        if let Some(known) = STOCKS.iter().find(|stock| stock.name == name) {
            return Ok(Stock { name, size: known.size, press: known.press });
        }
        let Some(size) = parse_size(&name) else {
            let hint = match nearest(&name, STOCKS.iter().map(|stock| stock.name)) {
                Some(near) => format!("did you mean `{near}`? A size is written `80x120mm`"),
                None => "name a stock of `slipwright stock`, or write a size: `80x120mm`".into(),
            };
            return Err((format!("there is no stock `{}`", text.trim()), hint));
        };
        if !(SIDES.contains(&size.width.0) && SIDES.contains(&size.height.0)) {
            let message = format!("a stock of {} by {} is absurd", size.width, size.height);
            let hint = format!("sides go from {} to {} mm", SIDES.start(), SIDES.end());
            return Err((message, hint));
        }
        Ok(Stock { name, ..Stock::of_size(size) })
    }

    /// The paper of a size, by which alone its press is guessed: it has no name.
    #[must_use]
    pub fn of_size(size: Size) -> Stock {
        let largest = size.width.max(size.height).0;
        let press = if largest > LARGEST_LABEL { Press::Sheet } else { Press::Thermal };
        Stock { name: String::new(), size, press }
    }

    /// The white edge it needs unless a layout or printer says otherwise: 3 mm on thermal stock,
    /// 6 mm on sheets, by common practice.
    #[must_use]
    pub fn clear_edge(&self) -> Insets {
        Insets::all(match self.press {
            Press::Thermal => Mm(3.0),
            Press::Sheet => Mm(6.0),
        })
    }

    /// The dots it is printed with unless a printer says otherwise.
    #[must_use]
    pub fn usual_grid(&self) -> DotGrid {
        match self.press {
            Press::Thermal => DotGrid::DPI_203,
            Press::Sheet => DotGrid::from_dpi(300.0).unwrap_or(DotGrid::DPI_203),
        }
    }
}

/// Reads `WxHmm` or `WxHin`.
fn parse_size(text: &str) -> Option<Size> {
    let (numbers, unit) = match (text.strip_suffix("mm"), text.strip_suffix("in")) {
        (Some(numbers), _) => (numbers, 1.0),
        (_, Some(numbers)) => (numbers, crate::geom::MM_PER_INCH),
        _ => return None,
    };
    let (width, height) = numbers.split_once('x')?;
    let side = |text: &str| -> Option<Mm> {
        let plain = text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
        let value: f64 = text.parse().ok().filter(|_| plain && !text.is_empty())?;
        Some(Mm(value * unit))
    };
    Some(Size::new(side(width)?, side(height)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_sizes_are_found() {
        assert_eq!(Stock::find("A4").unwrap().press, Press::Sheet);
        let own = Stock::find("80 × 120 mm").unwrap();
        assert_eq!(own.size, Size::new(Mm(80.0), Mm(120.0)));
        assert_eq!(Stock::find("3x5in").unwrap().size.height, Mm(127.0));
    }

    #[test]
    fn wrong_names_get_a_way_out() {
        assert_eq!(
            Stock::find("4x6").unwrap_err().1,
            "did you mean `4x6in`? A size is written `80x120mm`"
        );
        assert!(Stock::find("0x10mm").unwrap_err().0.contains("absurd"));
        assert!(Stock::find("1e9x10mm").is_err());
        assert!(Stock::find("").is_err());
    }

    /// ISO 216: each A size is the one before cut in half across its longer side, rounded down.
    #[test]
    fn a_sizes_follow_iso_216() {
        let side = |name: &str| STOCKS.iter().find(|stock| stock.name == name).unwrap().size;
        for (larger, smaller) in [("a4", "a5"), ("a5", "a6")] {
            assert_eq!(side(smaller).height, side(larger).width);
            assert_eq!(side(smaller).width.0, (side(larger).height.0 / 2.0).floor());
        }
    }

    /// Letter cut in half across its longer side, and that again; nothing is lost to rounding.
    #[test]
    fn halves_of_letter_are_exact() {
        let side = |name: &str| STOCKS.iter().find(|stock| stock.name == name).unwrap().size;
        for (larger, smaller) in [("letter", "half-letter"), ("half-letter", "quarter-letter")] {
            assert_eq!(side(smaller).height, side(larger).width);
            assert_eq!(side(smaller).width, side(larger).height / 2.0);
        }
    }

    #[test]
    fn every_named_stock_is_found_by_its_name() {
        for stock in STOCKS {
            assert_eq!(Stock::find(stock.name).map(|found| found.size), Ok(stock.size));
        }
    }
}
