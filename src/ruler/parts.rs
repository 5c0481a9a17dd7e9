//! Codes from two dots a module upwards, and pairs of lines from one dot upwards.

use super::pen::{DotPoint, Pen};
use crate::codes::{CODE128_QUIET_ZONE, QR_QUIET_ZONE};
use crate::fonts::{Cut, TextError};
use crate::geom::{DotGrid, Mm, Point, QuarterTurn, Size, Stance};
use crate::scene::Ink;

/// Modules of a Code 128 of two characters: start, both, check, stop.
const BAR_MODULES: usize = 4 * 11 + 13;

/// Modules of the smallest QR Code.
const SQUARE_MODULES: usize = 21;

/// Lengths of modules, in millimetres, that are shown besides those of few dots.
const USUAL_MODULES: [f64; 2] = [0.375, 0.5];

/// Dots of the thickest lines of pairs.
const MOST_LINE_DOTS: u32 = 4;

/// Type of headings and names.
const TYPE: f64 = 7.5;

/// From the top of a line of type to what stands under it.
const LINE: Mm = Mm(3.6);

/// Width of a code's name beside it.
const NAME: Mm = Mm(5.5);

/// White between two codes beyond what each needs itself.
const BETWEEN: Mm = Mm(2.0);

/// How much room a page has inside its scales.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Space {
    /// So little that headings are left out.
    Small,
    /// That of a label.
    Usual,
    /// That of a sheet.
    Wide,
}

/// What a part shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum LadderKind {
    /// Code 128 with upright bars, along the feed.
    Along,
    /// Code 128 with flat bars, across the feed.
    Across,
    /// QR, which is the same in both directions.
    Square,
    /// Lines with as much white between them, upright and flat.
    Pairs,
}

/// Codes of one kind, each with larger modules than the one before; or line pairs.
pub(super) struct Ladder {
    /// What it shows.
    kind: LadderKind,
    /// Dots a module, or a line, of each step.
    dots: Vec<u32>,
    /// How long bars are, and the side of a patch of lines.
    bars: Mm,
    /// Whether its name stands above it; in small spaces it does not.
    heading: bool,
    /// What modules are counted in.
    grid: DotGrid,
}

impl Ladder {
    /// The parts of a page, in the order they are given room.
    pub(super) fn all(grid: DotGrid, space: Space) -> Vec<Ladder> {
        let usual = USUAL_MODULES.map(|length| grid.dots(Mm(length)).round() as u32);
        let mut modules: Vec<u32> = [2, 3, 4].into_iter().chain(usual).collect();
        modules.retain(|dots| *dots >= 2);
        modules.sort_unstable();
        modules.dedup();
        let bars = Mm(if space == Space::Wide { 9.0 } else { 7.0 });
        let part = |kind| {
            let dots = match kind {
                LadderKind::Pairs if space == Space::Small => vec![1, 2],
                LadderKind::Along | LadderKind::Across if space == Space::Small => {
                    modules[..2].to_vec()
                }
                LadderKind::Pairs => (1..=MOST_LINE_DOTS).collect(),
                _ => modules.clone(),
            };
            Ladder { kind, dots, bars, heading: space != Space::Small, grid }
        };
        let order = [LadderKind::Along, LadderKind::Across, LadderKind::Pairs, LadderKind::Square];
        order.map(part).into()
    }

    /// The width of its heading, rounded up.
    fn heading_width(&self) -> Mm {
        Mm(match self.kind {
            LadderKind::Along => 30.0,
            LadderKind::Across => 22.0,
            LadderKind::Square => 18.0,
            LadderKind::Pairs => 14.0,
        })
    }

    /// The fewest steps with which it still goes beside another part; with fewer it goes below.
    pub(super) fn least(&self) -> usize {
        match self.kind {
            LadderKind::Pairs => self.steps(),
            _ => self.steps().saturating_sub(1).max(1),
        }
    }

    /// How many steps it has.
    pub(super) fn steps(&self) -> usize {
        self.dots.len()
    }

    /// How long a step is across its bars, quiet zones included.
    fn extent(&self, dots: u32) -> Mm {
        let modules = match self.kind {
            LadderKind::Along | LadderKind::Across => BAR_MODULES + CODE128_QUIET_ZONE.ends(),
            LadderKind::Square => SQUARE_MODULES + QR_QUIET_ZONE.ends(),
            LadderKind::Pairs => return self.bars,
        };
        self.grid.length(modules as f64 * f64::from(dots))
    }

    /// The room that the first steps take.
    pub(super) fn size(&self, steps: usize) -> Size {
        let dots = &self.dots[..steps.min(self.dots.len())];
        let longest = dots.iter().map(|dots| self.extent(*dots)).fold(Mm::ZERO, Mm::max);
        let between = BETWEEN * (dots.len() as f64 - 1.0);
        let row = self.bars * dots.len() as f64 + between;
        let Size { width, height } = match self.kind {
            LadderKind::Along => Size::new(NAME + longest, row),
            LadderKind::Across => Size::new(row, LINE + longest),
            LadderKind::Square => {
                let all: Mm = dots.iter().map(|dots| self.extent(*dots)).sum();
                Size::new(all + between, LINE + longest)
            }
            LadderKind::Pairs => Size::new(row, LINE + self.bars * 2.0 + BETWEEN),
        };
        match self.heading {
            true => Size::new(width.max(self.heading_width()), height + LINE),
            false => Size::new(width, height),
        }
    }

    /// Draws the first steps.
    ///
    /// # Errors
    /// When a character has no glyph.
    pub(super) fn draw(
        &self,
        pen: &mut Pen<'_>,
        corner: Point,
        steps: usize,
    ) -> Result<(), TextError> {
        let Point { x, mut y } = corner;
        let (letter, heading) = match self.kind {
            LadderKind::Along => ("A", "A: bars along the feed"),
            LadderKind::Across => ("B", "B: bars across it"),
            LadderKind::Square => ("Q", "Q: both ways"),
            LadderKind::Pairs => ("", "Line pairs"),
        };
        let capitals = pen.capitals(TYPE);
        if self.heading {
            pen.text(Point::new(x, y + capitals), TYPE, Cut::Bold, heading)?;
            y += LINE;
        }
        let mut at = Point::new(x, y);
        for &dots in &self.dots[..steps.min(self.dots.len())] {
            let name = format!("{letter}{dots}");
            if self.kind == LadderKind::Along {
                let middle = at.y + (self.bars + capitals) / 2.0;
                pen.text(Point::new(x, middle), TYPE, Cut::Regular, &name)?;
                self.draw_step(pen, Point::new(x + NAME, at.y), dots, &name);
                at.y += self.bars + BETWEEN;
            } else {
                let width =
                    if self.kind == LadderKind::Square { self.extent(dots) } else { self.bars };
                let middle = at.x + width / 2.0;
                pen.centred(Point::new(middle, at.y + capitals), TYPE, Cut::Regular, &name)?;
                self.draw_step(pen, Point::new(at.x, at.y + LINE), dots, &name);
                at.x += width + BETWEEN;
            }
        }
        Ok(())
    }

    /// Draws one code or two patches of lines from a corner.
    fn draw_step(&self, pen: &mut Pen<'_>, at: Point, dots: u32, name: &str) {
        let corner = DotPoint { x: pen.dot(at.x), y: pen.dot(at.y) };
        let bars = pen.dot(self.bars);
        match self.kind {
            LadderKind::Along => pen.code128(corner, dots, bars, Stance::UPRIGHT, name),
            LadderKind::Across => {
                let lying = Stance::turned(QuarterTurn::Quarter);
                pen.code128(corner, dots, bars, lying, name);
            }
            LadderKind::Square => pen.qr(corner, dots, name),
            LadderKind::Pairs => {
                let lower = pen.dot(at.y + self.bars + BETWEEN);
                let thick = i64::from(dots);
                // Lines with their white, but for the white of the last.
                for line in 0..(bars + thick) / (2 * thick) {
                    let from = 2 * thick * line;
                    pen.fill([corner.x + from, corner.y, thick, bars], Ink::Black);
                    pen.fill([corner.x, lower + from, bars, thick], Ink::Black);
                }
            }
        }
    }
}
