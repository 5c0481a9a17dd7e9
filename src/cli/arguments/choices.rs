//! The words that options of the command choose among.

use clap::ValueEnum;

use crate::shop::PageOrder;

/// The orders that pages can come in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum OrderChoice {
    /// As the parcels lie on the bench
    Bench,
    /// The last parcel first, for printers that stack their sheets face up
    Reversed,
}

impl From<OrderChoice> for PageOrder {
    fn from(order: OrderChoice) -> PageOrder {
        match order {
            OrderChoice::Bench => PageOrder::Bench,
            OrderChoice::Reversed => PageOrder::Reversed,
        }
    }
}

/// The formats of a document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// All pages in one PDF
    Pdf,
    /// One SVG a page
    Svg,
    /// One PNG a page, one bit deep, one pixel a printer dot
    Png,
    /// All pages as the printer's dots, for printers that take PWG Raster
    Pwg,
}

/// The file formats that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SchemaOf {
    /// Orders, JSON
    Orders,
    /// Layouts, YAML
    Layout,
    /// The shop file, YAML
    Shop,
    /// The map of a shop's export, YAML
    Intake,
    /// The map of the way back to the shop, YAML
    Dispatch,
    /// What `weigh --json` prints
    Weigh,
    /// `parcels.json` of a kit
    Parcels,
    /// What `--diagnostics json` says, a line
    Diagnostics,
    /// What `ledger --json` answers
    Ledger,
    /// What `print --json` answers
    Print,
}

/// How findings are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Diagnostics {
    /// With the lines they are about
    Full,
    /// One line each
    Short,
    /// As JSON, for scripts: on standard output from `check`, else on standard error, where every
    /// line is one object (`slipwright schema diagnostics`)
    Json,
}

/// When findings are coloured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum ColorChoice {
    /// On a terminal that has colours, unless `NO_COLOR` is set
    #[default]
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}
