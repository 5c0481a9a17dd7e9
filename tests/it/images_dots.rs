//! Resampling and dithering: whole-number sums reckoned beside the engine.

use slipwright::images::{BitImage, GrayImage, dither, resample};

/// Pixels of no pattern.
fn noise(width: u32, height: u32) -> GrayImage {
    let mut state = 7_u32;
    let pixels = (0..width * height)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        })
        .collect();
    GrayImage { width, height, pixels }
}

/// A picture of one grey.
fn flat(width: u32, height: u32, gray: u8) -> GrayImage {
    GrayImage { width, height, pixels: vec![gray; (width * height) as usize] }
}

/// A horizontal ramp from black to white.
fn ramp(width: u32, height: u32) -> GrayImage {
    let row: Vec<u8> = (0..width).map(|x| (x * 255 / (width - 1)) as u8).collect();
    GrayImage { width, height, pixels: row.repeat(height as usize) }
}

/// How many pixels are black.
fn black(bits: &BitImage) -> usize {
    (0..bits.height).map(|y| (0..bits.width).filter(|x| bits.get(*x, y)).count()).sum()
}

/// The mean over the covered area, reckoned on the finest common grid.
fn mean_by_common_grid(image: &GrayImage, width: u32, height: u32) -> Vec<u8> {
    let (w, h) = (image.width, image.height);
    let mut pixels = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let mut sum = 0_u64;
            for row in y * h..(y + 1) * h {
                for column in x * w..(x + 1) * w {
                    let at = row / height * w + column / width;
                    sum += u64::from(image.pixels[at as usize]);
                }
            }
            let cells = u64::from(w) * u64::from(h);
            pixels.push(((sum + cells / 2) / cells) as u8);
        }
    }
    pixels
}

#[test]
fn each_new_pixel_is_the_mean_of_what_it_covers() {
    let image = noise(12, 10);
    for (width, height) in [(6, 5), (5, 7), (1, 1), (12, 10), (12, 3), (24, 20), (17, 23), (1, 40)]
    {
        let small = resample(&image, width, height);
        assert_eq!((small.width, small.height), (width, height));
        assert_eq!(small.pixels, mean_by_common_grid(&image, width, height), "{width} × {height}");
    }
}

#[test]
fn a_size_of_nothing_counts_as_one() {
    let small = resample(&noise(4, 4), 0, 0);
    assert_eq!((small.width, small.height, small.pixels.len()), (1, 1, 1));
}

#[test]
fn a_large_picture_keeps_its_mean() {
    let small = resample(&flat(6000, 4000, 201), 331, 7);
    assert!(small.pixels.iter().all(|gray| *gray == 201));
}

#[test]
fn bits_are_packed_from_the_left() {
    let mut image = flat(10, 2, 255);
    image.pixels[0] = 0;
    image.pixels[9] = 0;
    image.pixels[11] = 0;
    let bits = dither(&image);
    assert_eq!((bits.stride, bits.rows.as_slice()), (2, &[0x80, 0x40, 0x40, 0][..]));
    assert!(bits.get(0, 0) && bits.get(9, 0) && bits.get(1, 1) && !bits.get(1, 0));
    assert!(!bits.get(10, 0) && !bits.get(0, 2));
}

#[test]
fn dithering_keeps_the_mean_grey() {
    for gray in [0, 20, 77, 128, 200, 240, 255] {
        let image = flat(120, 100, gray);
        // The flat picture of a near black or near white grey is line art; a ramp beside it is not.
        let mut pixels = Vec::new();
        let side = ramp(120, 100);
        for (left, right) in image.pixels.chunks(120).zip(side.pixels.chunks(120)) {
            pixels.extend_from_slice(left);
            pixels.extend_from_slice(right);
        }
        let both = GrayImage { width: 240, height: 100, pixels };
        let bits = dither(&both);
        let expected: f64 = both.pixels.iter().map(|g| 1.0 - f64::from(*g) / 255.0).sum();
        let found = black(&bits) as f64;
        // What is left over at the edges: far under a pixel for each pixel of the border.
        assert!((found - expected).abs() < 120.0, "{gray}: {found}, not {expected}");
    }
}

#[test]
fn dithering_follows_a_ramp() {
    let bits = dither(&ramp(256, 64));
    for part in 0..8_u32 {
        let columns = part * 32..part * 32 + 32;
        let found = columns.flat_map(|x| (0..64).map(move |y| (x, y)));
        let found = found.filter(|(x, y)| bits.get(*x, *y)).count() as f64 / 2048.0;
        let expected = 1.0 - (f64::from(part) * 32.0 + 15.5) / 255.0;
        assert!((found - expected).abs() < 0.03, "part {part}: {found}, not {expected}");
    }
}

#[test]
fn line_art_is_cut_at_half_grey() {
    // A slanted black bar with smoothed edges.
    let (width, height) = (64, 64);
    let mut image = flat(width, height, 255);
    for y in 0..height {
        for x in 0..width {
            let away = (f64::from(x) - 20.0 - f64::from(y) * 0.3) / 12.0;
            let cover = ((0.5 - (away - 0.5).abs()) * 12.0 + 0.5).clamp(0.0, 1.0);
            image.pixels[(y * width + x) as usize] = (255.0 * (1.0 - cover)).round() as u8;
        }
    }
    let bits = dither(&image);
    for (at, gray) in image.pixels.iter().enumerate() {
        let (x, y) = (at as u32 % width, at as u32 / width);
        assert_eq!(bits.get(x, y), *gray < 128, "{x}, {y}");
    }
}

#[test]
fn a_small_photograph_on_a_white_ground_is_still_one() {
    let mut image = flat(400, 400, 255);
    for y in 0..40 {
        for x in 0..40 {
            image.pixels[y * 400 + x] = 60 + 3 * x as u8;
        }
    }
    let bits = dither(&image);
    let middle = (10..30).flat_map(|y| (10..22).map(move |x| (x, y)));
    let marks = middle.clone().filter(|(x, y)| bits.get(*x, *y)).count();
    assert!(marks > 100 && marks < middle.count(), "{marks}");
}

#[test]
fn single_lines_and_dots_of_pixels() {
    for (width, height) in [(1, 1), (1, 9), (9, 1), (8, 1), (17, 3)] {
        let image = noise(width, height);
        assert_eq!(dither(&image), dither(&image));
        assert_eq!(resample(&image, 3, 3).pixels.len(), 9);
    }
}
