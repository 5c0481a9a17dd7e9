//! SVG files to filled outlines.
//!
//! In: the text of an SVG file. Out: a [`Drawing`]: every visible shape and stroke as a filled
//! outline, black or white. The steps: look through the file for whatever would take too long
//! (`measure`), could not be shown or would be left out without a word (`check`, `property`), let
//! usvg resolve styles, references and units, then trace what it found (`trace`, with `contours`
//! and `stroke`) and cut off what lies outside (`clip`).
//! Not here: text, pictures inside the drawing, colour gradients, transparency; each is an error.

mod check;
mod clip;
mod contours;
mod element;
mod measure;
mod property;
mod stroke;
mod trace;

use usvg::roxmltree::{self, Document, ParsingOptions};

use super::error::{ImageError, ImageFormat};
use super::picture::Drawing;
use crate::geom::MM_PER_INCH;

/// Millimetres in a CSS pixel, the unit of SVG: 1/96 in (CSS Values and Units, section 6.2).
const MM_PER_PX: f64 = MM_PER_INCH / 96.0;

/// The most elements, attributes' text and comments of a file put together, in XML nodes.
const MAX_NODES: usize = 200_000;

/// The most attributes of one element; the XML reader compares each with all others.
const MAX_ATTRIBUTES: usize = 1_000;

/// The smallest and the largest side of a drawing, in millimetres.
const SIDES_MM: std::ops::RangeInclusive<f64> = 0.1..=20_000.0;

/// Reads an SVG file.
pub(super) fn decode_svg(bytes: &[u8]) -> Result<Drawing, ImageError> {
    let text = std::str::from_utf8(bytes).map_err(|_| ImageError::Unsupported {
        format: ImageFormat::Svg,
        variant: "not in UTF-8".to_owned(),
        hint: "save it with the encoding UTF-8",
    })?;
    let document = parse_xml(text)?;
    check::check_document(&document)?;
    let tree = usvg::Tree::from_xmltree(&document, &usvg::Options::default()).map_err(explain)?;
    let (width, height) = (tree.size().width(), tree.size().height());
    let [width, height] = [width, height].map(|side| f64::from(side) * MM_PER_PX);
    if !(SIDES_MM.contains(&width) && SIDES_MM.contains(&height)) {
        return Err(ImageError::NotOutlines {
            line: None,
            problem: format!("the drawing is {width:.3} mm wide and {height:.3} mm high"),
            hint: "set the document's size so that each side has 0.1 mm to 20 m".to_owned(),
        });
    }
    let shapes = trace::trace_tree(&document, &tree, width, height)?;
    Ok(Drawing { width, height, shapes })
}

/// Reads the XML; document types are allowed, because drawing programs write them.
fn parse_xml(text: &str) -> Result<Document<'_>, ImageError> {
    // Between two angle brackets an element has an equals sign for each attribute at the least.
    if text.split(['<', '>']).any(|part| part.matches('=').count() > MAX_ATTRIBUTES) {
        return Err(ImageError::TooComplex {
            what: "attributes in one element",
            limit: MAX_ATTRIBUTES,
        });
    }
    let options = ParsingOptions {
        allow_dtd: true,
        nodes_limit: MAX_NODES as u32,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => {
            ImageError::TooComplex { what: "XML nodes", limit: MAX_NODES }
        }
        roxmltree::Error::UnclosedRootNode | roxmltree::Error::UnexpectedEndOfStream => {
            ImageError::CutShort { format: ImageFormat::Svg }
        }
        other => ImageError::Damaged { format: ImageFormat::Svg, detail: other.to_string() },
    })
}

/// The complaint of usvg in our words.
fn explain(error: usvg::Error) -> ImageError {
    match error {
        usvg::Error::InvalidSize => ImageError::NotOutlines {
            line: None,
            problem: "the drawing's width or height is zero or cannot be read".to_owned(),
            hint: "give the `svg` element a `width`, a `height` and a `viewBox`".to_owned(),
        },
        usvg::Error::ElementsLimitReached => {
            ImageError::TooComplex { what: "elements", limit: measure::MAX_ELEMENTS }
        }
        other => ImageError::Damaged { format: ImageFormat::Svg, detail: other.to_string() },
    }
}
