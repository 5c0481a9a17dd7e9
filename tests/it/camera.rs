//! What a camera sees of labels and bench cards: their square codes read back at turns and tilts that a
//! hand holds them at, and nothing is read that is not there.

use slipwright::export::Bitmap;
use slipwright::images::GrayImage;
use slipwright::limits::CAMERA_PIXELS;
use slipwright::verify::{print_page, read_picture};
use slipwright::{DotGrid, FontBook};

use crate::camera_support::{Exposure, HeldPaper, take_picture};
use crate::sample_pages::sample_pages;

/// A picture that is blurred by four fifths of a pixel (standard deviation), in light that comes from one side, with noise.
const USUAL: Exposure = Exposure { blur: 0.25, shade: 0.5, noise: 8 };

/// The first page of a layout as it is printed.
fn printed(layout: &str) -> Bitmap {
    let pages = sample_pages(layout, DotGrid::DPI_203);
    print_page(&pages[0], &FontBook::builtin(), 0)
}

/// A paper straight before the camera.
fn hold(dots: &Bitmap, middle: [f64; 2], distance: f64) -> HeldPaper<'_> {
    HeldPaper { dots, per_mm: 8.0, middle, distance, turn: 0.0, tilt: 0.0, aside: 0.0 }
}

/// What is read in a picture, sides alone: `C`ard and `L`abel.
fn read_sides(papers: &[HeldPaper<'_>], exposure: Exposure) -> String {
    let seen = read_picture(&take_picture(papers, exposure));
    let mut sides: Vec<&str> = seen
        .iter()
        .map(|code| code.text.strip_prefix("SW/").and_then(|rest| rest.get(..1)))
        .map(|side| side.expect("only our own codes are on our papers"))
        .collect();
    sides.sort_unstable();
    sides.concat()
}

/// At this distance a camera of 720 rows has two pixels for a module.
#[test]
fn a_label_and_its_card_are_read_in_one_picture() {
    let (label, card) = (printed("label-4x6in"), printed("bench-card"));
    for (turn, tilt, aside) in [(0.0, 0.0, 0.0), (25.0, 0.0, 20.0), (180.0, 30.0, 0.0)] {
        // Held in one hand, so that both turn about the middle of the picture.
        let (sin, cos) = f64::to_radians(turn).sin_cos();
        let held =
            |dots, x| HeldPaper { turn, tilt, aside, ..hold(dots, [x * cos, x * sin], 350.0) };
        let papers = [held(&label, -52.0), held(&card, 52.0)];
        assert_eq!(read_sides(&papers, USUAL), "CL", "turned {turn}, tilted {tilt} and {aside}");
    }
}

#[test]
fn a_card_is_read_at_every_turn() {
    let card = printed("bench-card");
    for (turn, distance, exposure) in [
        (45.0, 250.0, USUAL),
        (100.0, 300.0, USUAL),
        (225.0, 350.0, USUAL),
        (10.0, 120.0, Exposure { blur: 1.0, shade: 0.0, noise: 4 }),
    ] {
        let paper = HeldPaper { turn, ..hold(&card, [0.0, 0.0], distance) };
        assert_eq!(read_sides(&[paper], exposure), "C", "turned {turn} at {distance} mm");
    }
}

#[test]
fn corners_lie_where_the_code_is() {
    let card = printed("bench-card");
    let picture = take_picture(&[hold(&card, [0.0, 0.0], 300.0)], USUAL);
    let seen = read_picture(&picture);
    let [code] = &seen[..] else { panic!("{seen:?}") };
    assert_eq!(code.corners.len(), 4);
    for [x, y] in &code.corners {
        // The card's code is in its upper right quarter.
        assert!((640.0..1280.0).contains(x) && (0.0..360.0).contains(y), "{:?}", code.corners);
    }
    // One after another round it: every turn goes the same way.
    let turn = |at: usize| {
        let [from, here, to] = [0, 1, 2].map(|step| code.corners[(at + step) % 4]);
        (here[0] - from[0]) * (to[1] - here[1]) - (here[1] - from[1]) * (to[0] - here[0])
    };
    let turns = [0, 1, 2, 3].map(turn);
    let first = turns[0];
    assert!(turns.iter().all(|turn| turn * first > 0.0), "{:?}", code.corners);
}

#[test]
fn nothing_is_read_in_what_holds_no_code() {
    let mut seed = 1_u32;
    let noise = std::iter::repeat_with(|| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 24) as u8
    });
    let pixels: Vec<u8> = noise.take(320 * 240).collect();
    assert_eq!(read_picture(&GrayImage { width: 320, height: 240, pixels }), []);
    for (width, height) in [(0, 0), (1, 1), (1, 400), (400, 1), (3, 3), (41, 40)] {
        let pixels = vec![0; width as usize * height as usize];
        assert_eq!(read_picture(&GrayImage { width, height, pixels }), [], "{width} × {height}");
    }
}

/// Every three corner squares may be a code: without a bound this takes a minute of a fast build.
#[test]
fn a_picture_full_of_corners_of_codes_is_soon_given_up() {
    let ink = |x: u32, y: u32| {
        let (x, y) = (x % 9, y % 9);
        let ring = x.abs_diff(3).max(y.abs_diff(3));
        if x > 6 || y > 6 || ring == 2 { 255 } else { 0 }
    };
    let (width, height) = (1280, 720);
    let pixels = (0..width * height).map(|at| ink(at % width, at / width)).collect();
    let began = std::time::Instant::now();
    assert_eq!(read_picture(&GrayImage { width, height, pixels }), []);
    assert!(began.elapsed() < std::time::Duration::from_secs(30), "{:?}", began.elapsed());
}

#[test]
fn a_picture_that_is_too_large_or_not_whole_is_not_looked_at() {
    let side = 1500;
    assert!(u64::from(side * side) > CAMERA_PIXELS);
    let pixels = vec![255; (side * side) as usize];
    assert_eq!(read_picture(&GrayImage { width: side, height: side, pixels }), []);
    assert_eq!(read_picture(&GrayImage { width: 9, height: 9, pixels: vec![0; 80] }), []);
}
