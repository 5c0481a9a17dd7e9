//! What is proposed for orders that are to be lined up: which share a parcel, and each parcel's tag.
//!
//! In: the line and waiting orders. Out: the parcels they become, and what there is to say of it. Not
//! here: the rules of tags and of combining (`batch`).

use serde_json::{Value, json};

use super::super::halt::Halt;
use super::open::OpenLedger;
use crate::batch::{Batch, BatchOptions};
use crate::findings::{Finding, has_errors};
use crate::ledger::{BenchLine, LineParcel, OrderNow};
use crate::orders::{Order, read_orders};
use crate::shop::Shop;
use crate::source::Sources;

/// Orders that become one parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ProposedParcel {
    /// Their ids.
    pub(super) orders: Vec<Box<str>>,
    /// The parcel's tag.
    pub(super) tag: Box<str>,
}

/// What is proposed.
pub(super) struct LineProposal {
    /// The parcels.
    pub(super) parcels: Vec<ProposedParcel>,
    /// What there is to say of combining and tags.
    pub(super) findings: Vec<Finding>,
    /// The texts that it is said of.
    pub(super) sources: Sources,
}

/// Reads the texts of orders; each may be given another id or tag first.
pub(super) fn read_texts(texts: &[String], sources: &mut Sources) -> Result<Vec<Order>, Halt> {
    let file = sources.add("the ledger's orders", format!("[{}]", texts.join(",\n")));
    let read = read_orders(&sources.get(file).shared_text(), file);
    if has_errors(&read.findings) {
        return Err(Halt::unusable(read.findings, sources));
    }
    Ok(read.orders)
}

/// Proposes parcels for waiting orders.
///
/// # Errors
/// When an order cannot be read.
pub(super) fn propose(
    open: &OpenLedger,
    line: Option<&BenchLine>,
    orders: &[OrderNow],
    shop: Option<&Shop>,
    combine: bool,
) -> Result<LineProposal, Halt> {
    let mut sources = Sources::new();
    let texts: Result<Vec<String>, Halt> = orders.iter().map(|order| open.text_of(order)).collect();
    let read = read_texts(&texts?, &mut sources)?;
    let options = BatchOptions { combine, ..BatchOptions::default() };
    let mut findings = Vec::new();
    let together = Batch::assemble(None, read.clone(), shop, options, &mut findings);
    let groups: Vec<Vec<Box<str>>> = together
        .parcels
        .iter()
        .map(|parcel| parcel.orders.iter().map(|order| order.id.clone()).collect())
        .collect();

    // Behind those that lie in the line: tags look backwards.
    let lying = line.map(|line| texts_of_line(open, line, |_| true)).transpose()?;
    let (lying, mut before) = lying.unwrap_or_default();
    before.extend(groups.iter().filter_map(|group| {
        let first = together.parcels.iter().find(|parcel| parcel.orders[0].id == group[0])?;
        Some(sources.slice(first.orders[0].span).to_owned())
    }));
    let all = read_texts(&before, &mut sources)?;
    let tagged = Batch::assemble(
        None,
        all,
        shop,
        BatchOptions { fix_tags: true, ..BatchOptions::default() },
        &mut Vec::new(),
    );
    let tags = tagged.parcels.iter().skip(lying.len()).map(|parcel| parcel.tag.text.clone());
    let parcels = groups.into_iter().zip(tags);
    let parcels = parcels.map(|(orders, tag)| ProposedParcel { orders, tag }).collect();
    Ok(LineProposal { parcels, findings, sources })
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
