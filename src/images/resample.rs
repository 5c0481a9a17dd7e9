//! Bringing a picture to another number of pixels.
//!
//! In: grey pixels and the wanted size. Out: grey pixels of that size, each the mean of the area
//! it covers, rounded once, in integers. Not here: which size is wanted.

use super::picture::GrayImage;

/// The picture with `width` by `height` pixels, of which 0 counts as 1.
///
/// Each new pixel is the mean of the old ones under it, weighed by how much of each it covers;
/// enlarging therefore repeats pixels and keeps hard edges hard. The caller bounds the size.
#[must_use]
pub fn resample(image: &GrayImage, width: u32, height: u32) -> GrayImage {
    let (width, height) = (width.max(1), height.max(1));
    if (width, height) == (image.width, image.height) {
        return image.clone();
    }
    let columns = overlaps(image.width, width);
    let rows = overlaps(image.height, height);
    let area = u64::from(image.width.max(1)) * u64::from(image.height.max(1));
    let mut pixels = Vec::with_capacity(width as usize * height as usize);
    let mut squeezed = SqueezedRow { row: None, sums: vec![0; width as usize] };
    for span in &rows {
        let mut sums = vec![0_u64; width as usize];
        for (row, weight) in span.iter() {
            squeezed.load(image, row, &columns);
            for (sum, part) in sums.iter_mut().zip(&squeezed.sums) {
                *sum += part * weight;
            }
        }
        pixels.extend(sums.iter().map(|sum| ((sum + area / 2) / area) as u8));
    }
    GrayImage { width, height, pixels }
}

/// Which old pixels a new one covers along one side.
struct Overlap {
    /// The first of them.
    first: usize,
    /// How much of the first is covered, in parts of an old pixel as many as there are new ones.
    head: u64,
    /// How many follow that are covered wholly.
    whole: usize,
    /// How much of the one after those is covered; 0 for none.
    tail: u64,
    /// The weight of a whole pixel.
    full: u64,
}

impl Overlap {
    /// The covered pixels with their weights.
    fn iter(&self) -> impl Iterator<Item = (usize, u64)> {
        let next = self.first + 1;
        let last = (self.tail > 0).then_some((next + self.whole, self.tail));
        std::iter::once((self.first, self.head))
            .chain((next..next + self.whole).map(|pixel| (pixel, self.full)))
            .chain(last)
    }
}

/// Which of `old` pixels each of `new` ones covers.
///
/// Both sides are measured in parts of which `old * new` make the whole: an old pixel is `new`
/// parts long, a new one `old`.
fn overlaps(old: u32, new: u32) -> Vec<Overlap> {
    let (length, full) = (u64::from(old.max(1)), u64::from(new));
    (0..full)
        .map(|index| {
            let (start, end) = (index * length, (index + 1) * length);
            let first = start / full;
            let head = ((first + 1) * full).min(end) - start;
            let rest = end - start - head;
            Overlap {
                first: first as usize,
                head,
                whole: (rest / full) as usize,
                tail: rest % full,
                full,
            }
        })
        .collect()
}

/// One old row brought to the new width; kept, because neighbouring new rows share old ones.
struct SqueezedRow {
    /// Which row it is; none at first.
    row: Option<usize>,
    /// Its weighed sums.
    sums: Vec<u64>,
}

impl SqueezedRow {
    /// Squeezes a row unless it is the one already held.
    fn load(&mut self, image: &GrayImage, row: usize, columns: &[Overlap]) {
        if self.row == Some(row) {
            return;
        }
        self.row = Some(row);
        let width = image.width as usize;
        let pixels = image.pixels.get(row * width..(row + 1) * width).unwrap_or(&[]);
        for (sum, span) in self.sums.iter_mut().zip(columns) {
            *sum = span
                .iter()
                .map(|(at, weight)| pixels.get(at).map_or(255, |gray| u64::from(*gray)) * weight)
                .sum();
        }
    }
}
