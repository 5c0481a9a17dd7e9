//! Text that nobody sees: white on nothing, black on black, or painted over.
//!
//! What counts of a text is the box from the top of its letters to the baseline. A picture or
//! drawing under it may be of any colour there, so nothing is said about those.

use super::limits::Rules;
use super::view::{SHOWN_CHARACTERS, View, with_article};
use crate::colour::Rgb;
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::{Mm, Rect};
use crate::scene::{Ink, Mark, MarkKind, TextRun};
use crate::words::shorten_to;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "invisible-text",
    Severity::Error,
    "reading: white on white, black on black and pale on white say nothing",
);

/// The part of a text that must be lost before it is reported: a line through it, or a ground
/// that ends at the last letter's edge, is no fault.
const LOST: f64 = 0.25;

/// The least contrast of text: what WCAG 2.2 asks of large text (success criterion 1.4.3).
const LEAST_CONTRAST: f64 = 3.0;

/// Looks under and over every text.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    for (number, mark, rect) in view.marks() {
        let MarkKind::Text(run) = &mark.kind else { continue };
        let body = body_of(run, rect);
        if run.text.trim().is_empty() || area(body) <= 0.0 {
            continue;
        }
        let marks = view.solids_at(body);
        let fault = match run.ink {
            Ink::White => find_missing_ground(view, &marks, number, body),
            Ink::Black => find_black_ground(view, &marks, number, body),
            Ink::Colour(colour) => find_pale(view, &marks, number, body, colour),
        };
        if let Some(fault) = fault.or_else(|| find_cover(view, &marks, number, body)) {
            report(view, mark, run, fault, findings);
        }
    }
}

/// The letters of a text without the room below the baseline.
fn body_of(run: &TextRun, rect: Rect) -> Rect {
    if !run.stance.is_upright() {
        return rect;
    }
    let bottom = run.origin.y.min(rect.bottom()).max(rect.y);
    Rect { height: bottom - rect.y, ..rect }
}

/// The area of a box, in square millimetres.
fn area(rect: Rect) -> f64 {
    rect.width.0 * rect.height.0
}

/// What is wrong with a text.
struct TextFault {
    /// In words, after the text's name.
    what: String,
    /// The way out.
    hint: String,
}

/// The part of a text's body that a mark's box covers, from 0 to 1.
fn share(view: &View<'_>, mark: usize, body: Rect) -> f64 {
    view.boxes[mark].intersection(body).map_or(0.0, |common| area(common) / area(body))
}

/// Finds out whether white text lacks black under a good part of it.
fn find_missing_ground(
    view: &View<'_>,
    marks: &[usize],
    number: usize,
    body: Rect,
) -> Option<TextFault> {
    let (mut black, mut pale) = (0.0, false);
    for &under in marks.iter().rev().filter(|&&under| under < number) {
        match &view.page.marks[under].kind {
            MarkKind::Fill(_, ink) if ink.rgb().contrast(Rgb::WHITE) >= LEAST_CONTRAST => {
                black += share(view, under, body);
            }
            _ if share(view, under, body) <= LOST => {}
            // What lies under white is not seen; what is left must be black already.
            MarkKind::Fill(_, ink) => {
                pale = *ink != Ink::White;
                break;
            }
            // Of a picture nobody knows where it is black.
            _ => return None,
        }
    }
    if pale && black <= 0.0 {
        let what = "is white on a ground that is too pale".to_owned();
        return Some(TextFault { what, hint: "take a darker ink for the `ground`".to_owned() });
    }
    let missing = 1.0 - black;
    (missing > LOST).then(|| {
        let bare = body.width * missing.min(1.0);
        let what = match black > 0.0 {
            true => format!("is white, and {bare} of its {} have no black under them", body.width),
            false => "is white on white".to_owned(),
        };
        TextFault {
            what,
            hint: "give its block `ink: reversed`, or take it off around it".to_owned(),
        }
    })
}

/// Finds out whether black text lies on black.
fn find_black_ground(
    view: &View<'_>,
    marks: &[usize],
    number: usize,
    body: Rect,
) -> Option<TextFault> {
    for &under in marks.iter().rev().filter(|&&under| under < number) {
        if share(view, under, body) <= LOST {
            continue;
        }
        match &view.page.marks[under].kind {
            MarkKind::Fill(_, ink) if ink.rgb().contrast(Rgb::BLACK) >= LEAST_CONTRAST => {
                return None;
            }
            MarkKind::Fill(..) => {
                let lost = body.width * share(view, under, body);
                return Some(TextFault {
                    what: format!("is black on black for {lost} of its {}", body.width),
                    hint: "move it off the black, or make it white with `ink: reversed`".to_owned(),
                });
            }
            _ => return None,
        }
    }
    None
}

/// Finds out whether text in a colour stands out too little from what is under it.
fn find_pale(
    view: &View<'_>,
    marks: &[usize],
    number: usize,
    body: Rect,
    colour: Rgb,
) -> Option<TextFault> {
    let mut ground = Rgb::WHITE;
    for &under in marks.iter().rev().filter(|&&under| under < number) {
        if share(view, under, body) <= LOST {
            continue;
        }
        match &view.page.marks[under].kind {
            MarkKind::Fill(_, ink) => ground = ink.rgb(),
            // Of a picture nobody knows what is there.
            _ => return None,
        }
        break;
    }
    let contrast = colour.contrast(ground);
    (contrast < LEAST_CONTRAST).then(|| TextFault {
        what: format!("stands out by {contrast:.1} to 1 from what is under it"),
        hint: format!(
            "take an ink that is darker, or lighter on a dark ground: {LEAST_CONTRAST} to 1 and more"
        ),
    })
}

/// Finds out whether something solid is painted over a text.
fn find_cover(view: &View<'_>, marks: &[usize], number: usize, body: Rect) -> Option<TextFault> {
    let mut over = marks.iter().filter(|&&over| over > number);
    let cover = over.find(|&&over| {
        let solid = matches!(view.page.marks[over].kind, MarkKind::Fill(..));
        solid && share(view, over, body) > LOST
    })?;
    let name = view.name(view.page.marks[*cover].block);
    let lost: Mm = body.width * share(view, *cover, body);
    Some(TextFault {
        what: format!(
            "is painted over by {} for {lost} of its {}",
            with_article(name, ""),
            body.width
        ),
        hint: format!("put the `{name}` before it in the layout, or move it {lost} away"),
    })
}

/// Says which text cannot be seen, and why.
fn report(
    view: &View<'_>,
    mark: &Mark,
    run: &TextRun,
    fault: TextFault,
    findings: &mut RuleFindings,
) {
    let message =
        format!("the text `{}` {}", shorten_to(run.text.trim(), SHOWN_CHARACTERS), fault.what);
    findings.push(view.finding(&RULE, mark.block, message).hint(fault.hint));
}

#[cfg(test)]
mod tests {
    use crate::geom::{Mm, Rect};
    use crate::preflight::sample::{
        add_block, add_fill, assert_finding, assert_quiet, block_of, good_page, text_of,
    };
    use crate::scene::{Ink, Mark, MarkKind, Page};

    /// The sample with a black ground under its tag, of a part of the width.
    fn with_ground(part: f64) -> Page {
        let mut page = good_page();
        let text = text_of(&mut page, "tag", 0).rect;
        let room = block_of(&mut page, "tag", 0).rect;
        let ground = Rect { width: text.width * part, ..room };
        let number = page.marks.iter().position(|mark| mark.rect(page.grid) == text).unwrap();
        let block = page.marks[number].block;
        page.marks.insert(number, Mark { block, kind: MarkKind::Fill(ground, Ink::Black) });
        page
    }

    #[test]
    fn white_on_white_is_reported_and_white_on_black_is_not() {
        let mut page = good_page();
        text_of(&mut page, "tag", 0).ink = Ink::White;
        assert_finding(
            &page,
            "error[invisible-text]: the text `Marlow` is white on white \
             => give its block `ink: reversed`, or take it off around it",
        );
        let mut page = with_ground(1.0);
        text_of(&mut page, "tag", 0).ink = Ink::White;
        assert_quiet(&page, "invisible-text");
    }

    #[test]
    fn a_ground_too_short_is_reported_and_one_nearly_long_enough_is_not() {
        let mut page = with_ground(0.5);
        text_of(&mut page, "tag", 0).ink = Ink::White;
        assert_finding(
            &page,
            "error[invisible-text]: the text `Marlow` is white, and 30.27 mm of its 60.54 mm have \
             no black under them => give its block `ink: reversed`, or take it off around it",
        );
        let mut page = with_ground(0.76);
        text_of(&mut page, "tag", 0).ink = Ink::White;
        assert_quiet(&page, "invisible-text");
    }

    #[test]
    fn black_on_black_is_reported_and_a_line_through_it_is_not() {
        assert_finding(
            &with_ground(1.0),
            "error[invisible-text]: the text `Marlow` is black on black for 60.54 mm of its \
             60.54 mm => move it off the black, or make it white with `ink: reversed`",
        );
        assert_quiet(&with_ground(0.24), "invisible-text");
    }

    #[test]
    fn what_is_painted_over_is_reported() {
        let mut page = good_page();
        let text = text_of(&mut page, "text", 0).rect;
        let block = add_block(&mut page, "box", None, text);
        add_fill(&mut page, block, text, Ink::White);
        assert_finding(
            &page,
            "error[invisible-text]: the text `3 of 12` is painted over by a `box` for 17.66 mm of \
             its 17.66 mm \
             => put the `box` before it in the layout, or move it 17.66 mm away",
        );
        page.marks.pop();
        add_fill(&mut page, block, Rect { height: Mm(0.375), ..text }, Ink::Black);
        assert_quiet(&page, "invisible-text");
    }
}
