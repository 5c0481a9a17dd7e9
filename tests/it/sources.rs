//! What is held against others' figures names where they are from: no comment, test or page cites what
//! nobody can follow.

use std::fs;
use std::path::{Path, PathBuf};

/// Where the project's own words stand.
const PLACES: [&str; 12] = [
    "src",
    "tests",
    "docs",
    "layouts",
    "benches",
    "examples",
    "fuzz/src",
    "tools",
    "fonts",
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
];

/// The endings of files that hold such words.
const ENDINGS: [&str; 7] = ["rs", "md", "yaml", "py", "txt", "toml", "json"];

/// What cannot be followed, each in two halves so that this file does not find itself.
const VAGUE: [(&str, &str); 6] = [
    ("from ", "memory"),
    ("secondary ", "source"),
    ("facts", ".md"),
    ("facts ", "§"),
    ("published ", "pages"),
    ("an independent ", "program"),
];

/// All files of a place that hold words.
fn files(place: &Path, found: &mut Vec<PathBuf>) {
    if place.is_dir() {
        let mut entries: Vec<_> =
            fs::read_dir(place).unwrap().map(|entry| entry.unwrap().path()).collect();
        entries.sort();
        entries
            .iter()
            .filter(|path| !path.ends_with("fuzz-corpus") && !path.ends_with("fuzz-heavy"))
            .for_each(|path| files(path, found));
    } else if place.extension().is_some_and(|ending| ENDINGS.iter().any(|known| ending == *known)) {
        found.push(place.to_owned());
    }
}

/// The lines of a text that cite what cannot be followed, also where the words stand on two lines.
fn vague_lines(text: &str) -> Vec<(usize, String)> {
    let lines: Vec<&str> = text.lines().collect();
    let marks = |c: char| c.is_whitespace() || "/!*#".contains(c);
    let next = |at: usize| lines.get(at + 1).map_or("", |line| line.trim_start_matches(marks));
    let joined = lines
        .iter()
        .enumerate()
        .map(|(at, line)| (at, format!("{} {}", line.trim_end(), next(at))));
    let phrases: Vec<String> = VAGUE.iter().map(|(start, end)| format!("{start}{end}")).collect();
    joined
        .filter_map(|(at, pair)| {
            let (pair, below) = (pair.to_lowercase(), next(at).to_lowercase());
            let found = phrases.iter().find(|it| pair.contains(*it) && !below.contains(*it))?;
            Some((at + 1, found.clone()))
        })
        .collect()
}

#[test]
fn every_source_can_be_followed() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    PLACES.iter().for_each(|place| files(&root.join(place), &mut found));
    assert!(found.len() > 500, "the files are gone: {}", found.len());
    let mut faults = Vec::new();
    for path in &found {
        let Ok(text) = fs::read_to_string(path) else { continue };
        let place = path.strip_prefix(root).unwrap().display().to_string();
        let lines = vague_lines(&text).into_iter();
        faults.extend(lines.map(|(line, phrase)| format!("{place}:{line}: `{phrase}`")));
    }
    let way_out = "name what was looked at, or call it ours with the measurement that chose it";
    assert!(faults.is_empty(), "{way_out}:\n{}", faults.join("\n"));
}

#[test]
fn vague_sources_are_found_also_across_lines() {
    let (start, end) = VAGUE[0];
    let text = format!("one\n/// two, {start}{end}.\n//! three (From\n//! {end})\nfour");
    let lines: Vec<usize> = vague_lines(&text).into_iter().map(|(line, _)| line).collect();
    assert_eq!(lines, [2, 3]);
}

/// Cargo.toml offers two licences, and the one file that people are handed holds both texts.
#[test]
fn the_licence_holds_both_texts() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(root.join("LICENSE")).unwrap();
    let manifest = fs::read_to_string(root.join("Cargo.toml")).unwrap();
    assert!(manifest.contains("license = \"MIT OR Apache-2.0\""));
    let marks = [
        "MIT License",
        "Slipwright contributors",
        "Permission is hereby granted, free of charge",
        "THE SOFTWARE IS PROVIDED \"AS IS\"",
        "Version 2.0, January 2004",
        "9. Accepting Warranty or Additional Liability.",
        "END OF TERMS AND CONDITIONS",
    ];
    let places = marks.map(|mark| text.find(mark).unwrap_or_else(|| panic!("`{mark}` is missing")));
    assert!(places[1..].is_sorted(), "{places:?}");
}
