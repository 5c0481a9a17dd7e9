//! Prints the cells of files as intake reads them, for `tests/outside/csv_files.py`.
//!
//! In: one JSON value a line, `{"file": …, "separator": ";", "encoding": "utf-8"}`, the last two
//! optional. Out: one a line, `{"rows": [[…]], "error": null}`.

use std::fs::File;
use std::io::{self, BufRead as _, Read};

use serde_json::{Value, json};
use slipwright::Sources;
use slipwright::intake::list_cells;

/// Prints the cells of every file that standard input names.
pub(super) fn print_cells() -> io::Result<()> {
    for line in io::stdin().lock().lines() {
        let asked: Value = serde_json::from_str(&line?)?;
        let file = asked["file"].as_str().unwrap_or_default().to_owned();
        let open = || Ok(Box::new(File::open(&file)?) as Box<dyn Read>);
        let separator = asked["separator"].as_str().and_then(|text| text.bytes().next());
        let encoding = asked["encoding"].as_str();
        let answer = match list_cells(&open, encoding, separator, &mut Sources::new()) {
            Ok((rows, intake)) => {
                let error = intake.findings.iter().find(|found| found.is_error());
                json!({"rows": rows, "error": error.map(|found| found.rule.name)})
            }
            Err(error) => json!({"rows": [], "error": format!("{error:?}")}),
        };
        println!("{answer}");
    }
    Ok(())
}
