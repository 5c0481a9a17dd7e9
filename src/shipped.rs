//! The layouts that come with the engine, compiled in.

use crate::words::did_you_mean;

/// A layout that comes with the engine.
#[derive(Clone, Copy, Debug)]
pub struct Shipped {
    /// What the command calls it.
    pub name: &'static str,
    /// The whole file.
    pub text: &'static str,
}

impl Shipped {
    /// What it is for: the file's second comment line.
    #[must_use]
    pub fn doc(&self) -> &'static str {
        let mut comments = self.text.lines().filter_map(|line| line.strip_prefix("# "));
        comments.nth(1).unwrap_or_default()
    }
}

/// Names a file of `layouts/` and takes its text in.
macro_rules! shipped {
    ($($name:literal),* $(,)?) => {
        &[$(Shipped {
            name: $name,
            text: include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/layouts/", $name, ".yaml")),
        }),*]
    };
}

/// Every layout that comes with the engine.
pub const SHIPPED: &[Shipped] = shipped![
    "label-4x6in",
    "label-100x150mm",
    "letter-label-62x100mm",
    "carrier-page-4x6in",
    "bench-card",
    "bench-cards-100x150mm",
    "bench-cards-4x6in",
    "slip-a4",
    "slip-letter",
    "slip-4x6in",
    "gift-slip-a4",
    "gift-slip-4x6in",
    "thank-you-a6",
    "thank-you-a4",
    "thank-you-letter",
    "thank-you-plain-a6",
    "customs-sheet-a5",
    "handover-list-a4",
    "picking-list-a4",
    "waiting-list-a4",
    "overview-a4",
];

/// The label's layout, where neither the user nor the shop file names one.
pub(crate) const USUAL_LABEL: &str = "label-4x6in";

/// The layout of a name.
#[must_use]
pub fn find_shipped(name: &str) -> Option<&'static Shipped> {
    SHIPPED.iter().find(|shipped| shipped.name == name)
}

/// A hint that proposes the shipped layout whose name is nearest, or lists all of them.
pub(crate) fn nearest_shipped(name: &str) -> Option<String> {
    let names: Vec<&str> = SHIPPED.iter().map(|shipped| shipped.name).collect();
    did_you_mean(name, &names)
}
