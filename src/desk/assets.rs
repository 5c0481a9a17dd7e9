//! The pages, which are part of the binary.

use super::answer::HttpAnswer;

/// The page that hands over the key and goes on.
pub(super) const ENTER: &str = include_str!("pages/enter.html");

/// The page of those who have no key.
pub(super) const NO_KEY: &str = include_str!("pages/no-key.html");

/// A style sheet.
const CSS: &str = "text/css; charset=utf-8";

/// A module of a page.
const JS: &str = "text/javascript; charset=utf-8";

/// A drawing.
const SVG: &str = "image/svg+xml";

/// A page.
const HTML: &str = "text/html; charset=utf-8";

/// Everything at its address, with its kind.
const ASSETS: &[(&str, &str, &str)] = &[
    ("/desk", HTML, include_str!("pages/desk.html")),
    ("/preview", HTML, include_str!("pages/preview.html")),
    ("/pages/desk.css", CSS, include_str!("pages/desk.css")),
    ("/pages/evening.css", CSS, include_str!("pages/evening.css")),
    ("/pages/counter.css", CSS, include_str!("pages/counter.css")),
    ("/pages/line-up.css", CSS, include_str!("pages/line-up.css")),
    ("/pages/preview.css", CSS, include_str!("pages/preview.css")),
    ("/pages/match.css", CSS, include_str!("pages/match.css")),
    ("/pages/mark.svg", SVG, include_str!("pages/mark.svg")),
    ("/pages/preview.js", JS, include_str!("pages/preview.js")),
    ("/pages/acts.js", JS, include_str!("pages/acts.js")),
    ("/pages/camera.js", JS, include_str!("pages/camera.js")),
    ("/pages/dom.js", JS, include_str!("pages/dom.js")),
    ("/pages/ahead.js", JS, include_str!("pages/ahead.js")),
    ("/pages/back.js", JS, include_str!("pages/back.js")),
    ("/pages/ask.js", JS, include_str!("pages/ask.js")),
    ("/pages/card.js", JS, include_str!("pages/card.js")),
    ("/pages/drop.js", JS, include_str!("pages/drop.js")),
    ("/pages/fields.js", JS, include_str!("pages/fields.js")),
    ("/pages/found.js", JS, include_str!("pages/found.js")),
    ("/pages/taken.js", JS, include_str!("pages/taken.js")),
    ("/pages/map-rules.js", JS, include_str!("pages/map-rules.js")),
    ("/pages/line-view.js", JS, include_str!("pages/line-view.js")),
    ("/pages/map.js", JS, include_str!("pages/map.js")),
    ("/pages/search.js", JS, include_str!("pages/search.js")),
    ("/pages/hand-over.js", JS, include_str!("pages/hand-over.js")),
    ("/pages/print.js", JS, include_str!("pages/print.js")),
    ("/pages/names.js", JS, include_str!("pages/names.js")),
    ("/pages/sender.js", JS, include_str!("pages/sender.js")),
    ("/pages/evening.js", JS, include_str!("pages/evening.js")),
    ("/pages/first.js", JS, include_str!("pages/first.js")),
    ("/pages/findings.js", JS, include_str!("pages/findings.js")),
    ("/pages/line.js", JS, include_str!("pages/line.js")),
    ("/pages/line-up.js", JS, include_str!("pages/line-up.js")),
    ("/pages/look.js", JS, include_str!("pages/look.js")),
    ("/pages/match.js", JS, include_str!("pages/match.js")),
    ("/pages/news.js", JS, include_str!("pages/news.js")),
    ("/pages/notices.js", JS, include_str!("pages/notices.js")),
    ("/pages/notes.js", JS, include_str!("pages/notes.js")),
    ("/pages/papers.js", JS, include_str!("pages/papers.js")),
    ("/pages/overlay.js", JS, include_str!("pages/overlay.js")),
    ("/pages/source.js", JS, include_str!("pages/source.js")),
    ("/pages/tools.js", JS, include_str!("pages/tools.js")),
    ("/pages/trouble.js", JS, include_str!("pages/trouble.js")),
    ("/pages/undo.js", JS, include_str!("pages/undo.js")),
    ("/pages/verdict.js", JS, include_str!("pages/verdict.js")),
];

/// What is at an address, letter for letter; nothing is looked for on the disk.
pub(super) fn find_asset(path: &str) -> Option<HttpAnswer> {
    let (_, kind, text) = ASSETS.iter().find(|(known, ..)| *known == path)?;
    Some(HttpAnswer::of(kind, text.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_hold_no_script_and_no_style_of_their_own() {
        for (path, kind, text) in ASSETS.iter().chain(&[("", HTML, ENTER), ("", HTML, NO_KEY)]) {
            if *kind == HTML {
                for part in ["<style", "style=", "<script>", "onclick", "javascript:", "http://"] {
                    assert!(!text.contains(part), "{path}: {part}");
                }
            }
            assert!(!text.contains("innerHTML") && !text.contains("https://"), "{path}");
        }
    }

    #[test]
    fn every_file_of_a_page_is_there() {
        for (path, _, text) in ASSETS {
            let named = text.split(['"', '\'']).filter(|word| {
                (word.starts_with("/pages/") || word.starts_with("./")) && word.contains('.')
            });
            for name in named {
                let name = name.replace("./", "/pages/");
                assert!(find_asset(&name).is_some(), "{path} names {name}");
            }
        }
        assert!(find_asset("/pages/../pages/dom.js").is_none());
    }
}
