//! Slipwright: labels, bench cards and packing slips for people who sell online and pack their own
//! parcels.
//!
//! # From orders to bytes
//!
//! ```
//! use slipwright::PrintJob;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let orders = std::fs::read_to_string("samples/evening.json")?;
//! let shop = std::fs::read_to_string("samples/shop.yaml")?;
//! let printed = PrintJob::new(orders).shop(shop).layout("label-4x6in").to_pdf()?;
//! print!("{}", printed.report);
//! assert!(printed.output.starts_with(b"%PDF"));
//! # Ok(())
//! # }
//! ```
//!
//! A [`PrintJob`] holds texts and makes a PDF of them, or an SVG or a PNG a page. What it returns is
//! [`Printed`], the bytes with notes and warnings beside them, or a [`Report`] of everything that
//! stops it, which is an error like any other: shown, it has each [`Finding`] with its line, a caret
//! and a way out. The orders' fields are told by [`orders::orders_schema`], the shop file's by
//! [`shop::shop_schema`]; [`shipped::SHIPPED`] lists the layouts that come with the engine.
//!
//! # The stages behind it
//!
//! Each is a module with an entry of its own, for batches too large to be held at once ([`pipeline`]
//! shows how), or for a part of the work alone:
//!
//! 1. [`read_orders`] takes JSON apart into [`Order`]s with their places in the file; [`intake`]
//!    makes such JSON of a shop's export;
//! 2. [`Batch::assemble`] makes parcels of them: combined, numbered, tagged, paired, and by the
//!    [`Shop`]'s rules weighed ([`parcel`]);
//! 3. [`read_layout`] checks a layout, a YAML file in millimetres;
//! 4. [`Run`] puts each parcel into the layout and checks the pages against the rules of paper and
//!    readers ([`preflight`], [`verify`]), on all cores and in order;
//! 5. [`PdfEncoder`] and [`PdfWriter`], [`render_svg`] and [`render_png`] write the finished
//!    [`Page`]s ([`export`]).
//!
//! Around them stand [`kit`], what an evening's folder says of itself, [`ledger`], what happened to every
//! order and parcel, and [`dispatch`], the tables between carrier and shop.
//!
//! A page can be put together without a layout too: [`scene`] is what all stages meet at, [`codes`],
//! [`fonts`] and [`images`] make what stands on it.
//!
//! # What it asks for
//!
//! The engine reads files only through [`Env`], and no clock at all: the same input gives the same
//! bytes. The features `command` (the program [`slipwright`](run_command) and all it needs), `desk` (its
//! pages in the browser), `proof` ([`verify`], with a decoder that is not ours), `ledger` (with SQLite)
//! and `threads` are on by default; a program that wants the engine alone leaves them out
//! (`default-features = false`). `draw` is off: it draws pages of other PDFs for SVG, PNG and the
//! proof, which a PDF takes over without it.

pub mod address;
pub mod batch;
mod bind;
#[cfg(feature = "command")]
mod cli;
pub mod codes;
pub mod colour;
mod compose;
pub mod correct;
pub mod customs;
#[cfg(feature = "desk")]
mod desk;
pub mod digest;
pub mod dispatch;
mod draft;
pub mod export;
pub mod fields;
pub mod findings;
pub mod fonts;
pub mod geom;
mod hash;
pub mod images;
pub mod intake;
#[cfg(feature = "command")]
mod ipp;
mod job;
pub mod kit;
mod language;
pub mod layout;
#[cfg(feature = "ledger")]
pub mod ledger;
pub mod limits;
pub mod orders;
pub mod pairs;
pub mod parcel;
pub mod pipeline;
pub mod preflight;
mod record;
pub mod ruler;
pub mod scene;
pub mod shipped;
pub mod shop;
pub mod sides;
pub mod source;
pub mod stock;
mod tree;
#[cfg(feature = "proof")]
pub mod verify;
mod words;

pub use batch::{Batch, BatchOptions};
#[cfg(feature = "command")]
pub use cli::{Exit, run_command};
pub use export::{
    PdfEncoder, PdfOptions, PdfWriter, SvgOptions, render_png, render_svg, write_pdf,
};
pub use findings::{Finding, Severity, has_errors};
pub use fonts::FontBook;
pub use geom::{DotGrid, Mm};
pub use job::{PrintJob, Printed, Report};
pub use layout::{Layout, read_layout};
pub use orders::{Order, Orders, read_orders};
pub use pipeline::{Document, PictureStore, Run, watch_batch};
pub use scene::Page;
pub use shipped::find_shipped;
pub use shop::Shop;
pub use source::{Env, NoFiles, Sources};

/// What only tests, fuzz targets and benches look at. It is no part of the face: any version may
/// change it.
#[doc(hidden)]
pub mod workings {
    pub use crate::batch::skeleton::skeleton;
    pub use crate::bind::{Binder, Bound, BoundTable, Content, ContextMaker, Furniture};
    #[cfg(feature = "command")]
    pub use crate::cli::command_line;
    pub use crate::compose::{
        Composer, Flow, PageFrame, PageLabel, SheetPlan, SheetSide, Unprintable, plan_sheet,
    };
    #[cfg(feature = "command")]
    pub use crate::ipp::show_ipp_answer;
    pub use crate::layout::blocks::{BLOCKS, BlockRule, COLUMN, COMMON};
    pub use crate::layout::filters::{BUILTIN_FILTERS, FILTERS, Filter};
    pub use crate::layout::records::{LAYOUT, NEEDED, PAGE, SHEET, TYPE};
    pub use crate::layout::variables::{BATCH_VARIABLES, VARIABLES, Variable};
    pub use crate::record::{Field, Kind, Record};
}
