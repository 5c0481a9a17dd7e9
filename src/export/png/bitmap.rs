//! One bit a printer dot.
//!
//! In: runs of dots. Out: packed rows. Not here: which dots (`raster`), the PNG file (`file`).

/// A page of dots, as a thermal head prints it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bitmap {
    /// Dots across.
    width: u32,
    /// Dots down.
    height: u32,
    /// Rows from the top, each padded to whole bytes, the first dot in the highest bit, 1 is black.
    rows: Vec<u8>,
}

impl Bitmap {
    /// A white page.
    #[must_use]
    pub fn new(width: u32, height: u32) -> Bitmap {
        let rows = vec![0; width.div_ceil(8) as usize * height as usize];
        Bitmap { width, height, rows }
    }

    /// A page from its rows, packed as [`Bitmap::rows`] gives them; `None` when there are not as
    /// many bytes as the size asks for. What pads the rows is made white.
    #[must_use]
    pub fn from_rows(width: u32, height: u32, mut rows: Vec<u8>) -> Option<Bitmap> {
        let stride = width.div_ceil(8) as usize;
        if rows.len() != stride.checked_mul(height as usize)? {
            return None;
        }
        if !width.is_multiple_of(8) {
            let mask = 0xFF_u8 << (8 - width % 8);
            rows.iter_mut().skip(stride - 1).step_by(stride).for_each(|byte| *byte &= mask);
        }
        Some(Bitmap { width, height, rows })
    }

    /// Dots across.
    #[must_use]
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Dots down.
    #[must_use]
    pub fn height(&self) -> u32 {
        self.height
    }

    /// Bytes in a row.
    #[must_use]
    pub fn stride(&self) -> usize {
        self.width.div_ceil(8) as usize
    }

    /// All rows from the top, each padded to whole bytes, the first dot in the highest bit, 1 is
    /// black.
    #[must_use]
    pub fn rows(&self) -> &[u8] {
        &self.rows
    }

    /// A row, packed as [`Bitmap::rows`] gives it; `None` below the page.
    #[cfg(feature = "proof")]
    pub(crate) fn row(&self, y: usize) -> Option<&[u8]> {
        (y < self.height as usize).then(|| &self.rows[y * self.stride()..(y + 1) * self.stride()])
    }

    /// Whether a dot is black; outside the page all is white.
    #[must_use]
    pub fn get(&self, x: u32, y: u32) -> bool {
        let inside = x < self.width && y < self.height;
        let at = y as usize * self.stride() + x as usize / 8;
        inside && self.rows.get(at).is_some_and(|byte| byte >> (7 - x % 8) & 1 == 1)
    }

    /// Makes the dots of a row from `from` up to but not including `to` black or white; what lies
    /// outside the page is left out.
    pub(in crate::export) fn fill_run(&mut self, y: i32, from: i32, to: i32, black: bool) {
        let from = from.max(0) as u32;
        let to = to.clamp(0, i32::try_from(self.width).unwrap_or(i32::MAX)) as u32;
        if y < 0 || y as u32 >= self.height || from >= to {
            return;
        }
        let row = y as usize * self.stride();
        let (first, last) = (from as usize / 8, (to as usize - 1) / 8);
        for byte in first..=last {
            let mut mask = 0xFF_u8;
            if byte == first {
                mask &= 0xFF >> (from % 8);
            }
            if byte == last {
                mask &= 0xFF << (7 - (to - 1) % 8);
            }
            let dots = &mut self.rows[row + byte];
            *dots = if black { *dots | mask } else { *dots & !mask };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_fill_exactly_their_dots() {
        for (from, to) in [(0, 1), (3, 7), (0, 8), (5, 21), (7, 8), (16, 30), (-5, 3), (25, 99)] {
            let mut page = Bitmap::new(30, 3);
            page.fill_run(1, from, to, true);
            for x in 0..30 {
                assert_eq!(page.get(x, 1), (from..to).contains(&(x as i32)), "{from} {to} {x}");
                assert!(!page.get(x, 0) && !page.get(x, 2));
            }
            page.fill_run(1, from, to, false);
            assert_eq!(page, Bitmap::new(30, 3));
        }
    }

    #[test]
    fn rows_are_taken_only_whole_and_padded_with_white() {
        let page = Bitmap::from_rows(10, 2, vec![0xFF; 4]).unwrap();
        assert!(page.get(9, 1));
        assert_eq!(page.rows(), [0xFF, 0xC0, 0xFF, 0xC0]);
        assert_eq!(Bitmap::from_rows(10, 2, vec![0; 3]), None);
        assert_eq!(Bitmap::from_rows(0, 0, Vec::new()), Some(Bitmap::new(0, 0)));
    }

    #[test]
    fn what_lies_outside_is_left_out() {
        let mut page = Bitmap::new(10, 2);
        for (y, from, to) in [(-1, 0, 10), (2, 0, 10), (0, 10, 20), (0, -9, 0), (1, 8, 2)] {
            page.fill_run(y, from, to, true);
        }
        assert_eq!(page, Bitmap::new(10, 2));
    }
}
