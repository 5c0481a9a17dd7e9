//! Modules import only what the table in DEVELOPERS.md allows.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The rows of the module table: names, and what they may import.
fn read_table() -> BTreeMap<String, BTreeSet<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let (_, section) = text.split_once("## Modules").expect("DEVELOPERS.md lists the modules");
    let section = section.split("\n## ").next().unwrap();
    let words = |cell: &str| -> Vec<String> {
        cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
    };
    let mut groups: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut rows = Vec::new();
    for line in section.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').collect();
        let names = words(cells[0]);
        if let Some((_, group)) = cells[0].split_once('=') {
            let group = group.trim().to_owned();
            groups.entry(group).or_default().extend(names.clone());
        }
        rows.push((names, words(cells[2]), cells[2].to_owned()));
    }
    let mut table = BTreeMap::new();
    for (names, allowed, cell) in rows {
        let mut allowed: BTreeSet<String> = allowed.into_iter().collect();
        for (group, members) in &groups {
            if cell.split(|c: char| !c.is_alphanumeric()).any(|word| word == group) {
                allowed.extend(members.iter().cloned());
            }
        }
        for name in names {
            let mut own = allowed.clone();
            own.insert(name.clone());
            table.insert(name, own);
        }
    }
    table
}

/// The crate's folder.
fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All source files below a folder.
fn source_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            source_files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// The modules a file names behind `crate::`, tests and comments left out.
fn imported_modules(text: &str) -> BTreeSet<String> {
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
    let mut modules = BTreeSet::new();
    for line in lines {
        for (at, _) in line.match_indices("crate::") {
            let rest = &line[at + "crate::".len()..];
            let name: String =
                rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            modules.insert(name);
        }
    }
    modules
}

#[test]
fn imports_follow_the_module_table() {
    let table = read_table();
    let mut files = Vec::new();
    source_files(&root().join("src"), &mut files);
    files.sort();
    let mut breaches = Vec::new();
    for file in files {
        let inside = file.strip_prefix(root().join("src")).unwrap();
        let module = inside.iter().next().unwrap().to_string_lossy().replace(".rs", "");
        if module == "lib" || module == "main" {
            continue;
        }
        let Some(allowed) = table.get(&module) else {
            breaches.push(format!("`{module}` is not in the table"));
            continue;
        };
        for import in imported_modules(&fs::read_to_string(&file).unwrap()) {
            if !import.is_empty() && !allowed.contains(&import) {
                breaches.push(format!("{}: `{module}` imports `{import}`", inside.display()));
            }
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

#[test]
fn the_table_lists_no_module_that_is_gone() {
    let src = root().join("src");
    for module in read_table().keys() {
        let there = src.join(format!("{module}.rs")).exists() || src.join(module).is_dir();
        assert!(there, "DEVELOPERS.md lists `{module}`, which does not exist");
    }
}
