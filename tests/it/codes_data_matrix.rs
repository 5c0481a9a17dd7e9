//! Data Matrix against an independent decoder (rxing), in every size, and what damage leaves.

use proptest::prelude::*;
use rxing::datamatrix::decoder::Decoder;
use slipwright::codes::{Data, DataMatrix, ElementStrings};

/// What rxing reads when modules look as `is_dark` says; none when it cannot.
fn read_modules(size: usize, is_dark: impl Fn(usize, usize) -> bool) -> Option<String> {
    let modules: Vec<Vec<bool>> =
        (0..size).map(|y| (0..size).map(|x| is_dark(x, y)).collect()).collect();
    let read = Decoder::new().decode_bools(&modules).ok()?;
    Some(read.getText().to_owned())
}

/// What rxing reads of a symbol.
fn read(symbol: &DataMatrix) -> Option<String> {
    read_modules(symbol.size(), |x, y| symbol.grid().get(x, y))
}

#[test]
fn every_size_is_read_back() {
    // Data codewords of each size (ISO/IEC 16022:2006, Table 7).
    let sizes = [
        (10, 3),
        (12, 5),
        (14, 8),
        (16, 12),
        (18, 18),
        (20, 22),
        (22, 30),
        (24, 36),
        (26, 44),
        (32, 62),
        (36, 86),
        (40, 114),
        (44, 144),
        (48, 174),
        (52, 204),
        (64, 280),
        (72, 368),
        (80, 456),
        (88, 576),
        (96, 696),
        (104, 816),
        (120, 1050),
        (132, 1304),
        (144, 1558),
    ];
    for (size, codewords) in sizes {
        // Two digits a codeword: as many as fit, and two fewer.
        for pairs in [codewords, codewords - 1] {
            let text: String =
                (0..2 * pairs).map(|at| char::from(b'0' + (at * 7 % 10) as u8)).collect();
            let symbol = DataMatrix::encode_text(&text).unwrap();
            assert_eq!(symbol.size(), size);
            assert_eq!(read(&symbol).as_deref(), Some(&*text), "{size}");
        }
    }
}

#[test]
fn each_scheme_and_each_way_to_end_is_read_back() {
    let texts = [
        "A",
        "ab",
        "TH-1041",
        "AIM",
        "AIMA",
        "AIMAI",
        "AIMAIM",
        "aim",
        "aima",
        "aimai",
        "aimaim",
        "ABC>DEF*1 23",
        ".A.C1.3.",
        ".A.C1.3.X",
        ".A.C1.3.X.X",
        "......",
        ".....",
        "....",
        "...",
        "Feder 4711 für Ærøskøbing",
        "éàüöß",
        "\u{1}\u{2}\u{3}\r\n",
        "https://example.com/t/7F3K?x=1",
        "Слип 12",
        "注文書",
        "🖋",
        "A\u{7f}b{c}~|",
        "0",
        "00",
        "000",
        "1a2b3c4d5e",
        "}}}}}}}}",
    ];
    for text in texts {
        let symbol = DataMatrix::encode_text(text).unwrap();
        assert_eq!(read(&symbol).as_deref(), Some(text), "{text:?}");
    }
}

/// Units of data of every scheme, so that texts change between them.
fn mixed_text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        "[0-9]{1,7}",
        "[A-Z0-9 ]{1,9}",
        "[a-z0-9 ]{1,9}",
        "[A-Z0-9 *>\r]{1,9}",
        "[ -^]{1,9}",
        "[\u{a0}-\u{ff}]{1,5}",
        "[ -~]{1,6}",
        "[\u{1}-\u{1f}]{1,3}",
    ];
    prop::collection::vec(piece, 1..5).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_text_is_read_back(text in mixed_text()) {
        let symbol = DataMatrix::encode_text(&text).unwrap();
        let found = read(&symbol);
        prop_assert_eq!(found, Some(text), "{} modules", symbol.size());
    }
}

#[test]
fn element_strings_begin_with_their_mark_and_are_parted() {
    let elements = ElementStrings::parse("(01)09501101530003(10)AB-123(21)7").unwrap();
    let symbol = DataMatrix::encode(&elements.to_data()).unwrap();
    assert!(symbol.is_gs1());
    assert_eq!(symbol.codewords()[0], 232);
    let text = read(&symbol).unwrap();
    assert_eq!(text.trim_start_matches("]d2"), "010950110153000310AB-123\u{1d}217");
    let plain: Vec<Data> = b"01".iter().copied().map(Data::Char).collect();
    assert!(!DataMatrix::encode(&plain).unwrap().is_gs1());
}

/// The modules as a head prints them, a dot a pixel, every dark one a dot wider or narrower.
fn printed(symbol: &DataMatrix, dots: i64, gain: i64) -> Option<String> {
    let size = symbol.size() as i64;
    let white = 2;
    let side = (size + 2 * white) * dots;
    let dark = |x: i64, y: i64| {
        let module = |at: i64| at.div_euclid(dots) - white;
        let (x, y) = (module(x), module(y));
        x >= 0 && y >= 0 && symbol.grid().get(x as usize, y as usize)
    };
    let luma = (0..side * side).map(|at| {
        let (x, y) = (at % side, at / side);
        let black = match gain {
            1 => [(0, 0), (-1, 0), (0, -1), (-1, -1)].iter().any(|(dx, dy)| dark(x + dx, y + dy)),
            -1 => [(0, 0), (-1, 0), (0, -1), (-1, -1)].iter().all(|(dx, dy)| dark(x + dx, y + dy)),
            _ => dark(x, y),
        };
        if black { 0 } else { 255 }
    });
    let (luma, side) = (luma.collect(), side as u32);
    let kind = Some(rxing::BarcodeFormat::DATA_MATRIX);
    rxing::helpers::detect_in_luma(luma, side, side, kind).ok().map(|it| it.getText().to_owned())
}

/// Small tags are printed with few dots a module.
#[test]
fn a_data_matrix_of_three_dots_survives_a_dot_of_gain() {
    let texts = ["123456", "TH-1041", "PEN-2024-0007", "A1B2C3D4E5F6G7H8I9J0K1L2"];
    let read = |dots, gain| {
        let good = |text: &&&str| {
            let symbol = DataMatrix::encode_text(text).unwrap();
            printed(&symbol, dots, gain).as_deref() == Some(**text)
        };
        texts.iter().filter(good).count()
    };
    for gain in [-1, 0, 1] {
        assert_eq!(read(3, gain), texts.len(), "3 dots, {gain} of gain");
        assert_eq!(read(4, gain), texts.len(), "4 dots, {gain} of gain");
    }
    assert_eq!(read(1, 1), 0);
}

/// As many codewords as the standard corrects may be wrong, and the measure says 0 there.
#[test]
fn what_error_correction_leaves_is_what_a_reader_can_do() {
    let symbol = DataMatrix::encode_text("PEN-2024-0007").unwrap();
    let size = symbol.size();
    // Whole modules of the inside, from the middle outwards, are inverted.
    let mut hit: Vec<(usize, usize)> = Vec::new();
    let mut read_at_last = 1.0;
    for at in 0..size * size {
        let (x, y) = (1 + at * 5 % (size - 2), 1 + at * 3 % (size - 2));
        if !hit.contains(&(x, y)) {
            hit.push((x, y));
        }
        let is_dark = |x, y| symbol.grid().get(x, y) != hit.contains(&(x, y));
        let left = symbol.unused_correction(is_dark);
        match read_modules(size, is_dark) {
            Some(text) => {
                assert_eq!(text, "PEN-2024-0007");
                read_at_last = left;
            }
            None => {
                assert!(left <= 0.0, "unread with {left} left");
                break;
            }
        }
    }
    assert!(read_at_last < 0.5, "{read_at_last}");
}
