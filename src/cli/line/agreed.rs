//! Parcels of a line whose orders no longer agree: one of them came in again and says something that
//! keeps it from sharing the parcel.
//!
//! In: the line with what its orders say now. Out: the parcels, and in what their orders differ. Not here:
//! what must be the same (`batch`), and what is done about it (`ledger`).

use serde_json::{Value, json};

use crate::batch::{Discord, DiscordKind, find_discords};
use crate::fields::tracking_key;
use crate::findings::{Finding, Subject, rules};
use crate::ledger::{BenchLine, LineParcel};
use crate::orders::Order;
use crate::shop::Shop;
use crate::source::Span;

/// A parcel whose orders no longer agree.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TornParcel {
    /// Its number in the sitting, from 1.
    pub(crate) number: u32,
    /// What is on its bag.
    pub(crate) tag: Box<str>,
    /// Its orders, as findings name them.
    ids: String,
    /// The orders that do not agree with its first, with what each says.
    pub(crate) orders: Vec<TornOrder>,
}

/// An order that does not agree with its parcel.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TornOrder {
    /// Its id, by which `part` takes it out.
    pub(crate) id: Box<str>,
    /// In what.
    pub(crate) discords: Vec<Discord>,
    /// Where it stands.
    span: Span,
}

impl TornOrder {
    /// In what it does not agree, in words.
    pub(crate) fn says(&self) -> String {
        self.discords.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
    }
}

impl TornParcel {
    /// In what its orders do not agree, in words.
    pub(crate) fn says(&self) -> String {
        let told = self.orders.iter().map(|order| format!("{}: {}", order.id, order.says()));
        told.collect::<Vec<_>>().join("; ")
    }

    /// What a seller can do about it, the usual way first.
    pub(crate) fn ways_out(&self) -> Vec<String> {
        let number = self.number;
        let Some(first) = self.orders.first() else { return Vec::new() };
        let id = &first.id;
        let mut ways = vec![
            format!("take `{id}` out: `slipwright ledger part {number} {id}`"),
            "or take in as it was the order that changed: `slipwright ledger take-in FILE --same ID`"
                .to_owned(),
        ];
        let kinds = || self.orders.iter().flat_map(|order| &order.discords).map(|it| it.kind);
        if kinds().all(DiscordKind::is_of_place) {
            ways.push(format!(
                "or, if it goes with the parcel all the same, take it out and put it in again: `slipwright \
                 ledger join {number} {id} --elsewhere`"
            ));
        }
        let notes = [
            (DiscordKind::Service, format!("slipwright ledger note {number} --service NAME")),
            (DiscordKind::Hazard, format!("slipwright ledger note {number} --hazard WORDS")),
        ];
        let noted = notes.into_iter().filter(|(kind, _)| kinds().any(|it| it == *kind));
        ways.extend(noted.map(|(_, note)| format!("or say what holds for all of it: `{note}`")));
        ways
    }

    /// That nothing of it is printed, and what to do.
    pub(crate) fn to_finding(&self) -> Finding {
        let (number, tag) = (self.number, &self.tag);
        let message =
            format!("the orders of parcel {number} `{tag}` no longer agree: it is not printed");
        let subject = Subject { order: self.ids.clone(), position: usize::try_from(number).ok() };
        let mut finding = Finding::new(&rules::ORDERS_DISAGREE, message)
            .at(self.orders.first().map(|order| order.span))
            .subject(subject)
            .details(self.orders.iter().map(|order| format!("{}: {}", order.id, order.says())));
        for way in self.ways_out() {
            finding = finding.hint(way);
        }
        finding
    }

    /// It for a program.
    pub(crate) fn to_json(&self) -> Value {
        let orders = self.orders.iter().map(|order| json!({"id": order.id, "says": order.says()}));
        json!({"number": self.number, "tag": self.tag, "orders": orders.collect::<Vec<_>>()})
    }
}

/// The parcels that are still to go and whose orders no longer agree, as they lie.
pub(super) fn find_torn(
    line: &BenchLine,
    orders_of: impl Fn(&LineParcel) -> Vec<Order>,
    shop: Option<&Shop>,
) -> Vec<TornParcel> {
    let shared = line.parcels().filter(|parcel| parcel.state.is_open() && parcel.orders.len() > 1);
    let torn = shared.filter_map(|parcel| {
        let orders = orders_of(parcel);
        let (first, others) = orders.split_first()?;
        let torn: Vec<TornOrder> = others
            .iter()
            .filter_map(|order| {
                let discords = discords_in(parcel, first, order, shop);
                let (id, span) = (order.id().into(), order.span());
                (!discords.is_empty()).then_some(TornOrder { id, discords, span })
            })
            .collect();
        let (number, tag, ids) = (parcel.number, parcel.tag.clone(), parcel.orders.join(" + "));
        (!torn.is_empty()).then_some(TornParcel { number, tag, ids, orders: torn })
    });
    torn.collect()
}

/// In what an order keeps from being in a parcel, of which `first` is the first order. What the seller said of the
/// whole parcel settles what its orders say: what is noted of service and hazards, the number that the parcel
/// has and no order contradicts, and that an order goes with it though it is for elsewhere.
pub(crate) fn discords_in(
    parcel: &LineParcel,
    first: &Order,
    order: &Order,
    shop: Option<&Shop>,
) -> Vec<Discord> {
    let number = tracking_key(&parcel.tracking);
    let has_number = !number.is_empty()
        && [first, order]
            .iter()
            .all(|order| order.tracking().is_empty() || tracking_key(order.tracking()) == number);
    let is_elsewhere = parcel.elsewhere.iter().any(|id| **id == *order.id());
    let is_settled = |kind: DiscordKind| match kind {
        DiscordKind::Service => parcel.facts.service.is_some(),
        DiscordKind::Hazard => parcel.facts.hazard.is_some(),
        DiscordKind::Tracking => has_number,
        kind => is_elsewhere && kind.is_of_place(),
    };
    let mut found = find_discords(first, order, shop);
    found.retain(|discord| !is_settled(discord.kind));
    found
}
