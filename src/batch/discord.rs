//! What keeps two orders from sharing a parcel.
//!
//! In: two orders, and what the shop says of those that are silent. Out: in what they differ of all that
//! must be the same in one parcel. Grouping (`combine`), joining at the bench and the look at parcels whose
//! orders changed all go by this. Not here: which parcel an order gets.

use std::fmt;

use super::likeness::{PARTS, same_parts};
use crate::fields::CurrencyCode;
use crate::orders::Order;
use crate::shop::Shop;

/// What holds for orders that do not say otherwise.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Usual<'a> {
    /// The service that orders without one go by; empty when the shop file names none.
    pub(super) service: &'a str,
    /// The currency of orders that name none, if the shop file has one.
    pub(super) currency: Option<CurrencyCode>,
}

impl<'a> Usual<'a> {
    /// What a shop says.
    pub(super) fn of(shop: Option<&'a Shop>) -> Usual<'a> {
        Usual {
            service: shop.map(|shop| &*shop.defaults.service).unwrap_or_default(),
            currency: shop.and_then(|shop| shop.currency),
        }
    }
}

/// How an order is sent: orders of one recipient can share a parcel when this is equal.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Sending<'a> {
    /// Whether no price may be seen.
    gift: bool,
    /// What was declared.
    hazard: &'a str,
    /// What is to carry it, or else what usually does; may be empty.
    service: &'a str,
    /// What its prices are in, or else the shop's currency; none when neither says.
    currency: Option<CurrencyCode>,
    /// The tracking number.
    tracking: &'a str,
    /// The order itself, when a carrier's label is already made for it.
    label: Option<usize>,
}

impl<'a> Sending<'a> {
    /// How an order is sent; `index` tells it from all others.
    pub(super) fn of(order: &'a Order, index: usize, usual: Usual<'a>) -> Sending<'a> {
        Sending {
            gift: order.gift(),
            hazard: order.hazard(),
            service: if order.service().is_empty() { usual.service } else { order.service() },
            currency: order.currency().or(usual.currency),
            tracking: order.tracking(),
            label: order.carrier_label().as_ref().map(|_| index),
        }
    }

    /// In what two ways of sending differ.
    pub(super) fn differ(&self, other: &Sending<'_>) -> Vec<DiscordKind> {
        [
            (self.gift != other.gift, DiscordKind::Gift),
            (self.hazard != other.hazard, DiscordKind::Hazard),
            (self.service != other.service, DiscordKind::Service),
            (self.currency != other.currency, DiscordKind::Currency),
            (self.tracking != other.tracking, DiscordKind::Tracking),
            (self.label != other.label, DiscordKind::Label),
        ]
        .into_iter()
        .filter_map(|(applies, kind)| applies.then_some(kind))
        .collect()
    }
}

/// What must be the same of orders that share a parcel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiscordKind {
    /// Whom it is for, and where to.
    Recipient,
    /// Whether one of them is to go by itself.
    Apart,
    /// Whether no price may be seen.
    Gift,
    /// What was declared of hazards.
    Hazard,
    /// What carries it.
    Service,
    /// What its prices are in.
    Currency,
    /// Its tracking number.
    Tracking,
    /// Whether a carrier's label is made already.
    Label,
}

impl DiscordKind {
    /// Whether it is only about where the orders go and that they go together, so that a seller can say
    /// that they do; in all else a parcel would lose what one of them says.
    #[must_use]
    pub fn is_of_place(self) -> bool {
        matches!(self, DiscordKind::Recipient | DiscordKind::Apart | DiscordKind::Label)
    }

    /// Why two orders for one recipient do not share a parcel.
    pub(super) fn why_apart(self) -> &'static str {
        match self {
            DiscordKind::Recipient => "their addresses differ",
            DiscordKind::Apart => "one is marked `apart`",
            DiscordKind::Gift => "only one is a gift, and a gift must show no price",
            DiscordKind::Hazard => "their hazard declarations differ",
            DiscordKind::Service => "their services differ",
            DiscordKind::Currency => "their currencies differ",
            DiscordKind::Tracking => "their tracking numbers differ",
            DiscordKind::Label => "a carrier's label is already made",
        }
    }
}

/// One thing in which an order does not agree with its parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Discord {
    /// What it is about.
    pub kind: DiscordKind,
    /// What the order says, and what the parcel is: `its currency is USD, the parcel's EUR`.
    says: String,
}

impl fmt::Display for Discord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.says)
    }
}

/// In what an order does not agree with a parcel, of which `first` is the first order; empty when they
/// can share it.
#[must_use]
pub fn find_discords(first: &Order, order: &Order, shop: Option<&Shop>) -> Vec<Discord> {
    let usual = Usual::of(shop);
    let [of_parcel, of_order] =
        [(first, 0), (order, 1)].map(|(order, index)| Sending::of(order, index, usual));
    let mut found = compare_recipients(first, order);
    if first.apart() || order.apart() {
        let whose = if order.apart() { order.id() } else { first.id() };
        let says = format!("`{whose}` is marked to go `apart`");
        found.push(Discord { kind: DiscordKind::Apart, says });
    }
    found.extend(of_parcel.differ(&of_order).into_iter().map(|kind| {
        let says = match kind {
            DiscordKind::Gift if order.gift() => {
                "it is a gift, which must show no price, and the parcel is none".to_owned()
            }
            DiscordKind::Gift => {
                "it is no gift, and the parcel is one, which must show no price".to_owned()
            }
            DiscordKind::Hazard => {
                compare("hazard declaration", &quote(of_order.hazard), &quote(of_parcel.hazard))
            }
            DiscordKind::Service => {
                compare("service", &quote(of_order.service), &quote(of_parcel.service))
            }
            DiscordKind::Currency => {
                let [its, parcels] = [of_order, of_parcel]
                    .map(|it| it.currency.map(|code| code.to_string()).unwrap_or_default());
                compare("currency", &its, &parcels)
            }
            DiscordKind::Tracking => {
                compare("tracking number", of_order.tracking, of_parcel.tracking)
            }
            DiscordKind::Label | DiscordKind::Recipient | DiscordKind::Apart => {
                let whose = if of_order.label.is_some() { order.id() } else { first.id() };
                format!("a carrier's label is already made for `{whose}`")
            }
        };
        Discord { kind, says }
    }));
    found
}

/// The parts of an address in which an order goes to another recipient than a parcel.
fn compare_recipients(first: &Order, order: &Order) -> Vec<Discord> {
    let discord = |says: String| Discord { kind: DiscordKind::Recipient, says };
    let (Some((parcels, parcel_parts)), Some((its, parts))) =
        (recipient_key(first), recipient_key(order))
    else {
        let whose = if recipient_key(order).is_none() { order.id() } else { first.id() };
        return vec![discord(format!("the address of `{whose}` has no street to compare"))];
    };
    if parcels == its {
        return Vec::new();
    }
    let differing = (0..PARTS.len()).filter(|&part| parcel_parts[part] != parts[part]);
    let mut found: Vec<Discord> = differing
        .map(|part| {
            let [its, parcels] = [order, first].map(|order| quote(&show_part(order, PARTS[part])));
            discord(compare(part_word(PARTS[part]), &its, &parcels))
        })
        .collect();
    let [its, parcels] = [order, first].map(|order| order.ship_to().country.as_str().to_owned());
    if its != parcels {
        found.push(discord(compare("country", &its, &parcels)));
    }
    found
}

/// What orders of one recipient have in common, and the parts that it is made of; none when the address cannot be compared: without
/// a street it says too little, two Smiths of one town are not one recipient.
pub(super) fn recipient_key(order: &Order) -> Option<(String, [String; PARTS.len()])> {
    let address = &order.ship_to();
    if address.lines.is_empty() {
        return None;
    }
    let parts = same_parts(address);
    // No folded part has a line end.
    Some(([address.country.as_str(), &parts.join("\n")].join("\n"), parts))
}

/// One part of where an order goes, as it was given.
pub(super) fn show_part(order: &Order, part: &str) -> String {
    let address = &order.ship_to();
    match part {
        "name" => address.name.to_string(),
        "company" => address.company.to_string(),
        "lines" => address.lines.join(", "),
        "city" => address.city.to_string(),
        "region" => address.region.to_string(),
        _ => address.postcode.to_string(),
    }
}

/// What a seller calls a part of an address.
fn part_word(part: &'static str) -> &'static str {
    match part {
        "lines" => "street",
        "city" => "town",
        part => part,
    }
}

/// A text in backticks; nothing where there is none.
fn quote(text: &str) -> String {
    if text.is_empty() { String::new() } else { format!("`{text}`") }
}

/// What an order says of one thing, and what the parcel is.
fn compare(noun: &str, its: &str, parcels: &str) -> String {
    match (its, parcels) {
        ("", parcels) => format!("it has no {noun}, the parcel's is {parcels}"),
        (its, "") => format!("its {noun} is {its}, the parcel has none"),
        (its, parcels) => format!("its {noun} is {its}, the parcel's {parcels}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orders::read_orders;
    use crate::source::Sources;

    #[test]
    fn each_thing_that_differs_is_said_by_name() {
        let plain = r#""ship_to": {"name": "Ada Marlow", "lines": ["1 Quay"], "city": "Oakhaven", "postcode": "OH1", "country": "GB"}"#;
        let cases = [
            ("", None),
            (r#""currency": "USD","#, Some("its currency is USD, the parcel has none")),
            (r#""service": "letter","#, Some("its service is `letter`, the parcel has none")),
            (r#""hazard": "none","#, Some("its hazard declaration is `none`, the parcel has none")),
            (r#""tracking": "TT8","#, Some("its tracking number is TT8, the parcel has none")),
            (
                r#""gift": true,"#,
                Some("it is a gift, which must show no price, and the parcel is none"),
            ),
            (r#""apart": true,"#, Some("`B` is marked to go `apart`")),
        ];
        let read = |text: String| {
            let file = Sources::new().add("orders.json", "");
            read_orders(text, file).orders
        };
        for (more, says) in cases {
            let text = format!(r#"[{{"id": "A", {plain}}}, {{"id": "B", {more} {plain}}}]"#);
            let orders = read(text);
            let told: Vec<String> = find_discords(&orders[0], &orders[1], None)
                .iter()
                .map(ToString::to_string)
                .collect();
            assert_eq!(told, Vec::from_iter(says.map(str::to_owned)), "{more}");
        }
        let moved = plain.replace("1 Quay", "9 Mole").replace("\"GB", "\"DE");
        let orders = read(format!(r#"[{{"id": "A", {plain}}}, {{"id": "B", {moved}}}]"#));
        let told = find_discords(&orders[0], &orders[1], None);
        assert!(told.iter().all(|it| it.kind.is_of_place()));
        let told: Vec<String> = told.iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            ["its street is `9 Mole`, the parcel's `1 Quay`", "its country is DE, the parcel's GB"]
        );
    }
}
