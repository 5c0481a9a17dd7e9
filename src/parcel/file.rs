//! The sections of the shop file that are about parcels: `packs`, `weights`, `limits`, `rates` and
//! `goods`.
//!
//! In: the shop file's tree, once its tables have been checked ([`PACKS`] and its fellows belong
//! into the shop's own table). Out: [`ParcelRules`], and what the tables cannot say: names that
//! come twice or do not exist, prices that fall, limits that limit nothing. A value that did not
//! pass its table is left out without a further word.

mod rates;
mod scalar;
mod table;

use rates::read_rates;
pub(crate) use table::{GOODS, LIMITS, PACKS, RATES, STAMPS, WEIGHTS};

use scalar::{
    is_none, read_extent, read_face, read_factor, read_flag, read_mass, read_size, read_whole,
};

use super::billing::{BillingRules, SIDE_ROUNDINGS, volume};
use super::heavy::HeavyRules;
use super::limits::{Limits, sort_sides};
use super::packing::Good;
use super::packing::{Pack, Wrapping};
use super::rules::{ParcelRules, WeightRules};
use super::stamps::PostageStamp;
use super::units::{LengthUnit, MassUnit, Units};
use crate::fields::{CurrencyCode, read_price, read_text};
use crate::findings::{Finding, Rule, Severity, rules};
use crate::limits::STAMP_KINDS;
use crate::source::Span;
use crate::tree::Node;
use crate::words::did_you_mean;

/// Reads all sections of a shop file that are about parcels; `shop` is the file's outermost map,
/// `currency` the shop's own.
pub(crate) fn read_parcel_rules(
    shop: &Node,
    currency: Option<CurrencyCode>,
    out: &mut Vec<Finding>,
) -> ParcelRules {
    let mut rules = ParcelRules {
        packs: shop.get("packs").map(|node| read_packs(node, out)).unwrap_or_default(),
        weights: shop.get("weights").map(|node| read_weights(node, out)).unwrap_or_default(),
        limits: shop.get("limits").map(|node| read_limits(node, out)).unwrap_or_default(),
        rates: None,
        goods: shop.get("goods").map(|node| read_goods(node, out)).unwrap_or_default(),
        stamps: shop.get("stamps").map(|node| read_stamps(node, out)).unwrap_or_default(),
    };
    rules.rates = shop
        .get("rates")
        .and_then(|node| read_rates(node, &rules.limits, &rules.weights.billing, currency, out));
    check_flat_rates(&rules, out);
    if let (Some(node), None, false) = (shop.get("stamps"), &rules.rates, rules.stamps.is_empty()) {
        let message = "stamps are chosen by what a parcel costs, and there are no `rates`";
        let hint = "add `rates` with your carrier's prices, or take `stamps` out";
        let finding = Finding::new(&rules::STAMPS_WITHOUT_RATES, message);
        out.push(finding.at(node.span).path("stamps").hint(hint));
    }
    rules
}

/// The postage stamps that the shop has; too many are an error.
fn read_stamps(node: &Node, out: &mut Vec<Finding>) -> Vec<PostageStamp> {
    let mut names = Names::of("stamp", &rules::DOUBLED_STAMP);
    let nodes = node.items();
    if nodes.len() > STAMP_KINDS {
        let message =
            format!("expected at most {STAMP_KINDS} kinds of stamps, found {}", nodes.len());
        let finding = Finding::new(&rules::TOO_MANY, message).at(node.span).path("stamps");
        out.push(finding.hint("list those that lie in the drawer"));
        return Vec::new();
    }
    let mut stamps = Vec::new();
    for (index, node) in nodes.iter().enumerate() {
        names.take(node.get("name"), &format!("stamps[{index}].name"), out);
        let Some(field) = node.get("value") else { continue };
        let Some(value) = read_price(node, "value").filter(|value| !value.is_zero()) else {
            let message = "expected what the stamp is worth, found nothing";
            let finding = Finding::new(&rules::WRONG_VALUE, message).at(field.span);
            out.push(
                finding.path(format!("stamps[{index}].value")).hint("write it as `value: 1.10`"),
            );
            continue;
        };
        let left = node.get("left").and_then(read_whole);
        stamps.push(PostageStamp { name: read_text(node, "name"), value, left });
    }
    stamps
}

/// The packaging at hand, in the order of the file.
fn read_packs(node: &Node, out: &mut Vec<Finding>) -> Vec<Pack> {
    let mut names = Names::of("pack", &rules::DOUBLED_PACK);
    let mut packs = Vec::new();
    for (index, node) in node.items().iter().enumerate() {
        let path = format!("packs[{index}]");
        names.take(node.get("name"), &format!("{path}.name"), out);
        let Some(pack) = read_pack(node) else { continue };
        check_pack(&pack, node, &path, out);
        packs.push(pack);
    }
    packs
}

/// A pack's value.
fn read_pack(node: &Node) -> Option<Pack> {
    let flat_rate = read_text(node, "flat_rate");
    Some(Pack {
        name: read_text(node, "name"),
        inside: read_size(node, "inside")?,
        outside: read_size(node, "outside"),
        padding: read_extent(node, "padding").unwrap_or_default(),
        max_weight: read_mass(node, "max_weight"),
        own_weight: read_mass(node, "own_weight"),
        left: node.get("left").and_then(read_whole),
        flat_rate_span: node.get("flat_rate").map(|node| node.span),
        flat_rate: (!flat_rate.is_empty()).then_some(flat_rate),
        span: Some(node.get("name")?.span),
    })
}

/// Reports a pack that is larger inside than outside, or that its padding fills.
fn check_pack(pack: &Pack, node: &Node, path: &str, out: &mut Vec<Finding>) {
    if let (Some(outside), Some(field)) = (pack.outside, node.get("outside"))
        && sort_sides(outside)
            .iter()
            .zip(sort_sides(pack.inside))
            .any(|(out, inside)| *out < inside)
    {
        let message = format!("`{}` is larger inside than outside", pack.name);
        out.push(
            Finding::new(&rules::INSIDE_OUT, message)
                .at(field.span)
                .path(format!("{path}.outside"))
                .hint("measure again: `outside` is `inside` and the walls"),
        );
    }
    if volume(pack.room()) == 0
        && let Some(field) = node.get("padding")
    {
        let padding = pack.padding.show(LengthUnit::Millimetre);
        let message = format!("a padding of {padding} on each side leaves no room inside");
        out.push(
            Finding::new(&rules::NO_ROOM, message)
                .at(field.span)
                .path(format!("{path}.padding"))
                .hint("give less padding, or correct `inside`"),
        );
    }
}

/// How weights are found and shown; what is left out is as by default.
fn read_weights(node: &Node, out: &mut Vec<Finding>) -> WeightRules {
    let unit = |name| node.get(name).and_then(Node::literal).map(str::trim);
    let standard = HeavyRules::default();
    let heavy = HeavyRules {
        caution_from: read_mass(node, "caution_from").unwrap_or(standard.caution_from),
        team_lift_from: read_mass(node, "team_lift_from").unwrap_or(standard.team_lift_from),
    };
    if heavy.team_lift_from < heavy.caution_from {
        let show = |mass: super::Mass| mass.show(MassUnit::Kilogram);
        let (caution, lift) = (show(heavy.caution_from), show(heavy.team_lift_from));
        let place = node.get("team_lift_from").or_else(|| node.get("caution_from"));
        let message = format!("two lift from {lift} on, but the caution begins at {caution}");
        out.push(
            Finding::new(&rules::CROSSED_CAUTIONS, message)
                .at(place.map(|place| place.span))
                .path("weights")
                .hint("let `team_lift_from` be the greater of the two"),
        );
    }
    WeightRules {
        units: Units {
            length: unit("show_lengths_in")
                .and_then(LengthUnit::parse)
                .unwrap_or(LengthUnit::Millimetre),
            mass: unit("show_weights_in").and_then(MassUnit::parse),
        },
        billing: read_billing(node, &BillingRules::default()),
        heavy,
        wrapping: Wrapping {
            thickness: read_extent(node, "wrap").unwrap_or_default(),
            weight: read_mass(node, "wrapping_weight").unwrap_or_default(),
        },
    }
}

/// The rules for the weight to charge for; what is not given is as in `default`.
fn read_billing(node: &Node, default: &BillingRules) -> BillingRules {
    let given = |name| node.get(name).is_some_and(|node| !node.is_null());
    let word = node.get("round_sides").and_then(Node::literal).map(str::trim);
    let sides = SIDE_ROUNDINGS.iter().find(|(known, _)| Some(*known) == word);
    let (volume, step) = ("volume_factor", "round_weight_up_to");
    BillingRules {
        volume: match given(volume) {
            true => read_factor(node, volume).filter(|_| !is_none(node, volume)),
            false => default.volume,
        },
        sides: sides.map_or(default.sides, |(_, rule)| *rule),
        step: match given(step) {
            true => read_mass(node, step).filter(|_| !is_none(node, step)),
            false => default.step,
        },
    }
}

/// What each service takes, by its name.
fn read_limits(node: &Node, out: &mut Vec<Finding>) -> Vec<Limits> {
    let mut all = Vec::new();
    for (key, node) in node.entries() {
        let limits = Limits {
            name: key.name.trim().into(),
            longest: read_extent(node, "longest"),
            length_and_girth: read_extent(node, "length_and_girth"),
            sum_of_sides: read_extent(node, "sum_of_sides"),
            within: read_size(node, "within"),
            smallest_face: read_face(node, "smallest_face"),
            weight: read_mass(node, "weight"),
            span: Some(key.span),
        };
        if node.entries().is_empty() {
            let message = format!("the limits `{}` limit nothing", limits.name);
            out.push(
                Finding::new(&rules::NO_LIMIT, message)
                    .at(key.span)
                    .path(format!("limits.{}", key.name))
                    .hint("give one, such as `weight: 2 kg`, or leave it out"),
            );
        }
        all.push(limits);
    }
    all
}

/// What articles measure and weigh.
fn read_goods(node: &Node, out: &mut Vec<Finding>) -> Vec<Good> {
    let mut names = Names::of("good", &rules::DOUBLED_GOOD);
    let mut goods = Vec::new();
    for (index, node) in node.items().iter().enumerate() {
        names.take(node.get("sku"), &format!("goods[{index}].sku"), out);
        goods.push(Good {
            sku: read_text(node, "sku"),
            size: read_size(node, "size"),
            weight: read_mass(node, "weight"),
            this_side_up: read_flag(node, "this_side_up"),
        });
    }
    goods
}

/// Reports packs that carry the flat price of a service that does not exist or has none.
fn check_flat_rates(rules: &ParcelRules, out: &mut Vec<Finding>) {
    for (index, pack) in rules.packs.iter().enumerate() {
        let Some(wanted) = &pack.flat_rate else { continue };
        let services = rules.rates.as_ref().map(|table| &table.services[..]).unwrap_or_default();
        if services.iter().any(|service| service.name == *wanted) {
            continue;
        }
        let names: Vec<&str> = services.iter().map(|service| &*service.name).collect();
        let hint = did_you_mean(wanted, &names)
            .unwrap_or_else(|| format!("list `{wanted}` under `rates`, `services`"));
        let message = format!("there is no service `{wanted}` in the rates");
        out.push(
            Finding::new(&rules::UNKNOWN_SERVICE, message)
                .weighing(Severity::Error)
                .at(pack.flat_rate_span)
                .path(format!("packs[{index}].flat_rate"))
                .hint(hint),
        );
    }
}

/// The names of one list, each of which may come once.
struct Names {
    /// What has them, such as `pack`.
    what: &'static str,
    /// The rule that a second one breaks.
    rule: &'static Rule,
    /// Those taken, with their places.
    taken: Vec<(String, Span)>,
}

impl Names {
    /// No names yet.
    fn of(what: &'static str, rule: &'static Rule) -> Names {
        Names { what, rule, taken: Vec::new() }
    }

    /// Takes a name in; reports one that is empty or has come before.
    fn take(&mut self, node: Option<&Node>, path: &str, out: &mut Vec<Finding>) {
        let Some((name, span)) = node.and_then(|it| Some((it.literal()?.trim(), it.span))) else {
            return;
        };
        let what = self.what;
        if name.is_empty() {
            out.push(
                Finding::new(&rules::NAMELESS, format!("this {what} has an empty name"))
                    .at(span)
                    .path(path)
                    .hint("give it a name of its own"),
            );
        } else if let Some((_, first)) = self.taken.iter().find(|(taken, _)| taken == name) {
            out.push(
                Finding::new(self.rule, format!("two {what}s have the name `{name}`"))
                    .at(span)
                    .related(*first, "the other one is here")
                    .path(path)
                    .hint(format!("give each {what} a name of its own")),
            );
        }
        self.taken.push((name.to_owned(), span));
    }
}

#[cfg(test)]
pub(super) mod tests;
