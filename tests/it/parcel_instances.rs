//! Boxes to pack: the published instance classes of three-dimensional bin packing, and containers
//! cut to pieces.

/// Sides of a box, in whatever unit a test likes.
pub(crate) type Sides = [u64; 3];

/// A small generator of numbers, the same on every machine (splitmix64).
pub(crate) struct Dice(u64);

impl Dice {
    /// Dice that always fall the same way.
    pub(crate) fn seeded(seed: u64) -> Dice {
        Dice(seed)
    }

    /// The next 64 bits.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from `low` to `high`, both included.
    pub(crate) fn roll(&mut self, low: u64, high: u64) -> u64 {
        low + self.next() % (high - low + 1)
    }

    /// Changes the order of anything.
    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.roll(0, last as u64) as usize);
        }
    }
}

/// Boxes of one of the nine classes of Martello, Pisinger and Vigo, "The three-dimensional bin
/// packing problem", Operations Research 48 (2000) 256-267, for cubic bins of side `bin`.
///
/// Classes 1 to 5: of their five kinds of boxes each class draws its own with 60 % and each other
/// with 10 %. Classes 6 to 8 draw each side evenly from 1 to 10, 35 or 100 (bins of 10, 40 and
/// 100). Class 9 cuts three bins completely into boxes, so that three bins are the best there is.
pub(crate) fn draw_class(class: usize, count: usize, bin: u64, dice: &mut Dice) -> Vec<Sides> {
    if class == 9 {
        let thirds = [count / 3, count / 3, count - count / 3 * 2];
        return thirds.into_iter().flat_map(|pieces| cut([bin; 3], pieces, dice)).collect();
    }
    let half = (1, bin / 2);
    let long = (2 * bin / 3, bin);
    let big = (bin / 2, bin);
    let kinds = [[half, long, long], [long, half, long], [long, long, half], [big; 3], [half; 3]];
    let draw = |dice: &mut Dice| match class {
        6 => [(1, 10); 3],
        7 => [(1, 35); 3],
        8 => [(1, 100); 3],
        _ => match dice.roll(1, 10) as usize {
            other @ 1..=5 => kinds[other - 1],
            _ => kinds[class - 1],
        },
    };
    (0..count).map(|_| draw(dice).map(|(low, high)| dice.roll(low, high))).collect()
}

/// The side of the bins that a class is made for.
pub(crate) fn bin_side(class: usize) -> u64 {
    match class {
        6 => 10,
        7 => 40,
        _ => 100,
    }
}

/// Cuts a box completely into so many pieces, by cuts that go all the way through.
pub(crate) fn cut(whole: Sides, pieces: usize, dice: &mut Dice) -> Vec<Sides> {
    let mut parts = vec![whole];
    while parts.len() < pieces {
        let at = dice.roll(0, parts.len() as u64 - 1) as usize;
        let axis = dice.roll(0, 2) as usize;
        if parts[at][axis] < 2 {
            continue;
        }
        let length = dice.roll(1, parts[at][axis] - 1);
        let mut rest = parts[at];
        rest[axis] -= length;
        parts[at][axis] = length;
        parts.push(rest);
    }
    parts
}
