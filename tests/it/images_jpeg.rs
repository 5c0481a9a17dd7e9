//! JPEG files against libjpeg-turbo's decoder, as Pillow carries it: see `tests/images/make.py`.

use crate::images_support::{difference, file, pgm, raster};

/// Compares a file with its expectation; `tolerance` is in greys of 255.
fn check(name: &str, tolerance: u8) {
    let image = raster(&file(&format!("{name}.jpg"))).unwrap_or_else(|e| panic!("{name}: {e}"));
    let found = difference(&image, &pgm(&format!("{name}.pgm")));
    assert!(found <= tolerance, "{name}: {found} greys off, {tolerance} allowed");
}

/// The allowed difference: both decoders may round the inverse cosine transform and the colour
/// conversion each their way; measured is 1.
const TOLERANCE: u8 = 2;

#[test]
fn grey_and_colour_at_every_subsampling() {
    for name in ["gray", "colour-444", "colour-422", "colour-420", "restarts"] {
        check(name, TOLERANCE);
    }
}

#[test]
fn progressive_files() {
    check("gray-progressive", TOLERANCE);
    check("progressive", TOLERANCE);
}

#[test]
fn red_green_and_blue_stored_as_they_are() {
    check("rgb-adobe", TOLERANCE);
    check("rgb-by-names", TOLERANCE);
}

#[test]
fn printing_inks() {
    check("inks-adobe", TOLERANCE);
    check("inks-ycck", TOLERANCE);
    check("inks-plain", TOLERANCE);
}

#[test]
fn exif_orientation_turns_the_picture_upright() {
    for turn in 1..=8 {
        check(&format!("turned-{turn}"), TOLERANCE);
    }
}
