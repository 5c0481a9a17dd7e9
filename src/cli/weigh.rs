//! `slipwright weigh`: what every parcel weighs, measures, fits into and costs, and why.
//!
//! In: orders and the shop file. Out: a table with a row a parcel, every figure with its reason
//! below it, or the same as JSON. Nothing is written to disk. Not here: the arithmetic (`parcel`).

use rust_decimal::Decimal;
use serde_json::{Value, json};

use super::arguments::WeighArguments;
use super::exit::Exit;
use super::halt::Halt;
use super::inputs::Inputs;
use super::prepare::{PreparedBatch, prepare};
use super::report::count_findings;
use super::table::{CellAlign, Grid};
use super::terminal;
use crate::batch::{Batch, BatchOptions, Parcel};
use crate::findings::Finding;
use crate::parcel::{HeavyLevel, Mass, StampChoice, Weighing};
use crate::source::Sources;
use crate::words::{counted, escape_obeyed};

/// The width that reasons are broken to, in characters.
const WIDTH: usize = 100;

/// What stands where a figure is not known.
const UNKNOWN: &str = "-";

/// The columns of the table.
const COLUMNS: [(&str, CellAlign); 11] = [
    ("", CellAlign::Right),
    ("tag", CellAlign::Left),
    ("items", CellAlign::Right),
    ("pack", CellAlign::Left),
    ("packed", CellAlign::Right),
    ("size", CellAlign::Right),
    ("length+girth", CellAlign::Right),
    ("charged", CellAlign::Right),
    ("service", CellAlign::Left),
    ("price", CellAlign::Right),
    ("caution", CellAlign::Left),
];

/// Weighs the parcels of some orders.
pub(super) fn run(arguments: &WeighArguments) -> Result<Exit, Halt> {
    let mut inputs = Inputs::read(&arguments.from)?;
    let mut findings = std::mem::take(&mut inputs.findings);
    let orders = std::mem::take(&mut inputs.orders.orders);
    let options = BatchOptions { reasons: true, ..arguments.from.batch.to_options() };
    let PreparedBatch { batch, findings: more } = prepare(orders, &inputs, &options);
    findings.extend(more);
    match arguments.json {
        true => {
            let json = to_json(&batch, &findings, &inputs.sources);
            terminal::print_json(&format!("{json:#}\n"))?;
        }
        false => terminal::print(&to_text(&batch, arguments.brief))?,
    }
    if !arguments.json {
        terminal::show(&findings, &inputs.sources, arguments.diagnostics);
    }
    let parcels = counted(batch.parcels.len(), "parcel");
    terminal::say(&format!("{parcels} weighed: {}", count_findings(&findings)));
    Ok(inputs.exit_after(&findings))
}

/// The table, and below it every figure with its reason.
fn to_text(batch: &Batch, brief: bool) -> String {
    if batch.parcels.is_empty() {
        return String::new();
    }
    let mut grid = Grid::new(&COLUMNS);
    for parcel in &batch.parcels {
        grid.row(parcel_row(parcel));
    }
    grid.total(total_row(batch));
    let mut text = grid.to_text(UNKNOWN);
    for parcel in batch.parcels.iter().filter(|_| !brief) {
        let (position, tag, ids) = (parcel.position, &parcel.tag.text, parcel.order_ids());
        let head = format!("{position}  {tag}  ({ids})");
        text.push_str(&format!("\n{}\n", escape_obeyed(&head)));
        let figures = parcel.weighing.as_ref().map(|weighing| weighing.to_table(WIDTH - 2));
        let figures = figures.filter(|figures| !figures.is_empty());
        for line in figures.as_deref().unwrap_or("nothing is known of its weight and size").lines()
        {
            text.push_str(&format!("  {line}\n"));
        }
        if let Some(stamps) = &parcel.stamps {
            text.push_str(&format!("  {}\n", escape_obeyed(&describe_stamps(stamps))));
        }
    }
    text
}

/// The stamps of a parcel in a line, and why these.
fn describe_stamps(choice: &StampChoice) -> String {
    let each = choice.stamps.iter().map(|it| format!("{} × {} ({})", it.count, it.name, it.value));
    let each = each.collect::<Vec<_>>().join(", ");
    format!("stamps: {each}, {} over; {}", choice.over, choice.reason())
}

/// A parcel's row of the table; what is not known is empty.
fn parcel_row(parcel: &Parcel) -> [String; COLUMNS.len()] {
    let weighing = parcel.weighing.as_deref();
    let mass = |find: fn(&Weighing) -> Option<Mass>| {
        let shown = weighing.and_then(|it| find(it).map(|mass| it.units.mass(mass)));
        shown.unwrap_or_default()
    };
    let size = weighing.and_then(|it| it.size.as_ref().map(|size| it.units.sides(&size.value)));
    let around = weighing
        .and_then(|it| it.length_and_girth.as_ref().map(|around| it.units.length(around.value)));
    let caution = weighing.and_then(|it| it.caution.as_ref()).map(|caution| caution.level);
    [
        parcel.position.to_string(),
        parcel.tag.text.to_string(),
        mass(|it| it.items.as_ref().map(|items| items.value)),
        parcel.pack.to_string(),
        mass(|it| it.weight.as_ref().map(|weight| weight.value)),
        size.unwrap_or_default(),
        around.unwrap_or_default(),
        mass(|it| it.billable().map(|billable| billable.value)),
        parcel.service.to_string(),
        weighing.and_then(Weighing::show_price).unwrap_or_default(),
        match caution {
            None => String::new(),
            Some(HeavyLevel::Caution) => "heavy".into(),
            Some(HeavyLevel::TeamLift) => "lift in twos".into(),
        },
    ]
}

/// The sum over all parcels, where each of them is known.
#[derive(Clone, Debug, Default, PartialEq)]
struct Total {
    /// The weight of all packed parcels.
    weight: Option<Mass>,
    /// The price of all, with what shows it.
    price: Option<Decimal>,
}

/// What all parcels weigh and cost together, as far as that is known.
fn add_up(batch: &Batch) -> Total {
    let weighings = || batch.parcels.iter().map(|parcel| parcel.weighing.as_deref());
    let weight = |it: Option<&Weighing>| Some(it?.weight.as_ref()?.value);
    let price = |it: Option<&Weighing>| Some(it?.offer()?.total);
    Total {
        weight: weighings().map(weight).sum(),
        price: weighings().map(price).try_fold(Decimal::ZERO, |sum, price| sum.checked_add(price?)),
    }
}

/// The last row: the sums of what is known of every parcel.
fn total_row(batch: &Batch) -> [String; COLUMNS.len()] {
    let total = add_up(batch);
    let weighing = batch.parcels.iter().find_map(|parcel| parcel.weighing.as_deref());
    let mut row: [String; COLUMNS.len()] = Default::default();
    let Some(weighing) = weighing else { return row };
    row[4] = total.weight.map(|weight| weighing.units.mass(weight)).unwrap_or_default();
    let quotes = weighing.quotes.as_ref();
    row[9] = quotes.zip(total.price).map(|(it, price)| it.show(price)).unwrap_or_default();
    row
}

/// Everything for a program.
fn to_json(batch: &Batch, findings: &[Finding], sources: &Sources) -> Value {
    let total = add_up(batch);
    let quotes = batch
        .parcels
        .iter()
        .find_map(|parcel| parcel.weighing.as_ref().and_then(|it| it.quotes.as_ref()));
    let price = quotes.zip(total.price).map(|(quotes, price)| quotes.digits(price));
    json!({
        "batch": batch.name,
        "currency": quotes.map(|quotes| quotes.currency.as_str()),
        "parcels": batch.parcels.iter().map(parcel_json).collect::<Vec<_>>(),
        "total": {"weight_g": total.weight.map(grams), "price": price},
        "findings": findings.iter().map(|it| it.to_json(sources)).collect::<Vec<_>>(),
    })
}

/// One parcel for a program.
fn parcel_json(parcel: &Parcel) -> Value {
    let weighing = parcel.weighing.as_deref();
    let charged = weighing.and_then(|it| it.billable()).map(|it| grams(it.value));
    let price = weighing.and_then(|it| Some(it.quotes.as_ref()?.digits(it.offer()?.total)));
    json!({
        "position": parcel.position,
        "id": parcel.id(),
        "orders": parcel.orders.iter().map(|order| order.id()).collect::<Vec<_>>(),
        "tag": parcel.tag.text,
        "country": parcel.orders[0].country().as_str(),
        "pack": (!parcel.pack.is_empty()).then_some(&*parcel.pack),
        "service": (!parcel.service.is_empty()).then_some(&*parcel.service),
        "charged_g": charged,
        "price": price,
        "stamps": parcel.stamps.as_deref().map(stamps_json),
        "figures": weighing.map(Weighing::to_json),
    })
}

/// The stamps of a parcel for a program.
fn stamps_json(choice: &StampChoice) -> Value {
    let each = choice
        .stamps
        .iter()
        .map(|it| json!({"name": it.name, "value": it.value.to_string(), "count": it.count}));
    json!({
        "each": each.collect::<Vec<_>>(),
        "value": choice.value.to_string(),
        "over": choice.over.to_string(),
        "reason": choice.reason(),
    })
}

/// A weight in grams.
fn grams(mass: Mass) -> Value {
    crate::parcel::plain_number(mass.to_grams())
}
