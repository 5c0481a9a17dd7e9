//! Tables and schemas that the command prints.

use std::fmt::Write as _;

use serde_json::json;

use super::arguments::SchemaOf;
use crate::dispatch::dispatch_schema;
use crate::geom::MM_PER_INCH;
use crate::intake::intake_schema;
use crate::layout::layout_schema;
use crate::orders::orders_schema;
use crate::shop::shop_schema;
use crate::stock::{Press, STOCKS};

/// The named stocks as a table.
pub(super) fn stock_table() -> String {
    let mut table = format!(
        "{:<12} {:>15}  {:>13}  {:<8} used for\n",
        "stock", "millimetres", "inches", "printed"
    );
    for stock in STOCKS {
        let (width, height) = (stock.size.width.0, stock.size.height.0);
        let mm = format!("{width} × {height}");
        let inches = format!("{:.2} × {:.2}", width / MM_PER_INCH, height / MM_PER_INCH);
        let press = show_press(stock.press);
        let _ =
            writeln!(table, "{:<12} {mm:>15}  {inches:>13}  {press:<8} {}", stock.name, stock.doc);
    }
    table.push_str("\nAny other size can be written out: 80x120mm, 3x5in.\n");
    table
}

/// The named stocks for a program: sizes in millimetres.
pub(super) fn stock_json() -> String {
    let stocks: Vec<_> = STOCKS.iter().map(|stock| {
        let press = show_press(stock.press);
        let (width, height) = (stock.size.width.0, stock.size.height.0);
        json!({"name": stock.name, "width_mm": width, "height_mm": height, "printed": press, "used_for": stock.doc})
    }).collect();
    format!("{:#}\n", json!(stocks))
}

/// How a stock is printed, in a word.
fn show_press(press: Press) -> &'static str {
    match press {
        Press::Thermal => "thermal",
        Press::Sheet => "sheet",
    }
}

/// The JSON Schema of what `weigh --json` prints, as it is kept.
const WEIGH_SCHEMA: &str = include_str!("weigh.schema.json");

/// The JSON Schema of a kit's `parcels.json`, as it is kept.
const PARCELS_SCHEMA: &str = include_str!("parcels.schema.json");

/// The JSON Schema of a line of `--diagnostics json`, as it is kept.
const DIAGNOSTICS_SCHEMA: &str = include_str!("diagnostics.schema.json");

/// The JSON Schema of what `ledger --json` answers, as it is kept.
const LEDGER_SCHEMA: &str = include_str!("ledger.schema.json");

/// A JSON Schema as text.
pub(super) fn schema_text(of: SchemaOf) -> String {
    let schema = match of {
        SchemaOf::Orders => orders_schema(),
        SchemaOf::Layout => layout_schema(),
        SchemaOf::Shop => shop_schema(),
        SchemaOf::Intake => intake_schema(),
        SchemaOf::Dispatch => dispatch_schema(),
        SchemaOf::Weigh => return WEIGH_SCHEMA.to_owned(),
        SchemaOf::Parcels => return PARCELS_SCHEMA.to_owned(),
        SchemaOf::Diagnostics => return DIAGNOSTICS_SCHEMA.to_owned(),
        SchemaOf::Ledger => return LEDGER_SCHEMA.to_owned(),
        SchemaOf::Print => return super::print::SCHEMA.to_owned(),
    };
    format!("{schema:#}\n")
}
