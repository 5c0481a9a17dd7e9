//! Bars with their white outside the box: where they stand, how wide they get.

use proptest::prelude::*;
use slipwright::codes::Code128;
use slipwright::preflight::{Rules, inspect};
use slipwright::scene::{CodeMark, MarkKind};
use slipwright::{DotGrid, FontBook, Page};

use crate::sample_pages::{layout_of, print_batch, sample_batch};

/// The bars in a box on a page 101.6 mm wide; the rules that found something, when it was a fault.
fn bars(
    says: &str,
    quiet: &str,
    (x, width): (f64, f64),
    align: &str,
) -> Result<(Page, CodeMark), Vec<&'static str>> {
    let text = format!(
        "page: {{stock: 4x6in, clear_edge: 0}}\nmakes: label\nbody:\n  over:\n    - code128: \
         \"{says}\"\n      at: [{x:.3}, 20]\n      width: {width:.3}\n      height: 30\n      \
         align: {align}\n      quiet: {quiet}\n"
    );
    let (mut batch, shop) = sample_batch();
    batch.parcels.truncate(1);
    let layout = layout_of(&text);
    let printed = print_batch((&batch, Some(&shop)), &layout, Some(DotGrid::DPI_203), 1);
    let rules = printed.findings.iter().map(|it| it.rule.name).collect();
    let Some(page) = printed.pages.into_iter().next() else { return Err(rules) };
    let code = page.marks.iter().find_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some(code.clone()),
        _ => None,
    });
    code.map(|code| (page, code)).ok_or(rules)
}

/// The usual box of a label.
const BOX: (f64, f64) = (4.0, 93.6);

#[test]
fn white_outside_leaves_room_for_wider_bars() {
    let dots = |says, quiet| bars(says, quiet, BOX, "center").unwrap().1.module_dots;
    // 10 characters of the symbol are 112 modules, 132 with their white: of 6 dots they do not fit
    // into 748 dots, but onto 812 of paper.
    assert_eq!((dots("+TH-1042", "inside"), dots("+TH-1042", "outside")), (5, 6));
    // 11 are 123: of 6 dots they fit into the box, but with their white not onto the paper.
    assert_eq!((dots("+TH-12345", "inside"), dots("+TH-12345", "outside")), (5, 5));
}

#[test]
fn bars_keep_away_from_the_edge_of_the_paper_for_their_white() {
    let place = |align| bars("+TH-1042", "outside", BOX, align).unwrap().1.dots.x;
    // 60 dots of white at both ends of 672, on paper of 812.8.
    assert_eq!((place("left"), place("center"), place("right")), (60, 71, 80));
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Whatever the box, bars stand in it with their white on the paper, as wide as can be.
    #[test]
    fn bars_stand_in_their_box_with_their_white_on_the_paper(
        says in "[A-Z0-9-]{1,14}",
        x in 0.0..60.0_f64,
        share in 0.2..1.0_f64,
        align in prop::sample::select(vec!["left", "center", "right"]),
    ) {
        let width = (101.6 - x) * share;
        let modules = u32::try_from(Code128::encode_text(&says).unwrap().row().modules()).unwrap();
        let fits = |dots: u32| {
            let white = f64::from(10 * dots);
            let from = (x * 8.0).max(white).ceil();
            from + f64::from(modules * dots) <= ((x + width) * 8.0).min(812.8 - white) - 0.01
        };
        match bars(&says, "outside", (x, width), align) {
            Ok((page, code)) => {
                let bad = ["quiet-zone", "out-of-block", "off-page"];
                let found = inspect(&page, &FontBook::builtin(), &Rules::default());
                let found: Vec<_> = found.iter().filter(|it| bad.contains(&it.rule.name)).collect();
                prop_assert!(found.is_empty(), "{found:?}");
                prop_assert!(!fits(code.module_dots + 1), "{code:?}");
            }
            Err(rules) => {
                prop_assert!(rules.contains(&"code-too-wide") || rules.contains(&"code-height"),
                    "{rules:?}");
                prop_assert!(rules.contains(&"code-height") || !fits(2), "{rules:?}");
            }
        }
    }
}
