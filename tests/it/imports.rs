//! Modules import only what the table in DEVELOPERS.md allows, the engine asks nothing of a machine
//! that not every machine has, and the library shows a small face.

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
pub(crate) fn source_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            source_files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// A source file, its lines sorted into what is always compiled and what only tests are.
pub(crate) struct SourceFile {
    /// Its path inside `src`.
    pub(crate) path: String,
    /// The module of the table that it belongs to.
    pub(crate) module: String,
    /// What is always compiled.
    pub(crate) engine: String,
    /// What only tests are made of.
    pub(crate) tests: String,
}

/// All files of `src`, whole.
pub(crate) fn read_source() -> Vec<SourceFile> {
    let src = root().join("src");
    let mut paths = Vec::new();
    source_files(&src, &mut paths);
    paths.sort();
    let texts = paths.iter().map(|path| fs::read_to_string(path).unwrap());
    let files: Vec<(&PathBuf, String)> = paths.iter().zip(texts).collect();
    // A module behind `#[cfg(test)]` is test code with everything below it.
    let tests: Vec<PathBuf> = files
        .iter()
        .flat_map(|(path, text)| {
            test_modules(text).into_iter().map(|name| path.with_extension("").join(name))
        })
        .collect();
    let sort = |(path, text): (&PathBuf, String)| {
        let inside = path.strip_prefix(&src).unwrap();
        let module = inside.iter().next().unwrap().to_string_lossy().replace(".rs", "");
        let whole = path.with_extension("");
        let (engine, tests) = match tests.iter().any(|test| whole.starts_with(test)) {
            true => (String::new(), text),
            false => sort_lines(&text),
        };
        SourceFile { path: inside.display().to_string(), module, engine, tests }
    };
    files.into_iter().map(sort).collect()
}

/// The modules of their own files that a file declares for tests alone.
fn test_modules(text: &str) -> Vec<&str> {
    let behind = text.split("#[cfg(test)]\n").skip(1).filter_map(|rest| rest.lines().next());
    behind
        .filter_map(|line| {
            line.trim_start_matches("pub(super) ").strip_prefix("mod ")?.strip_suffix(';')
        })
        .collect()
}

/// What of a file is always compiled, and what only for tests: whatever `#[cfg(test)]` stands
/// before. Lines that are comments are in neither.
fn sort_lines(text: &str) -> (String, String) {
    let (mut engine, mut tests) = (String::new(), String::new());
    let mut lines = text.lines();
    let put = |text: &mut String, line: &str| {
        if !line.trim_start().starts_with("//") {
            *text += line;
            text.push('\n');
        }
    };
    while let Some(line) = lines.next() {
        if line.trim() != "#[cfg(test)]" {
            put(&mut engine, line);
            continue;
        }
        // rustfmt closes what is opened with the indentation it was opened with.
        let end = format!("{}}}", &line[..line.len() - line.trim_start().len()]);
        let mut first = true;
        for line in lines.by_ref() {
            put(&mut tests, line);
            let is_before =
                line.trim_start().starts_with("#[") || line.trim_start().starts_with("//");
            if is_before && first {
                continue;
            }
            let is_short = first && line.ends_with([';', ',', '}']);
            first = false;
            if is_short || line.starts_with(&end) {
                break;
            }
        }
    }
    (engine, tests)
}

/// The modules that some code names behind `crate::`.
fn imported_modules(code: &str) -> BTreeSet<String> {
    let names = code.match_indices("crate::").map(|(at, path)| word_at(&code[at + path.len()..]));
    names.filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

/// The word that a text begins with, or nothing.
pub(crate) fn word_at(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len());
    &text[..end]
}

/// The rows of the table, each with what its imports may import, and so on: tests look at the
/// stages before their own, but never at one behind.
fn close_table(table: &BTreeMap<String, BTreeSet<String>>) -> BTreeMap<String, BTreeSet<String>> {
    let mut closed = table.clone();
    loop {
        let before = closed.clone();
        for allowed in closed.values_mut() {
            let more: Vec<String> =
                allowed.iter().filter_map(|name| before.get(name)).flatten().cloned().collect();
            allowed.extend(more);
        }
        if closed == before {
            return closed;
        }
    }
}

#[test]
fn imports_follow_the_module_table() {
    let table = read_table();
    let closed = close_table(&table);
    let mut breaches = Vec::new();
    for file in read_source() {
        let module = &file.module;
        if module == "lib" || module == "main" {
            continue;
        }
        let (Some(allowed), Some(for_tests)) = (table.get(module), closed.get(module)) else {
            breaches.push(format!("`{module}` is not in the table"));
            continue;
        };
        for (code, allowed, who) in
            [(&file.engine, allowed, ""), (&file.tests, for_tests, "the tests of ")]
        {
            for import in imported_modules(code).difference(allowed) {
                breaches.push(format!("{}: {who}`{module}` imports `{import}`", file.path));
            }
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

/// What the engine may not ask of a machine, because not every machine has it.
const MACHINE: [&str; 6] = ["env", "fs", "net", "process", "thread", "time"];

/// The one file of the engine that has threads, which the feature `threads` leaves out.
const THREADS: &str = "pipeline/rounds/lanes.rs";

/// What is no part of the engine: the command, the desk's server, and the ledger, which is a file.
/// Features leave all of them out.
const BESIDE_THE_ENGINE: [&str; 4] = ["cli", "desk", "ledger", "main"];

/// The parts of the standard library that some code names, the terminal among them.
fn used_parts(code: &str) -> BTreeSet<String> {
    let mut parts = BTreeSet::new();
    for (at, path) in code.match_indices("std::") {
        let rest = &code[at + path.len()..];
        let list = rest.strip_prefix('{').and_then(|list| list.split('}').next());
        let names = list.unwrap_or(rest).split(',').map(|name| word_at(name.trim()));
        parts.extend(names.take(if list.is_some() { usize::MAX } else { 1 }).map(str::to_owned));
    }
    for stream in ["stdin()", "stdout()", "stderr()", "print!(", "println!(", "dbg!("] {
        if code.contains(stream) {
            parts.insert(stream.to_owned());
        }
    }
    parts
}

/// The engine compiles for `wasm32-unknown-unknown`, whose standard library has no threads, files,
/// clock or processes. A build cannot show it where that library is not to be had; this does.
#[test]
fn the_engine_asks_nothing_of_the_machine() {
    let mut breaches = Vec::new();
    for file in read_source() {
        if BESIDE_THE_ENGINE.contains(&&*file.module) {
            continue;
        }
        for part in used_parts(&file.engine) {
            let is_machine = MACHINE.contains(&&*part) || part.contains('(');
            if is_machine && !(file.path == THREADS && part == "thread") {
                breaches.push(format!("{}: `{part}`", file.path));
            }
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
    let rounds = fs::read_to_string(root().join("src/pipeline/rounds.rs")).unwrap();
    assert!(rounds.contains("#[cfg(feature = \"threads\")]\nmod lanes;"), "threads are left out");
}

#[test]
fn the_guards_read_whole_files_and_see_what_breaks_them() {
    let text = "use crate::geom::Mm;\n#[cfg(test)]\nuse crate::cli::Exit;\n\
                #[cfg(test)]\nmod tests {\n    use crate::kit::KitRecord;\n    fn a() {\n    }\n}\n\
                // crate::bind\nuse crate::orders::Order;\nuse std::{fs, io};\n\
                fn now() -> std::time::Instant {\n    crate::shop::now()\n}\n";
    let (engine, tests) = sort_lines(text);
    let names = |code: &str| imported_modules(code).into_iter().collect::<Vec<_>>().join(" ");
    assert_eq!(names(&engine), "geom orders shop");
    assert_eq!(names(&tests), "cli kit");
    let parts = used_parts(&engine).into_iter().collect::<Vec<_>>().join(" ");
    assert_eq!(parts, "fs io time");
    assert_eq!(test_modules("#[cfg(test)]\nmod peer_tests;\nmod other;\n"), ["peer_tests"]);
    // Nothing is lost between the two: every line that says something is in one of them.
    for file in read_source() {
        let path = root().join("src").join(&file.path);
        let text = fs::read_to_string(path).unwrap();
        let said = |line: &&str| !line.trim_start().starts_with("//");
        let lines = text.lines().filter(said).filter(|line| line.trim() != "#[cfg(test)]").count();
        let all = format!("{}{}", file.engine, file.tests);
        let kept = all.lines().filter(said).filter(|line| line.trim() != "#[cfg(test)]").count();
        assert_eq!(kept, lines, "{}", file.path);
    }
}

/// Names at the root of the library: more than fit one screen would be a list, not a face.
const ROOT_NAMES: usize = 40;

/// The names that `lib.rs` keeps at the root.
fn root_names() -> Vec<String> {
    let text = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let uses = text.split("\npub use ").skip(1).map(|rest| rest.split(';').next().unwrap());
    let list = |path: &str| {
        let (_, names) = path.split_once("::").unwrap();
        names.trim_matches(['{', '}']).to_owned()
    };
    let names: Vec<String> = uses.map(list).collect();
    let names = names.iter().flat_map(|names| names.split(','));
    names.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect()
}

#[test]
fn the_root_is_small_and_each_of_its_names_has_an_example() {
    let names = root_names();
    assert!((20..=ROOT_NAMES).contains(&names.len()), "{} names: {names:?}", names.len());
    // Examples run: those of the docs as tests, `main.rs` in every test of the command.
    let read = |path: &str| fs::read_to_string(root().join(path)).unwrap();
    let mut shown = read("src/main.rs");
    for example in fs::read_dir(root().join("examples")).unwrap() {
        shown += &fs::read_to_string(example.unwrap().path()).unwrap();
    }
    for file in read_source() {
        let text = read(&format!("src/{}", file.path));
        let docs = text.lines().filter_map(|line| {
            let line = line.trim_start();
            line.strip_prefix("//! ").or_else(|| line.strip_prefix("/// "))
        });
        let mut is_code = false;
        for line in docs {
            match line.starts_with("```") {
                true => is_code = !is_code && !line.contains("text"),
                false if is_code => shown += &format!("{line}\n"),
                false => {}
            }
        }
    }
    let words: BTreeSet<&str> = shown.split(|c: char| !(c.is_alphanumeric() || c == '_')).collect();
    let bare: Vec<_> = names.iter().filter(|name| !words.contains(&***name)).collect();
    assert!(bare.is_empty(), "no example shows {bare:?}");
}

#[test]
fn the_table_lists_no_module_that_is_gone() {
    let src = root().join("src");
    for module in read_table().keys() {
        let there = src.join(format!("{module}.rs")).exists() || src.join(module).is_dir();
        assert!(there, "DEVELOPERS.md lists `{module}`, which does not exist");
    }
}
