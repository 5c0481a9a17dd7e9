//! How long a path of a content stream is, for the dashes that its line is drawn with.
//!
//! In: the operators that build paths, as the renderer reads them. Out: a length in the units that
//! these are in, which are those of dashes too. A curve counts as its corners, which are never
//! shorter. Not here: the operators that paint.

use hayro::hayro_syntax::content::ops::TypedInstruction;
use hayro::hayro_syntax::object::Number;

/// A path as far as its length goes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PathLength {
    /// The length so far.
    length: f64,
    /// Where the path has come to.
    pen: (f64, f64),
    /// Where the part of the path begins that `h` closes.
    start: (f64, f64),
}

impl PathLength {
    /// The length so far; with no number in it that is none.
    pub(super) fn length(&self) -> f64 {
        if self.length.is_nan() { f64::INFINITY } else { self.length }
    }

    /// Both, with the pen where the second has it.
    pub(super) fn and(self, other: PathLength) -> PathLength {
        PathLength { length: self.length + other.length, ..other }
    }

    /// Takes in an operator; whether it builds a path.
    pub(super) fn follow(&mut self, instruction: &TypedInstruction<'_, '_>) -> bool {
        use TypedInstruction as Is;
        match instruction {
            Is::MoveTo(to) => {
                self.pen = point(&to.0, &to.1);
                self.start = self.pen;
            }
            Is::LineTo(to) => self.go(point(&to.0, &to.1)),
            Is::CubicTo(to) => {
                self.go(point(&to.0, &to.1));
                self.go(point(&to.2, &to.3));
                self.go(point(&to.4, &to.5));
            }
            Is::CubicStartTo(to) => {
                self.go(point(&to.0, &to.1));
                self.go(point(&to.2, &to.3));
            }
            Is::CubicEndTo(to) => {
                self.go(point(&to.0, &to.1));
                self.go(point(&to.2, &to.3));
            }
            Is::RectPath(sides) => {
                let (width, height) = point(&sides.2, &sides.3);
                self.length += 2.0 * (width.abs() + height.abs());
                self.pen = point(&sides.0, &sides.1);
                self.start = self.pen;
            }
            Is::ClosePath(_) => self.close(),
            _ => return false,
        }
        true
    }

    /// Goes back to where the part began.
    pub(super) fn close(&mut self) {
        self.go(self.start);
    }

    /// Goes straight to a point.
    fn go(&mut self, to: (f64, f64)) {
        self.length += (to.0 - self.pen.0).abs() + (to.1 - self.pen.1).abs();
        self.pen = to;
    }
}

/// A point of two numbers.
fn point(x: &Number, y: &Number) -> (f64, f64) {
    (x.as_f64(), y.as_f64())
}
