//! The inner workings of the QR encoder against published figures and plain rewritings.

use super::penalty::{MARGIN, score};
use super::reed_solomon::add_error_correction;
use super::segment::{Mode, QrSegment, measure_text, segment_text, write_codewords};
use super::tables::*;
use super::template::{is_masked, template_of};
use super::{Ecc, Qr, QrOptions};

/// The worked example of ISO/IEC 18004, Annex I, whose codewords stand in libqrencode's tests
/// (`test_rscode1`) too.
#[test]
fn the_standards_own_example_comes_out_codeword_by_codeword() {
    let plan = segment_text("01234567", 0);
    let blocks = block_plan(1, Ecc::M);
    let data = write_codewords("01234567", &plan, blocks.data());
    let expected = [
        0x10, 0x20, 0x0C, 0x56, 0x61, 0x80, 0xEC, 0x11, 0xEC, 0x11, 0xEC, 0x11, 0xEC, 0x11, 0xEC,
        0x11,
    ];
    assert_eq!(data, expected);
    let correction = [0xA5, 0x24, 0xD4, 0xC1, 0xED, 0x36, 0xC7, 0x87, 0x2C, 0x55];
    assert_eq!(add_error_correction(&data, &blocks)[16..], correction);
}

#[test]
fn capacities_are_the_known_ones() {
    // Numeric, alphanumeric and byte characters. Versions 1, 2 and 5 stand in the manual of the
    // LP-RV laser markers, 15.4.2, 40-L wherever QR is described; the rest follows from the bits of a
    // version, of which the crate qrcode has the same in other tests.
    #[rustfmt::skip]
    let rows = [
        (1, [[41, 25, 17], [34, 20, 14], [27, 16, 11], [17, 10, 7]]),
        (2, [[77, 47, 32], [63, 38, 26], [48, 29, 20], [34, 20, 14]]),
        (5, [[255, 154, 106], [202, 122, 84], [144, 87, 60], [106, 64, 44]]),
        (10, [[652, 395, 271], [513, 311, 213], [364, 221, 151], [288, 174, 119]]),
        (40, [[7089, 4296, 2953], [5596, 3391, 2331], [3993, 2420, 1663], [3057, 1852, 1273]]),
    ];
    for (version, levels) in rows {
        for (ecc, capacities) in Ecc::ALL.into_iter().zip(levels) {
            for (character, most) in ["7", "K", "k"].into_iter().zip(capacities) {
                let options = QrOptions { ecc, largest: version, ..QrOptions::default() };
                let fitting = Qr::encode(&character.repeat(most), &options);
                assert_eq!(fitting.unwrap().version(), version, "{most} × {character}");
                let over = Qr::encode(&character.repeat(most + 1), &options);
                assert!(over.is_err(), "{} × {character} in {version}-{ecc}", most + 1);
            }
        }
    }
}

#[test]
fn every_version_splits_into_blocks_without_rest() {
    for version in FIRST_VERSION..=LAST_VERSION {
        let template = template_of(version);
        assert_eq!(template.order.len(), data_modules(version), "version {version}");
        for ecc in Ecc::ALL {
            let plan = block_plan(version, ecc);
            assert_eq!(plan.codewords(), data_modules(version) / 8, "{version}-{ecc}");
            assert!(plan.short_blocks > 0 && plan.short_blocks <= plan.blocks);
            assert!([7, 10, 13, 15, 16, 17, 18, 20, 22, 24, 26, 28, 30].contains(&plan.ecc));
        }
    }
}

#[test]
fn alignment_patterns_stand_where_the_standard_says() {
    // ISO/IEC 18004, Table E.1, as the crates qrcode and rxing have it.
    let rows: [(u8, &[usize]); 9] = [
        (1, &[]),
        (2, &[6, 18]),
        (7, &[6, 22, 38]),
        (14, &[6, 26, 46, 66]),
        (15, &[6, 26, 48, 70]),
        (22, &[6, 26, 50, 74, 98]),
        (32, &[6, 34, 60, 86, 112, 138]),
        (36, &[6, 24, 50, 76, 102, 128, 154]),
        (40, &[6, 30, 58, 86, 114, 142, 170]),
    ];
    for (version, centres) in rows {
        assert_eq!(alignment_centres(version), centres, "version {version}");
    }
}

#[test]
fn format_and_version_information_are_the_known_ones() {
    // ISO/IEC 18004, Tables C.1 and D.1, as matchadesign.com ("QR Code demystified", part 6) and
    // swetake.com ("How to create QRcode", 2.6) explain them: 5-M with mask 101, version 7.
    assert_eq!(format_bits(Ecc::M, 0b101), 0b100_0000_1100_1110);
    assert_eq!(format_bits(Ecc::L, 0), 0b111_0111_1100_0100);
    assert_eq!(version_bits(7), 0b00_0111_1100_1001_0100);
}

/// The penalty module by module, straight after ISO/IEC 18004:2015 §7.8.3.1, Table 11.
fn score_plainly(get: impl Fn(usize, usize) -> bool, size: usize) -> u32 {
    let dark = (0..size * size).filter(|at| get(at % size, at / size)).count() as f64;
    let deviation = (dark / (size * size) as f64 - 0.5).abs();
    score_patterns(get, size) + 10 * (deviation / 0.05).floor() as u32
}

/// Rules 1 to 3 of the penalty.
pub(super) fn score_patterns(get: impl Fn(usize, usize) -> bool, size: usize) -> u32 {
    let mut points = 0;
    for line in 0..size {
        for is_column in [false, true] {
            let at = |place: usize| if is_column { get(line, place) } else { get(place, line) };
            points += score_line(&(0..size).map(at).collect::<Vec<bool>>());
        }
    }
    for (x, y) in (0..size - 1).flat_map(|y| (0..size - 1).map(move |x| (x, y))) {
        let block = [get(x, y), get(x + 1, y), get(x, y + 1), get(x + 1, y + 1)];
        points += if block.iter().all(|&dark| dark == block[0]) { 3 } else { 0 };
    }
    points
}

/// Rules 1 and 3 in one row or column.
fn score_line(line: &[bool]) -> u32 {
    let mut points = 0;
    for run in line.chunk_by(|a, b| a == b).filter(|run| run.len() >= 5) {
        points += 3 + run.len() as u32 - 5;
    }
    let is_light = |at: isize| usize::try_from(at).ok().and_then(|at| line.get(at)) != Some(&true);
    for (start, seven) in line.windows(7).enumerate() {
        let start = start as isize;
        let is_finder = *seven == [true, false, true, true, true, false, true];
        let before = (start - 4..start).all(is_light);
        let behind = (start + 7..start + 11).all(is_light);
        points += if is_finder && (before || behind) { 40 } else { 0 };
    }
    points
}

/// The penalty by whole rows of a finished symbol.
fn score_by_rows<const W: usize>(qr: &Qr) -> u32 {
    let mut rows = vec![[0; W]; qr.size() + 2 * MARGIN];
    for (row, words) in rows[MARGIN..].iter_mut().zip(qr.grid().rows()) {
        row.copy_from_slice(&words[..W]);
    }
    score(&rows)
}

#[test]
fn penalties_by_whole_rows_equal_penalties_by_single_modules() {
    let text = "Tern Hollow Pens 0123456789";
    for version in [1, 2, 3, 6, 7, 11, 12, 13, 20, 27, 28, 33, 40] {
        for mask in 0..8 {
            let options = QrOptions {
                ecc: Ecc::L,
                smallest: version.max(2),
                mask: Some(mask),
                ..QrOptions::default()
            };
            let qr = Qr::encode(text, &options).unwrap();
            let plain = score_plainly(|x, y| qr.grid().get(x, y), qr.size());
            let by_rows = match qr.size().div_ceil(64) {
                1 => score_by_rows::<1>(&qr),
                2 => score_by_rows::<2>(&qr),
                _ => score_by_rows::<3>(&qr),
            };
            assert_eq!(by_rows, plain, "version {version} mask {mask}");
            // More words than needed change nothing.
            assert_eq!(score_by_rows::<3>(&qr), plain, "version {version} mask {mask}");
        }
    }
}

#[test]
fn penalties_of_patterns_at_the_edge_are_counted_too() {
    // A symbol of one row of finders along the right and the lower edge.
    let size = 21;
    let mut rows = vec![[0_u64; 1]; size + 2 * MARGIN];
    for at in [0, 2, 3, 4, 6] {
        rows[MARGIN + 5][0] |= 1 << (size - 7 + at);
        rows[MARGIN + size - 7 + at][0] |= 1 << 5;
    }
    let get = |x: usize, y: usize| rows[MARGIN + y][0] >> x & 1 == 1;
    assert_eq!(score(&rows), score_plainly(get, size));
}

#[test]
fn the_mask_chosen_has_the_least_penalty_and_the_lowest_number() {
    for text in ["TERN-000123", "https://example.com/p/7F3K", "Füllhalter, überholt"] {
        for version in [2, 5, 13, 30] {
            let options = QrOptions { smallest: version, ..QrOptions::default() };
            let chosen = Qr::encode(text, &options).unwrap().mask();
            let penalty = |mask: &u8| {
                let options = QrOptions { mask: Some(*mask), ..options.clone() };
                let qr = Qr::encode(text, &options).unwrap();
                score_plainly(|x, y| qr.grid().get(x, y), qr.size())
            };
            assert_eq!(Some(chosen), (0..8).min_by_key(penalty), "{text} in version {version}");
        }
    }
}

#[test]
fn masks_are_those_of_the_standard_and_leave_function_patterns_alone() {
    for version in [1, 7, 40] {
        let template = template_of(version);
        let is_data = |x: u8, y: u8| template.order.contains(&[x, y]);
        for (mask, rows) in template.masks.iter().enumerate() {
            let size = template.size.min(60);
            for (x, y) in (0..size).flat_map(|y| (0..size).map(move |x| (x, y))) {
                let inverted = rows[y][x / 64] >> (x % 64) & 1 == 1;
                let expected = is_masked(mask as u8, x, y) && is_data(x as u8, y as u8);
                assert_eq!(inverted, expected, "mask {mask} at {x}, {y}");
            }
        }
    }
}

/// The fewest bits of a text in a class of versions: every way to give each byte a mode is tried.
fn search_least_bits(text: &str, class: usize) -> u64 {
    let counts = [[10, 9, 8], [12, 11, 16], [14, 13, 16]][class];
    let bytes = text.as_bytes();
    let least = (0..3_usize.pow(bytes.len() as u32))
        .filter_map(|choice| {
            let modes: Vec<usize> =
                (0..bytes.len()).map(|at| choice / 3_usize.pow(at as u32) % 3).collect();
            let mut bits = 0;
            let mut at = 0;
            for run in modes.chunk_by(|a, b| a == b) {
                let length = run.len() as u64;
                let stretch = &bytes[at..at + run.len()];
                let is_signs = |b: &u8| b.is_ascii_digit() || b.is_ascii_uppercase() || *b == b'-';
                bits += 4 + counts[run[0]];
                bits += match run[0] {
                    0 if stretch.iter().all(u8::is_ascii_digit) => {
                        10 * (length / 3) + [0, 4, 7][(length % 3) as usize]
                    }
                    1 if stretch.iter().all(is_signs) => 11 * (length / 2) + 6 * (length % 2),
                    2 => 8 * length,
                    _ => return None,
                };
                at += run.len();
            }
            Some(bits)
        })
        .min()
        .unwrap();
    least + if text.is_ascii() { 0 } else { 12 }
}

#[test]
fn no_other_segments_need_fewer_bits() {
    let texts = [
        "7",
        "K",
        "k",
        "77",
        "7K",
        "k7",
        "777777K",
        "K777777",
        "KK7777KK",
        "kk777777",
        "k7777777k",
        "KKKKKKkk",
        "kKKKKKKk",
        "k-KKKKK-7",
        "777777777",
        "é7777777",
        "77é77",
        "kéKKKKKK",
    ];
    for text in texts {
        for class in 0..3 {
            let plan = segment_text(text, class);
            assert_eq!(plan.bits, search_least_bits(text, class), "{text} in class {class}");
            assert_eq!(measure_text(text, class, u64::MAX), (plan.bits, text.chars().count()));
        }
    }
}

/// The slash is an alphanumeric sign, so the second segment begins with it.
#[test]
fn segments_cover_the_text_and_change_mode_where_it_pays() {
    let text = "https://example.com/PARCEL-0000000000000000123";
    let plan = segment_text(text, 0);
    let expected = [
        QrSegment { mode: Mode::Byte, start: 0, end: 19 },
        QrSegment { mode: Mode::Alphanumeric, start: 19, end: 27 },
        QrSegment { mode: Mode::Numeric, start: 27, end: 46 },
    ];
    assert_eq!(plan.segments, expected);
}
