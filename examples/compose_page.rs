//! A page without a layout: `cargo run --example compose_page` writes a shelf label as `shelf.pdf`,
//! `shelf.svg` and `shelf.png`.

use std::error::Error;
use std::fs;
use std::sync::Arc;

use slipwright::codes::{QR_QUIET_ZONE, Qr, QrOptions};
use slipwright::fonts::{Cut, Shaper, TextStyle};
use slipwright::geom::Stance;
use slipwright::geom::{Insets, Point, Rect, Size};
use slipwright::preflight::{Rules, inspect};
use slipwright::scene::{
    BlockId, CodeMark, DotRect, Ink, Mark, MarkKind, RunStart, Symbol, TextRun,
};
use slipwright::{
    DotGrid, Finding, FontBook, Mm, Page, PdfOptions, Severity, SvgOptions, has_errors, render_png,
    render_svg, write_pdf,
};

fn main() -> Result<(), Box<dyn Error>> {
    let book = FontBook::builtin();
    let mut page = Page {
        size: Size::new(Mm(62.0), Mm(29.0)),
        grid: DotGrid::DPI_203,
        clear_edge: Insets::all(Mm(1.5)),
        title: "Shelf B 14".to_owned(),
        subject: None,
        language: None,
        blocks: Vec::new(),
        marks: Vec::new(),
    };
    set_line(&mut page, &book, "B 14", Mm::from_pt(30.0), Point::new(Mm(5.0), Mm(14.0)))?;
    set_line(
        &mut page,
        &book,
        "Gold nibs, fine",
        Mm::from_pt(10.0),
        Point::new(Mm(5.0), Mm(21.0)),
    )?;
    place_qr(&mut page, "SHELF-B14", 5, (340, 63))?;

    let findings: Vec<Finding> = inspect(&page, &book, &Rules::default());
    for finding in findings.iter().filter(|finding| finding.severity > Severity::Note) {
        println!("{}: {}", finding.severity.word(), finding.message);
    }
    if has_errors(&findings) {
        return Err("the label would not print well".into());
    }
    fs::write("shelf.svg", render_svg(&page, &book, &SvgOptions::default()))?;
    fs::write("shelf.png", render_png(&page, &book)?)?;
    fs::write("shelf.pdf", write_pdf(&[page], &book, &PdfOptions::default(), Vec::new())?)?;
    Ok(())
}

/// Sets a line of text of a size, in millimetres an em, from a point on its baseline.
fn set_line(
    page: &mut Page,
    book: &FontBook,
    text: &str,
    size: Mm,
    mut origin: Point,
) -> Result<(), Box<dyn Error>> {
    let mut shaper = Shaper::new(book);
    let style = TextStyle { cut: Cut::Bold, ..TextStyle::default() };
    let paragraph = shaper.paragraph(text, &style)?;
    for line in paragraph.break_lines(&mut shaper, f64::INFINITY) {
        for run in line.runs {
            let (capitals, width) = (book.metrics(run.font).cap_height, run.width_em());
            let start = u32::try_from(run.text.start)?;
            let mut glyphs = run.glyphs;
            // A glyph's cluster is a byte of its own run's text.
            glyphs.iter_mut().for_each(|glyph| glyph.cluster -= start);
            let reach = shaper.reach(run.font, &glyphs);
            let run = TextRun {
                font: run.font,
                size,
                origin,
                ink: Ink::Black,
                glyphs,
                text: paragraph.text()[run.text].to_owned(),
                rtl: run.rtl,
                begins: RunStart::Paragraph,
                reads_later: 0,
                reach,
                stance: Stance::UPRIGHT,
                rect: Rect::new(
                    origin.x,
                    origin.y - size * capitals,
                    size * width,
                    size * capitals,
                ),
            };
            page.marks.push(Mark { block: BlockId(0), kind: MarkKind::Text(run) });
            origin.x += size * width;
        }
    }
    Ok(())
}

/// Places a QR Code with so many printer dots a module; `x` and `y` are the dots left of it and
/// above it.
fn place_qr(
    page: &mut Page,
    payload: &str,
    module_dots: u32,
    (x, y): (u32, u32),
) -> Result<(), Box<dyn Error>> {
    let symbol = Qr::encode(payload, &QrOptions::default())?;
    let side = u32::try_from(symbol.size())? * module_dots;
    let white = u32::try_from(QR_QUIET_ZONE.beside)? * module_dots;
    let dots = DotRect { x, y, width: side, height: side };
    let around = DotRect {
        x: x - white,
        y: y.saturating_sub(white),
        width: side + 2 * white,
        height: side + 2 * white,
    };
    let code = CodeMark {
        symbol: Symbol::Qr(Arc::new(symbol)),
        payload: payload.to_owned(),
        module_dots,
        stance: Stance::UPRIGHT,
        tails: 0,
        dots,
        quiet: around.to_rect(page.grid),
        reduction: 0,
    };
    page.marks.push(Mark { block: BlockId(0), kind: MarkKind::Code(code) });
    Ok(())
}
