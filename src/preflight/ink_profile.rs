//! How far ink goes up and down, column by column: what two lines above each other are compared by.

use crate::fonts::FontBook;
use crate::geom::{Mm, Point, Rect, Segment};
use crate::scene::TextRun;

/// The width of a column: less than half a dot of a usual label printer, and a page has some
/// thousands of them.
const COLUMN: Mm = Mm(0.05);

/// Straight pieces that a curve is cut into; of letters an inch high they differ from it by less
/// than a hundredth of a millimetre.
const PIECES: u32 = 8;

/// The top and the bottom of what is inked in each column of a stretch of the page.
pub(super) struct InkProfile {
    /// The left edge of the first column.
    left: Mm,
    /// Top and bottom of each column's ink; none where there is none.
    columns: Vec<Option<(f64, f64)>>,
}

impl InkProfile {
    /// A stretch without ink.
    fn empty(stretch: Rect) -> InkProfile {
        let count = (stretch.width / COLUMN).ceil().clamp(1.0, f64::from(u16::MAX));
        InkProfile { left: stretch.x, columns: vec![None; count as usize] }
    }

    /// What a filled box inks of a stretch.
    pub(super) fn of_box(filled: Rect, stretch: Rect) -> InkProfile {
        let mut profile = InkProfile::empty(stretch);
        let (top, bottom) = (filled.y, filled.bottom());
        let (left, right) = (filled.x, filled.right());
        profile.add_line(Point::new(left, top), Point::new(right, top));
        profile.add_line(Point::new(left, bottom), Point::new(right, bottom));
        profile
    }

    /// What a text inks of a stretch. A glyph that cannot be drawn inks nothing.
    pub(super) fn of_text(book: &FontBook, run: &TextRun, stretch: Rect) -> InkProfile {
        let mut profile = InkProfile::empty(stretch);
        let mut pen = run.origin.x;
        for glyph in &run.glyphs {
            let at =
                Point::new(pen + run.size * glyph.dx_em, run.origin.y - run.size * glyph.dy_em);
            pen += run.size * glyph.advance_em;
            // Marks hang back over their letter by an em at most.
            let near = at.x - run.size <= stretch.right() && pen + run.size >= stretch.x;
            if near && let Ok(outline) = book.outline(run.font, glyph.id) {
                profile.add_outline(&outline, at, run.size);
            }
        }
        profile
    }

    /// How far ink that is to lie above another's goes down into it, at its deepest; none when no
    /// column of the two meets.
    pub(super) fn depth_into(&self, below: &InkProfile) -> Option<Mm> {
        let columns = self.columns.iter().zip(&below.columns);
        let depths = columns.filter_map(|(upper, lower)| {
            let depth = (*upper)?.1 - (*lower)?.0;
            (depth > 0.0).then_some(depth)
        });
        depths.reduce(f64::max).map(Mm)
    }

    /// Adds an outline in em, its origin at a point of the page.
    fn add_outline(&mut self, outline: &[Segment], at: Point, size: Mm) {
        let place = |(x, y): (f64, f64)| Point::new(at.x + size * x, at.y - size * y);
        let (mut start, mut pen) = (Point::default(), Point::default());
        for segment in outline {
            let bends = match *segment {
                Segment::MoveTo(x, y) => {
                    start = place((x, y));
                    pen = start;
                    continue;
                }
                Segment::Close => [pen, pen, start],
                Segment::LineTo(x, y) => [pen, pen, place((x, y))],
                Segment::QuadTo(bx, by, x, y) => [place((bx, by)), place((bx, by)), place((x, y))],
                Segment::CubicTo(ax, ay, bx, by, x, y) => {
                    [place((ax, ay)), place((bx, by)), place((x, y))]
                }
            };
            self.add_segment(segment, pen, bends);
            pen = bends[2];
        }
    }

    /// Adds a segment from a point, with the points it bends towards and its end.
    fn add_segment(&mut self, segment: &Segment, from: Point, bends: [Point; 3]) {
        let [first, second, end] = bends;
        let mut last = from;
        for piece in 1..PIECES {
            let part = f64::from(piece) / f64::from(PIECES);
            let next = match segment {
                Segment::QuadTo(..) => {
                    between(between(from, first, part), between(first, end, part), part)
                }
                Segment::CubicTo(..) => {
                    let middle = between(first, second, part);
                    let (one, other) = (between(from, first, part), between(second, end, part));
                    between(between(one, middle, part), between(middle, other, part), part)
                }
                // What is straight needs no points on its way.
                _ => break,
            };
            self.add_line(last, next);
            last = next;
        }
        self.add_line(last, end);
    }

    /// Adds a straight piece of an outline to the columns it crosses.
    fn add_line(&mut self, one: Point, other: Point) {
        let (from, to) = if one.x <= other.x { (one, other) } else { (other, one) };
        let column = |x: Mm| ((x - self.left) / COLUMN).floor();
        let last = self.columns.len() as f64 - 1.0;
        if !(column(to.x) >= 0.0 && column(from.x) <= last) {
            return;
        }
        let (begin, end) = (column(from.x).max(0.0), column(to.x).min(last));
        let slope = match (to.x - from.x).0 {
            across if across > 0.0 => (to.y - from.y).0 / across,
            _ => 0.0,
        };
        for number in begin as usize..=end as usize {
            let left = (self.left + COLUMN * number as f64).max(from.x);
            let right = (self.left + COLUMN * (number + 1) as f64).min(to.x);
            let y_at = |x: Mm| from.y.0 + slope * (x - from.x).0;
            // A piece that stands upright has no slope, but both its ends in the column.
            let ends = match slope {
                0.0 => (from.y.0, to.y.0),
                _ => (y_at(left), y_at(right)),
            };
            let (top, bottom) = (ends.0.min(ends.1), ends.0.max(ends.1));
            let known = self.columns[number].unwrap_or((top, bottom));
            self.columns[number] = Some((known.0.min(top), known.1.max(bottom)));
        }
    }
}

/// The point at a part of the way between two.
fn between(from: Point, to: Point, part: f64) -> Point {
    Point::new(from.x + (to.x - from.x) * part, from.y + (to.y - from.y) * part)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fonts::{Cut, Glyph, GlyphReach};
    use crate::geom::Stance;
    use crate::scene::{Ink, RunStart};

    /// A letter of 10 mm an em on a baseline.
    fn letter(id: u16, x: f64, y: f64) -> (FontBook, TextRun) {
        let book = FontBook::builtin();
        let run = TextRun {
            font: book.fallbacks(None, Cut::Regular)[0],
            size: Mm(10.0),
            origin: Point::new(Mm(x), Mm(y)),
            ink: Ink::Black,
            glyphs: vec![Glyph { id, advance_em: 0.6, dx_em: 0.0, dy_em: 0.0, cluster: 0 }],
            text: "x".into(),
            rtl: false,
            begins: RunStart::Paragraph,
            reads_later: 0,
            stance: Stance::UPRIGHT,
            reach: GlyphReach::default(),
            rect: Rect::default(),
        };
        (book, run)
    }

    #[test]
    fn ink_meets_only_where_it_stands_above_other_ink() {
        let stretch = Rect::new(Mm(0.0), Mm(0.0), Mm(20.0), Mm(20.0));
        let rect = |x, y, width, height| Rect::new(Mm(x), Mm(y), Mm(width), Mm(height));
        let upper = InkProfile::of_box(rect(0.0, 0.0, 5.0, 8.0), stretch);
        let depth = |lower: Rect| upper.depth_into(&InkProfile::of_box(lower, stretch));
        assert_eq!(depth(rect(4.0, 7.5, 5.0, 3.0)), Some(Mm(0.5)));
        assert_eq!(depth(rect(4.0, 8.1, 5.0, 3.0)), None);
        assert_eq!(depth(rect(5.2, 7.5, 5.0, 3.0)), None);
    }

    #[test]
    fn a_letters_profile_is_that_of_its_outline() {
        let stretch = Rect::new(Mm(0.0), Mm(0.0), Mm(20.0), Mm(20.0));
        let (book, run) = letter(72, 1.0, 10.0);
        let bounds = book.glyph_bounds(run.font, 72).unwrap();
        let profile = InkProfile::of_text(&book, &run, stretch);
        let inked: Vec<(f64, f64)> = profile.columns.iter().flatten().copied().collect();
        let top = inked.iter().fold(f64::INFINITY, |top, column| top.min(column.0));
        let bottom = inked.iter().fold(0.0_f64, |bottom, column| bottom.max(column.1));
        // Curves stay inside the box of their corners.
        assert!(top >= 10.0 - 10.0 * bounds.y_max - 1e-9 && top < 10.0 - 9.5 * bounds.y_max);
        assert!(bottom <= 10.0 - 10.0 * bounds.y_min + 1e-9 && bottom > 9.9);
        let width = 10.0 * (bounds.x_max - bounds.x_min) / COLUMN.0;
        assert!((inked.len() as f64 - width).abs() <= 3.0, "{} {width}", inked.len());
    }
}
