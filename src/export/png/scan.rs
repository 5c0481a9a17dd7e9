//! Outlines into dots.
//!
//! In: the contours of an outline in dots, x to the right and y downwards. Out: runs of dots whose
//! centres lie inside. A dot belongs to an outline when its centre does, so outlines that share an
//! edge share no dot, and what is drawn does not depend on the order of its contours. Curves are
//! cut into chords that stay within [`FLATNESS`] of them. Only the four basic operations are used,
//! so that every machine gets the same dots.

use crate::geom::{FillRule, Segment};

/// How far a chord may lie off its curve, in dots.
const FLATNESS: f64 = 1.0 / 32.0;

/// The most chords of one curve.
const MOST_CHORDS: u32 = 256;

/// Dots beyond which nothing is drawn, so that no outline makes endless work.
const FARTHEST_DOT: f64 = 1e6;

/// Where a contour crosses the middle of a row.
#[derive(Clone, Copy, Debug)]
struct Crossing {
    /// How many rows lie above it; negative above the page.
    row: i32,
    /// How far from the left, in dots.
    x: f64,
    /// 1 for a contour on its way down, -1 for one on its way up.
    winding: i32,
}

/// Collects contours and gives the runs of dots inside them; kept from outline to outline for its
/// memory.
#[derive(Debug, Default)]
pub(super) struct Scanner {
    /// All crossings so far.
    crossings: Vec<Crossing>,
    /// How many rows can be seen.
    rows: i32,
}

impl Scanner {
    /// A scanner of a page with so many rows.
    pub(super) fn new(rows: u32) -> Scanner {
        Scanner { crossings: Vec::new(), rows: first_centre(f64::from(rows)) }
    }

    /// Adds an outline; `place` brings its points to dots.
    pub(super) fn add(&mut self, segments: &[Segment], place: impl Fn(f64, f64) -> (f64, f64)) {
        let (mut start, mut last) = ((0.0, 0.0), (0.0, 0.0));
        for segment in segments {
            let to = match *segment {
                Segment::MoveTo(x, y) => {
                    self.add_line(last, start);
                    start = place(x, y);
                    start
                }
                Segment::LineTo(x, y) => {
                    let to = place(x, y);
                    self.add_line(last, to);
                    to
                }
                Segment::QuadTo(cx, cy, x, y) => {
                    let (control, to) = (place(cx, cy), place(x, y));
                    self.add_quad(last, control, to);
                    to
                }
                Segment::CubicTo(ax, ay, bx, by, x, y) => {
                    let (first, second, to) = (place(ax, ay), place(bx, by), place(x, y));
                    self.add_cubic(last, first, second, to);
                    to
                }
                Segment::Close => {
                    self.add_line(last, start);
                    start
                }
            };
            last = to;
        }
        self.add_line(last, start);
    }

    /// Adds a straight line.
    fn add_line(&mut self, from: (f64, f64), to: (f64, f64)) {
        let (winding, top, bottom) = if from.1 < to.1 { (1, from, to) } else { (-1, to, from) };
        if !(top.1 < bottom.1 && (bottom.0 - top.0).is_finite()) {
            return;
        }
        // The middles of rows from the first at or below the top to the last above the bottom.
        let (first, end) = (first_centre(top.1).max(0), first_centre(bottom.1).min(self.rows));
        let slope = (bottom.0 - top.0) / (bottom.1 - top.1);
        for row in first..end {
            let x = top.0 + (f64::from(row) + 0.5 - top.1) * slope;
            self.crossings.push(Crossing { row, x, winding });
        }
    }

    /// Adds a quadratic curve.
    fn add_quad(&mut self, from: (f64, f64), control: (f64, f64), to: (f64, f64)) {
        // A chord over 1/n of the curve lies off it by |from - 2 control + to| / (4 n²) at most.
        let bend = length(from.0 - 2.0 * control.0 + to.0, from.1 - 2.0 * control.1 + to.1);
        let chords = count_chords(bend / 4.0);
        self.add_chords(from, chords, |t| {
            let (a, b, c) = ((1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t), t * t);
            (a * from.0 + b * control.0 + c * to.0, a * from.1 + b * control.1 + c * to.1)
        });
    }

    /// Adds a cubic curve.
    fn add_cubic(&mut self, from: (f64, f64), a: (f64, f64), b: (f64, f64), to: (f64, f64)) {
        // The second derivative is at most 6 times the larger of the two bends, and a chord lies
        // off by an eighth of it over n².
        let bend = |p: (f64, f64), q: (f64, f64), r: (f64, f64)| {
            length(p.0 - 2.0 * q.0 + r.0, p.1 - 2.0 * q.1 + r.1)
        };
        let chords = count_chords(bend(from, a, b).max(bend(a, b, to)) * 6.0 / 8.0);
        self.add_chords(from, chords, |t| {
            let s = 1.0 - t;
            let (w, x, y, z) = (s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t);
            (w * from.0 + x * a.0 + y * b.0 + z * to.0, w * from.1 + x * a.1 + y * b.1 + z * to.1)
        });
    }

    /// Adds a curve as chords between points at equal steps of its parameter.
    fn add_chords(&mut self, from: (f64, f64), chords: u32, point: impl Fn(f64) -> (f64, f64)) {
        let mut last = from;
        for chord in 1..=chords {
            let to = point(f64::from(chord) / f64::from(chords));
            self.add_line(last, to);
            last = to;
        }
    }

    /// Gives the runs inside all outlines added since the last time: row, first dot, dot after the
    /// last.
    pub(super) fn fill(&mut self, rule: FillRule, mut run: impl FnMut(i32, i32, i32)) {
        let mut crossings = std::mem::take(&mut self.crossings);
        crossings.sort_unstable_by(|a, b| a.row.cmp(&b.row).then(a.x.total_cmp(&b.x)));
        for row in crossings.chunk_by(|a, b| a.row == b.row) {
            let mut winding = 0;
            for pair in row.windows(2) {
                winding += pair[0].winding;
                let inside = match rule {
                    FillRule::NonZero => winding != 0,
                    FillRule::EvenOdd => winding % 2 != 0,
                };
                let (from, to) = (first_centre(pair[0].x), first_centre(pair[1].x));
                if inside && from < to {
                    run(pair[0].row, from, to);
                }
            }
        }
        crossings.clear();
        self.crossings = crossings;
    }
}

/// The first dot whose centre lies at or right of (below) a place.
pub(super) fn first_centre(place: f64) -> i32 {
    let least = (place - 0.5).clamp(-FARTHEST_DOT, FARTHEST_DOT);
    // Rounding up by a cast is several times faster than a call of `ceil`.
    let cut = least as i32;
    cut + i32::from(f64::from(cut) < least)
}

/// An upper bound of a vector's length that needs no root.
fn length(x: f64, y: f64) -> f64 {
    x.abs() + y.abs()
}

/// How many chords keep within [`FLATNESS`] of a curve that one chord would miss by `off` dots: the
/// error falls with the square of their number.
fn count_chords(off: f64) -> u32 {
    let wanted = off / FLATNESS;
    (1..MOST_CHORDS).find(|&chords| f64::from(chords * chords) >= wanted).unwrap_or(MOST_CHORDS)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The dots inside an outline on a page of `rows` rows, as text.
    fn draw(segments: &[Segment], rule: FillRule, width: usize, rows: usize) -> Vec<String> {
        let mut page = vec![vec!['.'; width]; rows];
        let mut scanner = Scanner::new(rows as u32);
        scanner.add(segments, |x, y| (x, y));
        scanner.fill(rule, |y, from, to| {
            for x in from.max(0)..to.min(width as i32) {
                assert_eq!(page[y as usize][x as usize], '.', "painted twice");
                page[y as usize][x as usize] = '#';
            }
        });
        page.into_iter().map(String::from_iter).collect()
    }

    /// A box as a contour, clockwise.
    fn square(x: f64, y: f64, side: f64) -> [Segment; 5] {
        [
            Segment::MoveTo(x, y),
            Segment::LineTo(x + side, y),
            Segment::LineTo(x + side, y + side),
            Segment::LineTo(x, y + side),
            Segment::Close,
        ]
    }

    #[test]
    fn a_dot_belongs_where_its_centre_lies() {
        assert_eq!(
            draw(&square(1.0, 1.0, 2.0), FillRule::NonZero, 4, 4),
            ["....", ".##.", ".##.", "...."]
        );
        assert_eq!(
            draw(&square(0.6, 0.4, 2.0), FillRule::NonZero, 4, 4),
            [".##.", ".##.", "....", "...."]
        );
    }

    #[test]
    fn neighbours_share_no_dot_and_leave_none() {
        for cut in 0..40 {
            let cut = f64::from(cut) / 10.0;
            let side = |x: f64, to: f64| {
                vec![
                    Segment::MoveTo(x, 0.0),
                    Segment::LineTo(to, 0.0),
                    Segment::LineTo(to, 3.0),
                    Segment::LineTo(x, 3.0),
                ]
            };
            let both = [side(0.0, cut), side(cut, 4.0)].concat();
            assert_eq!(draw(&both, FillRule::NonZero, 4, 3), ["####", "####", "####"], "{cut}");
        }
    }

    #[test]
    fn rules_differ_where_contours_overlap() {
        let twice = [square(0.0, 0.0, 5.0), square(1.0, 1.0, 3.0)].concat();
        let full = ["#####", "#####", "#####", "#####", "#####"];
        let ring = ["#####", "#...#", "#...#", "#...#", "#####"];
        assert_eq!(draw(&twice, FillRule::NonZero, 5, 5), full);
        assert_eq!(draw(&twice, FillRule::EvenOdd, 5, 5), ring);
    }

    #[test]
    fn circles_are_round_by_the_centre_rule() {
        // Four cubic quarters; their control points at 0.5523 of the radius stray by 0.03 %.
        let (r, k) = (20.0, 20.0 * 0.552_284_749_8);
        let at = |x: f64, y: f64| (x + 20.0, y + 20.0);
        let curve = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
            let (a, b, c) = (at(a.0, a.1), at(b.0, b.1), at(c.0, c.1));
            Segment::CubicTo(a.0, a.1, b.0, b.1, c.0, c.1)
        };
        let circle = [
            Segment::MoveTo(40.0, 20.0),
            curve((r, k), (k, r), (0.0, r)),
            curve((-k, r), (-r, k), (-r, 0.0)),
            curve((-r, -k), (-k, -r), (0.0, -r)),
            curve((k, -r), (r, -k), (r, 0.0)),
        ];
        for (y, row) in draw(&circle, FillRule::NonZero, 40, 40).iter().enumerate() {
            for (x, dot) in row.chars().enumerate() {
                let (dx, dy) = (x as f64 - 19.5, y as f64 - 19.5);
                let distance = (dx * dx + dy * dy).sqrt();
                if (distance - r).abs() > 2.0 * FLATNESS {
                    assert_eq!(dot == '#', distance < r, "{x} {y}");
                }
            }
        }
    }

    #[test]
    fn absurd_outlines_end() {
        let far = [
            Segment::MoveTo(-1e300, -1e300),
            Segment::LineTo(1e300, 5.0),
            Segment::QuadTo(f64::NAN, f64::INFINITY, 1e9, 1e9),
            Segment::CubicTo(1e12, 0.0, 0.0, 1e12, -1e12, 1e12),
        ];
        let _ = draw(&far, FillRule::NonZero, 8, 8);
    }
}
