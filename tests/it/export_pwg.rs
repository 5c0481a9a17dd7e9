//! PWG Raster: what a file says and which dots it holds. `tests/outside/pwg.py` has the reader of
//! CUPS look at whole documents.

use std::fs;

use crate::command::Desk;
use crate::export_support;

use export_support::label::label;
use slipwright::FontBook;
use slipwright::export::{PwgOptions, encode_pwg_page, rasterise};
use slipwright::fonts::Shaper;
use slipwright::scene::Page;
use slipwright::sides::TurnEdge;

/// Bytes of a page header.
const HEADER: usize = 1796;

/// A page of the samples.
fn page(book: &FontBook) -> Page {
    label(&mut Shaper::new(book), 3)
}

/// The number at a place of a header.
fn field(page: &[u8], at: usize) -> u32 {
    u32::from_be_bytes(page[at..at + 4].try_into().unwrap())
}

/// The rows of a page, unpacked as PWG 5102.4-2012 has them: a count of rows less one; then groups,
/// either a count less one and a byte, or 257 less a count and so many bytes.
fn unpack(page: &[u8]) -> (Vec<u8>, &[u8]) {
    let (stride, height) = (field(page, 392) as usize, field(page, 376) as usize);
    let mut data = &page[HEADER..];
    let mut rows = Vec::new();
    while rows.len() < stride * height {
        let mut row = Vec::new();
        let repeated = usize::from(data[0]) + 1;
        data = &data[1..];
        while row.len() < stride {
            let count = usize::from(data[0]);
            let used = if count < 128 { 2 } else { 258 - count };
            match count < 128 {
                true => row.extend([data[1]].repeat(count + 1)),
                false => row.extend(&data[1..used]),
            }
            data = &data[used..];
        }
        assert_eq!(row.len(), stride);
        rows.extend(row.repeat(repeated));
    }
    assert_eq!(rows.len(), stride * height);
    (rows, data)
}

#[test]
fn a_page_holds_the_dots_that_are_proven() {
    let book = FontBook::builtin();
    let page = page(&book);
    let made = encode_pwg_page(&page, &book, &PwgOptions::default()).unwrap();
    let (rows, rest) = unpack(&made);
    assert_eq!(rows, rasterise(&page, &book).rows());
    assert!(rest.is_empty());
    assert!(made.len() < 25_000, "{}", made.len());
}

#[test]
fn a_header_says_one_bit_black_at_true_size() {
    let book = FontBook::builtin();
    let made = encode_pwg_page(&page(&book), &book, &PwgOptions::default()).unwrap();
    assert!(made.starts_with(b"PwgRaster\0"));
    // Resolution, paper in points, dots; one bit a pixel, one color, device black (Tables 3 and 12).
    let said = [276, 280, 352, 356, 372, 376, 384, 388, 392, 400, 420].map(|at| field(&made, at));
    assert_eq!(said, [203, 203, 288, 432, 812, 1219, 1, 1, 102, 3, 1]);
    // Neither side is turned around, and nothing is printed on backs.
    assert_eq!([272, 368, 456, 460].map(|at| field(&made, at)), [0, 0, 1, 1]);
}

#[test]
fn backs_are_said_with_the_edge_they_turn_over() {
    let book = FontBook::builtin();
    let said = |turn| {
        let made = encode_pwg_page(&page(&book), &book, &PwgOptions { turn }).unwrap();
        [272, 368].map(|at| field(&made, at))
    };
    assert_eq!(said(Some(TurnEdge::Long)), [1, 0]);
    assert_eq!(said(Some(TurnEdge::Short)), [1, 1]);
}

#[test]
fn the_command_writes_all_pages_in_bench_order() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    let run = desk.done(&["render", "evening.json", "-o", "labels.pwg"]);
    let said = String::from_utf8_lossy(&run.stderr);
    assert!(said.contains("12 pages in `labels.pwg`"), "{said}");
    desk.done(&["render", "evening.json", "-o", "label.png"]);
    let file = fs::read(desk.path("labels.pwg")).unwrap();
    let mut data = file.strip_prefix(b"RaS2").unwrap();
    for page in 1..=12 {
        let (rows, rest) = unpack(data);
        data = rest;
        let png = fs::read(desk.path(&format!("label-{page:02}.png"))).unwrap();
        let mut reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut pixels).unwrap();
        // A PNG's 0 is black; what pads its rows is as black as it likes.
        let black: Vec<u8> = pixels.iter().map(|byte| !byte).collect();
        let is_same = rows.iter().zip(&black).enumerate().all(|(at, (one, other))| {
            let mask = if at % 102 == 101 { 0xF0 } else { 0xFF };
            one & mask == other & mask
        });
        assert!(is_same && rows.len() == black.len(), "page {page}");
    }
    assert!(data.is_empty());
}
