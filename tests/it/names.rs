//! One noun, one meaning; arguments that are named; one way of laying out modules.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use crate::imports::{self, source_files};

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

/// The words of a name such as `MOST_ROWS`, `read_rows` or `RowList`, in small letters, without an `s` at
/// their ends.
fn words_of_name(name: &str) -> BTreeSet<String> {
    let mut spaced = String::new();
    let mut after_small = false;
    for c in name.chars() {
        if c.is_ascii_uppercase() && after_small {
            spaced.push('_');
        }
        after_small = c.is_ascii_lowercase() || c.is_ascii_digit();
        spaced.push(c.to_ascii_lowercase());
    }
    spaced.split('_').map(|word| word.trim_end_matches('s').to_owned()).collect()
}

/// Whether a sentence says of an item only what its name says. Figures and quoted words are more than that.
fn repeats_name(sentence: &str, name: &str) -> bool {
    let articles = ["a", "an", "the", "it", "its", "of", "one", "all", "this", "that", "is"];
    let known = words_of_name(name);
    let words = sentence.split(|c: char| !c.is_ascii_alphabetic()).filter(|word| !word.is_empty());
    let mut words = words.map(str::to_ascii_lowercase);
    let is_bare = !sentence.contains(|c: char| c == '`' || c.is_ascii_digit());
    is_bare
        && words
            .all(|word| articles.contains(&&*word) || known.contains(word.trim_end_matches('s')))
}

/// The items of a file whose one sentence repeats their name, each with that sentence.
fn silent_sentences(text: &str) -> Vec<(&str, &str)> {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let Some(sentence) = line.strip_prefix("/// ") else { continue };
        let is_doc = |line: Option<&&str>| line.is_some_and(|line| line.starts_with("///"));
        if is_doc(at.checked_sub(1).and_then(|before| lines.get(before)))
            || is_doc(lines.get(at + 1))
        {
            continue;
        }
        let item = lines[at + 1..].iter().find(|line| !line.starts_with('#'));
        let mut words =
            item.into_iter().flat_map(|line| line.split([' ', '(', '<', ':', ',', ';']));
        let before =
            ["const", "fn", "struct", "enum", "trait", "mod", "type", "static", "async", ""];
        let name = words
            .find(|word| !before.contains(word) && !word.starts_with("pub") && !word.contains(')'));
        found.extend(name.filter(|name| repeats_name(sentence, name)).map(|name| (name, sentence)));
    }
    found
}

/// Code without comments and without what stands in quotes.
fn bare_code(text: &str) -> String {
    let lines = text.lines().map(|line| {
        let code = line.split("//").next().unwrap_or_default();
        let outside = code.split('"').step_by(2);
        outside.collect::<Vec<_>>().join("\"\"")
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// The parts of a list between brackets that is open at the start of a text, or none where it never
/// closes.
fn split_list(text: &str) -> Vec<&str> {
    let (mut depth, mut start, mut parts) = (0, 0, Vec::new());
    for (at, c) in text.char_indices() {
        match c {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' if depth == 0 => {
                parts.push(text[start..at].trim());
                return parts;
            }
            ')' | ']' | '}' => depth -= 1,
            ',' if depth == 0 => {
                parts.push(text[start..at].trim());
                start = at + 1;
            }
            _ => {}
        }
    }
    Vec::new()
}

/// The functions of some code, each by its name and whether it takes a plain yes or no.
fn functions(code: &str) -> impl Iterator<Item = (&str, bool)> {
    code.split(" fn ").skip(1).filter_map(|rest| {
        let name = rest.split(|c: char| !c.is_alphanumeric() && c != '_').next()?;
        let parameters = split_list(&rest[rest.find('(')? + 1..]);
        Some((name, parameters.iter().any(|parameter| parameter.ends_with(": bool"))))
    })
}

/// The calls in some code of functions with these names that are given a bare yes or no. A function of
/// a type that is not among `types` is somebody else's, and so is what a standard `Cell` is made by.
fn bare_calls<'c>(
    code: &'c str,
    names: &BTreeSet<String>,
    types: &BTreeSet<String>,
) -> Vec<&'c str> {
    let word = |text: &'c str| {
        let start = text.rfind(|c: char| !c.is_alphanumeric() && c != '_').map_or(0, |at| at + 1);
        &text[start..]
    };
    let calls = code.match_indices('(').filter_map(|(at, _)| {
        let name = word(&code[..at]);
        let before = &code[..at - name.len()];
        let holder = before.strip_suffix("::").map(word).unwrap_or_default();
        let is_type = holder.starts_with(char::is_uppercase) && holder != "Self";
        let is_foreign = is_type && !types.contains(holder) || [holder, name] == ["Cell", "new"];
        let is_ours = names.contains(name) && !is_foreign;
        let given = || split_list(&code[at + 1..]);
        let is_bare = || given().iter().any(|given| ["true", "false"].contains(given));
        (is_ours && !before.ends_with("fn ") && is_bare()).then_some(name)
    });
    calls.collect()
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

/// Whoever reads `open(folder, true)` has to look elsewhere what is true.
#[test]
fn no_call_is_given_a_bare_yes_or_no() {
    let names = BTreeSet::from(["paint".to_owned(), "new".to_owned()]);
    let types = BTreeSet::from(["Scale".to_owned()]);
    let code = "impl A { fn paint(a: bool) { paint(b, true); it.paint(f(1, 2), false); paint(c) \
                Scale::new(true); Cell::new(true) other(true) } }";
    assert_eq!(bare_calls(code, &names, &types), ["paint", "paint", "new"]);
    assert_eq!(functions(code).collect::<Vec<_>>(), [("paint", true)]);

    let source = imports::read_source();
    let types = source.iter().flat_map(|file| file.engine.lines().filter_map(defined_type));
    let types: BTreeSet<String> = types.map(str::to_owned).collect();
    let codes: Vec<(&str, String)> =
        source.iter().map(|file| (&*file.path, bare_code(&file.engine))).collect();
    let all = codes.iter().flat_map(|(_, code)| functions(code));
    let names: BTreeSet<String> =
        all.filter(|(_, takes)| *takes).map(|(name, _)| name.to_owned()).collect();
    assert!(names.len() > 20, "{} functions take a yes or no", names.len());
    let found = codes.iter().flat_map(|(path, code)| {
        let calls = bare_calls(code, &names, &types);
        calls.into_iter().map(move |name| format!("{path}: {name}"))
    });
    let found: Vec<String> = found.collect();
    assert!(found.is_empty(), "name the two ways by an enum:\n{}", found.join("\n"));
}

#[test]
fn a_module_s_face_stands_beside_its_folder() {
    let faces = read_source().into_iter().filter(|(path, _)| path.ends_with("mod.rs"));
    let faces: Vec<PathBuf> = faces.map(|(path, _)| path).collect();
    assert!(faces.is_empty(), "{faces:?}");
}

/// Help texts of the command are written for who reads them there, and rules for their table in the docs.
const WRITTEN_FOR_OTHERS: [&str; 2] = ["cli/arguments", "findings/rules.rs"];

#[test]
fn no_sentence_says_only_what_the_name_says() {
    for (path, text) in read_source() {
        if WRITTEN_FOR_OTHERS.iter().any(|place| path.to_string_lossy().starts_with(place)) {
            continue;
        }
        assert_eq!(
            silent_sentences(&text),
            [],
            "in {}: say unit, default or reason",
            path.display()
        );
    }
}

#[test]
fn a_sentence_that_repeats_its_name_is_found() {
    let code = "/// The rows.\n    pub(super) row: u32,\n/// Reads a row.\n#[must_use]\nfn read_rows() {}\n\
                /// How many rows there are.\nconst ROWS: u8 = 1;\n/// All of it.\n/// Twice.\nstruct All;\n\
                /// At `row`.\nRow,\n";
    assert_eq!(silent_sentences(code), [("row", "The rows."), ("read_rows", "Reads a row.")]);
}
