//! A piece of an imported page, turned, and where its form must be drawn to fill a box.

use super::ImportedPage;
use crate::geom::{Mm, QuarterTurn, Rect, Size};

/// What is shown of an imported page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PageCut {
    /// The piece, from the top left corner of the upright page as paper.
    pub part: Rect,
    /// How that piece is turned.
    pub turn: QuarterTurn,
}

impl PageCut {
    /// All of a page of a size, upright.
    #[must_use]
    pub fn whole(size: Size) -> PageCut {
        PageCut {
            part: Rect::new(Mm::ZERO, Mm::ZERO, size.width, size.height),
            turn: <_>::default(),
        }
    }

    /// Its size once it is turned, at the page's own scale.
    #[must_use]
    pub fn size(&self) -> Size {
        self.turn.turn_size(self.part.size())
    }
}

impl ImportedPage {
    /// The six numbers for `cm` under which a piece of the page fills the box with the lower left
    /// corner `x`, `y`, in whatever unit the caller's page is drawn in, y upwards. What lies
    /// outside the piece is drawn too: the caller clips.
    #[must_use]
    pub fn cut_placement(&self, cut: &PageCut, [x, y, width, height]: [f64; 4]) -> [f64; 6] {
        let Size { width: Mm(across), height: Mm(down) } = self.size;
        // In millimetres, with the piece's lower left corner at the origin.
        let page = self.placement(-cut.part.x.0, cut.part.bottom().0 - down, across, down);
        let turned = chain(page, cut.turn.matrix(cut.part.size()));
        let size = cut.size();
        chain(turned, [width / size.width.0, 0.0, 0.0, height / size.height.0, x, y])
    }
}

/// One matrix after another, each in the six numbers of `cm`.
fn chain(first: [f64; 6], then: [f64; 6]) -> [f64; 6] {
    let [a, b, c, d, e, f] = first;
    let [p, q, r, s, t, u] = then;
    [
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    ]
}
