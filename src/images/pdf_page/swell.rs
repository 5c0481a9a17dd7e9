//! What the streams of another PDF's page swell to when the renderer unpacks them.
//!
//! In: a stream as the renderer's own reader sees it, with its short and long names of things. Out: how
//! many bytes and pixels it has at most, or that the renderer is not to unpack it. Where a stream is
//! damaged, renderers go on as they like: then the most that its packing can hold is taken. Not here:
//! how often a picture is drawn (`toil`).

use hayro::hayro_syntax::Filter;
use hayro::hayro_syntax::object::dict::keys as key;
use hayro::hayro_syntax::object::{Array, Dict, Name, Number, Object, Stream};

use super::draw_error::DrawnToil;
use super::error::PdfImportError;
use super::filters::{Predictor, StreamFilter, undo};
use crate::limits::DRAWN_BYTES;

/// Pixels of four values are counted as one; the renderer takes a colour space of up to 32.
const VALUES: usize = 4;

/// The most values in a pixel that the renderer takes.
const MOST_VALUES: usize = 32;

/// How many colour spaces may lead from one to another; what goes on beyond may have any values.
const SPACES: usize = 4;

/// What a stream is once all that is text in its packing is undone.
enum Plain {
    /// These bytes.
    Known(Vec<u8>),
    /// Nobody knows what, but no more than so many bytes.
    AtMost(u64),
}

impl Plain {
    /// How many bytes it has, or may have.
    fn length(&self) -> u64 {
        match self {
            Plain::Known(bytes) => bytes.len() as u64,
            Plain::AtMost(length) => *length,
        }
    }

    /// The same with one filter undone, which makes no more than `most` bytes of one.
    fn undone(self, filter: StreamFilter, most: u64) -> Plain {
        let swollen = self.length().saturating_mul(most);
        match self {
            Plain::Known(bytes) => match undo(filter, &bytes) {
                Ok(plain) => Plain::Known(plain),
                Err(PdfImportError::TooLarge { .. }) => Plain::AtMost(u64::MAX),
                Err(_) => Plain::AtMost(swollen),
            },
            Plain::AtMost(_) => Plain::AtMost(swollen),
        }
    }
}

/// How many bytes a stream unpacks to at most, a row of its prediction counted in; that of a picture's own
/// packing is not undone.
pub(super) fn plain_bytes(stream: &Stream<'_>) -> u64 {
    let mut plain = Plain::Known(stream.raw_data().to_vec());
    let mut longest = plain.length();
    for filter in stream.filters() {
        // What each makes of one byte at most: RFC 1951 §3.2.5 (258 bytes of two bits), a code of nine
        // bits for a text of 4,096, a `z` for four zeros, 128 times one byte.
        plain = match filter {
            Filter::FlateDecode => plain.undone(StreamFilter::Flate(Predictor::NONE), 1_032),
            Filter::LzwDecode => plain.undone(StreamFilter::Lzw(Predictor::NONE, true), 3_641),
            Filter::Ascii85Decode => plain.undone(StreamFilter::Ascii85, 4),
            Filter::AsciiHexDecode => plain.undone(StreamFilter::AsciiHex, 1),
            Filter::RunLengthDecode => plain.undone(StreamFilter::RunLength, 128),
            _ => break,
        };
        longest = longest.max(plain.length());
        if longest > DRAWN_BYTES {
            break;
        }
    }
    longest.saturating_add(predicted_row(stream))
}

/// The bytes of the longest row that the settings of a stream's filters speak of.
fn predicted_row(stream: &Stream<'_>) -> u64 {
    let rows = settings(stream).into_iter().map(|settings| {
        let number = |name: &[u8], default| at_least_zero(&settings, name).unwrap_or(default);
        let bits = number(key::BITS_PER_COMPONENT, 8).saturating_mul(number(key::COLORS, 1));
        number(key::COLUMNS, 1).saturating_mul(bits).div_ceil(8)
    });
    rows.max().unwrap_or(0)
}

/// The settings of a stream's filters, under whatever name.
fn settings<'a>(stream: &Stream<'a>) -> Vec<Dict<'a>> {
    let mut settings = Vec::new();
    for name in [key::DP, key::DECODE_PARMS] {
        settings.extend(stream.dict().get::<Dict<'_>>(name));
        if let Some(list) = stream.dict().get::<Array<'_>>(name) {
            settings.extend(list.iter::<Object<'_>>().filter_map(Object::into_dict));
        }
    }
    settings
}

/// How many pixels a picture has by its own word, those of many values counted more than once.
///
/// # Errors
/// When it is packed in a way whose size stands nowhere outside the packing itself.
pub(super) fn picture_pixels(picture: &Stream<'_>) -> Result<u64, DrawnToil> {
    let most = |names: [&[u8]; 2]| {
        let sides = names.map(|name| at_least_zero(picture.dict(), name));
        sides.into_iter().flatten().max().unwrap_or(0)
    };
    let mut wide = most([key::W, key::WIDTH]);
    let high = most([key::H, key::HEIGHT]);
    for filter in picture.filters() {
        match filter {
            Filter::Jbig2Decode | Filter::JpxDecode => return Err(DrawnToil::Packing),
            // A fax has as many rows as the picture says, as wide as its own settings say.
            Filter::CcittFaxDecode => {
                let columns = settings(picture).into_iter();
                let columns = columns.map(|it| at_least_zero(&it, key::COLUMNS).unwrap_or(0));
                wide = wide.max(columns.max().unwrap_or(0)).max(FAX_COLUMNS);
            }
            _ => {}
        }
    }
    Ok(wide.saturating_mul(high).saturating_mul(values(picture).div_ceil(VALUES) as u64))
}

/// How wide a fax is that does not say it (ISO 32000-1 table 11).
const FAX_COLUMNS: u64 = 1_728;

/// How many values a pixel of a picture has at most, also on its way to the colours of a screen.
fn values(picture: &Stream<'_>) -> usize {
    let spaces = [key::CS, key::COLORSPACE].map(|name| picture.dict().get::<Object<'_>>(name));
    let values = spaces.into_iter().flatten().map(|space| space_values(&space, 0));
    values.max().unwrap_or(VALUES)
}

/// How many values a colour space has at most, itself or one that it leads to.
fn space_values(space: &Object<'_>, depth: usize) -> usize {
    let parts: Vec<Object<'_>> = match space {
        Object::Name(name) if is_plain_space(name) => return VALUES,
        Object::Array(parts) if depth < SPACES => parts.iter().take(4).collect(),
        // A name leads to the page's resources, and to whatever stands there.
        _ => return MOST_VALUES,
    };
    let Some(Object::Name(kind)) = parts.first() else { return MOST_VALUES };
    let leads_to =
        |index: usize| parts.get(index).map_or(MOST_VALUES, |space| space_values(space, depth + 1));
    match (kind.as_ref(), parts.get(1)) {
        (key::DEVICE_N, Some(Object::Array(names))) => {
            names.raw_iter().count().min(MOST_VALUES).max(leads_to(2))
        }
        (key::SEPARATION, _) => leads_to(2),
        (b"Indexed" | b"I", _) => leads_to(1),
        (b"ICCBased" | b"CalGray" | b"CalRGB" | b"Lab", _) => VALUES,
        _ if is_plain_space(kind) => VALUES,
        _ => MOST_VALUES,
    }
}

/// Whether a name is that of a colour space of a device, in long or short.
fn is_plain_space(name: &Name<'_>) -> bool {
    let plain: [&[u8]; 6] = [b"DeviceGray", b"DeviceRGB", b"DeviceCMYK", b"G", b"RGB", b"CMYK"];
    plain.contains(&name.as_ref())
}

/// A number that is taken for a count; nothing below zero.
fn at_least_zero(dict: &Dict<'_>, name: &[u8]) -> Option<u64> {
    // A number that is no count, or too large for one, is cut by this as it is by the renderer, or more.
    dict.get::<Number>(name).map(|number| number.as_f64().max(0.0) as u64)
}
