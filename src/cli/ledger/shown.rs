//! Parcels, lines and sittings as answers show them.

use serde_json::{Map, Value, json};

use super::super::halt::Halt;
use super::super::table::{CellAlign, Grid};
use super::open::OpenLedger;
use super::order_words::OrderWords;
use crate::fields::NO_HAZARD;
use crate::ledger::{BenchLine, Facts, LineParcel, Matching, ParcelState};
use crate::words::{counted, is_digits, list_words, shorten};

/// A parcel by its number and tag, as sentences name it.
pub(super) fn parcel_words(parcel: &LineParcel) -> String {
    format!("{} `{}`", parcel.number, parcel.tag)
}

/// A parcel by its number and tag, and the ids of its orders.
pub(super) fn with_orders(parcel: &LineParcel) -> String {
    format!("{} ({})", parcel_words(parcel), parcel.orders.join(" + "))
}

/// A parcel by its number and tag; where an order of it is a plain number, which could be taken for a
/// parcel's, with its orders.
pub(super) fn parcel_told(parcel: &LineParcel) -> String {
    match parcel.orders.iter().any(|id| is_digits(id)) {
        true => with_orders(parcel),
        false => parcel_words(parcel),
    }
}

/// What was measured or decided of a parcel, in words; nothing when nothing was.
pub(super) fn fact_words(facts: &Facts) -> String {
    let mut words = Vec::new();
    words.extend(facts.weight_g.map(|grams| format!("{grams} g")));
    words.extend(
        facts.size_mm.map(|[length, width, height]| format!("{length} × {width} × {height} mm")),
    );
    words.extend(facts.pack.iter().map(|pack| pack.to_string()));
    words.extend(facts.service.iter().map(|service| service.to_string()));
    words.extend(facts.extras.iter().map(|extras| match &extras[..] {
        [] => "no extras".to_owned(),
        extras => format!("with {}", list_words(extras.iter().map(|extra| &**extra))),
    }));
    words.extend(facts.hazard.iter().map(|hazard| format!("hazards: {hazard}")));
    words.join(", ")
}

/// A sitting for a program.
pub(super) fn sitting_json(line: &BenchLine) -> Value {
    json!({
        "number": line.sitting,
        "name": line.name,
        "key": line.key.as_str(),
        "opened": line.opened.to_string(),
        "closed": line.closed.map(|at| at.to_string()),
    })
}

/// The parcels of a line for a program, as they lie.
pub(super) fn line_json(line: &BenchLine, is_wanted: impl Fn(&LineParcel) -> bool) -> Value {
    let places = line.parcels().enumerate();
    let wanted = places.filter(|(_, parcel)| is_wanted(parcel));
    wanted.map(|(at, parcel)| parcel_json(at + 1, parcel)).collect::<Vec<_>>().into()
}

/// A parcel for a program; `place` is where it lies, from 1.
fn parcel_json(place: usize, parcel: &LineParcel) -> Value {
    let papers: Vec<Value> = parcel
        .papers
        .iter()
        .map(|paper| {
            let mut told = json!({"document": paper.document, "digest": paper.digest});
            let printing = parcel.printing_of(paper);
            if printing > 1 {
                told["printing"] = json!(printing);
            }
            told
        })
        .collect();
    let mut value = json!({
        "number": parcel.number,
        "place": place,
        "tag": parcel.tag,
        "pair": parcel.pair.as_str(),
        "state": parcel.state.word(),
        "since": parcel.since.to_string(),
        "orders": parcel.orders,
        "tracking": parcel.tracking,
        "papers": papers,
    });
    let facts = serde_json::to_value(&parcel.facts).unwrap_or_default();
    if let (Some(value), Value::Object(facts)) = (value.as_object_mut(), facts) {
        let told: Map<String, Value> =
            facts.into_iter().filter(|(name, _)| name != "tag").collect();
        value.extend(told);
        let mut put = |name: &str, told: Value| value.insert(name.into(), told);
        if let Some(printed) = parcel.printed {
            put("printed", json!(printed.to_string()));
        }
        if let Some(how) = parcel.matched {
            put(
                "matched",
                json!(match how {
                    Matching::Scan => "scan",
                    Matching::Eye => "eye",
                }),
            );
        }
        if let Some(noted) = &parcel.hazard_before {
            put("hazard_before", json!(noted));
        }
        if let Some(grams) = parcel.weight_before {
            put("weight_before", json!(grams));
        }
        if parcel.state.is_out() {
            put("reason", json!(parcel.reason));
        }
    }
    value
}

/// The columns of a line's table.
const COLUMNS: [(&str, CellAlign); 8] = [
    ("", CellAlign::Right),
    ("tag", CellAlign::Left),
    ("state", CellAlign::Left),
    ("for", CellAlign::Left),
    ("to", CellAlign::Left),
    ("orders", CellAlign::Left),
    ("noted", CellAlign::Left),
    ("tracking", CellAlign::Left),
];

/// A line as a table, and below it how many parcels are in which state.
///
/// # Errors
/// Those of the ledger.
pub(super) fn line_table(
    open: &OpenLedger,
    line: &BenchLine,
    is_wanted: impl Fn(&LineParcel) -> bool,
) -> Result<String, Halt> {
    let mut grid = Grid::new(&COLUMNS);
    for parcel in line.parcels().filter(|parcel| is_wanted(parcel)) {
        let words = words_of_parcel(open, parcel)?;
        let state = match parcel.state.is_out() && !parcel.reason.is_empty() {
            true => format!("{}: {}", parcel.state.word(), parcel.reason),
            false => parcel.state.word().to_owned(),
        };
        grid.row([
            parcel.number.to_string(),
            parcel.tag.to_string(),
            state,
            words.name.clone(),
            words.place(),
            parcel.orders.join(" + "),
            noted_words(open, parcel)?,
            parcel.tracking.to_string(),
        ]);
    }
    Ok(grid.to_text(""))
}

/// What was noted of a parcel, in words, and what its orders say against it.
///
/// # Errors
/// Those of the ledger.
fn noted_words(open: &OpenLedger, parcel: &LineParcel) -> Result<String, Halt> {
    let mut words = fact_words(&parcel.facts);
    if parcel.hazard_before.is_some() {
        words.push_str(if words.is_empty() { "" } else { ", " });
        words.push_str("hazards: to be declared again");
    }
    if let Some(grams) = parcel.weight_before {
        words.push_str(if words.is_empty() { "" } else { ", " });
        words.push_str(&format!("to be weighed again (was {grams} g)"));
    }
    if parcel.facts.hazard.as_deref() == Some(NO_HAZARD) {
        for id in &parcel.orders {
            let order = OrderWords::read(&open.ledger.order_json(id)?.unwrap_or_default());
            if !order.hazard.is_empty() && order.hazard != NO_HAZARD {
                words.push_str(&format!(", though {id} declares `{}`", shorten(&order.hazard)));
            }
        }
    }
    Ok(words)
}

/// The words of a parcel's first order.
///
/// # Errors
/// Those of the ledger.
fn words_of_parcel(open: &OpenLedger, parcel: &LineParcel) -> Result<OrderWords, Halt> {
    let first = parcel.orders.first().map_or("", |id| id);
    Ok(OrderWords::read(&open.ledger.order_json(first)?.unwrap_or_default()))
}

/// How many parcels of a line are in which state: `58 parcels: 56 printed, 2 taken off`.
pub(super) fn tell_states(line: &BenchLine) -> String {
    let count = line.parcels().count();
    let states = ParcelState::ALL.into_iter().filter_map(|state| {
        let these = line.parcels().filter(|parcel| parcel.state == state).count();
        (these > 0).then(|| format!("{these} {}", state.word()))
    });
    let states: Vec<String> = states.collect();
    match count {
        0 => "no parcel lies in the line yet".to_owned(),
        _ => format!("{}: {}", counted(count, "parcel"), states.join(", ")),
    }
}
