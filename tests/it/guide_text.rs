//! The guide taken apart: its code blocks, the pictures under them, and its generated parts.
//!
//! A code block opens with ```` ```yaml ````, and may say more behind that word:
//! - `parcel=7`: which parcel of the sample batch its picture shows (the first, if it says nothing);
//! - `high=30`: how high its page is in mm when it names none (60, if it says nothing);
//! - `pages=2`: how many pages stand side by side in the picture;
//! - `file=house.yaml`: it is a file that lies beside the layouts, and is not printed by itself;
//! - `step=3`: it shows what is new in the step of that number, whose whole is a file in `steps`; `# …`
//!   stands for lines that are left out;
//! - `wrong`: it has a mistake on purpose, and the next block is what the command says about it.
//!
//! The picture of a block is the next thing after it that is not white: `<img src="pictures/…">`.
//! A generated part stands between `<!-- generated: NAME -->` and `<!-- end -->`.

use std::fs;
use std::path::PathBuf;
use std::sync::LazyLock;

/// The folder of the guide.
pub(crate) fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("layouts")
}

/// A page of the guide as it was before any test wrote it anew.
#[derive(Debug)]
pub(crate) struct GuidePage {
    /// Its file in the folder.
    pub(crate) name: &'static str,
    /// What it says.
    pub(crate) text: String,
}

/// The pages of the guide.
pub(crate) static PAGES: LazyLock<Vec<GuidePage>> = LazyLock::new(|| {
    let read = |name| GuidePage { name, text: fs::read_to_string(folder().join(name)).unwrap() };
    ["README.md", "wishes.md", "reference.md"].map(read).into()
});

/// A code block of the guide.
#[derive(Debug)]
pub(crate) struct Snippet {
    /// The page it stands on.
    pub(crate) page: &'static GuidePage,
    /// Its language.
    pub(crate) language: String,
    /// What is said behind the language.
    words: Vec<String>,
    /// What stands in it, as a range of the page's bytes.
    pub(crate) range: std::ops::Range<usize>,
    /// The line it opens on, from 1.
    pub(crate) line: usize,
    /// The picture under it, as a path in the guide's folder.
    pub(crate) picture: Option<String>,
}

impl Snippet {
    /// What stands in it.
    pub(crate) fn text(&self) -> &'static str {
        &self.page.text[self.range.clone()]
    }

    /// Whether a word is said behind the language.
    pub(crate) fn says(&self, word: &str) -> bool {
        self.words.iter().any(|said| said == word)
    }

    /// What is said for a word.
    pub(crate) fn value(&self, word: &str) -> Option<&str> {
        self.words.iter().find_map(|said| said.strip_prefix(word)?.strip_prefix('='))
    }

    /// The number that is said for a word.
    pub(crate) fn number(&self, word: &str) -> Option<usize> {
        self.value(word).map(|number| number.parse().unwrap())
    }

    /// The whole layout file that it is, or is a part of: the rule is told in the guide.
    pub(crate) fn layout(&self) -> String {
        if let Some(number) = self.number("step") {
            return read_step(number);
        }
        let text = self.text();
        let first = text.lines().find(|line| !line.starts_with('#')).unwrap_or_default();
        let key = first.split(':').next().unwrap_or_default();
        let has = |name: &str| text.lines().any(|line| line.starts_with(&format!("{name}:")));
        let high = self.number("high").unwrap_or(60);
        let page = &format!("page: {{stock: 80x{high}mm, inset: 4}}\n");
        let makes = "makes: label\n";
        if first.starts_with("- ") {
            return format!("{page}{makes}body:\n  down:\n{}  gap: 3\n", indent(text, "    "));
        }
        if slipwright::workings::BLOCKS.iter().any(|block| block.name == key) {
            return format!("{page}{makes}body:\n{}", indent(text, "  "));
        }
        let mut whole = String::new();
        for (name, line) in [("page", page.as_str()), ("makes", makes)] {
            if !has(name) {
                whole.push_str(line);
            }
        }
        whole.push_str(text);
        if !has("body") {
            whole.push_str("body:\n  text: \"{{ tag }}\"\n");
        }
        whole
    }
}

/// The whole layout of a step.
pub(crate) fn read_step(number: usize) -> String {
    fs::read_to_string(folder().join(format!("steps/step-{number:02}.yaml"))).unwrap()
}

/// Every line further right.
fn indent(text: &str, by: &str) -> String {
    text.lines().map(|line| format!("{by}{line}\n")).collect()
}

/// The code blocks of the guide.
pub(crate) fn snippets() -> Vec<Snippet> {
    PAGES.iter().flat_map(snippets_of).collect()
}

/// The code blocks of a page.
fn snippets_of(page: &'static GuidePage) -> Vec<Snippet> {
    let mut found: Vec<Snippet> = Vec::new();
    let mut open: Option<Snippet> = None;
    let mut at = 0;
    let mut waiting = false;
    for (index, line) in page.text.split_inclusive('\n').enumerate() {
        let start = at;
        at += line.len();
        let line = line.trim_end();
        match (&mut open, line.strip_prefix("```")) {
            (Some(snippet), Some(_)) => {
                snippet.range.end = start;
                found.extend(open.take());
                waiting = true;
            }
            (None, Some(words)) => {
                let mut words = words.split_whitespace().map(str::to_owned);
                let language = words.next().unwrap_or_default();
                let words = words.collect();
                open = Some(Snippet {
                    page,
                    language,
                    words,
                    range: at..at,
                    line: index + 1,
                    picture: None,
                });
            }
            (None, None) if waiting && !line.is_empty() => {
                waiting = false;
                let path = line.strip_prefix("<img src=\"").and_then(|rest| rest.split('"').next());
                found.last_mut().unwrap().picture = path.map(str::to_owned);
            }
            _ => {}
        }
    }
    assert!(open.is_none(), "a code block of the guide is not closed");
    found
}

/// A part of a page that a test writes.
pub(crate) struct GeneratedPart {
    /// The page.
    pub(crate) page: &'static GuidePage,
    /// Its name.
    pub(crate) name: &'static str,
    /// What stands between its marks, as a range of the page's bytes.
    pub(crate) range: std::ops::Range<usize>,
}

/// The generated parts.
pub(crate) fn generated() -> Vec<GeneratedPart> {
    let (opens, ends) = ("<!-- generated: ", "<!-- end -->");
    let mut found = Vec::new();
    for page in PAGES.iter() {
        for (at, _) in page.text.match_indices(opens) {
            let (name, _) = page.text[at + opens.len()..].split_once(" -->\n").unwrap();
            let start = at + opens.len() + name.len() + " -->\n".len();
            let length = page.text[start..].find(ends);
            let length = length.unwrap_or_else(|| panic!("`{name}` has no end"));
            found.push(GeneratedPart { page, name, range: start..start + length });
        }
    }
    found
}
