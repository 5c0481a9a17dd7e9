//! Faults put into the good label at random places: every one is found, and what is no fault is
//! not.

mod blocks;
mod chance;
mod classes;
mod codes;
mod inks;
mod report;

use proptest::prelude::*;

use self::chance::{Chance, move_block, painted_blocks};
use self::classes::CLASSES;
use super::Rules;
use super::sample::{good_page, inspect, line};
use crate::geom::{Mm, Rect};
use crate::scene::{BlockId, MarkKind};

/// Any chance.
fn chances() -> impl Strategy<Value = Chance> {
    let unit = || 0.0..1.0;
    (unit(), unit(), unit(), unit()).prop_map(|(which, other, amount, along)| Chance {
        which,
        other,
        amount,
        along,
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Each class is tried in every case, so that none is left to luck.
    #[test]
    fn every_fault_is_found(chance in chances()) {
        for class in CLASSES {
            let mut page = good_page();
            (class.inject)(&mut page, chance);
            let found = inspect(&page, &Rules::default());
            let seen = found.iter().any(|it| class.found_by.contains(&it.rule.name));
            let lines: Vec<String> = found.iter().map(line).collect();
            prop_assert!(seen, "{}: {lines:#?}", class.name);
        }
    }

    /// Blocks that are moved by less than half a dot, as rounding to the grid moves them.
    #[test]
    fn what_is_no_fault_is_not_reported(
        shifts in prop::collection::vec((-0.06..0.06, -0.06..0.06), 16),
    ) {
        let mut page = good_page();
        for (id, (dx, dy)) in painted_blocks(&page).into_iter().zip(shifts) {
            move_block(&mut page, id, dx, dy);
        }
        let lines: Vec<String> = inspect(&page, &Rules::default()).iter().map(line).collect();
        prop_assert!(lines.is_empty(), "{lines:#?}");
    }

    /// Findings name a block, its place and the parcel, and show a way out.
    #[test]
    fn every_finding_says_where_and_what_to_do(chance in chances()) {
        for class in CLASSES.iter().filter(|class| class.name != "a page is left empty") {
            let mut page = good_page();
            (class.inject)(&mut page, chance);
            for finding in inspect(&page, &Rules::default()) {
                prop_assert!(finding.block.is_some() && finding.span.is_some(), "{finding:?}");
                prop_assert!(finding.subject.is_some(), "{finding:?}");
                prop_assert_eq!(finding.hints.len(), 1);
                prop_assert!(!finding.message.ends_with('.'), "{}", finding.message);
            }
        }
    }

    /// Whatever the numbers of a page are, there is an end and no panic.
    #[test]
    fn absurd_pages_do_no_harm(
        numbers in prop::collection::vec(absurd_numbers(), 60),
        ids in prop::collection::vec(prop_oneof![0..20_u32, any::<u32>()], 40),
    ) {
        let mut page = good_page();
        let mut numbers = numbers.into_iter().map(Mm).cycle();
        let mut ids = ids.into_iter().map(BlockId).cycle();
        let mut rect = || {
            let mut next = || numbers.next().unwrap_or_default();
            Rect::new(next(), next(), next(), next())
        };
        for block in &mut page.blocks {
            block.rect = rect();
            block.parent = ids.next();
        }
        for mark in &mut page.marks {
            mark.block = ids.next().unwrap_or(mark.block);
            match &mut mark.kind {
                MarkKind::Text(run) => {
                    run.rect = rect();
                    (run.origin, run.size) = (run.rect.origin(), run.rect.width);
                }
                MarkKind::Fill(fill, _) => *fill = rect(),
                MarkKind::Code(code) => {
                    let any = rect();
                    code.dots.x = any.x.0 as u32;
                    code.dots.height = any.y.0 as u32;
                    code.module_dots = any.width.0 as u32;
                }
                _ => {}
            }
        }
        let _ = inspect(&page, &Rules::default());
    }
}

/// Numbers that no page has, and some that one may have.
fn absurd_numbers() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(f64::NAN),
        Just(f64::INFINITY),
        Just(f64::NEG_INFINITY),
        Just(f64::MAX),
        Just(f64::MIN),
        Just(0.0),
        -10.0..200.0,
    ]
}
