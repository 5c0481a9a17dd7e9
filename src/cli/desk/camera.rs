//! What a camera on the bench sees.
//!
//! In: a picture that the Match page sends, a byte a pixel, grey. Out: the codes in it with their corners.
//! The picture is looked at on this machine, and is not kept. Not here: reading codes (`verify`), and what
//! they mean (`slipwright ledger match`).

use std::sync::Mutex;
use std::thread;

use serde_json::{Value, json};

use crate::desk::{HttpAnswer, HttpRequest};
use crate::images::GrayImage;
use crate::limits::CAMERA_PIXELS;
use crate::verify::{SeenCode, read_picture};

/// Where pictures are sent, with their width as the query's `width`.
pub(super) const FRAME: &str = "/match/frame";

/// The most bytes of a picture.
pub(super) const FRAME_BYTES: usize = CAMERA_PIXELS as usize;

/// The stack of the thread that looks: a decoder takes more than a connection's thread has.
const STACK: usize = 8 << 20;

/// What looks at pictures, one at a time: a page that sends more than can be looked at would keep every
/// core from the other pages.
#[derive(Debug, Default)]
pub(super) struct BenchCamera {
    /// Held while a picture is looked at.
    looking: Mutex<()>,
}

impl BenchCamera {
    /// The codes in the picture of a request.
    pub(super) fn look(&self, request: &HttpRequest) -> HttpAnswer {
        let Some(picture) = read_frame(request) else {
            return HttpAnswer::words(
                400,
                "a picture is a byte a pixel, of the width that is said",
            );
        };
        let Ok(_one) = self.looking.try_lock() else {
            return HttpAnswer::words(503, "another picture is being looked at");
        };
        let seen = thread::scope(|scope| {
            let builder = thread::Builder::new().stack_size(STACK);
            builder.spawn_scoped(scope, || read_picture(&picture)).ok()?.join().ok()
        });
        let codes: Vec<Value> = seen.iter().flatten().map(tell_code).collect();
        HttpAnswer::json(&json!({ "codes": codes }))
    }
}

/// A code for a page.
fn tell_code(code: &SeenCode) -> Value {
    json!({"text": code.text, "corners": code.corners})
}

/// The picture of a request; none when its bytes are no whole rows of the width that it says.
fn read_frame(request: &HttpRequest) -> Option<GrayImage> {
    let width: u32 = request.query("width")?.parse().ok().filter(|&width| width > 0)?;
    let rows = u32::try_from(request.body.len()).ok()?;
    let height = (rows % width == 0).then_some(rows / width).filter(|&height| height > 0)?;
    Some(GrayImage { width, height, pixels: request.body.clone() })
}
