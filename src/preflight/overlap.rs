//! Blocks that lie over each other though nothing asked for it.
//!
//! Blocks asked for it when the innermost container around both is layered (`over`). A container
//! does not overlap its own content. What is compared are the marks of any block and the rooms of
//! blocks without content of their own: rooms that overlap while their marks do not are a warning.
//! An overlap of up to one dot in either direction is rounding.
//!
//! Blocks are swept from top to bottom, so that only those side by side meet in pairs.

use super::limits::Rules;
use super::view::{View, is_content, with_article};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::{Mm, Rect};
use crate::scene::BlockId;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "overlap",
    Severity::Error,
    "legibility: two things printed on one place can neither be read nor scanned",
);

/// Pairs of blocks that a page may take before it is called too crowded to be checked; far more
/// than any page made for people has.
const MOST_PAIRS: usize = 200_000;

/// Pairs of marks that may be compared where blocks lie over each other; two tables of a thousand
/// cells each take half of it.
const MOST_COMPARED: usize = 2_000_000;

/// A block that takes part.
struct BlockMarks {
    /// Which of the page's blocks it is.
    id: BlockId,
    /// Its room, where that counts.
    room: Option<Rect>,
    /// The box around its room and marks.
    extent: Rect,
    /// Where its marks stand in [`PageBlocks::marks`].
    marks: std::ops::Range<usize>,
}

/// The blocks that take part, from top to bottom.
struct PageBlocks {
    /// Those with marks or room of their own.
    list: Vec<BlockMarks>,
    /// The numbers of their marks, block after block.
    marks: Vec<usize>,
}

/// Compares blocks that are side by side.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    let parts = collect_parts(view);
    let mut open: Vec<&BlockMarks> = Vec::new();
    let (mut pairs, mut compared) = (0, 0);
    for part in &parts.list {
        open.retain(|other| other.extent.bottom() > part.extent.y);
        for other in &open {
            pairs += 1;
            if other.extent.intersection(part.extent).is_none()
                || is_asked_for(view, other.id, part.id)
            {
                continue;
            }
            compared += other.marks.len() * part.marks.len();
            if compared > MOST_COMPARED {
                break;
            }
            compare(view, &parts, (other, part), findings);
        }
        if pairs > MOST_PAIRS || compared > MOST_COMPARED {
            let message = "too much lies side by side to tell what of it overlaps";
            let hint = format!("put fewer than {} blocks on a page", parts.list.len());
            return findings.push_anyhow(view.finding(&RULE, part.id, message).hint(hint));
        }
        open.push(part);
    }
}

/// Finds the blocks that take part.
fn collect_parts(view: &View<'_>) -> PageBlocks {
    let blocks = &view.page.blocks;
    let mut is_container = vec![false; blocks.len()];
    for parent in blocks.iter().filter_map(|block| block.parent) {
        if let Some(entry) = is_container.get_mut(parent.0 as usize) {
            *entry = true;
        }
    }
    let painted = view.marks().filter(|(_, mark, _)| is_content(mark));
    let mut marks: Vec<usize> = painted.map(|(number, _, _)| number).collect();
    marks.sort_by_key(|&number| view.page.marks[number].block);
    let mut list = Vec::new();
    let mut start = 0;
    for (id, block) in (0_u32..).map(BlockId).zip(blocks) {
        let own = marks[start..].iter().take_while(|&&it| view.page.marks[it].block == id).count();
        let range = start..start + own;
        start += own;
        // A block layered in itself, such as the marks around a sheet's pages, claims no room.
        let claims = !is_container[id.0 as usize] && !block.layered;
        let room = claims.then_some(block.rect);
        let boxes = marks[range.clone()].iter().map(|&number| view.boxes[number]).chain(room);
        if let Some(extent) = boxes.reduce(Rect::union) {
            list.push(BlockMarks { id, room, extent, marks: range });
        }
    }
    list.sort_by(|one, other| one.extent.y.0.total_cmp(&other.extent.y.0));
    PageBlocks { list, marks }
}

/// Compares two blocks and reports what they share.
fn compare(
    view: &View<'_>,
    parts: &PageBlocks,
    pair: (&BlockMarks, &BlockMarks),
    findings: &mut RuleFindings,
) {
    let (first, second) = if pair.0.id < pair.1.id { pair } else { (pair.1, pair.0) };
    let shared = shared_marks(view, parts, first, second);
    let shared_room = match (first.room, second.room) {
        (Some(one), Some(other)) => common(view, one, other),
        _ => None,
    };
    let (area, what, severity) = match (shared, shared_room) {
        (Some(area), _) => (area, "lie", RULE.severity),
        (None, Some(area)) => (area, "have rooms that lie", Severity::Warning),
        (None, None) => return,
    };
    let (name, other) = (view.name(first.id), view.name(second.id));
    let message = format!(
        "this `{other}` and {} {what} over each other, {} by {}",
        with_article(name, other),
        area.width,
        area.height
    );
    let (by, way) = escape(area, first.extent, second.extent);
    let hint =
        format!("move this `{other}` {by} {way}, or put both into an `over` if that is meant");
    let mut finding = view.finding(&RULE, second.id, message).hint(hint);
    finding.severity = severity;
    if let Some(block) = view.block(first.id) {
        finding = finding.related(block.span, format!("the `{name}` is here"));
    }
    findings.push(finding);
}

/// The largest area that a mark of one block shares with a mark of another.
fn shared_marks(
    view: &View<'_>,
    parts: &PageBlocks,
    first: &BlockMarks,
    second: &BlockMarks,
) -> Option<Rect> {
    let mut largest: Option<Rect> = None;
    for &one in &parts.marks[first.marks.clone()] {
        let one = view.boxes[one];
        if one.intersection(second.extent).is_none() {
            continue;
        }
        for &other in &parts.marks[second.marks.clone()] {
            let Some(area) = common(view, one, view.boxes[other]) else { continue };
            let size = |rect: Rect| rect.width.0 * rect.height.0;
            if largest.is_none_or(|known| size(area) > size(known)) {
                largest = Some(area);
            }
        }
    }
    largest
}

/// What two boxes have in common, if it is more than a dot in both directions.
pub(super) fn common(view: &View<'_>, one: Rect, other: Rect) -> Option<Rect> {
    let dot = view.dots(1.0);
    let area = one.intersection(other)?;
    (area.width.exceeds(dot) && area.height.exceeds(dot)).then_some(area)
}

/// The shorter way, and its length, for a block to leave what it shares with another.
fn escape(area: Rect, first: Rect, second: Rect) -> (Mm, &'static str) {
    match area.width < area.height {
        true if second.x < first.x => (area.width, "to the left"),
        true => (area.width, "to the right"),
        false if second.y < first.y => (area.height, "up"),
        false => (area.height, "down"),
    }
}

/// Whether two blocks may lie over each other: one holds the other, or the innermost container
/// around both is layered.
pub(super) fn is_asked_for(view: &View<'_>, one: BlockId, other: BlockId) -> bool {
    let (mut low, mut high) = (one, other);
    while low != high {
        // Parents stand before their children, so the later of the two goes up.
        if low > high {
            std::mem::swap(&mut low, &mut high);
        }
        match view.block(high).and_then(|block| block.parent) {
            Some(parent) if parent < high => high = parent,
            _ => return false,
        }
    }
    low == one || low == other || view.block(low).is_some_and(|block| block.layered)
}

#[cfg(test)]
mod tests {
    use crate::geom::{Mm, Rect};
    use crate::preflight::Rules;
    use crate::preflight::sample::{
        add_block, add_fill, assert_finding, assert_quiet, block_of, good_page, inspect, text_of,
    };
    use crate::scene::Ink;

    #[test]
    fn texts_over_each_other_are_reported_and_one_dot_is_not() {
        let mut page = good_page();
        let tag = block_of(&mut page, "tag", 0).rect;
        let run = text_of(&mut page, "text", 0);
        run.rect.x = tag.x + Mm(1.0);
        assert_finding(
            &page,
            "error[overlap]: this `text` and a `tag` lie over each other, 17.66 mm by 3.2 mm \
             => move this `text` 3.2 mm down, or put both into an `over` if that is meant",
        );
        let tag = text_of(&mut page, "tag", 0).rect;
        text_of(&mut page, "text", 0).rect.x = tag.right() - Mm(0.125);
        assert_quiet(&page, "overlap");
    }

    #[test]
    fn rooms_over_each_other_are_a_warning() {
        let mut page = good_page();
        let tag = text_of(&mut page, "tag", 0).rect;
        let block = block_of(&mut page, "text", 0);
        let right = block.rect.right();
        block.rect.x = tag.right() + Mm(1.0);
        block.rect.width = right - block.rect.x;
        assert_finding(
            &page,
            "warning[overlap]: this `text` and a `tag` have rooms that lie over each other, \
             6.46 mm by 22 mm \
             => move this `text` 6.46 mm to the right, or put both into an `over` if that is meant",
        );
    }

    #[test]
    fn what_an_over_holds_may_overlap() {
        let mut page = good_page();
        let rect = block_of(&mut page, "tag", 0).rect;
        let over =
            add_block(&mut page, "over", None, Rect::new(rect.x, Mm(133.0), Mm(20.0), Mm(6.0)));
        let inside = page.blocks[over.0 as usize].rect;
        for name in ["box", "rule"] {
            let block = add_block(&mut page, name, Some(over), inside);
            add_fill(&mut page, block, inside, Ink::Black);
        }
        let clash = |page: &_| {
            inspect(page, &Rules::default()).iter().filter(|it| it.rule == "overlap").count()
        };
        assert_eq!(clash(&page), 1);
        page.blocks[over.0 as usize].layered = true;
        assert_eq!(clash(&page), 0);
    }

    #[test]
    fn a_hostile_crowd_ends_in_a_finding() {
        let mut page = good_page();
        for _ in 0..2_000 {
            add_block(&mut page, "box", None, Rect::new(Mm(4.0), Mm(133.0), Mm(1.0), Mm(1.0)));
        }
        let found = inspect(&page, &Rules::default());
        assert!(found.iter().any(|it| it.message.starts_with("too much lies")), "{found:?}");
    }

    #[test]
    fn a_hostile_pile_of_marks_ends_in_a_finding() {
        let mut page = good_page();
        let rect = Rect::new(Mm(4.0), Mm(133.0), Mm(1.0), Mm(1.0));
        for _ in 0..2 {
            let block = add_block(&mut page, "box", None, rect);
            for _ in 0..2_000 {
                add_fill(&mut page, block, rect, Ink::Black);
            }
        }
        let found = inspect(&page, &Rules::default());
        assert!(found.iter().any(|it| it.message.starts_with("too much lies")), "{found:?}");
    }
}
