//! The renderer of imported pages, which only a build with the feature `draw` has.
//!
//! In: an [`ImportedPage`], the piece that is shown and the wanted pixels. Out: grey pixels. The
//! page is put into a small PDF of its own and drawn by hayro, so that what is drawn is what would
//! be written, with the annotations and layers decided on import. Not here: keeping drawings.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};

use super::super::luma::gray_of_rgb;
use super::super::picture::GrayImage;
use super::draw_error::{MOST_PIXELS, PageDrawError};
use super::toil::refuse_toil;
use super::{ImportedPage, PageCut, SharedObjects};

/// The most pixels along a side that hayro counts.
const LONGEST_SIDE: u32 = 65_000;

thread_local! {
    /// Whether this thread is drawing a page, so that a panic here is that page's fault.
    static DRAWING: Cell<bool> = const { Cell::new(false) };
}

/// Whether this thread is drawing a page of another PDF: a panic meanwhile is caught and told as a
/// finding, so that nobody needs to see the panic itself.
pub(crate) fn is_drawing() -> bool {
    DRAWING.get()
}

/// Draws something; nothing comes of it if the renderer panics. What a page holds is anyone's, and the
/// renderer not ours, so that page is at fault and not the run.
pub(crate) fn contain<T>(draw: impl FnOnce() -> Option<T>) -> Option<T> {
    let was_drawing = DRAWING.replace(true);
    let drawn = catch_unwind(AssertUnwindSafe(draw));
    DRAWING.set(was_drawing);
    drawn.ok().flatten()
}

/// Draws a piece of a page in `width` × `height` grey pixels on white.
///
/// # Errors
/// When there are too many pixels, or the page holds what the renderer cannot take.
pub(super) fn draw_pixels(
    page: &ImportedPage,
    cut: &PageCut,
    width: u32,
    height: u32,
) -> Result<GrayImage, PageDrawError> {
    let pixels = u64::from(width) * u64::from(height);
    if pixels == 0 || pixels > MOST_PIXELS || width.max(height) > LONGEST_SIDE {
        return Err(PageDrawError::Pixels { width, height });
    }
    let file = page.alone(cut, width, height);
    // Counting reads with the renderer's reader, so it is held in as the renderer is.
    let rgba = contain(|| Some(count_and_draw(file))).ok_or(PageDrawError::Unreadable)??;
    if rgba.len() as u64 != pixels * 4 {
        return Err(PageDrawError::Unreadable);
    }
    let grey = |pixel: &[u8; 4]| gray_of_rgb(pixel[0], pixel[1], pixel[2]);
    let pixels = rgba.as_chunks().0.iter().map(grey).collect();
    Ok(GrayImage { width, height, pixels })
}

impl ImportedPage {
    /// A PDF with nothing but a piece of this page, a point a pixel.
    fn alone(&self, cut: &PageCut, width: u32, height: u32) -> Vec<u8> {
        let mut file = b"%PDF-1.7\n".to_vec();
        let mut places = vec![0, 0, 0, 0];
        let mut add = |places: &mut Vec<usize>, number: i32, body: &[u8]| {
            let number = usize::try_from(number).unwrap_or_default();
            places.resize(places.len().max(number + 1), 0);
            places[number] = file.len();
            file.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
            file.extend_from_slice(body);
            file.extend_from_slice(b"\nendobj\n");
        };
        let mut next = 4;
        let allocate = || {
            next += 1;
            next
        };
        let put = |number, body: &[u8]| {
            add(&mut places, number, body);
            Ok::<(), std::convert::Infallible>(())
        };
        let Ok(written) = self.write_objects(&mut SharedObjects::new(), allocate, put);
        let group = written.group.map_or_else(String::new, |group| format!("/Group {group} 0 R"));
        let form = written.form;
        let page = format!(
            "<</Type/Page/Parent 2 0 R/MediaBox[0 0 {width} {height}]/Contents 4 0 R\
             /Resources<</XObject<</P {form} 0 R>>>>{group}>>"
        );
        let [a, b, c, d, e, f] =
            self.cut_placement(cut, [0.0, 0.0, f64::from(width), f64::from(height)]);
        let content = format!("{a:.9} {b:.9} {c:.9} {d:.9} {e:.6} {f:.6} cm /P Do");
        add(&mut places, 1, b"<</Type/Catalog/Pages 2 0 R>>");
        add(&mut places, 2, b"<</Type/Pages/Kids[3 0 R]/Count 1>>");
        add(&mut places, 3, page.as_bytes());
        let stream = format!("<</Length {}>>\nstream\n{content}\nendstream", content.len());
        add(&mut places, 4, stream.as_bytes());
        close_file(&mut file, &places);
        file
    }
}

/// Ends a PDF with the table of its objects, by where they begin; 0 is nowhere.
fn close_file(file: &mut Vec<u8>, places: &[usize]) {
    let start = file.len();
    let mut tail = format!("xref\n0 {}\n0000000000 65535 f\r\n", places.len());
    for place in &places[1..] {
        let kind = if *place > 0 { "00000 n" } else { "65535 f" };
        tail.push_str(&format!("{place:010} {kind}\r\n"));
    }
    tail.push_str(&format!(
        "trailer\n<</Size {}/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n",
        places.len()
    ));
    file.extend_from_slice(tail.as_bytes());
}

/// Red, green, blue and opacity of each pixel of a file's first page, a pixel a point, on white, unless
/// that takes too much.
fn count_and_draw(file: Vec<u8>) -> Result<Vec<u8>, PageDrawError> {
    let file = Arc::new(file);
    let pdf = Pdf::new(Arc::clone(&file)).map_err(|_| PageDrawError::Unreadable)?;
    refuse_toil(&file, &pdf)?;
    let page = pdf.pages().first().ok_or(PageDrawError::Unreadable)?;
    let settings = PixmapSettings { x_scale: 1.0, y_scale: 1.0, bg_color: WHITE };
    // Letters keep their shape: the printer's own renderer will not move them to the pixels either.
    let how = RenderSettings { hinting: false, ..RenderSettings::default() };
    let pixmap =
        render(page, &RenderCache::new(), &InterpreterSettings::default(), &how, &settings);
    Ok(pixmap.data_as_u8_slice().to_vec())
}
