//! Pages as an independent rasteriser (hayro) draws their PDF, and codes as an independent decoder
//! (rxing) reads them.

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use slipwright::scene::{CodeMark, MarkKind};
use slipwright::{DotGrid, FontBook, Page, PdfOptions, write_pdf};

/// A page as black and white dots.
pub(crate) struct Dots {
    /// Dots across.
    pub(crate) width: usize,
    /// Row by row from the top; true is black.
    pub(crate) black: Vec<bool>,
}

impl Dots {
    /// Whether a dot is black.
    pub(crate) fn get(&self, x: usize, y: usize) -> bool {
        self.black[y * self.width + x]
    }

    /// The black runs of a line of dots: first dot and length.
    pub(crate) fn runs(line: impl Iterator<Item = bool>) -> Vec<(usize, usize)> {
        let line: Vec<bool> = line.collect();
        let mut at = 0;
        let mut runs = Vec::new();
        for run in line.chunk_by(|a, b| a == b) {
            if run[0] {
                runs.push((at, run.len()));
            }
            at += run.len();
        }
        runs
    }
}

/// Pages as hayro draws their PDF, a dot a pixel, black where more than half is covered.
pub(crate) fn draw(pages: &[Page]) -> Vec<Dots> {
    let book = FontBook::builtin();
    draw_file(write_pdf(pages, &book, &PdfOptions::default(), Vec::new()).unwrap(), pages[0].grid)
}

/// The pages of a PDF, as [`draw`] draws them.
pub(crate) fn draw_file(file: Vec<u8>, grid: DotGrid) -> Vec<Dots> {
    let pdf = Pdf::new(file).unwrap();
    let cache = RenderCache::new();
    let scale = (grid.dpi() / 72.0) as f32;
    let settings = PixmapSettings { x_scale: scale, y_scale: scale, ..PixmapSettings::default() };
    let drawn = pdf.pages().iter().map(|page| {
        let interpreter = InterpreterSettings::default();
        let pixels = render(
            page,
            &cache,
            &interpreter,
            &RenderSettings { hinting: false, ..RenderSettings::default() },
            &settings,
        );
        let width = usize::from(pixels.width());
        // Nothing is painted where the paper stays white, so what counts is how dark it is.
        let black = pixels
            .data()
            .iter()
            .map(|pixel| u32::from(pixel.a) > 127 && u32::from(pixel.r) * 2 < u32::from(pixel.a))
            .collect();
        Dots { width, black }
    });
    drawn.collect()
}

/// The codes of a page.
pub(crate) fn codes(page: &Page) -> impl Iterator<Item = &CodeMark> {
    page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some(code),
        _ => None,
    })
}

/// Reads the code inside a part of a page.
pub(crate) fn read(dots: &Dots, code: &CodeMark, grid: DotGrid) -> String {
    let start = |length| grid.dots(length).round() as usize;
    let (x, y) = (start(code.quiet.x), start(code.quiet.y));
    let (width, height) = (start(code.quiet.width), start(code.quiet.height));
    let luma = (0..height)
        .flat_map(|row| (0..width).map(move |column| (x + column, y + row)))
        .map(|(x, y)| if dots.get(x, y) { 0 } else { 255 })
        .collect();
    let found = rxing::helpers::detect_in_luma(luma, width as u32, height as u32, None);
    found.map_or_else(|error| format!("unread: {error}"), |found| found.getText().to_owned())
}

/// What the only QR code of a page says.
pub(crate) fn read_qr(dots: &Dots) -> String {
    let luma: Vec<u8> = dots.black.iter().map(|&black| if black { 0 } else { 255 }).collect();
    let (width, height) = (dots.width as u32, (dots.black.len() / dots.width) as u32);
    let kind = Some(rxing::BarcodeFormat::QR_CODE);
    let found = rxing::helpers::detect_in_luma(luma, width, height, kind);
    found.map_or_else(|error| format!("unread: {error}"), |found| found.getText().to_owned())
}
