//! What a printer makes of a page's dots when it prints too dark or too light.
//!
//! In: a page as it was composed. Out: the page as it leaves a printer whose every bar gains or
//! loses whole dots. Not here: damage that strikes by chance.

use crate::export::Bitmap;

/// The page with every black run grown by `gain` dots across and down, or shrunk if it is
/// negative. The odd dot is gained or lost at the right and at the foot, where a head that cools
/// slowly leaves its trail.
pub(super) fn apply_gain(page: &Bitmap, gain: i32) -> Bitmap {
    let mut rows = page.rows().to_vec();
    let stride = page.stride();
    for step in 0..gain.unsigned_abs() {
        let shift = if step % 2 == 0 { Shift::Back } else { Shift::Forth };
        // White around black grows as black around white does, from the other side.
        if gain > 0 {
            smear(&mut rows, stride, shift, |own, neighbour| own | neighbour);
        } else {
            smear(&mut rows, stride, shift.opposite(), |own, neighbour| own & neighbour);
        }
    }
    Bitmap::from_rows(page.width(), page.height(), rows).unwrap_or_else(|| page.clone())
}

/// Where the neighbour of a dot lies.
#[derive(Clone, Copy)]
enum Shift {
    /// To the left and above: black spreads to the right and downwards.
    Back,
    /// To the right and below.
    Forth,
}

impl Shift {
    /// The other side.
    fn opposite(self) -> Shift {
        match self {
            Shift::Back => Shift::Forth,
            Shift::Forth => Shift::Back,
        }
    }
}

/// Joins every dot with its neighbour in its row, then with the one in its column; beyond the page
/// all is white.
fn smear(rows: &mut [u8], stride: usize, shift: Shift, join: impl Fn(u8, u8) -> u8) {
    if stride == 0 {
        return;
    }
    for row in rows.chunks_mut(stride) {
        let before = row.to_vec();
        for (at, byte) in row.iter_mut().enumerate() {
            let neighbour = match shift {
                Shift::Back => {
                    let carry = at.checked_sub(1).map_or(0, |left| before[left] << 7);
                    before[at] >> 1 | carry
                }
                Shift::Forth => before[at] << 1 | before.get(at + 1).map_or(0, |right| right >> 7),
            };
            *byte = join(*byte, neighbour);
        }
    }
    let before = rows.to_vec();
    for (at, byte) in rows.iter_mut().enumerate() {
        let neighbour = match shift {
            Shift::Back => at.checked_sub(stride),
            Shift::Forth => Some(at + stride),
        };
        let dots = neighbour.and_then(|place| before.get(place)).copied().unwrap_or(0);
        *byte = join(*byte, dots);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A page from its picture.
    fn page(picture: &[&str]) -> Bitmap {
        let width = picture[0].len();
        let mut rows = Vec::new();
        for line in picture {
            let mut row = vec![0_u8; width.div_ceil(8)];
            for (x, dot) in line.bytes().enumerate() {
                row[x / 8] |= u8::from(dot == b'#') << (7 - x % 8);
            }
            rows.extend(row);
        }
        Bitmap::from_rows(width as u32, picture.len() as u32, rows).unwrap()
    }

    #[test]
    fn bars_gain_on_the_right_first_and_then_on_both_sides() {
        let bar = page(&["...........", "......###..", "......###..", "..........."]);
        let one = page(&["...........", "......####.", "......####.", "......####."]);
        let two = page(&[".....#####.", ".....#####.", ".....#####.", ".....#####."]);
        assert_eq!(apply_gain(&bar, 0), bar);
        assert_eq!(apply_gain(&bar, 1), one);
        assert_eq!(apply_gain(&bar, 2), two);
    }

    #[test]
    fn bars_lose_on_the_right_first_and_may_vanish() {
        let bar = page(&["...........", "......####.", "......####.", "......####."]);
        let one = page(&["...........", "......###..", "......###..", "..........."]);
        let two = page(&["...........", "...........", ".......##..", "..........."]);
        assert_eq!(apply_gain(&bar, -1), one);
        assert_eq!(apply_gain(&bar, -2), two);
        assert_eq!(apply_gain(&bar, -4), Bitmap::new(11, 4));
    }

    #[test]
    fn nothing_is_printed_beyond_the_page() {
        let edge = page(&["..........#"]);
        assert_eq!(apply_gain(&edge, 3), page(&[".........##"]));
        assert_eq!(apply_gain(&Bitmap::new(0, 0), 2), Bitmap::new(0, 0));
    }
}
