//! What more than one group of tests needs.

use std::fs;
use std::path::Path;

/// Compares a text with the file that holds what is expected; with `SLIPWRIGHT_BLESS=1` the file
/// is written instead. A case without expectations fails and leaves a file to look at.
pub(crate) fn compare(expected: &Path, actual: &str) -> Option<String> {
    if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
        fs::write(expected, actual).unwrap();
        return None;
    }
    let wanted = fs::read_to_string(expected).unwrap_or_default();
    if wanted == actual {
        return None;
    }
    let name = expected.display();
    Some(format!("{name}\n--- expected\n{wanted}\n--- actual\n{actual}\n"))
}
