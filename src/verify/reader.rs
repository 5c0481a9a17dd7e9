//! Reading codes back by a decoder that is not ours (rxing).
//!
//! In: a part of a page in dots, or a whole page. Out: what the decoder reads. Not here: whether
//! that is what was meant.

use std::collections::HashSet;

use rxing::multi::{GenericMultipleBarcodeReader, MultipleBarcodeReader as _};
use rxing::oned::Code128Reader;
use rxing::qrcode::cpp_port::QrReader;
use rxing::{
    BarcodeFormat, BinaryBitmap, DecodeHints, RXingResult, RXingResultMetadataType,
    RXingResultMetadataValue, Reader as _,
};

use super::dots::Dots;
use super::plain_reader::read_plainly;
use crate::export::Bitmap;

/// The symbology identifier of a GS1-128 (ISO/IEC 15424).
const GS1_128: &str = "]C1";

/// The value of FNC1 in Code 128.
const FNC1: u8 = 102;

/// The value of the stop in Code 128.
const STOP: u8 = 106;

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

/// A code as the decoder reads it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Read {
    /// Its text, with a group separator for every FNC1 but the first.
    pub(super) text: String,
    /// What a reader makes of a Code 128 that does not know FNC4, when that is another text.
    pub(super) plain: Option<String>,
    /// Whether its first symbol character says that it is a GS1-128.
    pub(super) gs1: bool,
    /// A dot inside or at the edge of the code, as far as the decoder tells.
    pub(super) at: (i64, i64),
}

/// Reads the Code 128 in a part of a page; `turned` when its bars lie flat.
pub(super) fn read_code128(page: &Bitmap, part: PagePart, turned: bool) -> Option<Read> {
    let hints = hints(BarcodeFormat::CODE_128);
    guard(|| {
        let mut image = BinaryBitmap::new(Dots::new(page, part, turned));
        let read = Code128Reader.decode_with_hints(&mut image, &hints).ok()?;
        Some(take_result(&read))
    })
}

/// Reads the QR Code in a part of a page.
pub(super) fn read_qr(page: &Bitmap, part: PagePart) -> Option<Read> {
    let hints = hints(BarcodeFormat::QR_CODE);
    guard(|| {
        let mut image = BinaryBitmap::new(Dots::new(page, part, false));
        let read = QrReader.decode_with_hints(&mut image, &hints).ok()?;
        Some(take_result(&read))
    })
}

/// Every QR Code that the decoder finds on a page without being told where to look.
pub(super) fn find_squares(page: &Bitmap) -> Vec<Read> {
    let part = PagePart { x: 0, y: 0, width: page.width(), height: page.height() };
    let hints = hints(BarcodeFormat::QR_CODE);
    let found = guard(|| {
        let mut image = BinaryBitmap::new(Dots::new(page, part, false));
        QrReader.decode_multiple_with_hints(&mut image, &hints).ok()
    });
    found.iter().flatten().map(take_result).collect()
}

/// Every Code 128 that the decoder finds on a strip right across a page, as a hand scanner's line
/// crosses it: the strip is as high as `part`, or as wide where bars lie flat.
pub(super) fn find_bars(page: &Bitmap, part: PagePart, turned: bool) -> Vec<Read> {
    let strip = match turned {
        false => PagePart { x: 0, width: page.width(), ..part },
        true => PagePart { y: 0, height: page.height(), ..part },
    };
    let hints = DecodeHints { TryHarder: None, ..hints(BarcodeFormat::CODE_128) };
    let found = guard(|| {
        let mut image = BinaryBitmap::new(Dots::new(page, strip, turned));
        let mut reader = GenericMultipleBarcodeReader::new(Code128Reader);
        reader.decode_multiple_with_hints(&mut image, &hints).ok()
    });
    let place = |read: Read| {
        let (along, across) = read.at;
        let at = if turned { (strip.x + across, along) } else { (along, strip.y + across) };
        Read { at, ..read }
    };
    found.iter().flatten().map(take_result).map(place).collect()
}

/// Runs the decoder; should it panic over the picture of some page, it has read nothing.
fn guard<T>(decode: impl FnOnce() -> Option<T>) -> Option<T> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(decode)).ok().flatten()
}

/// How the decoder looks: for one kind of code, at every row it has, with a group separator for
/// FNC1.
fn hints(format: BarcodeFormat) -> DecodeHints {
    DecodeHints {
        TryHarder: Some(true),
        AssumeGs1: Some(true),
        PossibleFormats: Some(HashSet::from([format])),
        ..DecodeHints::default()
    }
}

/// What matters of the decoder's result.
fn take_result(read: &RXingResult) -> Read {
    let identifier =
        read.getRXingResultMetadata().get(&RXingResultMetadataType::SYMBOLOGY_IDENTIFIER);
    let gs1 = matches!(identifier,
        Some(RXingResultMetadataValue::SymbologyIdentifier(it)) if it == GS1_128);
    let mut text = read.getText();
    if gs1 {
        text = text.strip_prefix(GS1_128).unwrap_or(text);
    }
    if read.getBarcodeFormat() == &BarcodeFormat::CODE_128
        && matches!(read.getRawBytes(), [.., FNC1, STOP])
    {
        // rxing takes a check character of the value of FNC1 for one more FNC1.
        text = text.strip_suffix('\u{1d}').unwrap_or(text);
    }
    let plain = match read.getBarcodeFormat() {
        BarcodeFormat::CODE_128 if !text.is_ascii() => read_plainly(read.getRawBytes()),
        _ => None,
    };
    let at = read.getPoints().first().map_or((0, 0), |point| (point.x as i64, point.y as i64));
    Read { text: text.to_owned(), plain, gs1, at }
}
