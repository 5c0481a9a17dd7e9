//! What a batch has to say to the seller, in words.

use super::combine::{Grouping, Remark};
use super::pair::PairCode;
use super::{Parcel, distinct, join_ids, subject_of};
use crate::diag::{Diagnostic, Subject};
use crate::fields::CurrencyCode;
use crate::orders::{CarrierLabel, Order};

/// The remarks on combining.
pub(super) fn describe_grouping(orders: &[Order], grouping: &Grouping) -> Vec<Diagnostic> {
    grouping.remarks.iter().map(|remark| describe_remark(remark, orders, grouping)).collect()
}

/// One remark on combining.
fn describe_remark(remark: &Remark, orders: &[Order], grouping: &Grouping) -> Diagnostic {
    let (first, second) = match *remark {
        Remark::Combined(first, second)
        | Remark::CouldCombine(first, second)
        | Remark::KeptApart(first, second, _)
        | Remark::NearMiss(first, second, _) => (first, second),
    };
    let (a, b) = (&orders[first].id, &orders[second].id);
    let diagnostic = match remark {
        Remark::Combined(..) => Diagnostic::note(
            "combined",
            format!("order `{b}` shares the parcel of order `{a}`: same recipient and address"),
        )
        .hint("set `apart: true` on one of them to send it by itself"),
        Remark::CouldCombine(..) => Diagnostic::note(
            "could-combine",
            format!("orders `{a}` and `{b}` go to the same recipient and could share a parcel"),
        )
        .hint("combine them, or set `apart: true` on one of them"),
        Remark::KeptApart(_, _, reasons) => Diagnostic::note(
            "not-combined",
            format!(
                "orders `{a}` and `{b}` go to the same recipient but not in one parcel: {}",
                reasons.join("; ")
            ),
        )
        .hint("make them agree if they are meant to go together"),
        Remark::NearMiss(_, _, part) => describe_near_miss(&orders[first], &orders[second], part),
    };
    diagnostic
        .at(orders[second].span)
        .related(orders[first].span, format!("order `{a}` is here"))
        .subject(Subject { order: b.to_string(), position: Some(grouping.parcel_of[second] + 1) })
}

/// Two addresses that differ only as a slip would make them differ, side by side.
fn describe_near_miss(first: &Order, second: &Order, part: &str) -> Diagnostic {
    let show = |order: &Order| {
        let address = &order.ship_to;
        let text = match part {
            "name" => address.name.to_string(),
            "company" => address.company.to_string(),
            "lines" => address.lines.join(", "),
            "city" => address.city.to_string(),
            "region" => address.region.to_string(),
            _ => address.postcode.to_string(),
        };
        if text.is_empty() { "nothing".to_owned() } else { format!("`{text}`") }
    };
    let (a, b) = (&first.id, &second.id);
    Diagnostic::note(
        "near-recipient",
        format!(
            "orders `{a}` and `{b}` may be for one recipient: `{part}` is {} in one, {} in the other",
            show(first),
            show(second)
        ),
    )
    .hint("write both alike if they are; they are two parcels as they stand")
}

/// Remarks on a batch that is larger than its codes or tallies are made for.
pub(super) fn describe_size(
    codes: &[PairCode],
    repeats: usize,
    parcels: &[Vec<&Order>],
) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    if let Some(length) = codes.first().map(|code| code.as_str().len()).filter(|&it| it > 4) {
        let message = format!("{} parcels need pair codes of {length} characters", codes.len());
        found.push(
            Diagnostic::note("long-pair-codes", message)
                .hint("split the batch, up to 12,166 parcels each, to have four"),
        );
    }
    if repeats > 0 {
        let first = codes.len() - repeats;
        let message =
            format!("the last {repeats} of {} parcels repeat another's tally", codes.len());
        found.push(
            Diagnostic::note("repeated-tallies", message)
                .subject(subject_of(&parcels[first], first))
                .hint("split the batch, up to 4,092 parcels each, or match by pair code"),
        );
    }
    found
}

/// Warns of prices whose currency nobody names.
pub(super) fn report_currencies(
    parcels: &[Vec<&Order>],
    usual: Option<CurrencyCode>,
) -> Vec<Diagnostic> {
    if usual.is_some() {
        return Vec::new();
    }
    let lacks_currency = |order: &&&Order| {
        order.currency.is_none() && order.items.iter().any(|item| item.price.is_some())
    };
    let mut lacking = parcels
        .iter()
        .enumerate()
        .flat_map(|(index, orders)| orders.iter().map(move |order| (index, order)))
        .filter(|(_, order)| lacks_currency(order));
    let Some((index, first)) = lacking.next() else { return Vec::new() };
    let more = match lacking.count() {
        0 => String::new(),
        1 => ", and so has 1 more order".to_owned(),
        more => format!(", and so have {more} more orders"),
    };
    let message = format!("order `{}` has prices and no currency{more}", first.id);
    vec![
        Diagnostic::warning("no-currency", message)
            .at(first.span)
            .subject(subject_of(&parcels[index], index))
            .hint("name it once in the shop file, `currency: EUR`, or in each order"),
    ]
}

/// Notes what combined orders say differently of their packaging, and that they were measured
/// apart.
pub(super) fn report_packs(parcel: &Parcel) -> Vec<Diagnostic> {
    if parcel.orders.len() < 2 {
        return Vec::new();
    }
    let mut found = Vec::new();
    let packs = distinct(parcel.orders.iter().map(|order| &order.pack));
    if packs.len() > 1 {
        let message = format!(
            "the orders of parcel `{}` name different packs: `{}`",
            join_ids(parcel.orders.iter()),
            packs.iter().map(|pack| &***pack).collect::<Vec<_>>().join("`, `")
        );
        found.push(
            Diagnostic::note("several-packs", message)
                .at(parcel.orders[0].span)
                .subject(parcel.subject())
                .hint("name one pack in both, or choose at the bench: the card has a line for it"),
        );
    }
    if parcel.orders.iter().any(|order| order.size.is_some()) {
        let message = format!(
            "a size given for one order of parcel `{}` is not that of the whole parcel",
            join_ids(parcel.orders.iter())
        );
        found.push(
            Diagnostic::note("size-of-a-part", message)
                .at(parcel.orders[0].span)
                .subject(parcel.subject())
                .hint("measure the parcel again: the card has a line for it"),
        );
    }
    found
}

/// Refuses a parcel whose orders name different labels of the carrier: one parcel has one.
pub(super) fn report_carrier_labels(parcel: &Parcel) -> Option<Diagnostic> {
    let mut labels =
        parcel.orders.iter().filter_map(|order| Some((order, order.carrier_label.as_ref()?)));
    let (first, label) = labels.next()?;
    let (second, other) = labels.find(|(_, other)| *other != label)?;
    let show = |label: &CarrierLabel| format!("page {} of `{}`", label.page, label.file);
    let message = format!(
        "the orders of parcel `{}` have different labels of the carrier: {} and {}",
        join_ids(parcel.orders.iter()),
        show(label),
        show(other)
    );
    Some(
        Diagnostic::error("several-carrier-labels", message)
            .at(second.span)
            .related(first.span, format!("order `{}` is here", first.id))
            .subject(parcel.subject())
            .hint("keep the `carrier_label` of one order, or set `apart: true` on the other"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::pair::assign_codes;

    #[test]
    fn longer_pair_codes_are_remarked_on() {
        let ids: Vec<String> = (0..12_167).map(|id| id.to_string()).collect();
        let parcels: Vec<Vec<&str>> = ids.iter().map(|id| vec![id.as_str()]).collect();
        let rules = |count: usize| {
            let found = describe_size(&assign_codes("b", &parcels[..count]), 0, &[]);
            found.into_iter().map(|found| found.rule).collect::<Vec<_>>()
        };
        assert_eq!(rules(12_166), [""; 0]);
        assert_eq!(rules(12_167), ["long-pair-codes"]);
    }

    #[test]
    fn a_parcel_has_one_label_of_the_carrier() {
        let text = r#"[
            {"id": "A", "ship_to": {"name": "Ada Marlow", "country": "GB"}, "items": [{"title": "pen"}],
             "carrier_label": {"file": "labels.pdf", "page": 1}},
            {"id": "B", "ship_to": {"name": "Ada Marlow", "country": "GB"}, "items": [{"title": "ink"}],
             "carrier_label": {"file": "labels.pdf", "page": 2}}
        ]"#;
        let mut sources = crate::source::Sources::new();
        let file = sources.add("orders.json", text);
        let orders = crate::orders::read_orders(&std::sync::Arc::from(text), file).orders;
        let options = crate::batch::BatchOptions::default();
        let batch = crate::batch::Batch::assemble(None, orders, None, options, &mut Vec::new());
        let [mut first, second] = <[Parcel; 2]>::try_from(batch.parcels).unwrap();
        assert_eq!(report_carrier_labels(&first), None);
        first.orders.extend(second.orders);
        let found = report_carrier_labels(&first).unwrap();
        assert_eq!(
            found.message,
            "the orders of parcel `A + B` have different labels of the carrier: page 1 of \
             `labels.pdf` and page 2 of `labels.pdf`"
        );
        assert!(found.is_error());
        first.orders[1].carrier_label = first.orders[0].carrier_label.clone();
        assert_eq!(report_carrier_labels(&first), None);
    }
}
