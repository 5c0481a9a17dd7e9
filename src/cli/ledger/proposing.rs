//! What is proposed for orders that are to be lined up: which share a parcel, and each parcel's tag.
//!
//! In: the line and waiting orders. Out: the parcels they become, and what there is to say of it. Not
//! here: the rules of tags and of combining (`batch`).

use serde_json::{Value, json};

use super::super::halt::Halt;
use super::super::line::{LineInputs, WAITING_NAME};
use super::open::OpenLedger;
use crate::batch::{Batch, BatchOptions};
use crate::findings::{Finding, has_errors, rules};
use crate::ledger::{BenchLine, Event, LineParcel, OrderNow};
use crate::orders::{Order, read_orders};
use crate::source::Sources;

/// Orders that become one parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ProposedParcel {
    /// Their ids.
    pub(super) orders: Vec<Box<str>>,
    /// What it would be called.
    pub(super) tag: Box<str>,
}

/// What is proposed.
pub(super) struct LineProposal {
    /// In the order in which they would be lined up.
    pub(super) parcels: Vec<ProposedParcel>,
    /// What there is to say of combining and tags.
    pub(super) findings: Vec<Finding>,
    /// The texts that it is said of.
    pub(super) sources: Sources,
}

/// Reads the texts of orders; each may be given another id or tag first.
pub(super) fn read_texts(texts: &[String], sources: &mut Sources) -> Result<Vec<Order>, Halt> {
    let file = sources.add(WAITING_NAME, format!("[{}]", texts.join(",\n")));
    let read = read_orders(sources.get(file).shared_text(), file);
    if has_errors(&read.findings) {
        return Err(Halt::unusable(read.findings, sources));
    }
    Ok(read.orders)
}

/// Proposes parcels for waiting orders, at the end of a line.
///
/// # Errors
/// When an order cannot be read.
pub(super) fn propose(
    open: &OpenLedger,
    source: &mut LineInputs,
    orders: &[OrderNow],
    combine: bool,
) -> Result<LineProposal, Halt> {
    let mut sources = Sources::new();
    let texts: Result<Vec<String>, Halt> = orders.iter().map(|order| open.text_of(order)).collect();
    let read = read_texts(&texts?, &mut sources)?;
    let options = BatchOptions { combine, ..BatchOptions::default() };
    let mut findings = Vec::new();
    let shop = source.inputs.shop.as_ref();
    let together = Batch::assemble(None, read, shop, options, &mut findings);
    // Tags are made one by one in the line, and figures told once it has them.
    findings.retain(|found| found.is(&rules::NOT_COMBINED) || found.is(&rules::NEAR_RECIPIENT));
    let mut parcels = Vec::with_capacity(together.parcels.len());
    for group in &together.parcels {
        let orders: Vec<Box<str>> = group.orders.iter().map(|order| order.id().into()).collect();
        let tag = source.propose_tag(&orders);
        source.line.apply(&next_event(&source.line, &orders, &tag), source.line.opened)?;
        parcels.push(ProposedParcel { orders, tag });
    }
    Ok(LineProposal { parcels, findings, sources })
}

/// What happens when orders are lined up at the end of a line.
fn next_event(line: &BenchLine, orders: &[Box<str>], tag: &str) -> Event {
    Event::LinedUp {
        number: line.next_number(),
        orders: orders.to_vec(),
        tag: tag.into(),
        pair: line.next_pair().as_str().into(),
    }
}

/// An order for every parcel of a line that `is_meant`, with the parcel's tag: the parcels' numbers
/// and the texts. An order may be in several, so each gets an id of its own.
///
/// # Errors
/// Those of the ledger.
pub(super) fn texts_of_line(
    open: &OpenLedger,
    line: &BenchLine,
    is_meant: impl Fn(&LineParcel) -> bool,
) -> Result<(Vec<u32>, Vec<String>), Halt> {
    let (mut numbers, mut texts) = (Vec::new(), Vec::new());
    for parcel in line.parcels().filter(|parcel| is_meant(parcel)) {
        let Some(first) = parcel.orders.first() else { continue };
        let Some(text) = open.ledger.order_json(first)? else { continue };
        let mut order: Value = serde_json::from_str(&text).unwrap_or_default();
        order["id"] = json!(format!("parcel {} of the line", parcel.number));
        order["tag"] = json!(parcel.tag);
        numbers.push(parcel.number);
        texts.push(order.to_string());
    }
    Ok((numbers, texts))
}
