//! Every mistake a person makes in a layout: a folder of `tests/cases/layout` with the layout and
//! the whole text of what is said about it. `SLIPWRIGHT_BLESS=1` writes the expectations anew.

use std::fs;
use std::path::Path;

use slipwright::{Sources, findings, read_layout};

#[test]
fn layout_mistakes_are_explained() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/layout");
    let mut cases: Vec<_> =
        fs::read_dir(&root).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 20, "the cases are gone");
    let mut failures = Vec::new();
    for case in cases {
        let mut sources = Sources::new();
        let file =
            sources.add("layout.yaml", fs::read_to_string(case.join("layout.yaml")).unwrap());
        let (_, faults) = read_layout(&mut sources, file, &crate::support::Disk, &case);
        let shown: Vec<String> = faults
            .iter()
            .map(|fault| findings::render(fault, &sources, findings::Style::Full))
            .collect();
        failures.extend(crate::support::compare(&case.join("expected.txt"), &shown.join("\n")));
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
