//! What can be wrong with a picture file, and which kind of file it is.
//!
//! In: the first bytes of a file, and what the decoders found. Out: [`ImageFormat`] and
//! [`ImageError`] with its way out. Not here: the file's name; the caller knows it.

use std::fmt;

use crate::limits::PICTURE_PIXELS;

/// The kinds of picture files that can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ImageFormat {
    /// Portable Network Graphics.
    Png,
    /// JPEG: baseline, extended and progressive Huffman coding.
    Jpeg,
    /// Scalable Vector Graphics, not compressed.
    Svg,
}

/// First bytes of kinds of files that people try, at an offset, with the kind's name.
const OTHER_FORMATS: [(usize, &[u8], &str); 13] = [
    (0, b"GIF8", "a GIF file"),
    (8, b"WEBP", "a WebP file"),
    (0, b"BM", "a BMP file"),
    (0, b"II*\0", "a TIFF file"),
    (0, b"MM\0*", "a TIFF file"),
    (0, b"%PDF", "a PDF file"),
    (0, b"%!PS", "a PostScript file"),
    (4, b"ftypavif", "an AVIF file"),
    (4, b"ftyp", "a HEIF file or a film"),
    (0, b"\x1f\x8b", "a gzip file (SVGZ, if it is a drawing)"),
    (0, b"\xff\xfe", "text in UTF-16"),
    (0, b"\xfe\xff", "text in UTF-16"),
    (0, b"PK\x03\x04", "a ZIP file"),
];

impl ImageFormat {
    /// The kind of file, from its first bytes: PNG and JPEG by their signatures, SVG by being
    /// text that starts with `<`.
    pub(super) fn detect(bytes: &[u8]) -> Result<ImageFormat, ImageError> {
        if bytes.is_empty() {
            return Err(ImageError::Empty);
        }
        if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
            return Ok(ImageFormat::Png);
        }
        if bytes.starts_with(b"\xff\xd8\xff") {
            return Ok(ImageFormat::Jpeg);
        }
        let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        if text.trim_ascii_start().starts_with(b"<") {
            return Ok(ImageFormat::Svg);
        }
        let found = OTHER_FORMATS
            .iter()
            .find(|(at, magic, _)| bytes.get(*at..).is_some_and(|rest| rest.starts_with(magic)))
            .map(|(_, _, name)| *name);
        Err(ImageError::UnknownFormat { found })
    }
}

impl fmt::Display for ImageFormat {
    /// The name people know it by.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            ImageFormat::Png => "PNG",
            ImageFormat::Jpeg => "JPEG",
            ImageFormat::Svg => "SVG",
        })
    }
}

/// Why a picture cannot be used; [`ImageError::hint`] says the way out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ImageError {
    /// There are no bytes.
    Empty,
    /// It is neither PNG, JPEG nor SVG.
    UnknownFormat {
        /// What it seems to be, with its article, if that is known.
        found: Option<&'static str>,
    },
    /// The file is longer than is read.
    FileTooLarge {
        /// Its length.
        bytes: usize,
        /// The longest that is read.
        limit: usize,
    },
    /// There are more pixels than the limit of pixels.
    TooManyPixels {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The file ends before the picture does.
    CutShort {
        /// What its first bytes say that it is.
        format: ImageFormat,
    },
    /// The file breaks the rules of its kind.
    Damaged {
        /// What its first bytes say that it is.
        format: ImageFormat,
        /// What is wrong, as a clause with a subject.
        detail: String,
    },
    /// A variant of its kind that is not read.
    Unsupported {
        /// What its first bytes say that it is.
        format: ImageFormat,
        /// The variant, with its article.
        variant: String,
        /// The way out.
        hint: &'static str,
    },
    /// A drawing holds something that filled black and white outlines cannot show.
    NotOutlines {
        /// The line it stands on, from 1, if it has one.
        line: Option<u32>,
        /// What it is and what is the matter, as a clause.
        problem: String,
        /// The way out.
        hint: String,
    },
    /// A drawing has more parts than are read.
    TooComplex {
        /// What it has too much of.
        what: &'static str,
        /// How many are read.
        limit: usize,
    },
}

impl ImageError {
    /// The way out, in the imperative.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            ImageError::Empty | ImageError::CutShort { .. } => {
                "copy the file again from where it came from".to_owned()
            }
            ImageError::UnknownFormat { .. } => {
                "save the picture as PNG or JPEG, or a drawing as plain SVG".to_owned()
            }
            ImageError::FileTooLarge { limit, .. } => {
                format!("save it smaller, with at most {} MB", limit >> 20)
            }
            ImageError::TooManyPixels { .. } => {
                format!("scale it down to at most {} million pixels", PICTURE_PIXELS / 1_000_000)
            }
            ImageError::Damaged { format, .. } => {
                format!("open it in a picture editor and save it again as {format}")
            }
            ImageError::Unsupported { hint, .. } => (*hint).to_owned(),
            ImageError::NotOutlines { hint, .. } => hint.clone(),
            ImageError::TooComplex { .. } => {
                "simplify the drawing, or export it as a PNG of twice its printed dots".to_owned()
            }
        }
    }
}

impl fmt::Display for ImageError {
    /// What is wrong, without the way out.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ImageError::Empty => f.write_str("the file is empty"),
            ImageError::UnknownFormat { found } => {
                let found = found.unwrap_or("something else");
                write!(f, "expected a PNG, JPEG or SVG file, found {found}")
            }
            ImageError::FileTooLarge { bytes, limit } => {
                let (bytes, limit) = (bytes.div_ceil(1 << 20), limit >> 20);
                write!(f, "expected at most {limit} MB, found {bytes} MB")
            }
            ImageError::TooManyPixels { width, height } => {
                let most = PICTURE_PIXELS / 1_000_000;
                write!(f, "expected at most {most} million pixels, found {width} × {height}")
            }
            ImageError::CutShort { format } => {
                write!(f, "the {format} file ends before the picture does")
            }
            ImageError::Damaged { format, detail } => {
                write!(f, "the {format} file is damaged: {detail}")
            }
            ImageError::Unsupported { format, variant, .. } => {
                write!(f, "the {format} file is {variant}, which is not read")
            }
            ImageError::NotOutlines { line: Some(line), problem, .. } => {
                write!(f, "line {line} of the SVG file: {problem}")
            }
            ImageError::NotOutlines { line: None, problem, .. } => {
                write!(f, "in the SVG file, {problem}")
            }
            ImageError::TooComplex { what, limit } => {
                write!(f, "the drawing has more than {limit} {what}")
            }
        }
    }
}

impl std::error::Error for ImageError {}
