//! Files beside each other import each other in no circle, those of the command and of preflight not
//! even by their module; text reaches the terminal by one door, and rules are looked for by their
//! constants.

use std::collections::{BTreeMap, BTreeSet};

use crate::imports::{SourceFile, read_source, word_at};

/// The module of a file, as the words of its path in the crate.
fn module_of(file: &SourceFile) -> Vec<String> {
    file.path.trim_end_matches(".rs").split('/').map(str::to_owned).collect()
}

/// The module of `modules` that a path leads to when it starts in another: as far as its words
/// are modules.
fn follow(from: &[String], path: &str, modules: &BTreeSet<Vec<String>>) -> Option<Vec<String>> {
    let mut words = path.split("::").peekable();
    let mut at = match *words.peek()? {
        "crate" => Vec::new(),
        "super" | "self" => from.to_vec(),
        child => {
            let child = [from, &[child.to_owned()]].concat();
            return modules.contains(&child).then_some(child);
        }
    };
    while let Some(word) = words.next_if(|word| ["crate", "super", "self"].contains(word)) {
        if word == "super" {
            at.pop();
        }
    }
    for word in words {
        let next = [&at[..], &[word.to_owned()]].concat();
        if !modules.contains(&next) {
            break;
        }
        at = next;
    }
    Some(at)
}

/// The paths that a file names; a group in braces is taken apart.
fn paths_of(code: &str) -> Vec<String> {
    let mut paths = Vec::new();
    for (at, import) in code.match_indices("use ") {
        let before = code[..at].rsplit('\n').next().unwrap_or_default().trim();
        if ["", "pub", "pub(crate)", "pub(super)"].contains(&before) {
            let tree = code[at + import.len()..].split(';').next().unwrap_or_default();
            take_apart("", tree, &mut paths);
        }
    }
    let is_path = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
    // What ends so is the head of a group, which has been taken apart.
    let words = code.split(|c: char| !is_path(c)).filter(|word| !word.ends_with("::"));
    paths.extend(words.filter(|word| word.contains("::")).map(str::to_owned));
    paths
}

/// Takes a tree of imports apart: `a::{b, c::d}` is `a::b` and `a::c::d`.
fn take_apart(prefix: &str, tree: &str, paths: &mut Vec<String>) {
    let tree = tree.trim();
    let Some((head, rest)) = tree.split_once('{') else {
        paths.push(format!("{prefix}{}", tree.split_whitespace().next().unwrap_or_default()));
        return;
    };
    let inside = rest.rsplit_once('}').map_or(rest, |(inside, _)| inside);
    let prefix = format!("{prefix}{}", head.trim());
    let (mut depth, mut start) = (0_usize, 0);
    for (at, c) in inside.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            ',' if depth == 0 => {
                take_apart(&prefix, &inside[start..at], paths);
                start = at + 1;
            }
            _ => {}
        }
    }
    if !inside[start..].trim().is_empty() {
        take_apart(&prefix, &inside[start..], paths);
    }
}

/// Which imports between two files count.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Counted {
    /// All of them.
    All,
    /// Those of files beside each other: not what a module takes of its own parts, and they of it.
    Beside,
}

/// The files below a module of the crate that import each other in a circle, or stand between two.
fn find_circles(files: &[SourceFile], root: &str, counted: Counted) -> Vec<String> {
    let modules: BTreeSet<Vec<String>> = files.iter().map(module_of).collect();
    let mut imports: BTreeMap<Vec<String>, BTreeSet<Vec<String>>> = BTreeMap::new();
    for file in files.iter().filter(|file| file.module == root && !file.engine.is_empty()) {
        let own = module_of(file);
        let paths = paths_of(&file.engine);
        let targets = paths.iter().filter_map(|path| follow(&own, path, &modules));
        let is_kin = |target: &[String]| target.starts_with(&own) || own.starts_with(target);
        let targets = targets.filter(|target| *target != own && target.first() == own.first());
        let targets = targets.filter(|target| counted == Counted::All || !is_kin(target));
        imports.insert(own.clone(), targets.collect());
    }
    // What imports nothing that is left, or is imported by nothing that is left, is in no circle.
    loop {
        let left: BTreeSet<Vec<String>> = imports.keys().cloned().collect();
        let imported: BTreeSet<Vec<String>> = imports.values().flatten().cloned().collect();
        imports.retain(|module, targets| {
            imported.contains(module) && targets.iter().any(|target| left.contains(target))
        });
        if imports.len() == left.len() {
            return left.iter().map(|module| module.join("/")).collect();
        }
    }
}

#[test]
fn files_of_the_command_and_of_preflight_import_each_other_in_no_circle() {
    let files = read_source();
    for root in ["cli", "preflight"] {
        assert_eq!(find_circles(&files, root, Counted::All), [""; 0], "in a circle of `{root}`");
    }
}

/// A shaper keeps the paragraphs that it has made, and a paragraph is made and broken by it.
const CLOSE: [&str; 3] = ["fonts/paragraph", "fonts/shaper", "fonts/token"];

#[test]
fn files_beside_each_other_import_each_other_in_no_circle() {
    let files = read_source();
    let roots: BTreeSet<&str> = files.iter().map(|file| &*file.module).collect();
    let circles = roots.into_iter().flat_map(|root| find_circles(&files, root, Counted::Beside));
    assert_eq!(circles.collect::<Vec<_>>(), CLOSE);
}

#[test]
fn a_circle_is_found() {
    let file = |path: &str, engine: &str| SourceFile {
        path: path.into(),
        module: "cli".into(),
        engine: engine.into(),
        tests: String::new(),
    };
    let mut files = vec![
        file("cli.rs", "mod a;\nmod b;\npub use a::Exit;\nfn f() { b::run() }\n"),
        file("cli/a.rs", "use crate::cli::c::{self, X};\n"),
        file("cli/b.rs", "use super::{a::Y,\n    c};\n"),
        file("cli/c.rs", ""),
    ];
    assert_eq!(find_circles(&files, "cli", Counted::All), [""; 0]);
    files[3].engine = "use super::b::Z;\n".into();
    for counted in [Counted::All, Counted::Beside] {
        assert_eq!(find_circles(&files, "cli", counted), ["cli/a", "cli/b", "cli/c"]);
    }
    files[3].engine = "use super::Exit;\n".into();
    assert_eq!(find_circles(&files, "cli", Counted::All), ["cli", "cli/a", "cli/b", "cli/c"]);
    assert_eq!(find_circles(&files, "cli", Counted::Beside), [""; 0]);
}

/// Documents go to standard output by `appear`; whether there is a terminal is asked by `output` for a
/// bar and by `voice` for colours.
#[test]
fn text_reaches_the_terminal_by_one_door() {
    let doors = ["cli/terminal.rs", "cli/appear.rs", "cli/output.rs", "cli/voice.rs"];
    let writes = ["stdout()", "stderr()", "println!", "print!(", "dbg!"];
    for file in read_source().iter().filter(|file| !doors.contains(&file.path.as_str())) {
        for write in writes {
            assert!(!file.engine.contains(write), "{} writes with `{write}`", file.path);
        }
    }
}

#[test]
fn rules_are_looked_for_by_their_constants() {
    for file in read_source() {
        for (at, _) in file.engine.match_indices(".rule") {
            let rest = file.engine[at + ".rule".len()..].trim_start_matches(".name").trim_start();
            let is_compared = rest.starts_with("==") || rest.starts_with("!=");
            let other = rest.trim_start_matches(['=', '!']).trim_start();
            assert!(
                !(is_compared && other.trim_start_matches('*').starts_with('"')),
                "{}: `{}`",
                file.path,
                word_at(other.trim_start_matches(['*', '"']))
            );
        }
    }
}
