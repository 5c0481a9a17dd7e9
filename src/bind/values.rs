//! What orders, items, addresses and parcels are to templates, each as a map of variables.
//!
//! In: the thing itself, and the language that the page is in. Out: a template's value. Text that was not
//! given and figures that are not known are empty text. Not here: which variables a parcel has
//! (`context`), and lists of all parcels (`lists`).

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use minijinja::{Value, context};
use rust_decimal::Decimal;

use super::given_name::given_name;
use super::own::describe_own;
use super::speech::{Speech, country_name_in};
use crate::address::{Role, Sender, lay_address, write_postcode};
use crate::batch::Parcel;
use crate::fields::{Address, CurrencyCode};
use crate::geom::Mm;
use crate::layout::fill_plain;
use crate::orders::{Amounts, CarrierLabel, Item, Order, ReckonedTax};
use crate::parcel::{HeavyLevel, ParcelFigures, StampCount};
use crate::words::trim_zeros;

/// The variables that are asked for, each with its parts that are; `None`: it is as a whole.
pub(super) type WantedVariables = BTreeMap<String, Option<BTreeSet<String>>>;

/// Sorts out what is asked for by name: `items`, `parcel.id`.
pub(super) fn sort_wanted(names: &BTreeSet<String>) -> WantedVariables {
    let mut wanted = WantedVariables::new();
    // A name stands before its parts, because nothing that it may hold sorts before a dot.
    for name in names {
        match name.split_once('.') {
            None => drop(wanted.insert(name.clone(), None)),
            Some((name, parts)) => {
                let known = wanted.entry(name.to_owned()).or_insert_with(|| Some(BTreeSet::new()));
                let part = parts.split('.').next().unwrap_or(parts);
                if let Some(known) = known {
                    known.insert(part.to_owned());
                }
            }
        }
    }
    wanted
}

/// Which parts of a variable are asked for.
#[derive(Clone, Copy)]
pub(super) enum Wanted<'w> {
    /// All of them.
    All,
    /// These.
    Parts(&'w BTreeSet<String>),
}

impl<'w> Wanted<'w> {
    /// What is asked for of a variable; `None` when nothing is.
    pub(super) fn of(wanted: Option<&'w WantedVariables>, name: &str) -> Option<Wanted<'w>> {
        let Some(wanted) = wanted else { return Some(Wanted::All) };
        Some(wanted.get(name)?.as_ref().map_or(Wanted::All, Wanted::Parts))
    }

    /// A map of what is asked for.
    pub(super) fn map(self, entries: &[(&'static str, &dyn Fn() -> Value)]) -> Value {
        let entries = entries.iter().filter(|(name, _)| match self {
            Wanted::All => true,
            Wanted::Parts(parts) => parts.contains(*name),
        });
        Value::from_pairs(entries.map(|(name, make)| (*name, make())))
    }
}

/// A map of variables.
pub(super) fn map<const N: usize>(entries: [(&'static str, Value); N]) -> Value {
    Value::from_pairs(entries)
}

/// Text, which is empty when it was not given.
pub(super) fn text(value: &str) -> Value {
    Value::from(value)
}

/// A value, or empty text when there is none.
pub(super) fn or_empty<T: Into<Value>>(value: Option<T>) -> Value {
    value.map_or_else(|| Value::from(""), Into::into)
}

/// The variables with one more.
pub(super) fn with_value(name: &str, value: Value, values: &Value) -> Value {
    let inner = Value::from_pairs([(name.to_owned(), value)]);
    context! { ..inner, ..values.clone() }
}

/// An address as variables, as it is read where a sender sends from.
pub(super) fn describe_address(
    address: &Address,
    from: &Sender,
    speech: &Speech,
    parts: Wanted<'_>,
) -> Value {
    let country = address.country.as_str();
    parts.map(&[
        ("name", &|| text(&address.name)),
        ("given_name", &|| text(given_name(address))),
        ("company", &|| text(&address.company)),
        ("lines", &|| address.lines.iter().map(|line| text(line)).collect()),
        ("city", &|| text(&address.city)),
        ("region", &|| text(&address.region)),
        ("postcode", &|| Value::from(write_postcode(&address.postcode, country))),
        ("country", &|| text(country)),
        ("country_name", &|| text(country_name_in(country, speech.locale).unwrap_or(country))),
        ("phone", &|| text(&address.phone)),
        ("as_printed", &|| address_lines(address, from).iter().map(|line| text(line)).collect()),
    ])
}

/// An address with all its variables.
pub(super) fn describe_whole_address(address: &Address, from: &Sender, speech: &Speech) -> Value {
    describe_address(address, from, speech, Wanted::All)
}

/// An address in the form of its country. The telephone number is the carrier's, not the paper's.
pub(super) fn address_lines(address: &Address, from: &Sender) -> Arc<[String]> {
    lay_address(&address.to_parts(), from)
        .into_iter()
        .filter(|line| line.role != Role::Phone)
        .map(|line| line.text)
        .collect()
}

/// The variables of an address that the shop file does not give.
pub(super) fn empty_address() -> Value {
    let names = ["name", "given_name", "company", "city", "region", "postcode", "country"];
    let more = ["country_name", "phone"];
    let texts = names.into_iter().chain(more).map(|name| (name, text("")));
    let lists = ["lines", "as_printed"].map(|name| (name, Value::from(Vec::<Value>::new())));
    Value::from_pairs(texts.chain(lists))
}

/// An item as variables.
pub(super) fn describe_item(item: &Item, order: &Order) -> Value {
    map([
        ("sku", text(item.sku)),
        ("gtin", or_empty(item.gtin.map(|gtin| gtin.to_string()))),
        ("title", text(item.label())),
        ("qty", Value::from(item.qty)),
        ("price", or_empty(item.price.map(plain_decimal))),
        ("total", or_empty(item.total().map(plain_decimal))),
        ("shelf", text(item.shelf)),
        ("weight_g", or_empty(item.weight_g)),
        ("total_weight_g", or_empty(item.total_weight_g())),
        ("hs", text(item.hs)),
        ("origin", or_empty(item.origin.as_ref().map(|code| code.as_str().to_owned()))),
        ("order", text(order.id())),
        ("own", describe_own(&item.own)),
    ])
}

/// A decimal by its digits: money never passes through a float.
pub(super) fn plain_decimal(value: Decimal) -> String {
    value.to_string()
}

/// An order as variables; its amounts are those of the parcel's currency.
pub(super) fn describe_order(order: &Order, currency: Option<CurrencyCode>) -> Value {
    map([
        ("id", text(order.id())),
        ("placed", text(order.placed())),
        ("message", text(order.message())),
        ("note", text(order.note())),
        ("gift", Value::from(order.gift())),
        ("amounts", describe_amounts(std::slice::from_ref(order), currency)),
        ("own", describe_own(order.own())),
    ])
}

/// The amounts of some orders as variables.
pub(super) fn describe_amounts(orders: &[Order], currency: Option<CurrencyCode>) -> Value {
    let amounts = Amounts::of(orders, currency);
    let decimal = |amount: Option<_>| or_empty(amount.map(plain_decimal));
    map([
        ("goods", decimal(amounts.goods)),
        ("shipping", decimal(amounts.shipping)),
        // A shop that writes `0.00` where nothing is taken off means no row of a slip.
        ("discount", decimal(amounts.discount.filter(|amount| !amount.is_zero()))),
        ("taxes", amounts.taxes.iter().map(describe_tax).collect()),
        ("total", decimal(amounts.total())),
    ])
}

/// A tax as variables.
fn describe_tax(tax: &ReckonedTax) -> Value {
    map([
        ("name", text(&tax.name)),
        ("rate", or_empty(tax.rate.map(|rate| plain_decimal(rate.normalize())))),
        ("amount", or_empty(tax.amount.map(plain_decimal))),
        ("on_top", Value::from(tax.on_top)),
    ])
}

/// A carrier's label as variables, empty when there is none.
pub(super) fn describe_carrier_label(label: Option<&CarrierLabel>) -> Value {
    map([
        ("file", text(label.map_or("", |label| &label.file))),
        ("page", or_empty(label.map(|label| label.page))),
    ])
}

/// A parcel as variables.
pub(super) fn describe_parcel(
    parcel: &Parcel,
    customs: impl Fn() -> bool,
    speech: &Speech,
    parts: Wanted<'_>,
) -> Value {
    let (figures, stamps) = (parcel.figures.as_deref(), parcel.stamps.as_deref());
    let measure =
        |text: Option<String>| or_empty(text.map(|text| speech.locale.write_measure(&text)));
    parts.map(&[
        ("id", &|| text(parcel.id())),
        ("ids", &|| Value::from(parcel.order_ids())),
        ("pack", &|| text(&parcel.pack)),
        ("weight_g", &|| or_empty(parcel.weight_g)),
        ("weight", &|| measure(parcel.weight_g.map(describe_weight))),
        ("size", &|| measure(parcel.size.as_deref().map(describe_size))),
        ("expected_weight_g", &|| or_empty(figures.and_then(ParcelFigures::expected_grams))),
        ("expected_weight", &|| measure(figures.and_then(ParcelFigures::show_expected_weight))),
        ("expected_size", &|| measure(figures.and_then(ParcelFigures::show_expected_size))),
        ("caution", &|| describe_caution(figures, speech)),
        ("billable", &|| measure(figures.and_then(ParcelFigures::show_billable))),
        ("service", &|| text(&parcel.service)),
        ("price", &|| measure(figures.and_then(ParcelFigures::show_price))),
        ("postage", &|| {
            or_empty(figures.and_then(|it| it.price.as_deref()).map(|price| price.digits()))
        }),
        ("postage_currency", &|| or_empty(figures.and_then(ParcelFigures::price_currency))),
        ("stamps", &|| describe_stamps(parcel)),
        ("stamps_value", &|| or_empty(stamps.map(|it| plain_decimal(it.value)))),
        ("stamps_over", &|| {
            or_empty(stamps.filter(|it| !it.over.is_zero()).map(|it| plain_decimal(it.over)))
        }),
        ("stamps_reason", &|| describe_stamps_reason(parcel, speech)),
        ("extras", &|| parcel.extras.iter().map(|extra| text(extra)).collect()),
        ("tracking", &|| text(&parcel.tracking)),
        ("customs", &|| Value::from(customs())),
        ("hazard", &|| text(&parcel.hazard)),
        ("declared", &|| text(parcel.declared())),
    ])
}

/// The stamps to stick on a parcel.
fn describe_stamps(parcel: &Parcel) -> Value {
    let stamps = parcel.stamps.iter().flat_map(|choice| &choice.stamps);
    let describe = |stamp: &StampCount| {
        map([
            ("name", text(&stamp.name)),
            ("value", Value::from(plain_decimal(stamp.value))),
            ("count", Value::from(stamp.count)),
        ])
    };
    stamps.map(describe).collect()
}

/// Why no fewer stamps and no others, in the page's language; empty without stamps.
fn describe_stamps_reason(parcel: &Parcel, speech: &Speech) -> Value {
    let price = parcel.figures.as_deref().and_then(|figures| figures.price.as_deref());
    let Some((choice, price)) = parcel.stamps.as_deref().zip(price) else { return text("") };
    let money = |amount: Decimal| {
        Value::from(speech.locale.write_money(amount, price.currency.as_str(), price.decimals))
    };
    let fill = |word: &Value, count: usize, amount: Decimal| {
        let gap = |name: &str| match name {
            "count" => Value::from(count),
            _ => money(amount),
        };
        fill_plain(word, Some(&speech.tag), |name| Some(gap(name))).unwrap_or_default()
    };
    let [fewer, over, exact] = &speech.stamping;
    let count = choice.stamps.iter().map(|it| it.count).sum();
    let mut reasons: Vec<String> =
        choice.fewer.iter().map(|it| fill(fewer, it.count, it.worth)).collect();
    let least = if choice.over.is_zero() { exact } else { over };
    reasons.push(fill(least, count, choice.over));
    Value::from(reasons.join("; "))
}

/// A heavy parcel's caution with its weight; empty when it is none.
fn describe_caution(figures: Option<&ParcelFigures>, speech: &Speech) -> Value {
    let words = figures.and_then(|figures| {
        let caution = figures.caution.as_deref()?;
        let [heavy, lift_in_twos] = &speech.cautions;
        let word = match caution.level {
            HeavyLevel::Caution => heavy,
            HeavyLevel::TeamLift => lift_in_twos,
        };
        let weight = speech.locale.write_measure(&figures.units.mass(caution.weight));
        fill_plain(word, Some(&speech.tag), |_| Some(Value::from(weight.clone())))
    });
    or_empty(words)
}

/// A weight in words: grams below a kilogram, else kilograms with the grams that matter.
fn describe_weight(grams: u32) -> String {
    if grams < 1000 {
        return format!("{grams} g");
    }
    let kilograms = format!("{}.{:03}", grams / 1000, grams % 1000);
    format!("{} kg", trim_zeros(&kilograms))
}

/// A parcel's sides in words.
fn describe_size(sides: &[Mm; 3]) -> String {
    let [length, width, height] = sides.map(|side| {
        let text = side.to_string();
        text.trim_end_matches(" mm").to_owned()
    });
    format!("{length} × {width} × {height} mm")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_alone_asks_for_all_of_it() {
        let names = ["items", "parcel", "parcel.id", "pair.code.x", "pair.label"];
        let wanted = sort_wanted(&names.map(str::to_owned).into());
        let parts = |name| match Wanted::of(Some(&wanted), name) {
            None => vec!["nothing".to_owned()],
            Some(Wanted::All) => vec!["all".to_owned()],
            Some(Wanted::Parts(parts)) => parts.iter().cloned().collect(),
        };
        assert_eq!(parts("items"), ["all"]);
        assert_eq!(parts("parcel"), ["all"]);
        assert_eq!(parts("pair"), ["code", "label"]);
        assert_eq!(parts("ship_to"), ["nothing"]);
    }

    #[test]
    fn weights_read_well() {
        assert_eq!(describe_weight(430), "430 g");
        assert_eq!(describe_weight(1000), "1 kg");
        assert_eq!(describe_weight(1250), "1.25 kg");
        assert_eq!(describe_weight(20_005), "20.005 kg");
    }
}
