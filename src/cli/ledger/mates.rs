//! Who else gets something: waiting orders and other parcels for the person that a parcel goes to.
//!
//! In: the line after something was lined up. Out: what could share a parcel with it. Not here: when
//! orders can share one (`batch`).

use serde_json::{Value, json};

use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::open::OpenLedger;
use super::proposing::{read_texts, texts_of_line};
use super::shown::parcel_words;
use crate::batch::{Batch, BatchOptions};
use crate::ledger::BenchLine;
use crate::shop::Shop;
use crate::source::Sources;

/// Tells what could share a parcel with those from the number `first` on.
///
/// # Errors
/// Those of the ledger.
pub(super) fn tell_mates(
    open: &OpenLedger,
    line: &BenchLine,
    first: u32,
    shop: Option<&Shop>,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let mut told: Vec<Value> = Vec::new();
    for members in group_people(open, line, shop)? {
        let Some(newest) = members.parcels.iter().rfind(|&&number| number >= first) else {
            continue;
        };
        let others: Vec<u32> =
            members.parcels.iter().copied().filter(|number| number != newest).collect();
        let Some(parcel) = line.parcel(*newest).filter(|_| !members.is_alone()) else { continue };
        let named = others.iter().filter_map(|&number| line.parcel(number)).map(parcel_words);
        let named: Vec<String> = members
            .orders
            .iter()
            .map(|id| id.to_string())
            .chain(named.map(|parcel| format!("parcel {parcel}")))
            .collect();
        let (parcel, named) = (parcel_words(parcel), named.join(" and "));
        let how = match &members.orders[..] {
            [] => String::new(),
            orders => format!(": `slipwright ledger join {newest} {}`", orders.join(" ")),
        };
        answer.line(&format!("{parcel} goes to the same person and address as {named}{how}"));
        told.push(json!({"number": newest, "orders": members.orders, "parcels": others}));
    }
    answer.put("mates", told);
    Ok(())
}

/// What goes to one person and could share a parcel.
#[derive(Default)]
struct Together {
    /// Parcels of the line that are still to go, by number.
    parcels: Vec<u32>,
    /// Waiting orders.
    orders: Vec<Box<str>>,
}

impl Together {
    /// Whether nothing else goes there.
    fn is_alone(&self) -> bool {
        self.parcels.len() + self.orders.len() < 2
    }
}

/// The parcels of the line and the waiting orders by those that could share a parcel.
fn group_people(
    open: &OpenLedger,
    line: &BenchLine,
    shop: Option<&Shop>,
) -> Result<Vec<Together>, Halt> {
    let (lying, mut texts) = texts_of_line(open, line, |parcel| parcel.state.is_open())?;
    for order in open.ledger.orders_in("waiting")? {
        // What a dry run has lined up still waits in the ledger.
        if !line.parcels().any(|it| it.state.is_open() && it.orders.contains(&order.id)) {
            texts.push(open.text_of(&order)?);
        }
    }
    let orders = read_texts(&texts, &mut Sources::new())?;
    // Those that lie in the line are told apart by their places: any text may be an id.
    let starts: Vec<u32> = orders.iter().take(lying.len()).map(|it| it.span().start).collect();
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    let batch = Batch::assemble(None, orders, shop, options, &mut Vec::new());
    let groups = batch.parcels.iter().map(|group| {
        let mut together = Together::default();
        for order in &group.orders {
            match starts.binary_search(&order.span().start) {
                Ok(at) => together.parcels.push(lying[at]),
                Err(_) => together.orders.push(order.id().into()),
            }
        }
        together
    });
    Ok(groups.collect())
}
