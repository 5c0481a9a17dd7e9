//! What a batch has to say to the seller, in words: of orders that share a parcel or could, and of
//! addresses.

use super::combine::{CombineRemark, Grouping};
use super::discord::show_part;
use super::likeness::{PARTS, same_parts};
use super::{Batch, Parcel, distinct, join_ids, subject_of};
use crate::address::{Problem, check_address};
use crate::fields::CurrencyCode;
use crate::findings::{Finding, Repeats, Subject, rules};
use crate::orders::{CarrierLabel, Order};
use crate::pairs::PairCode;

/// The remarks on combining.
pub(super) fn describe_grouping(orders: &[Order], grouping: &Grouping) -> Vec<Finding> {
    grouping.remarks.iter().map(|remark| describe_remark(remark, orders, grouping)).collect()
}

/// What is told of two orders that share a parcel, could, or could not.
fn describe_remark(remark: &CombineRemark, orders: &[Order], grouping: &Grouping) -> Finding {
    let (first, second) = match *remark {
        CombineRemark::Combined(first, second)
        | CombineRemark::CouldCombine(first, second)
        | CombineRemark::Split(first, second)
        | CombineRemark::KeptApart(first, second, _)
        | CombineRemark::NearMiss(first, second) => (first, second),
    };
    let (a, b) = (&orders[first].id(), &orders[second].id());
    let finding = match remark {
        CombineRemark::Combined(..) => Finding::new(
            &rules::COMBINED,
            format!("order `{b}` shares the parcel of order `{a}`: same recipient and address"),
        )
        .hint("set `apart: true` on one of them to send it by itself"),
        CombineRemark::CouldCombine(..) => Finding::new(
            &rules::COULD_COMBINE,
            format!("orders `{a}` and `{b}` go to the same recipient and could share a parcel"),
        )
        .hint("combine them, or set `apart: true` on one of them"),
        CombineRemark::Split(..) => Finding::new(
            &rules::SPLIT,
            format!("order `{b}` has a parcel of its own, apart from order `{a}` as you wished"),
        )
        .hint(format!("set `apart: true` on order `{b}` to keep it so")),
        CombineRemark::KeptApart(_, _, reasons) => Finding::new(
            &rules::NOT_COMBINED,
            format!(
                "orders `{a}` and `{b}` go to the same recipient but not in one parcel: {}",
                reasons.iter().map(|reason| reason.why_apart()).collect::<Vec<_>>().join("; ")
            ),
        )
        .hint("make them agree if they are meant to go together"),
        CombineRemark::NearMiss(..) => describe_near_miss(&orders[first], &orders[second]),
    };
    finding
        .at(orders[second].span())
        .related(orders[first].span(), format!("order `{a}` is here"))
        .subject(Subject { order: b.to_string(), position: Some(grouping.parcel_of[second] + 1) })
}

/// Two addresses that differ only as a slip would make them differ, side by side: a line for each
/// part that one of them has, the parts that differ marked in front.
fn describe_near_miss(first: &Order, second: &Order) -> Finding {
    let (same, other) = (same_parts(&first.ship_to()), same_parts(&second.ship_to()));
    let rows: Vec<(bool, &str, String, String)> = (0..PARTS.len())
        .map(|at| {
            let show = |order: &Order| show_part(order, PARTS[at]);
            (same[at] != other[at], PARTS[at], show(first), show(second))
        })
        .filter(|(_, _, one, two)| !(one.is_empty() && two.is_empty()))
        .collect();
    let differing: Vec<&str> = rows.iter().filter(|row| row.0).map(|row| row.1).collect();
    let (a, b) = (&first.id(), &second.id());
    let verb = if differing.len() == 1 { "differs" } else { "differ" };
    let message = format!(
        "orders `{a}` and `{b}` may be for one recipient: only `{}` {verb}",
        differing.join("` and `")
    );
    let width = |text: &str| text.chars().count();
    let widest = rows.iter().map(|row| width(&row.2)).chain([width(a)]).max().unwrap_or_default();
    let line = |mark: char, part: &str, one: &str, two: &str| {
        let gap = " ".repeat(widest.saturating_sub(width(one)));
        format!("{mark} {part:<8}  {one}{gap}  {two}").trim_end().to_owned()
    };
    let head = [line(' ', "", a, b)];
    let rows = rows.iter().map(|(differs, part, one, two)| {
        let show = |text: &str| if text.is_empty() { "(none)".to_owned() } else { text.to_owned() };
        line(if *differs { '≠' } else { ' ' }, part, &show(one), &show(two))
    });
    Finding::new(&rules::NEAR_RECIPIENT, message)
        .details(head.into_iter().chain(rows))
        .hint("write both alike if they are; they are two parcels as they stand")
}

/// Remarks on a batch that is larger than its codes or tallies are made for.
pub(super) fn describe_size(
    codes: &[PairCode],
    repeats: usize,
    parcels: &[Vec<&Order>],
) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(length) = codes.first().map(|code| code.as_str().len()).filter(|&it| it > 4) {
        let message = format!("{} parcels need pair codes of {length} characters", codes.len());
        found.push(
            Finding::new(&rules::LONG_PAIR_CODES, message)
                .hint("split the batch, up to 12,166 parcels each, to have four"),
        );
    }
    if repeats > 0 {
        let first = codes.len() - repeats;
        let message =
            format!("the last {repeats} of {} parcels repeat another's tally", codes.len());
        found.push(
            Finding::new(&rules::REPEATED_TALLIES, message)
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
) -> Vec<Finding> {
    if usual.is_some() {
        return Vec::new();
    }
    let orders = parcels
        .iter()
        .enumerate()
        .flat_map(|(index, orders)| orders.iter().map(move |order| (index, *order)));
    let lacking: Vec<(usize, &Order)> = orders.filter(|(_, order)| lacks_currency(order)).collect();
    let Some(&(index, first)) = lacking.first() else { return Vec::new() };
    vec![warn_of_prices(first, lacking.len() - 1).subject(subject_of(&parcels[index], index))]
}

/// Warns of prices in some parcels whose currency neither their orders nor the shop file names.
#[must_use]
pub fn inspect_currencies<'a>(
    parcels: impl Iterator<Item = &'a Parcel>,
    usual: Option<CurrencyCode>,
) -> Option<Finding> {
    if usual.is_some() {
        return None;
    }
    let orders = parcels.flat_map(|parcel| parcel.orders.iter().map(move |order| (parcel, order)));
    let mut lacking = orders.filter(|(_, order)| lacks_currency(order));
    let (parcel, first) = lacking.next()?;
    Some(warn_of_prices(first, lacking.count()).subject(parcel.subject()))
}

/// Whether an order has prices and names no currency.
fn lacks_currency(order: &Order) -> bool {
    let is_priced = order.items().any(|item| item.price.is_some());
    order.currency().is_none() && (is_priced || order.amounts().is_some())
}

/// The warning of an order with prices, and of `more` like it.
fn warn_of_prices(first: &Order, more: usize) -> Finding {
    let message = format!("order `{}` has prices and no currency", first.id());
    Finding::new(&rules::NO_CURRENCY, message)
        .repeated((more > 0).then_some(Repeats::Orders(more)))
        .at(first.span())
        .hint("name it once in the shop file, `currency: EUR`, or in each order")
}

/// Notes that combined orders name different packs.
pub(super) fn report_packs(parcel: &Parcel) -> Option<Finding> {
    let packs = distinct(parcel.orders.iter().map(Order::pack));
    if packs.len() < 2 {
        return None;
    }
    let message = format!(
        "the orders of parcel `{}` name different packs: `{}`",
        join_ids(parcel.orders.iter()),
        packs.join("`, `")
    );
    let finding = Finding::new(&rules::SEVERAL_PACKS, message).at(parcel.orders[0].span());
    Some(finding.subject(parcel.subject()).hint(match &*parcel.pack {
        "" => "name one pack in both, or choose at the bench".to_owned(),
        chosen => format!("name one pack in both to have another than `{chosen}`"),
    }))
}

/// Warns of combined orders that ask for different languages: a page is in one.
pub(super) fn report_languages(parcel: &Parcel) -> Option<Finding> {
    let mut asked = parcel.orders.iter().filter_map(|order| Some((order, order.language()?)));
    let (first, language) = asked.next()?;
    let (second, other) = asked.find(|(_, other)| *other != language)?;
    let (language, other) = (language.as_str(), other.as_str());
    let message = format!(
        "the orders of parcel `{}` ask for different languages: its papers are in `{language}`, not in `{other}`",
        join_ids(parcel.orders.iter()),
    );
    let finding = Finding::new(&rules::SEVERAL_LANGUAGES, message)
        .at(second.span())
        .related(first.span(), format!("order `{}` is here", first.id()))
        .subject(parcel.subject());
    Some(finding.hint("give both one `language`, or set `apart: true` on one of them"))
}

/// Refuses a parcel whose orders name different labels of the carrier: one parcel has one.
pub(super) fn report_carrier_labels(parcel: &Parcel) -> Option<Finding> {
    let mut labels = parcel.orders.iter().filter_map(|order| Some((order, order.carrier_label()?)));
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
        Finding::new(&rules::SEVERAL_CARRIER_LABELS, message)
            .at(second.span())
            .related(first.span(), format!("order `{}` is here", first.id()))
            .subject(parcel.subject())
            .hint("keep the `carrier_label` of one order, or set `apart: true` on the other"),
    )
}

/// Checks every recipient's address against the open data of its country.
///
/// Problems are put at their order, with the path of the part; the hint carries the country's
/// example where it has one.
#[must_use]
pub fn inspect_addresses(batch: &Batch) -> Vec<Finding> {
    let mut found = Vec::new();
    for parcel in &batch.parcels {
        let problems = check_address(&parcel.recipient().to_parts());
        let span = parcel.orders[0].span();
        let name = |problem: Problem| to_finding(problem).at(span).subject(parcel.subject());
        found.extend(problems.into_iter().map(name));
    }
    found
}

/// What is wrong with an address, told of its field and with the way out, if there is one.
fn to_finding(problem: Problem) -> Finding {
    let path = format!("ship_to.{}", problem.part);
    let hint = (!problem.hint.is_empty()).then_some(problem.hint);
    Finding::new(problem.code.rule(), problem.message)
        .weighing(problem.severity)
        .path(path)
        .hint_if(hint)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pairs::assign_codes;

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
        let orders = crate::orders::read_orders(text, file).orders;
        let options = crate::batch::BatchOptions::default();
        let batch = crate::batch::Batch::assemble(None, orders, None, options, &mut Vec::new());
        let [mut first, second] = <[Parcel; 2]>::try_from(batch.parcels).unwrap();
        assert_eq!(report_carrier_labels(&first), None);
        second.orders.iter().for_each(|order| first.orders.push(order.clone()));
        let found = report_carrier_labels(&first).unwrap();
        assert_eq!(
            found.message,
            "the orders of parcel `A + B` have different labels of the carrier: page 1 of \
             `labels.pdf` and page 2 of `labels.pdf`"
        );
        assert!(found.is_error());
        let label = first.orders[0].carrier_label().cloned();
        first.orders[1] = first.orders[1].changed(|order| order.carrier_label = label);
        assert_eq!(report_carrier_labels(&first), None);
    }
}
