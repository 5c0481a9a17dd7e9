//! What preflight says of every shipped layout: nothing.
//!
//! In: the sample batch on printers of 203, 300 and 600 dpi, and the hard cases of `papers`. Faults
//! that are put in, and found, are counted beside preflight itself.

use std::fmt::Write as _;
use std::path::Path;

use slipwright::shipped::SHIPPED;
use slipwright::{DotGrid, Finding, Severity};

use crate::papers::hard_batch;
use crate::sample_pages::{batch_of, layout_of, print_batch, sample_batch};

/// Printers, in dots an inch.
const PRINTERS: [f64; 3] = [203.0, 300.0, 600.0];

/// The findings that are no notes.
fn alarms(findings: &[Finding]) -> usize {
    findings.iter().filter(|it| it.severity != Severity::Note).count()
}

#[test]
fn shipped_layouts_raise_no_false_alarm() {
    let (sample, shop) = sample_batch();
    let (carried, _) = batch_of("carrier.json");
    let hard = hard_batch(Some(&shop));
    let heads = PRINTERS.map(|dpi| format!("pages at {dpi} dpi | alarms"));
    let mut table = format!("| layout | {} | pages of hard cases | alarms |\n", heads.join(" | "));
    table += &format!("|:---{}|\n", "|---:".repeat(2 * PRINTERS.len() + 2));
    for shipped in SHIPPED {
        let layout = layout_of(shipped.text);
        let carries = shipped.text.contains("carrier_label");
        let batch = if carries { &carried } else { &sample };
        let mut row = format!("| {} |", shipped.name);
        let mut tell = |batch, grid| {
            let printed = print_batch((batch, Some(&shop)), &layout, grid, 1);
            let alarms = alarms(&printed.findings);
            let _ = write!(row, " {} | {alarms} |", printed.pages.len());
            assert_eq!(alarms, 0, "{}: {:?}", shipped.name, printed.findings);
        };
        for dpi in PRINTERS {
            tell(batch, DotGrid::from_dpi(dpi));
        }
        tell(if carries { &carried } else { &hard }, None);
        table += &(row + "\n");
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/preflight/false-alarms.md");
    let failure = crate::support::compare(&path, &table);
    assert!(failure.is_none(), "{}", failure.unwrap_or_default());
}
