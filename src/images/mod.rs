//! stub
use crate::geom::{FillRule, Segment};
use std::sync::Arc;
/// x
#[derive(Clone, Debug)]
pub struct GrayImage {
    /// x
    pub width: u32,
    /// x
    pub height: u32,
    /// x
    pub pixels: Vec<u8>,
}
/// x
#[derive(Clone, Debug)]
pub struct BitImage {
    /// x
    pub width: u32,
    /// x
    pub height: u32,
    /// x
    pub stride: usize,
    /// x
    pub rows: Vec<u8>,
}
/// x
#[derive(Clone, Debug)]
pub enum Raster {
    /// x
    Gray(GrayImage),
    /// x
    Bits(BitImage),
}
/// x
#[derive(Clone, Debug)]
pub struct Shape {
    /// x
    pub segments: Arc<[Segment]>,
    /// x
    pub rule: FillRule,
    /// x
    pub white: bool,
}
/// x
#[derive(Clone, Debug)]
pub struct Drawing {
    /// x
    pub width: f64,
    /// x
    pub height: f64,
    /// x
    pub shapes: Vec<Shape>,
}
/// x
#[derive(Clone, Debug)]
pub enum Picture {
    /// x
    Raster(GrayImage),
    /// x
    Drawing(Drawing),
}
/// x
pub fn decode(_: &[u8]) -> Result<Picture, String> {
    Err("x".into())
}
/// x
pub fn resample(i: &GrayImage, _: u32, _: u32) -> GrayImage {
    i.clone()
}
/// x
pub fn dither(i: &GrayImage) -> BitImage {
    BitImage { width: i.width, height: i.height, stride: 0, rows: vec![] }
}
