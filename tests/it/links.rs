//! Every link and picture of the project's pages that stays inside the project leads somewhere: the
//! file is there, and so is the heading.

use std::fs;
use std::path::{Path, PathBuf};

/// Folders that hold no page of ours.
const SKIPPED: [&str; 5] = ["target", ".git", "node_modules", "fuzz-corpus", "fuzz-heavy"];

/// The crate's folder.
fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All Markdown files under a folder.
fn pages(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<_> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        let name = path.file_name().unwrap().to_str().unwrap_or_default();
        if path.is_dir() && !SKIPPED.contains(&name) {
            pages(&path, found);
        } else if name.ends_with(".md") {
            found.push(path);
        }
    }
}

/// A page without its code blocks and without code inside lines, where brackets are no links.
fn prose(text: &str) -> String {
    let outside = text.split("```").step_by(2).collect::<String>();
    outside.split('`').step_by(2).collect()
}

/// Where a page's links and pictures lead: `[…](here)`, `src="here"`.
fn targets(prose: &str) -> Vec<&str> {
    let links = prose.split("](").skip(1).filter_map(|rest| rest.split(')').next());
    let pictures = prose.split("src=\"").skip(1).filter_map(|rest| rest.split('"').next());
    links.chain(pictures).collect()
}

/// The anchors of a page's headings, as web pages of repositories make them: small letters, digits
/// and hyphens; spaces become hyphens, all else goes.
fn anchors(text: &str) -> Vec<String> {
    let outside = text.split("```").step_by(2).collect::<String>();
    let headings = outside.lines().filter_map(|line| line.strip_prefix('#'));
    let anchor = |heading: &str| {
        let name = heading.trim_start_matches('#').trim().to_lowercase();
        let kept = name.chars().filter(|c| c.is_alphanumeric() || " -_".contains(*c));
        kept.map(|c| if c == ' ' { '-' } else { c }).collect()
    };
    headings.map(anchor).collect()
}

/// What is wrong with one link of a page.
fn fault(page: &Path, target: &str) -> Option<String> {
    if target.contains("://") || target.starts_with("mailto:") {
        return None;
    }
    let (file, anchor) = target.split_once('#').map_or((target, None), |(f, a)| (f, Some(a)));
    let path = if file.is_empty() { page.to_owned() } else { page.parent().unwrap().join(file) };
    if !path.exists() {
        return Some(format!("{}: `{target}` is not there", page.display()));
    }
    let anchor = anchor?;
    let there = anchors(&fs::read_to_string(&path).unwrap()).iter().any(|found| found == anchor);
    (!there).then(|| format!("{}: `{target}` has no such heading", page.display()))
}

#[test]
fn no_link_is_dead() {
    let mut found = Vec::new();
    pages(&root(), &mut found);
    assert!(found.len() >= 12, "the pages are gone: {found:?}");
    let mut faults = Vec::new();
    let mut followed = 0;
    for page in &found {
        let prose = prose(&fs::read_to_string(page).unwrap());
        let targets = targets(&prose);
        followed += targets.len();
        faults.extend(targets.into_iter().filter_map(|target| fault(page, target)));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(followed >= 60, "only {followed} links are followed");
}

#[test]
fn dead_links_are_found() {
    let page = root().join("README.md");
    assert_eq!(fault(&page, "docs/orders.md#declared-goods"), None);
    assert!(fault(&page, "docs/nothing.md").is_some());
    assert!(fault(&page, "docs/orders.md#nothing").is_some());
    assert_eq!(
        targets("see [a](b.md), ![c](d.png) and <img src=\"e.png\">"),
        ["b.md", "d.png", "e.png"]
    );
}
