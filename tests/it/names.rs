//! One noun, one meaning; arguments that are named; one way of laying out modules.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::imports::source_files;

/// The engine's source files, in order, each with its text.
fn read_source() -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    source_files(&root, &mut files);
    files.sort();
    let inside = |path: &PathBuf| path.strip_prefix(&root).unwrap().to_owned();
    files.iter().map(|path| (inside(path), fs::read_to_string(path).unwrap())).collect()
}

/// The name that a line defines a type by, if it does.
fn defined_type(line: &str) -> Option<&str> {
    let mut words = line.split_whitespace().skip_while(|word| word.starts_with("pub"));
    let kind = words.next()?;
    let name = words.next()?;
    let is_type = !line.starts_with(' ') && ["struct", "enum", "trait", "type"].contains(&kind);
    is_type.then(|| name.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default())
}

/// The parameters of a file's functions that are tuples taken apart, each with what follows it.
fn unpacked_parameters(text: &str) -> Vec<String> {
    let lines = text.lines().map(str::trim).filter(|line| !line.starts_with("//"));
    let code = lines.collect::<Vec<_>>().join(" ");
    let mut found = Vec::new();
    for signature in code.split(" fn ").skip(1) {
        let signature = signature.split(" {").next().unwrap_or_default();
        for (at, _) in signature.match_indices(['(', ',']) {
            let parameter = signature[at + 1..].trim_start();
            if parameter.starts_with('(') && parameter.contains("): (") {
                found.push(parameter.chars().take(60).collect());
            }
        }
    }
    found
}

#[test]
fn every_type_has_a_name_of_its_own() {
    let mut places: BTreeMap<String, Vec<PathBuf>> = BTreeMap::new();
    for (path, text) in read_source() {
        for name in text.lines().filter_map(defined_type) {
            places.entry(name.to_owned()).or_default().push(path.clone());
        }
    }
    assert!(places.len() > 500, "{} types", places.len());
    places.retain(|_, places| places.len() > 1);
    assert!(places.is_empty(), "defined more than once: {places:#?}");
}

#[test]
fn no_parameter_is_a_tuple_taken_apart() {
    let own = unpacked_parameters("impl A { fn a(&self, (x, y): (u32, Mm), z: u8) -> u8 { 1 } }");
    assert_eq!(own, ["(x, y): (u32, Mm), z: u8) -> u8"]);
    let found = read_source().into_iter().flat_map(|(path, text)| {
        let found = unpacked_parameters(&text);
        found.into_iter().map(move |it| format!("{}: {it}", path.display()))
    });
    let found: Vec<String> = found.collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_module_s_face_stands_beside_its_folder() {
    let faces = read_source().into_iter().filter(|(path, _)| path.ends_with("mod.rs"));
    let faces: Vec<PathBuf> = faces.map(|(path, _)| path).collect();
    assert!(faces.is_empty(), "{faces:?}");
}
