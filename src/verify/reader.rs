//! Reading codes back by a decoder that is not ours (rxing).
//!
//! In: a part of a page in dots, or a whole page. Out: what the decoder reads. Not here: whether
//! that is what was meant.

use std::collections::HashSet;

use rxing::datamatrix::DataMatrixReader;
use rxing::multi::{GenericMultipleBarcodeReader, MultipleBarcodeReader as _};
use rxing::oned::{Code128Reader, EAN8Reader, EAN13Reader, UPCAReader};
use rxing::qrcode::cpp_port::QrReader;
use rxing::{
    BarcodeFormat, BinaryBitmap, DecodeHints, RXingResult, RXingResultMetadataType,
    RXingResultMetadataValue, Reader as _,
};

use super::dots::{Dots, PagePart};
use super::plain_reader::read_plainly;
use crate::codes::EanKind;
use crate::export::Bitmap;
use crate::geom::Stance;
use crate::scene::Symbol;

/// The symbology identifiers of a GS1-128 and of a Data Matrix of GS1 (ISO/IEC 15424).
const GS1_MARKS: [&str; 2] = ["]C1", "]d2"];

/// The value of FNC1 in Code 128.
const FNC1: u8 = 102;

/// The value of the stop in Code 128.
const STOP: u8 = 106;

/// A code as the decoder reads it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Read {
    /// Its text, with a group separator for every FNC1 but the first.
    pub(super) text: String,
    /// What a reader makes of a Code 128 that does not know FNC4, when that is another text.
    pub(super) plain: Option<String>,
    /// Whether its first symbol character says that it holds element strings of GS1.
    pub(super) gs1: bool,
    /// A dot inside or at the edge of the code, as far as the decoder tells.
    pub(super) at: (i64, i64),
}

/// Reads the code in a part of a page, one of the kind of `symbol` that stands so.
pub(super) fn read_code(
    page: &Bitmap,
    part: PagePart,
    stance: Stance,
    symbol: &Symbol,
) -> Option<Read> {
    let format = format_of(symbol);
    let hints = hints(format);
    guard(|| {
        let mut image = BinaryBitmap::new(Dots::new(page, part, stance));
        let read = match format {
            BarcodeFormat::CODE_128 => Code128Reader.decode_with_hints(&mut image, &hints),
            BarcodeFormat::EAN_13 => EAN13Reader.decode_with_hints(&mut image, &hints),
            BarcodeFormat::EAN_8 => EAN8Reader.decode_with_hints(&mut image, &hints),
            BarcodeFormat::UPC_A => UPCAReader::default().decode_with_hints(&mut image, &hints),
            BarcodeFormat::DATA_MATRIX => DataMatrixReader.decode_with_hints(&mut image, &hints),
            _ => QrReader.decode_with_hints(&mut image, &hints),
        };
        Some(take_result(&read.ok()?))
    })
}

/// What the decoder calls a symbol's kind.
pub(super) fn format_of(symbol: &Symbol) -> BarcodeFormat {
    match symbol {
        Symbol::Code128(_) => BarcodeFormat::CODE_128,
        Symbol::Ean(symbol) => match symbol.kind() {
            EanKind::Ean13 => BarcodeFormat::EAN_13,
            EanKind::Ean8 => BarcodeFormat::EAN_8,
            EanKind::UpcA => BarcodeFormat::UPC_A,
        },
        Symbol::Qr(_) => BarcodeFormat::QR_CODE,
        Symbol::DataMatrix(_) => BarcodeFormat::DATA_MATRIX,
    }
}

/// Every square of a kind that the decoder finds on a page without being told where to look; a page
/// that is mirrored is looked at in a mirror.
pub(super) fn find_squares(page: &Bitmap, kind: SquareKind) -> Vec<Read> {
    let part = PagePart { x: 0, y: 0, width: page.width(), height: page.height() };
    let stance = Stance { mirrored: kind.mirrored, ..Stance::UPRIGHT };
    let found = guard(|| {
        let mut image = BinaryBitmap::new(Dots::new(page, part, stance));
        match kind.matrix {
            false => {
                let hints = hints(BarcodeFormat::QR_CODE);
                QrReader.decode_multiple_with_hints(&mut image, &hints).ok()
            }
            true => {
                let hints = hints(BarcodeFormat::DATA_MATRIX);
                let mut reader = GenericMultipleBarcodeReader::new(DataMatrixReader);
                reader.decode_multiple_with_hints(&mut image, &hints).ok()
            }
        }
    });
    place_reads(found, part, stance)
}

/// Which squares are looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct SquareKind {
    /// Data Matrix, or else QR Code.
    pub(super) matrix: bool,
    /// Those that are mirrored, or else those that are not.
    pub(super) mirrored: bool,
}

/// Every row of bars of the kind of `symbol` that the decoder finds on a strip right across a page, as
/// a hand scanner's line crosses it: the strip is as high as `part`, or as wide where bars lie.
pub(super) fn find_bars(
    page: &Bitmap,
    part: PagePart,
    stance: Stance,
    symbol: &Symbol,
) -> Vec<Read> {
    let strip = match stance.is_lying() {
        false => PagePart { x: 0, width: page.width(), ..part },
        true => PagePart { y: 0, height: page.height(), ..part },
    };
    let format = format_of(symbol);
    let hints = DecodeHints { TryHarder: None, ..hints(format) };
    let found = guard(|| {
        let mut image = BinaryBitmap::new(Dots::new(page, strip, stance));
        let image = &mut image;
        match format {
            BarcodeFormat::EAN_13 => GenericMultipleBarcodeReader::new(EAN13Reader)
                .decode_multiple_with_hints(image, &hints),
            BarcodeFormat::EAN_8 => GenericMultipleBarcodeReader::new(EAN8Reader)
                .decode_multiple_with_hints(image, &hints),
            BarcodeFormat::UPC_A => GenericMultipleBarcodeReader::new(UPCAReader::default())
                .decode_multiple_with_hints(image, &hints),
            _ => GenericMultipleBarcodeReader::new(Code128Reader)
                .decode_multiple_with_hints(image, &hints),
        }
        .ok()
    });
    place_reads(found, strip, stance)
}

/// What was read of a part of a page that the decoder saw upright, each with its place on the page.
fn place_reads(found: Option<Vec<RXingResult>>, part: PagePart, stance: Stance) -> Vec<Read> {
    let (across, down) = (i64::from(part.width), i64::from(part.height));
    let whole = if stance.is_lying() { [down, across] } else { [across, down] };
    let place = |read: Read| {
        let [x, y, ..] = stance.place_box([read.at.0, read.at.1, 1, 1], whole);
        Read { at: (part.x + x, part.y + y), ..read }
    };
    found.iter().flatten().map(take_result).map(place).collect()
}

/// Runs the decoder; should it panic over the picture of some page, it has read nothing.
pub(super) fn guard<T>(decode: impl FnOnce() -> Option<T>) -> Option<T> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(decode)).ok().flatten()
}

/// How the decoder looks: for one kind of code, at every row it has, with a group separator for
/// FNC1.
pub(super) fn hints(format: BarcodeFormat) -> DecodeHints {
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
        Some(RXingResultMetadataValue::SymbologyIdentifier(it)) if GS1_MARKS.contains(&&**it));
    let mut text = read.getText();
    if gs1 {
        text = GS1_MARKS.iter().find_map(|mark| text.strip_prefix(mark)).unwrap_or(text);
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
