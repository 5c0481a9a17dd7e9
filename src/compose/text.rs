//! Text: its size, its lines, and the runs they are painted as.
//!
//! A line is `leading` em high. Its capitals and the usual descent sit in the middle of that, so
//! that text of one style stands the same in a box on its own and in the middle of others. Long, as a size
//! is tried by the same measures by which its lines are painted.

use std::borrow::Cow;
use std::sync::Arc;

use super::measures::{Asked, Question};
use super::stack::{shift, slack};
use super::{Job, Place, Unprintable};
use crate::bind::Bound;
use crate::fonts::{BaseDirection, Cut, FamilyId, FontBook, Line, Paragraph, Shaper, TextStyle};
use crate::geom::{MM_PER_PT, Mm, Point, Rect, Size, Stance};
use crate::layout::{Align, Fit, Sit, Slant, TypeStyle, Weight};
use crate::scene::{BlockId, Ink, MarkKind, RunStart, TextRun, count_letters};

/// Type gets smaller in steps of a quarter of a point.
const SHRINK_STEP: Mm = Mm(0.25 * MM_PER_PT);

/// The part of an em below the baseline that letters take: a little more than the `g` of common
/// text faces. A face's own descent also covers marks that no address has.
pub(super) const DESCENT_EM: f64 = 0.24;

/// What is measured of texts of so many bytes is kept.
const WORTH_KEEPING: usize = 1000;

/// Lines kept whole are worth making them this much smaller before breaking them.
const WORTH_KEEPING_WHOLE: f64 = 0.85;

/// Whether the lines of a text may be broken.
#[derive(Clone, Copy)]
enum Lines {
    /// They may, where the room ends.
    Broken,
    /// Each stays whole.
    Whole,
}

/// Text that has found its size and lines.
pub(super) struct Setting {
    /// The type size.
    pub(super) size: Mm,
    /// The lines, each with the number of its paragraph.
    pub(super) lines: Vec<(usize, Line)>,
}

impl Job<'_, '_> {
    /// How large its em is, on the printer's dots where it is given in them.
    pub(super) fn type_size(&self, style: &TypeStyle) -> Mm {
        self.length(style.size)
    }

    /// A text as a paragraph; `None` when a character has no glyph.
    pub(super) fn shape(&mut self, text: &str, style: &TypeStyle) -> Option<Arc<Paragraph>> {
        let text = self.spell(text, style);
        let style = text_style(self.composer.book, style);
        self.composer.shaper.paragraph(&text, &style).ok()
    }

    /// A text as a paragraph; characters without a glyph are reported.
    pub(super) fn shape_or_report(
        &mut self,
        bound: &Bound<'_>,
        text: &str,
        style: &TypeStyle,
    ) -> Option<Arc<Paragraph>> {
        let spelt = self.spell(text, style);
        if self.frame.unprintable == Unprintable::Spelt && spelt.len() > text.len() {
            self.note_spelt(bound, text);
        }
        let set = text_style(self.composer.book, style);
        match self.composer.shaper.paragraph(&spelt, &set) {
            Ok(paragraph) => Some(paragraph),
            Err(error) => {
                self.report_unprintable(bound, text, &error);
                None
            }
        }
    }

    /// The height a text asks for.
    pub(super) fn text_height(&mut self, text: &str, style: &TypeStyle, fit: Fit, width: Mm) -> Mm {
        let size = self.type_size(style);
        let line = size * style.leading;
        if text.is_empty() {
            return line;
        }
        let question = Question::Height { fit, width: width.0.to_bits() };
        Mm(self.measure(text, style, question, |job| {
            let Some(paragraph) = job.shape(text, style) else { return line.0 };
            let endless = Size::new(width, Mm(f64::INFINITY));
            let paragraphs = [paragraph];
            let style = &*job.with_room_for_others(&paragraphs, style);
            match job.count_lines(&paragraphs, style, fit, endless) {
                // Text that will be set smaller asks for no more than it then takes.
                Some((size, count)) => (size * style.leading * count.max(1) as f64).0,
                None => line.0,
            }
        }))
    }

    /// The width a text asks for, unbroken.
    pub(super) fn text_width(&mut self, text: &str, style: &TypeStyle) -> Mm {
        let width = self.measure(text, style, Question::Width, |job| {
            job.shape(text, style).map_or(0.0, |paragraph| paragraph.natural_width_em())
        });
        // A thousandth of a millimetre keeps rounding from breaking the line it was made for.
        self.type_size(style) * width + Mm(0.001)
    }

    /// What `make` finds out about a text of a style. Every container around a text asks anew, so
    /// the answers for long ones are kept.
    fn measure(
        &mut self,
        text: &str,
        style: &TypeStyle,
        question: Question,
        make: impl FnOnce(&mut Self) -> f64,
    ) -> f64 {
        if text.len() < WORTH_KEEPING {
            return make(self);
        }
        let measures = &mut self.composer.measures;
        let asked = Asked { style: measures.identify(style), question };
        let known = measures.answers.get(text).and_then(|known| known.get(&asked));
        if let Some(known) = known {
            return *known;
        }
        let made = make(self);
        self.composer.measures.answers.entry(text.to_owned()).or_default().insert(asked, made);
        made
    }

    /// Sets and paints a text.
    pub(super) fn place_text(
        &mut self,
        bound: &Bound<'_>,
        text: &str,
        style: &TypeStyle,
        fit: Fit,
        place: Place,
    ) {
        let Some(paragraph) = self.shape_or_report(bound, text, style) else { return };
        let paragraphs = [paragraph];
        self.place_paragraphs(bound, &paragraphs, style, fit, place);
    }

    /// Sets and paints paragraphs; what does not fit is reported and painted all the same, so that
    /// a preview shows where it goes.
    pub(super) fn place_paragraphs(
        &mut self,
        bound: &Bound<'_>,
        paragraphs: &[Arc<Paragraph>],
        style: &TypeStyle,
        fit: Fit,
        place: Place,
    ) {
        if let Some(block) = self.page.blocks.get_mut(place.id.0 as usize) {
            let letters = paragraphs.iter().map(|paragraph| count_letters(paragraph.text()));
            block.letters += letters.sum::<u32>();
        }
        let room = place.rect.size();
        let style = &*self.with_room_for_others(paragraphs, style);
        let setting = self.set(paragraphs, style, fit, room).unwrap_or_else(|| {
            self.report_overflow(bound, paragraphs, style, fit, room);
            self.set_anyhow(paragraphs, style)
        });
        self.paint(bound, paragraphs, setting, style, place);
    }

    /// The size and lines of paragraphs in a room, if they fit.
    pub(super) fn set(
        &mut self,
        paragraphs: &[Arc<Paragraph>],
        style: &TypeStyle,
        fit: Fit,
        room: Size,
    ) -> Option<Setting> {
        let sizes = [self.type_size(style), self.length(style.smallest)];
        let shaper = &mut self.composer.shaper;
        search_size(fit, sizes, room, |size, breaking| {
            try_size(shaper, paragraphs, size, style.leading, room, breaking)
        })
    }

    /// The size and the number of lines of paragraphs as [`Job::set`] sets them, if they fit.
    fn count_lines(
        &mut self,
        paragraphs: &[Arc<Paragraph>],
        style: &TypeStyle,
        fit: Fit,
        room: Size,
    ) -> Option<(Mm, usize)> {
        let sizes = [self.type_size(style), self.length(style.smallest)];
        let shaper = &mut self.composer.shaper;
        search_size(fit, sizes, room, |size, breaking| {
            let most = limit(room.width, size);
            let most_lines = most_lines(paragraphs, size, style.leading, room, breaking)?;
            let mut count = 0;
            for paragraph in paragraphs {
                let rest = most_lines.saturating_add(1).saturating_sub(count);
                count += paragraph.count_lines_within(shaper, most, rest)?;
            }
            has_room(count, size * style.leading, room).then_some((size, count))
        })
    }

    /// A style whose lines stand as far apart as the glyphs of other faces need, which may be taller
    /// and deeper than what its leading was chosen for; as it is when there are none. All lines of a
    /// block stand equally far apart.
    pub(super) fn with_room_for_others<'s>(
        &mut self,
        paragraphs: &[Arc<Paragraph>],
        style: &'s TypeStyle,
    ) -> Cow<'s, TypeStyle> {
        let set = text_style(self.composer.book, style);
        let Some(usual) = self.composer.book.first_choice(set.family, set.cut) else {
            return Cow::Borrowed(style);
        };
        let capitals = self.capital_height(set.family, set.cut);
        let shaper = &mut self.composer.shaper;
        let reach = paragraphs.iter().filter_map(|it| it.reach_of_others(shaper, usual));
        // Above and below what is usual there is the same room, so the greater excess counts twice.
        let excess = reach.fold(f64::NEG_INFINITY, |most, reach| {
            most.max(reach.above_em - capitals).max(reach.below_em - DESCENT_EM)
        });
        let needed = capitals + DESCENT_EM + 2.0 * excess;
        match needed > style.leading {
            true => Cow::Owned(TypeStyle { leading: needed, ..style.clone() }),
            false => Cow::Borrowed(style),
        }
    }

    /// The setting of text that does not fit.
    fn set_anyhow(&mut self, paragraphs: &[Arc<Paragraph>], style: &TypeStyle) -> Setting {
        let lines = break_all(&mut self.composer.shaper, paragraphs, f64::INFINITY);
        Setting { size: self.length(style.smallest).min(self.type_size(style)), lines }
    }

    /// Paints lines from the top of a room, or as the block's `sit` says.
    fn paint(
        &mut self,
        bound: &Bound<'_>,
        paragraphs: &[Arc<Paragraph>],
        setting: Setting,
        style: &TypeStyle,
        place: Place,
    ) {
        let used = setting.size * style.leading * setting.lines.len() as f64;
        let free = (place.rect.height - used).max(Mm::ZERO);
        let down = match bound.block.sit {
            Sit::Middle => free / 2.0 + self.sink(setting.size, style, free),
            sit => shift(sit, free),
        };
        let rect = place.rect.moved(Mm::ZERO, down);
        let align = match (bound.block.align, paragraphs, setting.lines.first()) {
            // The lines of an address stand on one edge, that of its first.
            (Align::Start, [_, _, ..], Some((_, first))) => edge(first),
            (align, ..) => align,
        };
        self.paint_lines(paragraphs, setting, style, align, Place { rect, ..place });
    }

    /// How far text in the middle of its room goes below the middle of its lines, so that what is
    /// seen of it stands in the middle: from the capitals of its first line to its last baseline,
    /// whatever letters it has, so that texts side by side share a baseline. Room for what hangs
    /// below the baseline stays.
    fn sink(&self, size: Mm, style: &TypeStyle, free: Mm) -> Mm {
        let below = size * (style.leading - self.above_baseline(style) - DESCENT_EM);
        (size * (DESCENT_EM / 2.0)).min((free / 2.0 + below).max(Mm::ZERO))
    }

    /// How far below the top of its first line the first baseline of a style lies.
    pub(super) fn first_baseline(&self, style: &TypeStyle) -> Mm {
        self.type_size(style) * self.above_baseline(style)
    }

    /// Paints lines from the top of a room.
    pub(super) fn paint_lines(
        &mut self,
        paragraphs: &[Arc<Paragraph>],
        setting: Setting,
        style: &TypeStyle,
        align: Align,
        place: Place,
    ) {
        let line_height = setting.size * style.leading;
        let above = setting.size * self.above_baseline(style);
        for (row, (index, line)) in setting.lines.into_iter().enumerate() {
            let width = setting.size * line.width_em;
            let align = if align == Align::Start { edge(&line) } else { align };
            let x = place.rect.x + slack(align, place.rect.width - width);
            let at = Point::new(x, place.rect.y + line_height * row as f64 + above);
            self.paint_line(&paragraphs[index], line, setting.size, at, place.id, place.ink);
        }
    }

    /// How far below the top of its line a baseline lies, in em.
    fn above_baseline(&self, style: &TypeStyle) -> f64 {
        let style_cut = text_style(self.composer.book, style);
        let capitals = self.capital_height(style_cut.family, style_cut.cut);
        (style.leading - (capitals + DESCENT_EM)) / 2.0 + capitals
    }

    /// The height of capitals, in em.
    pub(super) fn capital_height(&self, family: Option<FamilyId>, cut: Cut) -> f64 {
        let book = self.composer.book;
        book.first_choice(family, cut).map_or(0.7, |font| book.metrics(font).cap_height)
    }

    /// Paints one line from a point on its baseline.
    pub(super) fn paint_line(
        &mut self,
        paragraph: &Paragraph,
        line: Line,
        size: Mm,
        at: Point,
        block: BlockId,
        ink: Ink,
    ) {
        let mut x = at.x;
        let mut reads_later = line.find_reading_order().into_iter();
        let mut begins = find_start(paragraph, &line);
        for run in line.runs {
            let width = size * run.glyphs.iter().map(|glyph| glyph.advance_em).sum::<f64>();
            let start = u32::try_from(run.text.start).unwrap_or(u32::MAX);
            let mut glyphs = run.glyphs;
            for glyph in &mut glyphs {
                glyph.cluster = glyph.cluster.saturating_sub(start);
            }
            let capitals = self.composer.book.metrics(run.font).cap_height;
            let reach = self.composer.shaper.reach(run.font, &glyphs);
            self.mark(
                block,
                MarkKind::Text(TextRun {
                    font: run.font,
                    size,
                    origin: Point::new(x, at.y),
                    ink,
                    glyphs,
                    text: paragraph.text()[run.text.clone()].to_owned(),
                    rtl: run.rtl,
                    begins: std::mem::take(&mut begins),
                    reads_later: reads_later.next().unwrap_or(0),
                    reach,
                    stance: Stance::UPRIGHT,
                    rect: Rect::new(
                        x,
                        at.y - size * capitals,
                        width,
                        size * (capitals + DESCENT_EM),
                    ),
                }),
            );
            x += width;
        }
    }

    /// Paints one text on one line, as small as it must be; for captions.
    pub(super) fn place_caption(
        &mut self,
        bound: &Bound<'_>,
        text: &str,
        style: &TypeStyle,
        place: Place,
    ) {
        let Some(paragraph) = self.shape_or_report(bound, text, style) else { return };
        let paragraphs = [paragraph];
        let room = place.rect.size();
        let Some(setting) = self.set(&paragraphs, style, Fit::Shrink, room) else {
            return self.report_overflow(bound, &paragraphs, style, Fit::Shrink, room);
        };
        self.paint_lines(&paragraphs, setting, style, Align::Center, place);
    }
}

/// The style in the fonts' own terms.
fn text_style(book: &FontBook, style: &TypeStyle) -> TextStyle {
    TextStyle {
        // That the family is there was checked before the first page.
        family: style.family.as_ref().and_then(|family| book.family(family)),
        cut: cut(style.cut, style.slant),
        letter_spacing_em: style.spacing,
        tabular: true,
        direction: BaseDirection::default(),
    }
}

/// The edge on which a line's reading starts.
fn edge(line: &Line) -> Align {
    if line.rtl { Align::Right } else { Align::Left }
}

/// The cut in the fonts' own terms; narrow letters have no slanted cut.
fn cut(weight: Weight, slant: Slant) -> Cut {
    match (weight, slant) {
        (Weight::Regular, Slant::Upright) => Cut::Regular,
        (Weight::Bold, Slant::Upright) => Cut::Bold,
        (Weight::Condensed, Slant::Upright) => Cut::CondensedBold,
        (Weight::Regular, Slant::Italic) => Cut::Italic,
        (Weight::Bold | Weight::Condensed, Slant::Italic) => Cut::BoldItalic,
    }
}

/// A width in em, forgiving what rounding does.
pub(super) fn limit(width: Mm, size: Mm) -> f64 {
    (width + crate::geom::TOLERANCE) / size
}

/// The sizes that shrinking tries, largest first.
fn shrink_sizes(full: Mm, smallest: Mm) -> impl Iterator<Item = Mm> {
    let next = |size: &Mm| {
        let mut next = *size;
        next -= SHRINK_STEP;
        Some(next)
    };
    let larger = std::iter::successors(Some(full), next).take_while(move |size| *size > smallest);
    larger.chain([smallest.min(full)])
}

/// All paragraphs broken into lines, each with its paragraph's number.
pub(super) fn break_all(
    shaper: &mut Shaper,
    paragraphs: &[Arc<Paragraph>],
    width_em: f64,
) -> Vec<(usize, Line)> {
    let mut all = Vec::new();
    for (index, paragraph) in paragraphs.iter().enumerate() {
        let lines = paragraph.break_lines(shaper, width_em);
        all.extend(lines.into_iter().map(|line| (index, line)));
    }
    all
}

/// What an attempt comes to at the largest size at which it comes to something, from the full size to the
/// smallest, as a fit allows.
fn search_size<T>(
    fit: Fit,
    [full, smallest]: [Mm; 2],
    room: Size,
    mut attempt: impl FnMut(Mm, Lines) -> Option<T>,
) -> Option<T> {
    match fit {
        Fit::Wrap => attempt(full, Lines::Broken),
        Fit::Fail => attempt(full, Lines::Whole),
        Fit::Shrink => {
            // Where height is free, more lines would always do, and nothing would ever shrink.
            let endless = room.height.0.is_infinite();
            let nearly = |size: &Mm| endless || size.0 >= full.0 * WORTH_KEEPING_WHOLE;
            let mut whole = shrink_sizes(full, smallest).take_while(nearly);
            let whole = whole.find_map(|size| attempt(size, Lines::Whole));
            whole.or_else(|| {
                shrink_sizes(full, smallest).find_map(|size| attempt(size, Lines::Broken))
            })
        }
    }
}

/// The lines of paragraphs at a size, if they fit into a room.
fn try_size(
    shaper: &mut Shaper,
    paragraphs: &[Arc<Paragraph>],
    size: Mm,
    leading: f64,
    room: Size,
    breaking: Lines,
) -> Option<Setting> {
    let most = limit(room.width, size);
    let most_lines = most_lines(paragraphs, size, leading, room, breaking)?;
    let mut lines = Vec::new();
    for (index, paragraph) in paragraphs.iter().enumerate() {
        let rest = most_lines.saturating_add(1).saturating_sub(lines.len());
        let broken = paragraph.break_lines_within(shaper, most, rest)?;
        lines.extend(broken.into_iter().map(|line| (index, line)));
    }
    has_room(lines.len(), size * leading, room).then_some(Setting { size, lines })
}

/// How many lines of a size a room has room for, about; none if paragraphs are too wide for it.
///
/// Lines beyond the room need not be set to know that they do not fit: of the many sizes that
/// shrinking tries, most stop here.
fn most_lines(
    paragraphs: &[Arc<Paragraph>],
    size: Mm,
    leading: f64,
    room: Size,
    breaking: Lines,
) -> Option<usize> {
    let most = limit(room.width, size);
    let narrow = |paragraph: &Arc<Paragraph>| match breaking {
        Lines::Broken => paragraph.min_width_em() <= most,
        Lines::Whole => paragraph.natural_width_em() <= most,
    };
    let line_height = size * leading;
    let lines = ((room.height + crate::geom::TOLERANCE) / line_height) as usize;
    paragraphs.iter().all(narrow).then_some(lines)
}

/// Whether a room has room for so many lines.
fn has_room(lines: usize, line_height: Mm, room: Size) -> bool {
    !(line_height * lines as f64).exceeds(room.height)
}

/// What begins with a line of a paragraph. A line's text has the spaces that hang over its end.
fn find_start(paragraph: &Paragraph, line: &Line) -> RunStart {
    match paragraph.text()[..line.text.start].chars().next_back() {
        None => RunStart::Paragraph,
        Some(last) if last.is_whitespace() => RunStart::Line,
        Some(_) => RunStart::BrokenLine,
    }
}
