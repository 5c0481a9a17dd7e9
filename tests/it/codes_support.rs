//! What the tests of codes share: reading symbols back with decoders that are not ours.

#![allow(dead_code, reason = "each test file uses its own part")]

use rxing::common::BitArray;
use rxing::oned::{Code128Reader, OneDReader};
use rxing::{DecodeHints, RXingResult};
use slipwright::codes::{CODE128_QUIET_ZONE, Code128, Qr};

/// A symbol with its quiet zones, each module `scale` wide, as rxing takes one scan line.
fn scan_line(symbol: &Code128, scale: usize) -> BitArray {
    let width = symbol.row().modules() + CODE128_QUIET_ZONE.ends();
    let mut line = BitArray::with_size(width * scale);
    for (at, _) in symbol.row().to_modules().iter().enumerate().filter(|(_, dark)| **dark) {
        (0..scale).for_each(|dot| line.set((CODE128_QUIET_ZONE.before + at) * scale + dot));
    }
    line
}

/// Reads a Code 128 with rxing; FNC1 is dropped, as rxing does without its GS1 hint.
pub(crate) fn read_code128(symbol: &Code128) -> String {
    read(symbol, &DecodeHints::default()).getText().to_owned()
}

/// Reads a GS1-128 with rxing: `]C1` for the first FNC1, GS for any other.
///
/// rxing 0.9.3 takes a check character of value 102, the value of FNC1, for one more FNC1 and
/// appends a GS; that one is taken off again.
pub(crate) fn read_gs1_128(symbol: &Code128) -> String {
    let hints = DecodeHints { AssumeGs1: Some(true), ..DecodeHints::default() };
    let text = read(symbol, &hints).getText().to_owned();
    match symbol.codewords() {
        [.., 102, _stop] => text.strip_suffix('\u{1d}').unwrap_or(&text).to_owned(),
        _ => text,
    }
}

/// Reads one scan line of a Code 128.
fn read(symbol: &Code128, hints: &DecodeHints) -> RXingResult {
    Code128Reader.decode_row(0, &scan_line(symbol, 3), hints).expect("rxing reads the symbol")
}

/// Reads a QR Code from its modules with rxing.
pub(crate) fn read_qr(symbol: &Qr) -> String {
    let row = |y: usize| (0..symbol.size()).map(|x| symbol.grid().get(x, y)).collect();
    let modules: Vec<Vec<bool>> = (0..symbol.size()).map(row).collect();
    let read = rxing::qrcode::decoder::qrcode_decoder::decode_bool_array(&modules);
    read.expect("rxing reads the symbol").getText().to_owned()
}

/// Reads a code of any kind with rxing from a grey image, each module `scale` pixels wide, with
/// `quiet` light modules around; a linear code is given as one row.
pub(crate) fn read_image(
    modules: &[Vec<bool>],
    scale: usize,
    quiet: usize,
    tall: usize,
) -> RXingResult {
    let width = (modules[0].len() + 2 * quiet) * scale;
    let height = (modules.len() * tall + 2 * quiet) * scale;
    let is_dark = |x: usize, y: usize| {
        let column = (x / scale).checked_sub(quiet);
        let row = (y / scale).checked_sub(quiet).map(|row| row / tall);
        let module = row.and_then(|row| modules.get(row)).zip(column);
        module.and_then(|(row, column)| row.get(column)).copied().unwrap_or(false)
    };
    let luma = (0..height)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .map(|(x, y)| if is_dark(x, y) { 0 } else { 255 })
        .collect();
    rxing::helpers::detect_in_luma(luma, width as u32, height as u32, None)
        .expect("rxing finds and reads the symbol")
}
