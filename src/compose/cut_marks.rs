//! Cut marks: short lines at the edges of a sheet and between its pages that show where to cut.
//!
//! In: where the columns and rows of pages begin and end. Out: the boxes of the lines, on whole
//! dots, none twice, all of them where the printer reaches.
//!
//! A cut goes through the whole sheet, so its marks stand in every strip of white that it crosses:
//! above and below the pages, and in the gutters. Where pages that touch fill the sheet up to its
//! edge there is no such strip; there a mark of two dots stands on the cut itself, one dot on either
//! page. No other mark touches a page or a free place.

use crate::findings::{Finding, rules};
use crate::geom::{DotGrid, Insets, Mm, Rect, Size};
use crate::source::Span;

/// Where pages begin and end along one side of a sheet.
pub(super) type Tracks = Vec<(Mm, Mm)>;

/// How long a mark is, where there is room.
const LENGTH: Mm = Mm(4.0);

/// A shorter one is not seen.
const SHORTEST: Mm = Mm(1.5);

/// How far a mark stays from the pages.
const GAP: Mm = Mm(1.0);

/// How thick a mark is, before that becomes whole dots.
const THICKNESS: Mm = Mm(0.25);

/// Pages this close to the edge of the sheet need no cut there.
const AT_THE_EDGE: Mm = Mm(1.0);

/// The marks of a sheet whose places are all filled.
#[derive(Clone, Debug)]
pub(super) struct CutMarks {
    /// The upright cuts from the left.
    upright: Vec<SheetCut>,
    /// The level cuts from the top.
    level: Vec<SheetCut>,
    /// The widest edge that the printer leaves white.
    clear: Mm,
}

/// A straight cut through the whole sheet.
#[derive(Clone, Debug)]
struct SheetCut {
    /// Where it crosses the sheet.
    at: Mm,
    /// The columns or rows of pages that have an edge on it.
    tracks: Vec<usize>,
    /// The stretches along it that are marked.
    stretches: Vec<MarkedStretch>,
    /// Which of its ends have no mark.
    unmarked: Ends,
}

/// The two ends of a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Ends {
    /// The upper or left one.
    first: bool,
    /// The lower or right one.
    last: bool,
}

/// Pages along one side of a sheet, and what a printer reaches there.
#[derive(Clone, Copy)]
struct SheetAxis<'t> {
    /// Where the columns, or the rows, of pages begin and end.
    tracks: &'t Tracks,
    /// The length of the side.
    side: Mm,
    /// The part of it that the printer prints.
    reach: Reach,
}

/// A part of a line across or down a sheet.
#[derive(Clone, Copy)]
struct Reach {
    /// Where it begins.
    first: Mm,
    /// Where it ends.
    last: Mm,
}

/// A marked stretch of a cut.
#[derive(Clone, Copy, Debug)]
struct MarkedStretch {
    /// Where it starts, in millimetres along the cut.
    start: Mm,
    /// Where it ends, in millimetres along the cut.
    end: Mm,
    /// Whether it stands on the cut between two pages, not in white.
    on_pages: bool,
}

impl CutMarks {
    /// Where a sheet is cut whose places are all filled.
    pub(super) fn plan(
        columns: &Tracks,
        rows: &Tracks,
        sheet: Size,
        clear: Insets,
        grid: DotGrid,
    ) -> CutMarks {
        // Cuts that are closer than a mark is thick are one, or their marks would overlap.
        let apart = drawn_thickness(grid) + Mm(1e-6);
        let across = SheetAxis {
            tracks: columns,
            side: sheet.width,
            reach: Reach { first: clear.left, last: sheet.width - clear.right },
        };
        let down = SheetAxis {
            tracks: rows,
            side: sheet.height,
            reach: Reach { first: clear.top, last: sheet.height - clear.bottom },
        };
        CutMarks {
            upright: plan_cuts(across, down, apart),
            level: plan_cuts(down, across, apart),
            clear: clear.left.max(clear.right).max(clear.top).max(clear.bottom),
        }
    }

    /// The marks of the cuts around some pages, given by column and row.
    pub(super) fn lines<'c>(
        &self,
        cells: impl Iterator<Item = &'c (usize, usize)> + Clone,
        grid: DotGrid,
    ) -> Vec<Rect> {
        let mut lines = Vec::new();
        for cut in &self.upright {
            if cells.clone().any(|(column, _)| cut.tracks.contains(column)) {
                let upright = |(at, thick), (start, long)| Rect::new(at, start, thick, long);
                lines.extend(cut.stretches.iter().map(|it| it.to_rect(cut.at, grid, upright)));
            }
        }
        for cut in &self.level {
            if cells.clone().any(|(_, row)| cut.tracks.contains(row)) {
                let level = |(at, thick), (start, long)| Rect::new(start, at, long, thick);
                lines.extend(cut.stretches.iter().map(|it| it.to_rect(cut.at, grid, level)));
            }
        }
        lines
    }

    /// Says at which edges of the sheet there is no room for marks.
    pub(super) fn explain_missing(&self, span: Span) -> Option<Finding> {
        let any = |cuts: &[SheetCut], pick: fn(&SheetCut) -> bool| cuts.iter().any(pick);
        let edges = [
            ("upper", any(&self.upright, |cut| cut.unmarked.first)),
            ("lower", any(&self.upright, |cut| cut.unmarked.last)),
            ("left", any(&self.level, |cut| cut.unmarked.first)),
            ("right", any(&self.level, |cut| cut.unmarked.last)),
        ];
        let edges: Vec<&str> = edges.iter().filter(|edge| edge.1).map(|edge| edge.0).collect();
        let (last, others) = edges.split_last()?;
        let edges = match others {
            [] => format!("{last} edge"),
            _ => format!("{} and {last} edges", others.join(", ")),
        };
        let message = format!("there is no room for cut marks at the {edges} of the sheet");
        let room = GAP + SHORTEST;
        let hint = match self.clear {
            Mm::ZERO => format!("let the pages begin at least {room} from the edge of the sheet"),
            clear => format!(
                "let the pages begin at least {} from the edge of the sheet: {clear} that the \
                 printer leaves white, {room} for a mark",
                clear + room
            ),
        };
        let hint = format!("{hint}; or take `marks` out");
        Some(Finding::new(&rules::CUT_MARKS, message).at(span).hint(hint))
    }
}

impl MarkedStretch {
    /// The box of the stretch on whole dots, never longer than it is; `line` puts it together from
    /// place and thickness across the cut, and start and length along it.
    fn to_rect(self, at: Mm, grid: DotGrid, line: impl Fn((Mm, Mm), (Mm, Mm)) -> Rect) -> Rect {
        let thickness = if self.on_pages { grid.length(2.0) } else { drawn_thickness(grid) };
        let (start, end) = (grid.snap_up(self.start), grid.snap_down(self.end));
        line((grid.snap(at - thickness / 2.0), thickness), (start, end - start))
    }
}

/// How thick a mark is in whole dots, at least two.
fn drawn_thickness(grid: DotGrid) -> Mm {
    grid.length(grid.dots(THICKNESS).round().max(2.0))
}

/// Plans the cuts that part the tracks of one side; they run along the other. Cuts closer than
/// `apart` are one.
fn plan_cuts(parted: SheetAxis<'_>, along: SheetAxis<'_>, apart: Mm) -> Vec<SheetCut> {
    let SheetAxis { tracks, side, reach } = parted;
    let mut cuts: Vec<SheetCut> = Vec::new();
    let edges =
        tracks.iter().enumerate().flat_map(|(index, &(start, end))| [(start, index), (end, index)]);
    for (at, track) in edges {
        if at < AT_THE_EDGE || side - at < AT_THE_EDGE {
            continue;
        }
        match cuts.last_mut() {
            Some(last) if at - last.at < apart => last.tracks.push(track),
            _ => {
                let (tracks, stretches) = (vec![track], Vec::new());
                let unmarked = Ends { first: false, last: false };
                cuts.push(SheetCut { at, tracks, stretches, unmarked });
            }
        }
    }
    for cut in &mut cuts {
        let is_reached = cut.at - THICKNESS > reach.first && cut.at + THICKNESS < reach.last;
        if is_reached {
            cut.mark(along.tracks, along.reach);
        } else {
            cut.unmarked = Ends { first: true, last: true };
        }
    }
    cuts
}

impl SheetCut {
    /// Marks the cut in the white above, below and between the tracks it runs through.
    fn mark(&mut self, crossed: &Tracks, Reach { first, last }: Reach) {
        let (Some(top), Some(bottom)) = (crossed.first(), crossed.last()) else { return };
        let white = |start: Mm, end: Mm| MarkedStretch { start, end, on_pages: false };
        let (end, start) = (top.0 - GAP, bottom.1 + GAP);
        let has_white = Ends { first: end - first >= SHORTEST, last: last - start >= SHORTEST };
        if has_white.first {
            self.stretches.push(white(first.max(end - LENGTH), end));
        }
        for pair in crossed.windows(2) {
            let (start, end) = (pair[0].1 + GAP, pair[1].0 - GAP);
            if end - start > LENGTH * 2.0 + GAP {
                self.stretches.extend([white(start, start + LENGTH), white(end - LENGTH, end)]);
            } else if end - start >= SHORTEST {
                self.stretches.push(white(start, end));
            }
        }
        if has_white.last {
            self.stretches.push(white(start, last.min(start + LENGTH)));
        }
        let pages = Reach { first: first.max(top.0), last: last.min(bottom.1) };
        if self.tracks.len() > 1 && pages.last - pages.first >= LENGTH {
            self.mark_on_pages(pages, has_white);
        } else {
            self.unmarked = Ends { first: !has_white.first, last: !has_white.last };
        }
    }

    /// Marks the ends of a cut between pages that touch, where there is no white to stand in.
    fn mark_on_pages(&mut self, Reach { first, last }: Reach, has_white: Ends) {
        let mark = |start: Mm, end: Mm| MarkedStretch { start, end, on_pages: true };
        let ends = [mark(first, first + LENGTH), mark(last - LENGTH, last)];
        match (has_white.first, has_white.last) {
            (true, true) => {}
            (false, true) => self.stretches.push(ends[0]),
            (true, false) => self.stretches.push(ends[1]),
            (false, false) if last - first > LENGTH * 2.0 + GAP => self.stretches.extend(ends),
            (false, false) => self.stretches.push(mark(first, last)),
        }
    }
}
