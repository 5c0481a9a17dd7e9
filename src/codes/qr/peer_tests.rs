//! The inner workings of the QR encoder against the qrcode crate.

use qrcode::bits::Bits;
use qrcode::canvas::Canvas;
use qrcode::ec::construct_codewords;
use qrcode::{EcLevel, Version};

use super::segment::{Mode, QrSegment, segment_text, write_codewords};
use super::tables::block_plan;
use super::tests::score_patterns;
use super::{Ecc, Qr, QrOptions};

/// A level of ours in the qrcode crate.
fn peer_level(ecc: Ecc) -> EcLevel {
    match ecc {
        Ecc::L => EcLevel::L,
        Ecc::M => EcLevel::M,
        Ecc::Q => EcLevel::Q,
        Ecc::H => EcLevel::H,
    }
}

/// The data codewords that the qrcode crate writes for the same segments.
fn write_with_peer(text: &str, segments: &[QrSegment], version: u8, ecc: Ecc) -> Vec<u8> {
    let mut bits = Bits::new(Version::Normal(i16::from(version)));
    if !text.is_ascii() {
        bits.push_eci_designator(26).unwrap();
    }
    for segment in segments {
        let bytes = &text.as_bytes()[segment.start..segment.end];
        match segment.mode {
            Mode::Numeric => bits.push_numeric_data(bytes),
            Mode::Alphanumeric => bits.push_alphanumeric_data(bytes),
            Mode::Byte => bits.push_byte_data(bytes),
        }
        .unwrap();
    }
    bits.push_terminator(peer_level(ecc)).unwrap();
    bits.into_bytes()
}

#[test]
fn mixed_segments_become_the_codewords_of_the_qrcode_crate() {
    let texts = [
        "https://example.com/PARCEL-0000000000000000123",
        "Füllhalter 0123456789 ÜBERHOLT-UND-GEPRÜFT",
        "TERN-HOLLOW/0123456789012 pens",
        "日本語 0123456789",
    ];
    for text in texts {
        for (class, version) in [5, 20, 35].into_iter().enumerate() {
            for ecc in Ecc::ALL {
                let plan = segment_text(text, class);
                let ours = write_codewords(text, &plan, block_plan(version, ecc).data());
                let theirs = write_with_peer(text, &plan.segments, version, ecc);
                assert_eq!(ours, theirs, "{text} in {version}-{ecc}");
            }
        }
    }
}

/// The mask that the qrcode crate chooses, as a number.
fn choose_mask_with_peer(text: &str, version: u8, ecc: Ecc) -> u8 {
    let (peer_version, level) = (Version::Normal(i16::from(version)), peer_level(ecc));
    let segments = segment_text(text, 0).segments;
    let data = write_with_peer(text, &segments, version, ecc);
    let (data, correction) = construct_codewords(&data, peer_version, level).unwrap();
    let mut canvas = Canvas::new(peer_version, level);
    canvas.draw_all_functional_patterns();
    canvas.draw_data(&data, &correction);
    let colors = canvas.apply_best_mask().into_colors();
    let is_same = |mask: &u8| {
        let qr = draw_ours(text, version, ecc, *mask);
        let places =
            (0..qr.size() * qr.size()).map(|at| qr.grid().get(at % qr.size(), at / qr.size()));
        places.zip(&colors).all(|(dark, color)| dark == (*color == qrcode::Color::Dark))
    };
    (0..8).find(is_same).expect("one of our eight matrices is the other crate's")
}

/// A symbol of ours with exactly these properties.
fn draw_ours(text: &str, version: u8, ecc: Ecc, mask: u8) -> Qr {
    let (smallest, largest, mask) = (version, version, Some(mask));
    Qr::encode(text, &QrOptions { ecc, boost: false, smallest, largest, mask }).unwrap()
}

/// The qrcode crate takes a point for each half per cent by which the dark modules differ from
/// half, where ISO/IEC 18004:2015 §7.8.3.1 Table 11 takes ten points for each full 5 %. That is
/// the whole difference between the two choices: with the crate's rule put in place of the
/// standard's, our penalties choose the crate's mask every time.
#[test]
fn masks_differ_from_the_qrcode_crates_by_its_rule_of_balance_only() {
    for number in 0..60_u8 {
        let text = format!("tern hollow parcel {number}");
        let (version, ecc) = (2 + number % 5, Ecc::L);
        let penalty = |mask: &u8| {
            let qr = draw_ours(&text, version, ecc, *mask);
            let size = qr.size();
            let dark = (0..size * size).filter(|at| qr.grid().get(at % size, at / size)).count();
            let balance = (dark * 200 / (size * size)).abs_diff(100) as u32;
            score_patterns(|x, y| qr.grid().get(x, y), size) + balance
        };
        let chosen = (0..8).min_by_key(penalty).unwrap();
        assert_eq!(chosen, choose_mask_with_peer(&text, version, ecc), "{text} in {version}");
    }
}
