//! Pages of existing PDFs in their boxes.

use std::sync::Arc;

use super::page_store::PageFault;
use super::stack::{shift, slack};
use super::{Job, Place};
use crate::bind::{Bound, BoundPage};
use crate::findings::{Finding, Severity, rules};
use crate::geom::{Mm, Point, Rect, Size};
use crate::images::{ImportedPage, PageCut, PageDrawError, PageRemark};
use crate::layout::{FileHome, PageOf, Scaling, read_page_number};
use crate::scene::{ForeignMark, MarkKind};
use crate::source::confine;
use crate::words::trim_decimals;

/// Scales closer to 1 than this are no change that anyone could measure on paper.
const SAME_SCALE: f64 = 0.002;

/// Where a piece of a page goes.
struct PieceSpot {
    /// Which part of the page is shown.
    cut: PageCut,
    /// Its box.
    rect: Rect,
    /// How much larger it becomes.
    scale: f64,
}

impl Job<'_, '_> {
    /// The height a page asks for when it is `width` wide, if it can be had.
    pub(super) fn page_height(&self, asked: &BoundPage<'_>, width: Mm) -> Mm {
        match self.piece_size(asked) {
            Some(size) if asked.settings.fit == Scaling::Actual => size.height,
            Some(size) => size.height * (width.min(size.width) / size.width),
            None => Mm::ZERO,
        }
    }

    /// The width a page asks for when it is `height` high, if it can be had.
    pub(super) fn page_width(&self, asked: &BoundPage<'_>, height: Option<Mm>, most: Mm) -> Mm {
        match self.piece_size(asked) {
            Some(size) if asked.settings.fit == Scaling::Actual => size.width.min(most),
            Some(size) => (size.width * (height.unwrap_or(size.height) / size.height)).min(most),
            None => Mm::ZERO,
        }
    }

    /// The own size of the piece that a block asks for.
    fn piece_size(&self, asked: &BoundPage<'_>) -> Option<Size> {
        let page = self.fetch(asked).ok()?;
        let size = self.cut_of(&page, asked.settings).size();
        // A piece without area is reported when it is placed.
        (size.width > Mm::ZERO && size.height > Mm::ZERO).then_some(size)
    }

    /// The page that a block asks for.
    fn fetch(&self, asked: &BoundPage<'_>) -> Result<Arc<ImportedPage>, Finding> {
        let (file, page, home) = (&*asked.file, &*asked.page, asked.settings.home);
        if file.trim().is_empty() {
            let message = "there is no PDF to take a page of: the file's name is empty";
            let hint = match home {
                FileHome::Orders => {
                    "give the order a `carrier_label`, or leave the block out with \
                     `when: carrier_label.file`"
                }
                FileHome::Layout => "name the file, or leave the block out with `when`",
            };
            return Err(Finding::new(&rules::PDF_PAGE_NO_FILE, message).hint(hint));
        }
        let Some(number) = read_page_number(page) else {
            let message = format!("expected the number of a page of `{file}`, found `{page}`");
            return Err(Finding::new(&rules::PDF_PAGE_NUMBER, message)
                .hint("the first page is 1; leave `page` out for that one"));
        };
        let store = self.composer.pictures;
        let path = confine(store.folder_of(home), file);
        let path = path.ok_or_else(|| PageFault::Outside.explain(file, home))?;
        store.page(&path, number).map_err(|fault| fault.explain(file, home))
    }

    /// The piece of a page that a block asks for.
    fn cut_of(&self, page: &ImportedPage, settings: &PageOf) -> PageCut {
        let whole = PageCut::whole(page.size());
        let part = settings.part.map_or(whole.part, |part| {
            let [x, y, width, height] = part.map(|length| self.length(length));
            Rect::new(x, y, width, height)
        });
        PageCut { part, turn: settings.turn }
    }

    /// Places a page, and says what may differ from what the seller saw.
    pub(super) fn place_page(&mut self, bound: &Bound<'_>, asked: &BoundPage<'_>, place: Place) {
        let placed = self.fetch(asked).and_then(|page| {
            let name = format!("page {} of `{}`", asked.page.trim(), asked.file);
            let spot = self.find_spot(bound, &page, &name, asked.settings, place.rect)?;
            Ok((page, name, spot))
        });
        let (page, name, spot) = match placed {
            Ok(placed) => placed,
            Err(fault) => return self.find(bound, fault),
        };
        self.remark_on(bound, &page, &name, spot.scale);
        self.try_output(bound, &page, &name, &spot);
        let PieceSpot { cut, rect, .. } = spot;
        self.mark(place.id, MarkKind::Foreign(ForeignMark { page, cut, rect }));
    }

    /// Finds the box of a page in its room.
    fn find_spot(
        &self,
        bound: &Bound<'_>,
        page: &ImportedPage,
        name: &str,
        settings: &PageOf,
        room: Rect,
    ) -> Result<PieceSpot, Finding> {
        let whole = PageCut::whole(page.size()).part;
        let mut cut = self.cut_of(page, settings);
        if !(cut.part.width > Mm::ZERO && cut.part.height > Mm::ZERO && whole.contains(cut.part)) {
            return Err(refuse_part(name, cut.part, page.size()));
        }
        let own = cut.size();
        let (across, down) = (room.width / own.width, room.height / own.height);
        let scale = match settings.fit {
            Scaling::Contain => across.min(down),
            Scaling::Cover => across.max(down),
            Scaling::Actual => 1.0,
        };
        if !(scale > 0.0 && scale.is_finite() && room.width.0 > 0.0 && room.height.0 > 0.0) {
            return Err(Finding::new(&rules::OVERFLOW, format!("there is no room for {name}"))
                .hint("give the block a `height` or `width`"));
        }
        let mut size = Size::new(own.width * scale, own.height * scale);
        if settings.fit == Scaling::Actual
            && (size.width.exceeds(room.width) || size.height.exceeds(room.height))
        {
            return Err(refuse_actual(name, size, room.size()));
        }
        let (free_x, free_y) = (room.width - size.width, room.height - size.height);
        let (dx, dy) = (slack(bound.block.align, free_x), shift(bound.block.sit, free_y));
        if settings.fit == Scaling::Cover {
            let window =
                Rect::new(-dx / scale, -dy / scale, room.width / scale, room.height / scale);
            let shown = cut.turn.turn_back(window, cut.part.size());
            cut.part = shown.moved(cut.part.x, cut.part.y);
            size = room.size();
            return Ok(PieceSpot { cut, rect: Rect::at(room.origin(), size), scale });
        }
        // Bars that were made for this printer's dots stay on them when nothing is scaled.
        let grid = self.frame.grid;
        let at = Point::new(grid.snap_down(room.x + dx), grid.snap_down(room.y + dy));
        Ok(PieceSpot { cut, rect: Rect::at(at, size), scale })
    }

    /// Says what a seller should know of a page that is placed.
    fn remark_on(&mut self, bound: &Bound<'_>, page: &ImportedPage, name: &str, scale: f64) {
        for remark in page.remarks() {
            let message = format!("{name}: {remark}");
            let finding = match remark {
                PageRemark::ScreenOnly { .. } => {
                    Finding::new(&rules::PDF_PAGE_REMARK, message).weighing(Severity::Note)
                }
                PageRemark::StaleField { .. } => Finding::new(&rules::PDF_PAGE_REMARK, message)
                    .hint("look at the page as it prints here, or print it to a new PDF first"),
            };
            self.find(bound, finding);
        }
        if self.frame.one_bit && (scale - 1.0).abs() > SAME_SCALE {
            let percent = trim_decimals(scale * 100.0, 1);
            let change = if scale < 1.0 { "shrink" } else { "grow" };
            let message =
                format!("{name} is printed at {percent} % of its size: codes on it {change} too");
            let hint = "scan one before you print them all; `fit: actual` keeps its own size";
            self.find(bound, Finding::new(&rules::PDF_PAGE_SCALED, message).hint(hint));
        }
    }

    /// Says what the output makes of a page: a PDF takes it over with its faults, other formats
    /// get its dots.
    fn try_output(&mut self, bound: &Bound<'_>, page: &ImportedPage, name: &str, spot: &PieceSpot) {
        if self.composer.pictures.makes_dots() {
            let grid = self.frame.grid;
            let dots = |from: Mm, to: Mm| {
                (grid.dots(to).round() - grid.dots(from).round()).max(1.0) as u32
            };
            let rect = spot.rect;
            let (width, height) = (dots(rect.x, rect.right()), dots(rect.y, rect.bottom()));
            if let Err(error) = page.draw(&spot.cut, width, height) {
                self.find(bound, refuse_drawing(name, &error));
            }
        } else if let Some(problem) = page.archival_problems().first() {
            let message = format!("the PDF will not be PDF/A-2b: {problem}, on {name}");
            let hint = "nothing is lost on paper; archive the carrier's file itself";
            self.find(bound, Finding::new(&rules::PDF_PAGE_NOT_ARCHIVAL, message).hint(hint));
        }
    }
}

/// Refuses a page that cannot be drawn. What the build lacks it lacks for all pages, so the message
/// names none of them and is folded into one.
fn refuse_drawing(name: &str, error: &PageDrawError) -> Finding {
    let (message, hint) = match error {
        PageDrawError::NoRenderer => (
            "a page of a PDF cannot be drawn as dots: this build has no renderer".to_owned(),
            "write a PDF instead, which takes the page over as it is, or build the command with \
             `--features draw`",
        ),
        _ => (
            format!("{name} cannot be drawn as dots: {error}"),
            "write a PDF instead, which takes the page over as it is",
        ),
    };
    Finding::new(&rules::PDF_PAGE_DRAWING, message).hint(hint)
}

/// Refuses a piece that is not on its page.
fn refuse_part(name: &str, part: Rect, page: Size) -> Finding {
    let message = format!(
        "{name} is {} wide and {} high, `part` asks for {} to {} across and {} to {} down",
        page.width,
        page.height,
        part.x,
        part.right(),
        part.y,
        part.bottom()
    );
    Finding::new(&rules::PDF_PAGE_PART, message)
        .hint("`part` is `[x, y, width, height]` from the page's top left corner")
}

/// Refuses a page that does not fit at its own size.
fn refuse_actual(name: &str, size: Size, room: Size) -> Finding {
    let over = |own: Mm, room: Mm, word: &str| {
        own.exceeds(room).then(|| format!("{} too {word}", own - room))
    };
    let faults = [over(size.width, room.width, "wide"), over(size.height, room.height, "high")];
    let faults: Vec<String> = faults.into_iter().flatten().collect();
    let message = format!(
        "{name} is {} × {} and its block {} × {}: {}",
        size.width,
        size.height,
        room.width,
        room.height,
        faults.join(" and ")
    );
    Finding::new(&rules::OVERFLOW, message).hint(
        "make the block larger, name the `part` you need, or let it shrink with `fit: contain`",
    )
}
