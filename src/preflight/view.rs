//! A page as the rules look at it, and its codes: their quiet zones and sizes in modules.

use std::cell::OnceCell;

use crate::findings::{Finding, Rule};
use crate::fonts::FontBook;
use crate::geom::{Insets, Mm, Rect};
use crate::scene::{BlockId, CodeMark, Ink, Mark, MarkKind, Page, PlacedBlock};
use crate::words::{counted, shorten_to, trim_decimals};

/// Marks that a strip of the page holds on average, as far as [`MOST_STRIPS`] allows.
const STRIP_MARKS: usize = 8;

/// Most strips that a page is divided into for finding marks by their place. A mark as high as the
/// page is in all of them.
const MOST_STRIPS: usize = 128;

/// Characters of a text that a message shows.
pub(super) const SHOWN_CHARACTERS: usize = 30;

/// A page with what the rules ask of it again and again.
pub(super) struct View<'a> {
    /// What is judged.
    pub(super) page: &'a Page,
    /// The fonts its texts are set in.
    pub(super) book: &'a FontBook,
    /// The whole paper.
    pub(super) paper: Rect,
    /// The box of each mark, in painting order.
    pub(super) boxes: Vec<Rect>,
    /// The machine-readable codes, in painting order.
    pub(super) codes: Vec<CodeOnPage<'a>>,
    /// The marks but texts, by strips of the page from top to bottom.
    solids: Strips,
    /// All marks by strips; only pages with codes need them.
    all: OnceCell<Strips>,
}

impl<'a> View<'a> {
    /// Looks at a page.
    pub(super) fn of(page: &'a Page, book: &'a FontBook) -> View<'a> {
        let boxes: Vec<Rect> = page.marks.iter().map(|mark| mark.rect(page.grid)).collect();
        let solids = Strips::sort(&boxes, page.size.height, |number| {
            !matches!(page.marks[number].kind, MarkKind::Text(_))
        });
        let codes = page.marks.iter().enumerate().filter_map(|(mark, it)| match &it.kind {
            MarkKind::Code(code) => {
                Some(CodeOnPage { mark, block: it.block, code, symbol: boxes[mark] })
            }
            _ => None,
        });
        let codes = codes.collect();
        let paper = Rect::new(Mm::ZERO, Mm::ZERO, page.size.width, page.size.height);
        View { page, book, paper, boxes, codes, solids, all: OnceCell::new() }
    }

    /// Every mark with its number and box, in painting order.
    pub(super) fn marks(&self) -> impl Iterator<Item = (usize, &'a Mark, Rect)> + '_ {
        let marks = self.page.marks.iter().zip(&self.boxes).enumerate();
        marks.map(|(number, (mark, rect))| (number, mark, *rect))
    }

    /// The numbers of the marks that share area with a box, in painting order.
    pub(super) fn marks_at(&self, place: Rect) -> Vec<usize> {
        let all = self
            .all
            .get_or_init(|| Strips::sort(&self.boxes, self.page.size.height, |_number| true));
        self.sharing(all, place)
    }

    /// As [`View::marks_at`], without texts.
    pub(super) fn solids_at(&self, place: Rect) -> Vec<usize> {
        self.sharing(&self.solids, place)
    }

    /// The numbers of the marks in strips that share area with a box, in painting order.
    fn sharing(&self, strips: &Strips, place: Rect) -> Vec<usize> {
        let near = strips.near(place).map(|number| number as usize);
        let mut sharing: Vec<usize> =
            near.filter(|&number| self.boxes[number].intersection(place).is_some()).collect();
        sharing.sort_unstable();
        sharing.dedup();
        sharing
    }

    /// A block, if the page has it.
    pub(super) fn block(&self, id: BlockId) -> Option<&'a PlacedBlock> {
        self.page.blocks.get(id.0 as usize)
    }

    /// What a block is called in the layout language.
    pub(super) fn name(&self, id: BlockId) -> &'static str {
        self.block(id).map_or("page", |block| block.name)
    }

    /// The length of some dots on this page.
    pub(super) fn dots(&self, dots: f64) -> Mm {
        self.page.grid.length(dots)
    }

    /// What a mark is called in a message: a text by its first words, anything else by its block.
    pub(super) fn describe(&self, mark: &Mark) -> String {
        match &mark.kind {
            MarkKind::Text(run) => {
                format!("the text `{}`", shorten_to(run.text.trim(), SHOWN_CHARACTERS))
            }
            _ => format!("this `{}`", self.name(mark.block)),
        }
    }

    /// A finding of a rule about a block.
    pub(super) fn finding(
        &self,
        rule: &'static Rule,
        block: BlockId,
        message: impl Into<String>,
    ) -> Finding {
        let mut finding = Finding::new(rule, message);
        if let Some(block) = self.block(block) {
            finding = finding.at(block.span).block(block.name);
        }
        finding.subject = self.page.subject.clone();
        finding
    }

    /// Whether white painted after a mark covers a place, so that what lies under it is not seen.
    pub(super) fn is_white_over(&self, place: Rect, after: usize, before: usize) -> bool {
        self.solids_at(place).into_iter().any(|number| {
            let white = matches!(self.page.marks[number].kind, MarkKind::Fill(_, Ink::White));
            white && number > after && number < before && self.boxes[number].contains(place)
        })
    }
}

/// Whether a mark paints black or a colour, or may: of a picture or another file's page nobody knows.
pub(super) fn is_black(mark: &Mark) -> bool {
    match &mark.kind {
        MarkKind::Text(run) => run.ink != Ink::White && !run.text.trim().is_empty(),
        MarkKind::Fill(_, ink) => *ink != Ink::White,
        MarkKind::Outline(outline) => outline.ink != Ink::White,
        MarkKind::Code(_) | MarkKind::Tally(_) => true,
        MarkKind::Picture(_) | MarkKind::Foreign(_) => true,
    }
}

/// Whether a mark says or shows something; white boxes only hide what is under them.
pub(super) fn is_content(mark: &Mark) -> bool {
    is_black(mark)
        || matches!(&mark.kind, MarkKind::Text(run) if !run.text.trim().is_empty())
        || matches!(mark.kind, MarkKind::Outline(_))
}

/// A name with its article: ``a `text` ``, ``an `address` ``, or ``another `text` `` beside its
/// like.
pub(super) fn with_article(name: &str, beside: &str) -> String {
    let vowel = name.starts_with(['a', 'e', 'i', 'o', 'u']);
    match (name == beside, vowel) {
        (true, _) => format!("another `{name}`"),
        (false, true) => format!("an `{name}`"),
        (false, false) => format!("a `{name}`"),
    }
}

/// A length of few dots with three decimals: two would show a dot of 0.125 mm as 0.12.
pub(super) fn fine(length: Mm) -> String {
    format!("{} mm", trim_decimals(length.0, 3))
}

/// Numbers of marks by the strips of the page that their boxes touch.
struct Strips {
    /// Strips in a millimetre.
    per_mm: f64,
    /// Where each strip's numbers start, and where the last one's end.
    starts: Vec<u32>,
    /// The numbers, strip after strip.
    numbers: Vec<u32>,
}

impl Strips {
    /// Sorts the boxes whose numbers are `wanted` into strips of a page.
    fn sort(boxes: &[Rect], height: Mm, wanted: impl Fn(usize) -> bool) -> Strips {
        let count = (boxes.len() / STRIP_MARKS).clamp(1, MOST_STRIPS);
        let per_mm = count as f64 / height.0.max(1.0);
        let taken = || boxes.iter().enumerate().filter(|(number, _)| wanted(*number));
        let mut starts = vec![0_u32; count + 1];
        for (_, rect) in taken() {
            for strip in touched(*rect, per_mm, count) {
                starts[strip + 1] += 1;
            }
        }
        for strip in 0..count {
            starts[strip + 1] += starts[strip];
        }
        let mut next = starts.clone();
        let mut numbers = vec![0; starts[count] as usize];
        for (number, rect) in taken() {
            for strip in touched(*rect, per_mm, count) {
                numbers[next[strip] as usize] = number as u32;
                next[strip] += 1;
            }
        }
        Strips { per_mm, starts, numbers }
    }

    /// Numbers of boxes in the strips that a box touches; some more than once.
    fn near(&self, place: Rect) -> impl Iterator<Item = u32> + '_ {
        let strips = touched(place, self.per_mm, self.starts.len() - 1);
        let (first, last) = (*strips.start(), *strips.end());
        let range = self.starts[first] as usize..self.starts[last + 1] as usize;
        self.numbers[range].iter().copied()
    }
}

/// The strips that a box touches; what lies outside the page is counted to its edge.
fn touched(rect: Rect, per_mm: f64, count: usize) -> std::ops::RangeInclusive<usize> {
    // A float outside the range of an integer, or none at all, is brought to its nearest end.
    let strip = |y: Mm| ((y.0 * per_mm) as usize).min(count - 1);
    let first = strip(rect.y);
    first..=strip(rect.bottom()).max(first)
}

/// What rules about codes look at.
#[derive(Clone, Copy)]
pub(super) struct CodeOnPage<'a> {
    /// The number of its mark.
    pub(super) mark: usize,
    /// The block it belongs to.
    pub(super) block: BlockId,
    /// What it says and how it is drawn.
    pub(super) code: &'a CodeMark,
    /// The symbol without its quiet zone.
    pub(super) symbol: Rect,
}

impl CodeOnPage<'_> {
    /// White modules needed at both ends of the symbol together.
    pub(super) fn white(&self) -> u32 {
        u32::try_from(self.code.symbol.quiet_zone().ends()).unwrap_or(u32::MAX)
    }

    /// Modules from end to end of the symbol, without its quiet zone.
    pub(super) fn modules(&self) -> u32 {
        u32::try_from(self.code.symbol.modules()).unwrap_or(u32::MAX)
    }

    /// The length of a module.
    pub(super) fn module(&self, view: &View<'_>) -> Mm {
        view.dots(f64::from(self.code.module_dots))
    }

    /// The symbol with the white it needs around it. It is reckoned from the symbol, not taken
    /// from the scene, so that a zone composed too narrow is found too.
    pub(super) fn zone(&self, view: &View<'_>) -> Rect {
        let white = |modules: usize| -(self.module(view) * modules as f64);
        let quiet = self.code.symbol.quiet_zone();
        let (mut before, mut behind) = (white(quiet.before), white(quiet.behind));
        if self.code.stance.runs_back() {
            (before, behind) = (behind, before);
        }
        let beside = white(quiet.beside);
        self.symbol.shrunk(match self.code.stance.is_lying() {
            false => Insets { left: before, right: behind, top: beside, bottom: beside },
            true => Insets { top: before, bottom: behind, left: beside, right: beside },
        })
    }

    /// The quiet zone in words: its width, in millimetres and modules, and where it lies.
    pub(super) fn describe_zone(&self, view: &View<'_>) -> String {
        let quiet = self.code.symbol.quiet_zone();
        let lying = self.code.stance.is_lying();
        let white = |modules: usize| {
            let white = self.module(view) * modules as f64;
            format!("{white} of white ({})", counted(modules, "module"))
        };
        match (quiet.beside, quiet.before == quiet.behind) {
            (1.., _) => format!("{} all round", white(quiet.before)),
            (0, true) => {
                let place = if lying { "above and below" } else { "left and right" };
                format!("{} {place}", white(quiet.before))
            }
            (0, false) => {
                let (before, behind) = (white(quiet.before), white(quiet.behind));
                format!("{before} before its bars and {behind} behind them")
            }
        }
    }
}
