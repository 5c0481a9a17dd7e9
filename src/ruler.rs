//! The ruler page: what a printer really does, to be read off with a ruler and a scanner.
//!
//! In: a paper, a printer's profile and its dots. Out: one finished [`Page`]: scales along the top
//! and the left side, frames at whole millimetres from the edges, codes from two dots a module
//! upwards, line pairs, and in words what to read off and which setting of the shop file it is.
//! Everything is measured from the paper's edges, so that a reading is a setting. Not here:
//! correcting pages by those settings (`correct`); this page is drawn as it is asked for.

mod parts;
mod pen;
mod scales;
mod words;

use crate::findings::{Finding, rules};
use crate::fonts::{Cut, FontBook, TextError};
use crate::geom::{DotGrid, Mm, Point, Rect, Size};
use crate::scene::Page;
use crate::stock::{Printer, Stock};

use parts::{Ladder, Space};
use pen::{LEADING, Pass, Pen, TypeIn};

pub use words::ruler_guide;

/// The smallest paper that has room for both scales and one code.
const LEAST: Size = Size { width: Mm(60.0), height: Mm(50.0) };

/// White between the right and lower edge of the paper and what stands inside the frames.
const MARGIN: Mm = Mm(7.5);

/// White between two parts.
const GAP: Mm = Mm(3.0);

/// Papers at least this wide inside the scales get larger type and longer bars.
const WIDE: Mm = Mm(120.0);

/// Papers with less width or height than this inside the scales go without headings.
const SMALL: Size = Size { width: Mm(45.0), height: Mm(85.0) };

/// What a ruler page is drawn for.
#[derive(Clone, Copy, Debug)]
pub struct Ruler<'a> {
    /// The paper.
    pub stock: &'a Stock,
    /// The printer, as the page is corrected for it: with nothing to correct where it is not.
    pub printer: &'a Printer,
    /// What every line of the page stands on.
    pub grid: DotGrid,
}

/// Draws a ruler page.
///
/// # Errors
/// When the paper is too small, or the printer's name has characters that no font has.
pub fn draw_ruler(ruler: &Ruler<'_>, book: &FontBook) -> Result<Page, Finding> {
    let size = ruler.stock.size;
    if LEAST.width.exceeds(size.width) || LEAST.height.exceeds(size.height) {
        let message = format!(
            "a ruler needs paper of {} by {}, `{}` has {} by {}",
            LEAST.width, LEAST.height, ruler.stock.name, size.width, size.height
        );
        return Err(Finding::new(&rules::SMALL_RULER, message)
            .hint("load larger paper of the same kind, such as `100x50mm`"));
    }
    let mut pen = Pen::new(ruler, book);
    draw(&mut pen, ruler).map_err(|error| {
        let message = format!("the printer's name cannot be printed: {error}");
        Finding::new(&rules::MISSING_GLYPH, message).hint("give it a plainer name in the shop file")
    })?;
    Ok(pen.finish())
}

/// Draws everything.
fn draw(pen: &mut Pen<'_>, ruler: &Ruler<'_>) -> Result<(), TextError> {
    scales::draw_frames(pen)?;
    scales::draw_scales(pen)?;
    let size = ruler.stock.size;
    let (left, top) = (scales::AXIS + Mm(7.5), scales::AXIS + Mm(5.0));
    let room = Rect::new(left, top, size.width - MARGIN - left, size.height - MARGIN - top);
    let space = if room.width >= WIDE {
        Space::Wide
    } else if room.width < SMALL.width || room.height < SMALL.height {
        Space::Small
    } else {
        Space::Usual
    };
    let top = draw_title(pen, ruler, room, space)?;
    let mut shelves = Shelves::new(Rect { y: top, height: room.bottom() - top, ..room });
    for part in Ladder::all(ruler.grid, space) {
        if let Some((at, steps)) =
            shelves.place(part.steps(), part.least(), |steps| part.size(steps))
        {
            part.draw(pen, at, steps)?;
        }
    }
    let rest = shelves.rest();
    let place = Rect { width: room.width.min(Mm(150.0)), ..rest };
    let height = words::draw(pen, ruler, place, space, Pass::Measure)?;
    if !height.exceeds(rest.height) {
        words::draw(pen, ruler, place, space, Pass::Paint)?;
    }
    Ok(())
}

/// Draws what the page is and for whom; tells where the parts begin.
fn draw_title(
    pen: &mut Pen<'_>,
    ruler: &Ruler<'_>,
    room: Rect,
    space: Space,
) -> Result<Mm, TextError> {
    let (large, small) = match space {
        Space::Small => (7.5, 7.0),
        Space::Usual => (13.0, 7.5),
        Space::Wide => (18.0, 9.0),
    };
    const NAME: &str = "Printer ruler";
    let mut y = room.y + pen.capitals(large);
    pen.text(Point::new(room.x, y), large, Cut::Bold, NAME)?;
    let [what, dpi, corrected] = words::list_facts(ruler);
    if space == Space::Small {
        let x = room.x + pen.width(large, Cut::Bold, NAME)? + Mm(2.0);
        let beside = room.right() - x >= pen.width(small, Cut::Regular, &what)?;
        let below = Point::new(room.x, y + Mm::from_pt(small * 1.3));
        let at = if beside { Point::new(x, y) } else { below };
        let most = TypeIn { points: small, most_em: room.width / Mm::from_pt(small) };
        let lines = pen.lines(at, most, Cut::Regular, &what, Pass::Paint)?;
        let last = at.y + Mm::from_pt(small) * LEADING * (lines as f64 - 1.0);
        return Ok(last + Mm(2.0));
    }
    let leading = Mm::from_pt(small * 1.3);
    y += leading * 0.25;
    for fact in [format!("{what}, {dpi}"), corrected] {
        y += leading;
        let most = TypeIn { points: small, most_em: room.width / Mm::from_pt(small) };
        let lines = pen.lines(Point::new(room.x, y), most, Cut::Regular, &fact, Pass::Paint)?;
        y += Mm::from_pt(small) * LEADING * (lines as f64 - 1.0);
    }
    Ok(y + GAP)
}

/// Room that parts are put into from left to right, shelf under shelf.
struct Shelves {
    /// What is free below the shelf at hand, and that shelf itself.
    room: Rect,
    /// Where the next part of this shelf begins.
    x: Mm,
    /// The height of the highest part of this shelf.
    height: Mm,
}

impl Shelves {
    /// Empty room.
    fn new(room: Rect) -> Shelves {
        Shelves { room, x: room.x, height: Mm::ZERO }
    }

    /// Finds room for a part that can be drawn with up to so many steps: beside the last part, if
    /// `least` of them fit there, else on a new shelf, with as many as fit. `None` when not even
    /// one does.
    fn place(
        &mut self,
        steps: usize,
        least: usize,
        size: impl Fn(usize) -> Size,
    ) -> Option<(Point, usize)> {
        let beside = |steps| {
            let size = size(steps);
            let fits = !(self.x + size.width).exceeds(self.room.right())
                && !size.height.exceeds(self.room.height);
            fits.then_some((steps, size))
        };
        if let Some((steps, size)) = (least..=steps).rev().find_map(beside) {
            return Some((self.take(size), steps));
        }
        let below = self.rest();
        let fits = |steps| {
            let size = size(steps);
            let fits = !size.width.exceeds(below.width) && !size.height.exceeds(below.height);
            fits.then_some((steps, size))
        };
        let new = (1..=steps).rev().find_map(fits);
        let tight = (1..=steps).rev().find_map(beside);
        match (new, tight) {
            (Some((steps, size)), _) if self.x > self.room.x => {
                self.room = below;
                (self.x, self.height) = (below.x, Mm::ZERO);
                Some((self.take(size), steps))
            }
            (_, Some((steps, size))) => Some((self.take(size), steps)),
            _ => None,
        }
    }

    /// Takes room on this shelf.
    fn take(&mut self, size: Size) -> Point {
        let at = Point::new(self.x, self.room.y);
        self.x += size.width + GAP;
        self.height = self.height.max(size.height);
        at
    }

    /// What is free below this shelf.
    fn rest(&self) -> Rect {
        let used = if self.height > Mm::ZERO { self.height + GAP } else { Mm::ZERO };
        Rect { y: self.room.y + used, height: (self.room.height - used).max(Mm::ZERO), ..self.room }
    }
}
