//! Ink of two lines, or of two blocks, that touches.
//!
//! `overlap` compares the boxes that blocks are placed by, from the top of capitals to the foot of
//! descenders. Accents, the dots of Arabic and the bows of Thai stand out of these, and lines of one
//! block are not compared there at all. Here the ink itself is looked at, wherever glyphs reach far
//! enough for it to matter: text against text, and text against bars and filled boxes.
//!
//! Not looked at: what lies over each other by design, a text and what its own block or the blocks
//! around it paint, and what `overlap` has told already.

use super::ink_profile::InkProfile;
use super::limits::Rules;
use super::overlap;
use super::view::{SHOWN_CHARACTERS, View, with_article};
use crate::findings::{Finding, Rule, RuleFindings, Severity};
use crate::geom::{Mm, Rect};
use crate::scene::{BlockId, Ink, MarkKind, TextRun};
use crate::words::{shorten_to, trim_decimals};

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "ink-touches",
    Severity::Warning,
    "legibility: where a line's accents and dots touch the next line, its letters are taken for others",
);

/// Pairs of marks that a page may take before it is called too crowded to be checked; ours, far more
/// than any page made for people has.
const MOST_PAIRS: usize = 1_000_000;

/// Pairs whose ink may be looked at, letter by letter: ours, some seconds of work, and twenty times
/// what a page full of Arabic asks for.
const MOST_COMPARED: usize = 20_000;

/// A mark that takes part.
struct Inked<'a> {
    /// The block it belongs to.
    block: BlockId,
    /// Its text, if it is one.
    text: Option<&'a TextRun>,
    /// The box it is placed by.
    placed: Rect,
    /// The box that its ink stays in.
    ink: Rect,
}

/// Two marks that touch.
struct Touch<'a> {
    /// The mark above.
    upper: &'a Inked<'a>,
    /// The mark below.
    lower: &'a Inked<'a>,
    /// How far the one goes into the other.
    depth: Mm,
}

/// Compares marks that are near each other.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    let marks = collect_marks(view);
    let mut open: Vec<&Inked<'_>> = Vec::new();
    let mut touches: Vec<Touch<'_>> = Vec::new();
    let (mut pairs, mut compared) = (0, 0);
    for mark in &marks {
        open.retain(|other| other.ink.bottom() > mark.ink.y);
        pairs += open.len();
        for other in open.iter().filter(|other| is_of_interest(view, other, mark)) {
            compared += 1;
            if compared > MOST_COMPARED {
                break;
            }
            if let Some(touch) = find_touch(view, other, mark) {
                note_deepest(&mut touches, touch);
            }
        }
        if pairs > MOST_PAIRS || compared > MOST_COMPARED {
            let message = "too much lies side by side to tell where ink touches";
            let hint = format!("put fewer than {} texts on a page", marks.len());
            return findings.push_anyhow(view.finding(&RULE, mark.block, message).hint(hint));
        }
        open.push(mark);
    }
    for touch in &touches {
        findings.push(describe(view, touch));
    }
}

/// The marks that take part, from top to bottom.
fn collect_marks<'a>(view: &View<'a>) -> Vec<Inked<'a>> {
    let inked = view.marks().filter_map(|(_, mark, placed)| {
        let (text, ink) = match &mark.kind {
            // Lines that run up or down are compared by their boxes alone, by `overlap`.
            MarkKind::Text(run) if run.text.trim().is_empty() || !run.stance.is_upright() => {
                return None;
            }
            MarkKind::Text(run) => {
                let top = run.origin.y - run.size * run.reach.above_em;
                let height = run.size * (run.reach.above_em + run.reach.below_em);
                (Some(run), Rect { y: top, height, ..placed })
            }
            MarkKind::Fill(_, Ink::Black | Ink::Colour(_))
            | MarkKind::Code(_)
            | MarkKind::Tally(_) => (None, placed),
            // Of pictures and outlines only the box around them is known.
            _ => return None,
        };
        Some(Inked { block: mark.block, text, placed, ink })
    });
    let mut inked: Vec<Inked<'a>> = inked.collect();
    inked.sort_by(|one, other| one.ink.y.0.total_cmp(&other.ink.y.0));
    inked
}

/// Whether two marks share a place, may not, and nobody has said so yet.
fn is_of_interest(view: &View<'_>, one: &Inked<'_>, other: &Inked<'_>) -> bool {
    if one.ink.intersection(other.ink).is_none() {
        return false;
    }
    if one.block != other.block {
        return (one.text.is_some() || other.text.is_some())
            && overlap::common(view, one.placed, other.placed).is_none()
            && !overlap::is_asked_for(view, one.block, other.block);
    }
    match (one.text, other.text) {
        // The runs of one line meet side by side.
        (Some(text), Some(next)) => (text.origin.y.0 - next.origin.y.0).abs() > f64::EPSILON,
        _ => false,
    }
}

/// How far two marks go into each other, if they touch at all.
fn find_touch<'a>(view: &View<'_>, one: &'a Inked<'a>, other: &'a Inked<'a>) -> Option<Touch<'a>> {
    let middle = |mark: &Inked<'_>| mark.placed.y + mark.placed.height / 2.0;
    let (upper, lower) = if middle(one) <= middle(other) { (one, other) } else { (other, one) };
    let shared = one.ink.intersection(other.ink)?.intersection(view.paper)?;
    let profile = |mark: &Inked<'_>| match mark.text {
        Some(run) => InkProfile::of_text(view.book, run, shared),
        None => InkProfile::of_box(mark.ink, shared),
    };
    let depth = profile(upper).depth_into(&profile(lower))?;
    Some(Touch { upper, lower, depth })
}

/// Keeps the deepest touch of each two blocks: it says how much room they need.
fn note_deepest<'a>(touches: &mut Vec<Touch<'a>>, touch: Touch<'a>) {
    let blocks = |touch: &Touch<'_>| (touch.upper.block, touch.lower.block);
    match touches.iter_mut().find(|known| blocks(known) == blocks(&touch)) {
        Some(known) if known.depth >= touch.depth => {}
        Some(known) => *known = touch,
        None => touches.push(touch),
    }
}

/// Says what touches, and what would part it.
fn describe(view: &View<'_>, touch: &Touch<'_>) -> Finding {
    let Touch { upper, lower, depth } = touch;
    let (name, other) = (view.name(lower.block), view.name(upper.block));
    let begin = |mark: &Inked<'_>| {
        let text = mark.text.map_or("", |run| run.text.trim());
        shorten_to(text, SHOWN_CHARACTERS)
    };
    if let (Some(run), true) = (lower.text, upper.block == lower.block) {
        let message = format!(
            "the lines `{}` and `{}` of this `{name}` touch, by {depth}",
            begin(upper),
            begin(lower)
        );
        // A hundredth more than it takes, since what just meets still touches.
        let larger = ((*depth / run.size * 100.0).floor() + 1.0) / 100.0;
        let hint = format!("make `leading` in its type larger by {}", trim_decimals(larger, 2));
        return view.finding(&RULE, lower.block, message).hint(hint);
    }
    let says = |mark: &Inked<'_>| match mark.text {
        Some(_) => format!(" with `{}`", begin(mark)),
        None => String::new(),
    };
    let message = format!(
        "this `{name}`{} touches {}{} above it, by {depth}",
        says(lower),
        with_article(other, name),
        says(upper)
    );
    let hint = format!(
        "leave {} more between the two, such as by a larger `gap`",
        *depth + view.dots(1.0)
    );
    let finding = view.finding(&RULE, lower.block, message).hint(hint);
    match view.block(upper.block) {
        Some(block) => finding.related(block.span, format!("the `{other}` is here")),
        None => finding,
    }
}

#[cfg(test)]
mod tests {
    use crate::geom::{Mm, Rect};
    use crate::preflight::Rules;
    use crate::preflight::sample::{add_block, add_text, good_page, inspect};

    #[test]
    fn a_hostile_crowd_of_texts_ends_in_a_finding() {
        let mut page = good_page();
        let block =
            add_block(&mut page, "text", None, Rect::new(Mm(4.0), Mm(133.0), Mm(9.0), Mm(9.0)));
        for row in 0..300 {
            add_text(&mut page, block, "x", 8.0, (4.0, 137.0 + f64::from(row) * 1e-3));
        }
        let found = inspect(&page, &Rules::default());
        assert!(found.iter().any(|it| it.message.ends_with("to tell where ink touches")));
    }
}
