//! Orders taken out of a batch because something is wrong with their parcels, so that the others
//! can be printed.
//!
//! In: what the reader refused, then, attempt by attempt, the batch and what was found. Out: which
//! orders remain, and the text of the file with the others and their reasons. Printed and set aside
//! make up the input: an order leaves the one list only for the other. What is wrong with no single
//! parcel, such as the file's syntax or the layout, stops everything, and no order is set aside.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::PathBuf;

use super::files::Pending;
use super::inputs::Inputs;
use crate::batch::{Batch, BatchOptions, find_mates};
use crate::findings::{Finding, Repeats, Subject, rules};
use crate::orders::{AsideOrder, Order, Orders, write_aside};
use crate::source::Sources;

/// The orders that were taken out.
#[derive(Default)]
pub(super) struct TakenOut {
    /// What the reader refused, with what it found.
    refused: Orders,
    /// Orders that were good by themselves.
    withheld: Vec<Withheld>,
    /// What is wrong with their parcels.
    reasons: Vec<Finding>,
}

/// A good order that was taken out.
struct Withheld {
    /// What is written into the file of orders that were set aside.
    order: Order,
    /// The ids of all orders of its parcel, when it shares one.
    parcel: Option<String>,
    /// What is wrong with the parcel, as indexes of the reasons.
    reasons: Vec<usize>,
}

impl TakenOut {
    /// Takes out what the reader refused, and the orders that would share a parcel with that: they
    /// would be sent by themselves, and never with what was bought for one address. What there is
    /// to say of those goes to `findings`.
    pub(super) fn of_file(
        orders: &mut Orders,
        inputs: &Inputs,
        how: &BatchOptions,
        findings: &mut Vec<Finding>,
    ) -> TakenOut {
        let mates = find_mates(orders, inputs.shop.as_ref(), how);
        let mut taken = TakenOut {
            refused: Orders {
                bad: std::mem::take(&mut orders.bad),
                findings: orders.findings.clone(),
                ..Orders::default()
            },
            ..TakenOut::default()
        };
        let mut mate_of: HashMap<usize, usize> =
            mates.into_iter().map(|mates| (mates.good, mates.bad)).collect();
        for (index, order) in std::mem::take(&mut orders.orders).into_iter().enumerate() {
            let Some(bad) = mate_of.remove(&index) else {
                orders.orders.push(order);
                continue;
            };
            let bad = &taken.refused.bad[bad];
            let place = bad.guess.as_ref().map_or(bad.span, |order| order.id_span());
            let reason = describe_mate(&order, bad.id.as_deref()).related(place, "it is here");
            findings.push(reason.clone());
            taken.reasons.push(reason);
            let reasons = vec![taken.reasons.len() - 1];
            taken.withheld.push(Withheld { order, parcel: None, reasons });
        }
        taken
    }

    /// How many orders are out.
    pub(super) fn len(&self) -> usize {
        self.refused.bad.len() + self.withheld.len()
    }

    /// Takes out of `orders`, of which the batch was made, those of parcels with errors: the
    /// `faulty` ones, by index, and those that `found` concerns. Of what was found only the errors
    /// of these parcels remain, because all others will be found again, and without the places on
    /// the bench, because the rest is numbered anew. Tells whether there were any.
    pub(super) fn take(
        &mut self,
        orders: &mut Vec<Order>,
        batch: &Batch,
        faulty: impl Iterator<Item = usize>,
        found: &mut Vec<Finding>,
    ) -> bool {
        let errors_of = concern_parcels(batch, faulty, found);
        if errors_of.is_empty() {
            return false;
        }
        let first = self.reasons.len();
        let told: BTreeSet<usize> = errors_of.values().flatten().copied().collect();
        let place_of: HashMap<usize, usize> =
            told.iter().enumerate().map(|(place, &error)| (error, first + place)).collect();
        self.reasons.extend(told.iter().map(|&error| without_place(&found[error])));
        let mut leaving: HashMap<_, (usize, Vec<usize>)> = HashMap::new();
        for (&index, errors) in &errors_of {
            let reasons: Vec<usize> = errors.iter().map(|error| place_of[error]).collect();
            let orders = batch.parcels[index].orders.iter();
            leaving.extend(orders.map(|order| (order.span(), (index, reasons.clone()))));
        }
        for order in std::mem::take(orders) {
            let Some((index, reasons)) = leaving.remove(&order.span()) else {
                orders.push(order);
                continue;
            };
            let parcel = &batch.parcels[index];
            let parcel = (parcel.orders.len() > 1).then(|| parcel.order_ids());
            self.withheld.push(Withheld { order, parcel, reasons });
        }
        *found = self.reasons[first..].to_vec();
        true
    }

    /// The text of the file with the orders that are out, in the order they came in.
    pub(super) fn write(&self, batch_name: Option<&str>, sources: &Sources) -> String {
        let refused = &self.refused;
        let refused = refused.bad.iter().map(|it| AsideOrder::refused(it, &refused.findings));
        let withheld = self.withheld.iter().map(|it| {
            let reasons = it.reasons.iter().map(|&reason| &self.reasons[reason]).collect();
            AsideOrder::withheld(&it.order, it.parcel.as_deref(), reasons)
        });
        let mut all: Vec<AsideOrder<'_>> = refused.chain(withheld).collect();
        all.sort_by_key(|order| order.span.start);
        write_aside(batch_name, &all, sources)
    }
}

/// The errors of each parcel that has some or is `faulty`, by the parcel's index; as indexes of
/// what was found.
fn concern_parcels(
    batch: &Batch,
    faulty: impl Iterator<Item = usize>,
    found: &[Finding],
) -> BTreeMap<usize, Vec<usize>> {
    let mut errors_of: BTreeMap<usize, Vec<usize>> =
        faulty.map(|index| (index, Vec::new())).collect();
    let mut of_nobody = Vec::new();
    for (error, fault) in found.iter().enumerate().filter(|(_, fault)| fault.is_error()) {
        let own = fault.subject.as_ref().and_then(|subject| subject.position);
        let places = own.iter().chain(&fault.others).filter_map(|&number| batch.place_of(number));
        let mut is_of_nobody = true;
        for index in places {
            is_of_nobody = false;
            let errors = errors_of.entry(index).or_default();
            if errors.last() != Some(&error) {
                errors.push(error);
            }
        }
        if is_of_nobody {
            of_nobody.push(error);
        }
    }
    // A sheet that cannot be printed is the fault of none of its pages, and keeps all of them back.
    if of_nobody.is_empty() {
        of_nobody = (0..found.len()).filter(|&error| found[error].is_error()).collect();
    }
    for errors in errors_of.values_mut().filter(|errors| errors.is_empty()) {
        errors.clone_from(&of_nobody);
    }
    errors_of
}

/// A finding about a parcel that is taken out, without its place on the bench.
fn without_place(finding: &Finding) -> Finding {
    let mut finding = finding.clone();
    if let Some(subject) = &mut finding.subject {
        subject.position = None;
    }
    let others = std::mem::take(&mut finding.others).len();
    finding.repeats = finding.repeats.filter(|_| others > 0).map(|_| Repeats::Parcels(others));
    finding
}

/// The file for what is set aside, under a temporary name until all is well.
pub(super) struct OpenAside {
    /// Where it is to appear.
    pub(super) path: PathBuf,
    /// The file.
    pub(super) pending: Pending,
}

/// What is said when something stops a batch though orders with errors were to be set aside.
pub(super) const STOPS_ALL: &str =
    "nothing was set aside: not every error above belongs to a single order";

/// Why an order with a refused mate does not go alone.
fn describe_mate(order: &Order, mate: Option<&str>) -> Finding {
    let mate = match mate {
        Some(id) => format!("order `{id}`"),
        None => "an order".to_owned(),
    };
    let message =
        format!("order `{}` would share a parcel with {mate}, which has errors", order.id());
    Finding::new(&rules::MATE_HAS_ERRORS, message)
        .at(order.id_span())
        .subject(Subject { order: order.id().to_string(), position: None })
        .hint("mend the other order, or set `apart: true` on this one to send it by itself")
}
