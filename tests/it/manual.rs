//! The manual pages in `man/`, made from what `--help` knows. `SLIPWRIGHT_BLESS=1` writes them anew.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use slipwright::workings::command_line;

/// The pages in a folder by their names.
fn pages_in(folder: &Path) -> BTreeMap<String, String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap());
    let page = |entry: fs::DirEntry| {
        let name = entry.file_name().into_string().unwrap();
        (name, fs::read_to_string(entry.path()).unwrap())
    };
    entries.map(page).collect()
}

#[test]
fn every_command_has_its_manual_page() {
    let made = tempfile::tempdir().unwrap();
    clap_mangen::generate_to(command_line(), made.path()).unwrap();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("man");
    let wanted = pages_in(made.path());
    if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir(&folder).unwrap();
        wanted.iter().for_each(|(name, page)| fs::write(folder.join(name), page).unwrap());
    }
    assert!(wanted.contains_key("slipwright.1") && wanted.contains_key("slipwright-kit.1"));
    let kept = pages_in(&folder);
    let stale: Vec<&String> = wanted
        .keys()
        .chain(kept.keys())
        .filter(|&name| wanted.get(name) != kept.get(name))
        .collect();
    assert!(stale.is_empty(), "run SLIPWRIGHT_BLESS=1 cargo test: {stale:?} in man/ are stale");
}
