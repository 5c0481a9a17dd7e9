//! The emoji that are compiled in, packed, and unpacked when the first one is printed.
//!
//! In: nothing. Out: a face that stands in when no other has a character. `tools/emoji-font.py` makes the
//! file and says what becomes of flags, tones and joined figures.

use std::io::Read as _;

use flate2::read::ZlibDecoder;
use read_fonts::model::Blob;

use super::face::Face;

/// The packed file; `fonts/README.md` says where it is from.
const PACKED: &[u8] = include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/fonts/emoji.ttf.z"));

/// What the face is called; no layout can ask for it.
const NAME: &str = "Noto Emoji";

/// Unpacks the face, which takes 4 ms.
pub(super) fn unpack_emoji() -> Face {
    let mut data = Vec::new();
    let unpacked = ZlibDecoder::new(PACKED).read_to_end(&mut data);
    unpacked.expect("the compiled-in fonts are tested");
    Face::new(Blob::from(data), 0, NAME).expect("the compiled-in fonts are tested")
}
