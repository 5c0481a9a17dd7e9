//! How long a path of a content stream is, for the dashes that its line is drawn with.
//!
//! In: the operators that build paths, with their numbers. Out: a length in the units that these are
//! in, which are those of dashes too. A curve counts as its corners, which are never shorter. Not
//! here: the operators that paint.

/// A path as far as its length goes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PathLength {
    /// The length so far.
    length: f64,
    /// Where the pen is.
    pen: (f64, f64),
    /// Where the part of the path begins that `h` closes.
    start: (f64, f64),
}

impl PathLength {
    /// The length so far; with no number in it that is none.
    pub(super) fn length(&self) -> f64 {
        if self.length.is_nan() { f64::INFINITY } else { self.length }
    }

    /// Takes in an operator; those that build no path change nothing. Numbers
    /// too many stand before those that count, as renderers take them.
    pub(super) fn follow(&mut self, word: &[u8], operands: &[f64]) {
        match (word, operands) {
            (b"m", [.., x, y]) => (self.pen, self.start) = ((*x, *y), (*x, *y)),
            (b"l", [.., x, y]) => self.go((*x, *y)),
            (b"c", [.., ax, ay, bx, by, x, y]) => {
                [(*ax, *ay), (*bx, *by), (*x, *y)].into_iter().for_each(|to| self.go(to));
            }
            (b"v" | b"y", [.., ax, ay, x, y]) => {
                self.go((*ax, *ay));
                self.go((*x, *y));
            }
            (b"re", [.., x, y, width, height]) => {
                self.length += 2.0 * (width.abs() + height.abs());
                (self.pen, self.start) = ((*x, *y), (*x, *y));
            }
            (b"h", _) => self.go(self.start),
            _ => {}
        }
    }

    /// Goes straight to a point.
    fn go(&mut self, to: (f64, f64)) {
        self.length += (to.0 - self.pen.0).abs() + (to.1 - self.pen.1).abs();
        self.pen = to;
    }
}
