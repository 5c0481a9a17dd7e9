//! The files of a desk, each at its place in the folder; pages name none themselves.

use std::io;
use std::path::{Path, PathBuf};

use crate::desk::HttpAnswer;
use crate::source::describe_failure;

/// Where a desk's ledger is, there or not.
pub(super) fn ledger_in(folder: &Path) -> PathBuf {
    folder.join("slipwright.ledger")
}

/// The shop file.
pub(super) fn shop_in(folder: &Path) -> PathBuf {
    folder.join("shop.yaml")
}

/// The first map of a shop's export.
const FIRST_MAP: &str = "export-map";

/// The maps of exports, in the order of their names.
pub(super) fn maps_in(folder: &Path) -> Vec<PathBuf> {
    let listed = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let is_map = |path: &PathBuf| {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        name.starts_with(FIRST_MAP) && name.ends_with(".yaml") && path.is_file()
    };
    let mut maps: Vec<PathBuf> = listed.map(|entry| entry.path()).filter(is_map).collect();
    maps.sort();
    maps
}

/// A place for another map.
pub(super) fn free_map_in(folder: &Path) -> PathBuf {
    let named = |number: u32| match number {
        1 => folder.join(format!("{FIRST_MAP}.yaml")),
        _ => folder.join(format!("{FIRST_MAP}-{number}.yaml")),
    };
    (1..).map(named).find(|path| !path.exists()).unwrap_or_else(|| named(1))
}

/// A place for rows of an export that are set aside.
pub(super) fn free_aside_in(folder: &Path) -> PathBuf {
    let named = |number: u32| folder.join(format!("set-aside-{number}.csv"));
    (1..).map(named).find(|path| !path.exists()).unwrap_or_else(|| named(1))
}

/// The map of the shop's table.
pub(super) const SHOP_MAP: &str = "shop-map.yaml";

/// Whether a file is a map of something, by its name.
pub(super) fn is_map(name: &str) -> bool {
    name.starts_with(FIRST_MAP) || name == SHOP_MAP
}

/// What a page is told when nothing can be written into the desk's folder.
pub(super) fn cannot_keep(error: &io::Error) -> HttpAnswer {
    let why = describe_failure(error);
    HttpAnswer::words(503, &format!("nothing can be written into the desk's folder: {why}"))
}
