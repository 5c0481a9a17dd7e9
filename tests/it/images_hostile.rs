//! Broken and spiteful files: each must end in an error, none in a panic or a hang.

use slipwright::images::{self, ImageError, Picture};
use slipwright::limits::SVG_BYTES;

use crate::images_support::file;

/// The error of a file that must be refused.
fn refused(bytes: &[u8]) -> ImageError {
    match images::decode(bytes) {
        Err(error) => {
            let said = format!("{error}{}", error.hint());
            assert!(!said.is_empty() && !said.contains("panic"));
            error
        }
        Ok(_) => panic!("a file of {} bytes was taken", bytes.len()),
    }
}

/// A 1-bit PNG file of white pixels, by the `png` encoder.
fn white_png(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::One);
    let rows = vec![0xff; width.div_ceil(8) as usize * height as usize];
    encoder.write_header().unwrap().write_image_data(&rows).unwrap();
    bytes
}

/// The PNG file with another size in its header, the checksum mended.
fn resized_png(mut bytes: Vec<u8>, width: u32, height: u32) -> Vec<u8> {
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    let sum = !bytes[12..29].iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| (crc >> 1) ^ (0xedb8_8320 * (crc & 1)))
    });
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    bytes
}

/// An SVG file around some elements.
fn svg(inner: &str) -> Vec<u8> {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9\" height=\"9\">{inner}</svg>")
        .into()
}

#[test]
fn files_cut_off_at_any_byte() {
    let drawing = svg("<g transform='scale(2)'><path d='M0 0L3 3L0 3z' fill='#111'/></g>");
    let mut files = vec![drawing];
    for name in [
        "colour.png",
        "gray.jpg",
        "colour-420.jpg",
        "progressive.jpg",
        "restarts.jpg",
        "inks-adobe.jpg",
        "turned-6.jpg",
    ] {
        files.push(file(name));
    }
    for bytes in files {
        assert!(images::decode(&bytes).is_ok());
        for end in 0..bytes.len() {
            refused(&bytes[..end]);
        }
    }
}

#[test]
fn files_with_any_byte_changed() {
    for name in [
        "colour.png",
        "gray.jpg",
        "colour-420.jpg",
        "progressive.jpg",
        "restarts.jpg",
        "inks-ycck.jpg",
        "turned-6.jpg",
    ] {
        let whole = file(name);
        for at in 0..whole.len() {
            for flip in [0x01, 0x80, 0xff] {
                let mut bytes = whole.clone();
                bytes[at] ^= flip;
                // Many a changed sample is as good as another; only panics and hangs count.
                let _ = images::decode(&bytes);
            }
        }
    }
    let text = svg(
        "<style>.a{fill:red}</style><g transform='scale(2)'><path class='a' d='M0 0L3 3L0 3z'/></g>",
    );
    for at in 0..text.len() {
        for other in [b'<', b'&', b'"', b'{', b'-', 0xff] {
            let mut bytes = text.clone();
            bytes[at] = other;
            let _ = images::decode(&bytes);
        }
    }
}

#[test]
fn png_of_absurd_size() {
    for (width, height) in [(u32::MAX >> 1, u32::MAX >> 1), (100_000, 100_000), (40_000_001, 1)] {
        let error = refused(&resized_png(white_png(8, 8), width, height));
        assert_eq!(error, ImageError::TooManyPixels { width, height });
    }
    refused(&resized_png(white_png(8, 8), 0, 8));
    // More rows announced than there are.
    refused(&resized_png(white_png(8, 8), 8, 4_000_000));
}

#[test]
fn png_that_unpacks_to_far_more_than_its_pixels() {
    let bytes = white_png(38_000, 40_000 / 38);
    assert!(matches!(images::decode(&bytes), Ok(Picture::Raster(_))));
    let bomb = resized_png(white_png(32_000, 32_000), 1, 1);
    assert!(bomb.len() < 1 << 20);
    // What follows the picture is passed over or complained about; either way it ends.
    let _ = images::decode(&bomb);
}

#[test]
fn jpeg_of_absurd_size() {
    let mut bytes = file("gray.jpg");
    let frame = bytes.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    bytes[frame + 5..frame + 9].copy_from_slice(&[0xff; 4]);
    let error = refused(&bytes);
    assert_eq!(error, ImageError::TooManyPixels { width: 65_535, height: 65_535 });
    // Pixels that the file does not hold.
    bytes[frame + 5..frame + 9].copy_from_slice(&[0x10, 0, 0x10, 0]);
    refused(&bytes);
    bytes[frame + 5..frame + 9].copy_from_slice(&[0, 0, 0x10, 0]);
    refused(&bytes);
}

#[test]
fn jpeg_of_kinds_that_are_not_read() {
    let whole = file("gray.jpg");
    let frame = whole.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    for (marker, words) in [(0xc3, "lossless"), (0xc5, "hierarchical"), (0xc9, "arithmetic")] {
        let mut bytes = whole.clone();
        bytes[frame + 1] = marker;
        assert!(refused(&bytes).to_string().contains(words));
    }
    let mut bytes = whole.clone();
    bytes[frame + 4] = 12;
    assert!(refused(&bytes).to_string().contains("more than 8 bits"));
}

#[test]
fn svg_nested_without_end() {
    for depth in [70, 1_000, 100_000] {
        let text = svg(&format!("{}{}", "<g>".repeat(depth), "</g>".repeat(depth)));
        assert!(matches!(refused(&text), ImageError::TooComplex { .. }), "{depth}");
    }
    let deep = svg(&format!("{}<path d='M0 0h9v9z'/>{}", "<g>".repeat(60), "</g>".repeat(60)));
    assert!(images::decode(&deep).is_ok());
}

#[test]
fn svg_that_repeats_itself() {
    let mut inner = String::from("<g id='n0'><path d='M0 0h1v1z'/></g>");
    for level in 1..30 {
        let below = level - 1;
        inner += &format!("<g id='n{level}'>{}</g>", format!("<use href='#n{below}'/>").repeat(10));
    }
    assert!(matches!(refused(&svg(&inner)), ImageError::TooComplex { .. }));
    refused(&svg("<g id='a'><use href='#a'/></g>"));
    refused(&svg("<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g>"));
    let chain: String =
        (1..200).map(|n| format!("<g id='c{n}'><use href='#c{}'/></g>", n - 1)).collect();
    refused(&svg(&format!("<g id='c0'/>{chain}")));
}

#[test]
fn xml_that_unpacks_without_end() {
    let mut text = String::from("<!DOCTYPE svg [<!ENTITY e0 'aaaaaaaaaa'>");
    for level in 1..12 {
        let below = format!("&e{};", level - 1).repeat(10);
        text += &format!("<!ENTITY e{level} '{below}'>");
    }
    text +=
        "]><svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><desc>&e11;</desc></svg>";
    refused(text.as_bytes());
    refused(&vec![b'<'; SVG_BYTES + 1]);
    refused(&vec![b'<'; 100_000]);
}

#[test]
fn svg_of_too_many_parts() {
    assert!(matches!(
        refused(&svg(&"<rect width='1' height='1'/>".repeat(30_000))),
        ImageError::TooComplex { what: "elements", .. }
    ));
    assert!(matches!(
        refused(&svg(&"<!-- x -->".repeat(250_000))),
        ImageError::TooComplex { what: "XML nodes", .. }
    ));
    let attributes: String = (0..200_000).map(|n| format!(" a{n}=''")).collect();
    assert!(matches!(
        refused(&svg(&format!("<g{attributes}/>"))),
        ImageError::TooComplex { what: "attributes in one element", .. }
    ));
    let rules = format!("<style>{}</style>", "a{fill:red}".repeat(20_000));
    assert!(matches!(refused(&svg(&rules)), ImageError::TooComplex { what: "style rules", .. }));
    let curves = format!("<path d='M0 0{}z'/>", "c1e5 9e5-1e6 9e5 0 1".repeat(20_000));
    assert!(matches!(refused(&svg(&curves)), ImageError::TooComplex { what: "segments", .. }));
    let path = format!("<path d='M0 0{}z'/>", "l1 1-1 2".repeat(250_000));
    assert!(matches!(refused(&svg(&path)), ImageError::TooComplex { what: "segments", .. }));
    let dashes = "<path d='M0 0H9' stroke='red' stroke-dasharray='0.000001'/>";
    assert!(matches!(refused(&svg(dashes)), ImageError::TooComplex { what: "segments", .. }));
    let dashes = "<path d='M0 0H9' stroke='red' stroke-dasharray='0.00001'/>".repeat(50);
    assert!(matches!(refused(&svg(&dashes)), ImageError::TooComplex { what: "segments", .. }));
}

#[test]
fn svg_of_absurd_numbers() {
    for size in ["0", "-5", "1e30", "1e-30", "NaN", "9999999999", "100000m"] {
        let text = format!("<svg xmlns='http://www.w3.org/2000/svg' width='{size}' height='9'/>");
        refused(text.as_bytes());
    }
    for inner in [
        "<path d='M0 0L1e38 1e38L0 9z'/>",
        "<path d='M0 0L1e300 1L0 9z'/>",
        "<path d='M0 0a5 4 30 0 1 31e30 3' stroke='red'/>",
        "<path d='M0 0A1e30 1e-30 9 1 1 9 9'/>",
        "<rect width='1e38' height='1e38' transform='scale(1e20)'/>",
        "<g transform='scale(1e4)'><g transform='scale(1e4)'><circle r='2'/></g></g>",
        "<g transform='rotate(30) scale(1e31)'><path d='M0 0q3 0 3 3' stroke='red'/></g>",
        "<circle r='1e20' stroke='red' stroke-width='1e20'/>",
        "<path d='M0 0H9' stroke='red' stroke-width='1e20'/>",
        "<svg viewBox='0 0 1e-30 1e30'><rect width='5' height='5'/></svg>",
    ] {
        let said = refused(&svg(inner)).to_string();
        assert!(said.contains("far too large") || said.contains("cannot be read"), "{said}");
    }
    for inner in [
        "<rect width='5' height='5' transform='scale(1e-30)'/>",
        "<rect width='5' height='5' transform='matrix(0 0 0 0 0 0)'/>",
        "<path d='M0 0H9' stroke='red' stroke-width='1e-30'/>",
        "<rect width='5' height='5' stroke='red' stroke-dasharray='1e-38 1e38'/>",
        "<rect width='5' height='5' stroke='red' stroke-dasharray='1e-30'/>",
    ] {
        // Nothing to see or an error, but an end.
        let _ = images::decode(&svg(inner));
    }
}

#[test]
fn svg_at_the_limits_of_what_is_taken() {
    let stroke = "stroke='red' stroke-linejoin='round' stroke-width='3'";
    let path = format!("<path d='M0 0q3 0 3 3c1 9 9 1 9 9z' {stroke}/>");
    for transform in ["scale(5e5)", "rotate(30) scale(5e5 1)", "scale(1e-6)", "skewX(89.9)"] {
        images::decode(&svg(&format!("<g transform='{transform}'>{path}</g>"))).unwrap();
    }
    let sharp = "<path d='M0 0L9 0L0 0.0001' stroke='red' stroke-miterlimit='1e6'/>";
    images::decode(&svg(sharp)).unwrap();
}

#[test]
fn noise_after_a_signature() {
    let mut state = 1_u32;
    for start in [&b"\x89PNG\r\n\x1a\n"[..], b"\xff\xd8\xff\xe0", b"\xff\xd8\xff\xc0", b"<svg "] {
        for length in [1, 10, 100, 1000, 10_000] {
            let mut bytes = start.to_vec();
            bytes.extend((0..length).map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 24) as u8
            }));
            refused(&bytes);
        }
    }
}
