//! Slipwright: labels, bench cards and packing slips for people who sell online and pack their own
//! parcels.
//!
//! The stages, in the order the data passes them:
//!
//! 1. [`read_orders`] takes JSON apart into [`Order`]s with their places in the file;
//! 2. [`Batch::assemble`] makes parcels of them: combined, numbered, tagged, paired;
//! 3. [`read_layout`] checks a layout, a YAML file in millimetres;
//! 4. [`Run`] puts each parcel into the layout, checks the pages against the rules of paper and
//!    readers ([`preflight`]), and makes up for what was measured of their printer ([`correct`]), on
//!    all cores and in order;
//! 5. [`PdfEncoder`] and [`PdfWriter`], [`render_svg`] and [`render_png`] write the finished
//!    [`Page`]s.
//!
//! [`run_command`] is the command around it. Everything that is wrong anywhere is a [`Finding`]
//! with its place. The core reads files only through [`Env`], and no clock at all: the same input
//! gives the same bytes.

pub mod address;
pub mod batch;
mod bind;
#[cfg(feature = "command")]
mod cli;
pub mod codes;
mod compose;
pub mod correct;
pub mod export;
pub mod fields;
pub mod findings;
pub mod fonts;
pub mod geom;
pub mod images;
pub mod intake;
pub mod kit;
pub mod layout;
pub mod limits;
pub mod orders;
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

pub use batch::{Batch, BatchOptions};
#[cfg(feature = "command")]
pub use cli::{Exit, run_command};
pub use export::{
    PdfEncoder, PdfOptions, PdfWriter, SvgOptions, render_png, render_svg, write_pdf,
};
pub use findings::{Finding, Severity, has_errors};
pub use fonts::FontBook;
pub use geom::{DotGrid, Mm};
pub use layout::{Layout, read_layout};
pub use orders::{Order, Orders, read_orders};
pub use pipeline::{Document, PictureStore, Run, watch_batch};
pub use scene::Page;
pub use shipped::find_shipped;
pub use shop::Shop;
pub use source::{Env, NoFiles, Sources};

/// What only tests, fuzz targets and benches look at; it may change with any version.
#[doc(hidden)]
pub mod workings {
    pub use crate::batch::skeleton::skeleton;
    pub use crate::bind::{Binder, ContextMaker, Furniture};
    pub use crate::compose::{
        Composer, Flow, PageFrame, PageLabel, SheetPlan, SheetSide, plan_sheet,
    };
    pub use crate::layout::blocks::{BLOCKS, BlockRule, COMMON};
    pub use crate::layout::filters::{BUILTIN_FILTERS, FILTERS, Filter};
    pub use crate::layout::records::{COLUMN, LAYOUT, NEEDED, PAGE, SHEET, TYPE};
    pub use crate::layout::variables::{BATCH_VARIABLES, VARIABLES, Variable};
    pub use crate::record::{Field, Kind, Record};
}
