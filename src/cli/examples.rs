//! Examples at the end of each command's help.
//!
//! A test runs every line of them. Not here: what the options mean (`arguments`).

pub(super) mod ledger;

/// Of `render`.
pub(super) const RENDER: &str = "\
Examples:
  slipwright render orders.json -o labels.pdf
  slipwright render orders.json --combine -o labels.pdf --cards cards.pdf
  slipwright render orders.json --layout slip-a4 --only 3,7-9 -o slips.pdf
  slipwright render orders.json -o labels.pdf --set-aside rest.json
  slipwright render orders.json --draft -o draft.pdf";

/// Of `kit`.
pub(super) const KIT: &str = "\
Examples:
  slipwright kit orders.json --combine --to friday
  slipwright kit orders.json --combine --to friday --replace
  slipwright kit --to friday --only 3,7-9

Print labels.pdf first, on label stock, then the others on the paper that the list of files names; at
100 %, never fitted to the page.";

/// Of `check`.
pub(super) const CHECK: &str = "\
Examples:
  slipwright check orders.json
  slipwright check orders.json --kit
  slipwright check orders.json --layout label-100x150mm --proof --diagnostics json";

/// Of `weigh`.
pub(super) const WEIGH: &str = "\
Examples:
  slipwright weigh orders.json
  slipwright weigh orders.json --combine --brief
  slipwright weigh orders.json --json";

/// Of `intake`.
pub(super) const INTAKE: &str = "\
Examples:
  slipwright intake export.csv --propose -o map.yaml
  slipwright intake export.csv --map map.yaml -o orders.json";

/// Of `desk`.
#[cfg(feature = "desk")]
pub(super) const DESK: &str = "\
Examples:
  slipwright desk
  slipwright desk evenings --no-open

It runs until you stop it with Ctrl+C. Whatever a page has confirmed is in the ledger by then. Only this
machine can open the address, and only with the key in it.";

/// Of `preview`.
#[cfg(feature = "desk")]
pub(super) const PREVIEW: &str = "\
Examples:
  slipwright preview label-4x6in
  slipwright preview mine.yaml orders.json --no-open

It runs until you stop it with Ctrl+C. Only this machine can open the address, and only with the key in
it.";

/// Of `layouts`.
pub(super) const LAYOUTS: &str = "\
Examples:
  slipwright layouts
  slipwright layouts --json
  slipwright layouts --copy label-4x6in --to mine.yaml";

/// Of `ruler`.
pub(super) const RULER: &str = "\
Examples:
  slipwright ruler -o ruler.pdf
  slipwright ruler --stock a4 -o ruler-a4.pdf";

/// Of `print`.
pub(super) const PRINT: &str = "\
Examples:
  slipwright print friday/labels.pdf --printer bench
  slipwright print friday/labels.pdf --printer bench --pages 3,7-9 --dry-run
  slipwright print --list

A document goes out at true size on exactly its paper. It is called printed when the printer says so.";

/// Of `stock`.
pub(super) const STOCK: &str = "\
Examples:
  slipwright stock
  slipwright stock --json";

/// Of `ledger`.
pub(super) const LEDGER: &str = "\
Examples:
  slipwright ledger take-in orders.json
  slipwright ledger line-up --all --combine --sitting Friday
  slipwright ledger list

An evening: take-in, line-up, note, print, match, hand-over, close; see docs/evening.md.";

/// Of `schema`.
pub(super) const SCHEMA: &str = "\
Examples:
  slipwright schema orders
  slipwright schema diagnostics";

/// Of `completions`.
pub(super) const COMPLETIONS: &str = "\
Examples:
  slipwright completions bash";
