//! What the picture tests share.

use std::path::{Path, PathBuf};

use slipwright::images::{self, GrayImage, ImageError, Picture};

/// The folder of small files made by `tests/images/make.py`.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/images")
}

/// The bytes of one of those files.
pub(crate) fn file(name: &str) -> Vec<u8> {
    let path = folder().join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The pixels of a file that must be a raster.
pub(crate) fn raster(bytes: &[u8]) -> Result<GrayImage, ImageError> {
    match images::decode(bytes)? {
        Picture::Raster(image) => Ok(image),
        Picture::Drawing(drawing) => panic!("expected pixels, found {drawing:?}"),
    }
}

/// Reads a binary PGM file as `make.py` writes it.
pub(crate) fn pgm(name: &str) -> GrayImage {
    let bytes = file(name);
    let mut lines = bytes.splitn(4, |byte| *byte == b'\n');
    assert_eq!(lines.next(), Some(&b"P5"[..]));
    let size = String::from_utf8(lines.next().unwrap().to_vec()).unwrap();
    let (width, height) = size.split_once(' ').unwrap();
    assert_eq!(lines.next(), Some(&b"255"[..]));
    let pixels = lines.next().unwrap().to_vec();
    GrayImage { width: width.parse().unwrap(), height: height.parse().unwrap(), pixels }
}

/// The largest difference of two pictures of equal size.
pub(crate) fn difference(a: &GrayImage, b: &GrayImage) -> u8 {
    assert_eq!((a.width, a.height), (b.width, b.height));
    assert_eq!(a.pixels.len(), b.pixels.len());
    a.pixels.iter().zip(&b.pixels).map(|(a, b)| a.abs_diff(*b)).max().unwrap_or(0)
}
