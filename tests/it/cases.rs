//! Cases as folders: files in, one expected text out.

use std::fs;
use std::path::Path;

/// Runs every folder under `tests/cases/<kind>`: its files `names` go to `show` (a file that is
/// not there as empty text), whose text must equal `expected.txt`.
pub(crate) fn run(kind: &str, names: &[&str], show: impl Fn(&[String]) -> String) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases").join(kind);
    let entries = fs::read_dir(&root).expect("the folder of cases");
    let mut cases: Vec<_> = entries.map(|entry| entry.expect("an entry").path()).collect();
    cases.sort();
    assert!(cases.len() >= 20, "the cases are gone");
    let mut failures = Vec::new();
    for case in cases {
        let texts: Vec<_> = names
            .iter()
            .map(|name| fs::read_to_string(case.join(name)).unwrap_or_default())
            .collect();
        failures.extend(crate::support::compare(&case.join("expected.txt"), &show(&texts)));
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
