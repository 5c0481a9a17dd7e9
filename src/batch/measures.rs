//! What orders that share a parcel say of its weight and its size: one parcel has one of each.
//!
//! In: the orders of a parcel. Out: the measure that holds for it, and what the seller has to know
//! where orders say different things or only some say anything. Nothing is ever added up: what an
//! order says is what the packed parcel weighs on the scale. Not here: the arithmetic (`parcel`).

use super::Parcel;
use crate::findings::{Finding, rules};
use crate::geom::Mm;
use crate::orders::Order;
use crate::words::trim_decimals;

/// The weight of a parcel on the scale, in grams: what its orders give, if they agree.
pub(super) fn settle_weight(orders: &[Order]) -> Option<u32> {
    agree(orders.iter().filter_map(|order| order.weight_g()))
}

/// The size of a parcel: what its orders give, if they agree.
pub(super) fn settle_size(orders: &[Order]) -> Option<[Mm; 3]> {
    agree(orders.iter().filter_map(|order| order.size()))
}

/// The value that all values are; none when there are none, or several.
fn agree<T: PartialEq>(mut values: impl Iterator<Item = T>) -> Option<T> {
    let first = values.next()?;
    values.all(|other| other == first).then_some(first)
}

/// Warns where the orders of a parcel give different weights or sizes, or only some give one.
pub(super) fn report_measures(parcel: &Parcel) -> Vec<Finding> {
    let weight = ParcelMeasure {
        noun: "weight",
        path: "parcel.weight_g",
        again: "weigh the packed parcel",
        show: |order| order.weight_g().map(|grams| format!("{grams} g")),
    };
    let size = ParcelMeasure {
        noun: "size",
        path: "parcel.size_mm",
        again: "measure the packed parcel",
        show: |order| order.size().map(show_size),
    };
    [weight, size].iter().filter_map(|measure| measure.report(parcel)).collect()
}

/// Sides in words.
fn show_size(sides: [Mm; 3]) -> String {
    format!("{} mm", sides.map(|side| trim_decimals(side.0, 2)).join(" × "))
}

/// A measure that several orders may give of one parcel.
struct ParcelMeasure {
    /// What it is called.
    noun: &'static str,
    /// Its field in an order.
    path: &'static str,
    /// How a seller gets it anew.
    again: &'static str,
    /// What an order says of it.
    show: fn(&Order) -> Option<String>,
}

impl ParcelMeasure {
    /// What there is to say of it for one parcel; nothing when its orders agree, or none says
    /// anything.
    fn report(&self, parcel: &Parcel) -> Option<Finding> {
        let said: Vec<(&Order, String)> =
            parcel.orders.iter().filter_map(|order| Some((order, (self.show)(order)?))).collect();
        let (first, value) = said.first()?;
        if let Some((second, _)) = said.iter().find(|(_, other)| other != value) {
            return Some(self.report_several(first, second, parcel));
        }
        let silent = parcel.orders.iter().find(|order| (self.show)(order).is_none())?;
        Some(self.report_partly(first, value, silent, parcel))
    }

    /// Warns of two orders that give different measures.
    fn report_several(&self, first: &Order, second: &Order, parcel: &Parcel) -> Finding {
        let ParcelMeasure { noun, path, again, .. } = self;
        let show = |order| (self.show)(order).unwrap_or_default();
        let message = format!(
            "orders `{}` and `{}` share a parcel and give it two {noun}s, {} and {}: neither is \
             taken",
            first.id(),
            second.id(),
            show(first),
            show(second)
        );
        Finding::new(&rules::SEVERAL_MEASURES, message)
            .at(second.span())
            .path(*path)
            .related(first.span(), format!("order `{}` is here", first.id()))
            .subject(parcel.subject())
            .hint(format!("{again}, and give one order its {noun} as `{path}`, the other none"))
    }

    /// Warns that one order gives a measure and another is silent.
    fn report_partly(&self, said: &Order, value: &str, silent: &Order, parcel: &Parcel) -> Finding {
        let ParcelMeasure { noun, path, again, .. } = self;
        let message = format!(
            "{value} is taken as the {noun} of the whole parcel, though only order `{}` gives it \
             and order `{}` shares the parcel",
            said.id(),
            silent.id()
        );
        Finding::new(&rules::PARTLY_MEASURED, message)
            .at(said.span())
            .path(*path)
            .related(silent.span(), format!("order `{}` says none", silent.id()))
            .subject(parcel.subject())
            .hint(format!(
                "is it the {noun} of both? give order `{}` the same; or else {again}",
                silent.id()
            ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two boxes around two orders are no size of one box.
    #[test]
    fn orders_that_give_two_sizes_leave_a_parcel_without_one() {
        let order = |size: &str| {
            format!(
                r#"{{"id": "{size}", "ship_to": {{"name": "A", "country": "GB"}}, "items": [],
                "parcel": {{"size_mm": {size}, "weight_g": 90}}}}"#
            )
        };
        let settled = |one: &str, other: &str| {
            let text = format!("[{}, {}]", order(one), order(other));
            let file = crate::source::Sources::new().add("orders.json", &*text);
            let orders = crate::orders::read_orders(&text, file).orders;
            assert_eq!(orders.len(), 2);
            (settle_size(&orders).map(|sides| sides.map(|side| side.0)), settle_weight(&orders))
        };
        assert_eq!(
            settled("[100, 80, 20]", "[100, 80, 20.0]"),
            (Some([100.0, 80.0, 20.0]), Some(90))
        );
        assert_eq!(settled("[100, 80, 20]", "[90, 80, 20]"), (None, Some(90)));
    }

    #[test]
    fn only_what_all_say_holds() {
        assert_eq!(agree([90].into_iter()), Some(90));
        assert_eq!(agree([90, 90].into_iter()), Some(90));
        assert_eq!(agree([90, 120].into_iter()), None);
        assert_eq!(agree(std::iter::empty::<u32>()), None);
    }
}
