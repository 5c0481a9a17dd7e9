//! Pages that are hard on rasterisers: codes of every module size, turned and not, pictures, art.

use std::sync::Arc;

use slipwright::fonts::{Cut, Shaper, TextStyle};
use slipwright::geom::{QuarterTurn, Stance};
use slipwright::images::{BitImage, Raster};
use slipwright::scene::Ink;
use slipwright::{DotGrid, Mm, Page};

use super::{PageBuilder, gear};

/// A picture of noise whose pixels are meant to be dots.
pub(crate) fn noise(width: u32, height: u32) -> Arc<Raster> {
    let mut image = BitImage::white(width, height);
    for (at, byte) in (0_u32..).zip(&mut image.rows) {
        *byte = (at.wrapping_mul(2_654_435_761) >> 23) as u8;
    }
    // The bits past the width are 0.
    let last = 0xFF << (7 - (width - 1) % 8);
    image.rows.chunks_mut(image.stride).for_each(|row| row[row.len() - 1] &= last);
    Arc::new(Raster::Bits(image))
}

/// Codes from 2 dots a module on, upright and turned, with art and pictures between.
pub(crate) fn ladder(shaper: &mut Shaper, size: (f64, f64), grid: DotGrid) -> Page {
    let dots = |mm: f64| grid.whole_dots_within(Mm(mm));
    let mut page = PageBuilder::new(shaper, size, grid, &format!("Ladder {} × {}", size.0, size.1));
    page.text((6.0, 6.0), 7.0, Cut::Regular, "Ladder, office affluence ﬁx, 5 µm ≠ 5 μm");
    let (mut y, height) = (dots(10.0), dots(5.0));
    for module in 2..=5 {
        page.code128(
            (dots(8.0) + module, y + module),
            module,
            height,
            Stance::UPRIGHT,
            &format!("L{module}"),
        );
        y += height + module + 5 * module;
    }
    let (mut x, mut y) = (dots(6.0), y + dots(2.0));
    for module in 2..=5 {
        let payload = format!("QR of {module} dots, Ελλάδα");
        page.qr((x, y + module % 3), module, &payload);
        x += 25 * module + 9 * module;
        if dots(size.0) < x + 34 * (module + 1) {
            (x, y) = (dots(6.0), y + 34 * module);
        }
    }
    y += 34 * 5 + dots(2.0);
    page.code128((dots(8.0), y + 30), 3, height, Stance::turned(QuarterTurn::Quarter), "T3");
    page.code128((dots(18.0), y + 31), 2, height, Stance::turned(QuarterTurn::Quarter), "T2");
    let at = |count: u32| grid.length(f64::from(count)).0;
    let picture = [at(dots(30.0)), at(y + 3), at(67), at(41)];
    page.picture(picture, &noise(67, 41));
    page.outline(&gear(40), (50.0, at(y)), 0.12);
    page.outline(&gear(4), (64.0, at(y)), 0.12);
    page.fill([dots(30.0), y + 60, 90, 40], Ink::Black);
    page.fill([dots(30.0) + 10, y + 70, 70, 20], Ink::White);
    let spaced = TextStyle { letter_spacing_em: 0.15, ..TextStyle::default() };
    page.styled((30.0, at(y + 130)), 8.0, &spaced, Ink::Black, "WIDE CAPITALS");
    page.text((30.0, at(y + 160)), 8.0, Cut::Regular, "no\u{A0}break, e\u{301}dge, so\u{AD}ft");
    page.finish()
}
