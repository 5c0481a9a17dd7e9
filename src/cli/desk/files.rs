//! The files of a desk, each at its place in the folder; pages name none themselves.

use std::path::{Path, PathBuf};

/// The ledger.
pub(super) fn ledger_in(folder: &Path) -> PathBuf {
    folder.join("slipwright.ledger")
}

/// The shop file.
pub(super) fn shop_in(folder: &Path) -> PathBuf {
    folder.join("shop.yaml")
}
