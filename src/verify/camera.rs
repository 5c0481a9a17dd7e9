//! The square codes in a camera's picture.
//!
//! In: a grey picture as a camera gives it, with papers held up at any turn and tilt. Out: the text of
//! every QR code that the decoder finds (rxing, which is not ours), with its corners. A camera's picture
//! is nothing to trust: it is bounded ([`CAMERA_PIXELS`]), and a decoder that panics over it has read
//! nothing. Not here: getting pictures, and what a text means. Bars are not looked for: turned by more
//! than some ten degrees they are never read, and the square beside them says the same.

mod views;

use rxing::common::HybridBinarizer;
use rxing::multi::MultipleBarcodeReader as _;
use rxing::qrcode::cpp_port::QrReader;
use rxing::qrcode::cpp_port::detector::FindFinderPatterns;
use rxing::{BarcodeFormat, Binarizer as _, BinaryBitmap, Luma8Source, Point, RXingResult};

use super::reader::{guard, hints};
use crate::images::GrayImage;
use crate::limits::CAMERA_PIXELS;

use views::{PictureView, VIEWS};

/// Codes that are enough: a label and its card.
const ENOUGH: usize = 2;

/// The most corner squares of codes, true or mistaken, in a picture that is read. Every three of them may be
/// a code, and a picture full of them would be tried for a minute. Ours: a label and its card have six, and ten
/// pairs of them sixty.
const MOST_CORNERS: usize = 64;

/// A code that a camera sees.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenCode {
    /// What it says, be it ours or not.
    pub text: String,
    /// Its corners in pixels from the top left of the picture, one after another round it, as far as the
    /// decoder tells them.
    pub corners: Vec<[f64; 2]>,
}

/// The QR codes in a picture, each text once; none in a picture that is larger than [`CAMERA_PIXELS`] or
/// has not the pixels that it says.
///
/// The picture is looked at as it is, and then in other ways until two codes are found or there are no
/// more ways.
#[must_use]
pub fn read_picture(picture: &GrayImage) -> Vec<SeenCode> {
    let pixels = u64::from(picture.width) * u64::from(picture.height);
    let mut seen: Vec<SeenCode> = Vec::new();
    if pixels == 0 || pixels > CAMERA_PIXELS || pixels != picture.pixels.len() as u64 {
        return seen;
    }
    for way in VIEWS {
        let view = PictureView::of(picture, way);
        for code in read_view(&view) {
            if seen.iter().all(|known| known.text != code.text) {
                seen.push(code);
            }
        }
        if seen.len() >= ENOUGH {
            break;
        }
    }
    seen
}

/// What the decoder finds when the picture is looked at in one way.
fn read_view(view: &PictureView<'_>) -> Vec<SeenCode> {
    let found = guard(|| {
        let light = Luma8Source::new_with_slice(view.pixels(), view.width(), view.height()).ok()?;
        let dots = HybridBinarizer::new(light);
        let corners = FindFinderPatterns(dots.get_black_matrix().ok()?, true, 0);
        if corners.len() > MOST_CORNERS {
            return None;
        }
        let mut image = BinaryBitmap::new(dots);
        QrReader.decode_multiple_with_hints(&mut image, &hints(BarcodeFormat::QR_CODE)).ok()
    });
    let seen = |read: &RXingResult| {
        let place = |point: &Point| view.to_picture([f64::from(point.x), f64::from(point.y)]);
        let corners = read.getPoints().iter().map(place).collect();
        SeenCode { text: read.getText().to_owned(), corners: go_round(corners) }
    };
    found.iter().flatten().map(seen).collect()
}

/// Four corners one after another round their code: the decoder names them across it.
fn go_round(corners: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    let [a, b, c, d] = corners[..] else { return corners };
    let is_round = |order: &[[f64; 2]; 4]| {
        let [a, b, c, d] = *order;
        let turns = [turn_at(a, b, c), turn_at(b, c, d), turn_at(c, d, a), turn_at(d, a, b)];
        turns.iter().all(|turn| *turn > 0.0) || turns.iter().all(|turn| *turn < 0.0)
    };
    let orders = [[a, b, c, d], [a, c, b, d], [a, b, d, c]];
    orders.into_iter().find(is_round).map_or(corners, Vec::from)
}

/// Which way a line that goes by three places turns at the second, by its sign.
fn turn_at(from: [f64; 2], at: [f64; 2], to: [f64; 2]) -> f64 {
    (at[0] - from[0]) * (to[1] - at[1]) - (at[1] - from[1]) * (to[0] - at[0])
}
