//! The section `rates`.
//!
//! In: its tree, and the limits and rules that services refer to. Out: a [`RateTable`], and what
//! is wrong with it.

use rust_decimal::Decimal;

use super::scalar::{read_flag, read_whole};
use super::table::ELSEWHERE;
use super::{Names, read_billing};
use crate::fields::{CountryCode, CurrencyCode, read_currency, read_price, read_text};
use crate::findings::{Finding, Severity, rules};
use crate::parcel::billing::BillingRules;
use crate::parcel::limits::{Limits, standard_limits};
use crate::parcel::quote::find_limits;
use crate::parcel::rates::{Band, Extra, Keeps, RateTable, Service, Zone};
use crate::parcel::units::Mass;
use crate::source::Span;
use crate::tree::{Key, Node, Value};
use crate::words::did_you_mean;

/// Reads `rates`; none when there is no currency or a part that must be there is missing.
///
/// `limits` and `billing` are the shop's own, `currency` holds where the section names none.
pub(super) fn read_rates(
    node: &Node,
    limits: &[Limits],
    billing: &BillingRules,
    currency: Option<CurrencyCode>,
    out: &mut Vec<Finding>,
) -> Option<RateTable> {
    let zones = read_zones(node.get("zones")?, out);
    let mut names = Names::of("service", &rules::DOUBLED_SERVICE);
    let mut services = Vec::new();
    for (index, node) in node.get("services")?.items().iter().enumerate() {
        let path = format!("rates.services[{index}]");
        names.take(node.get("name"), &format!("{path}.name"), out);
        let mut reader = ServiceReader { zones: &zones, limits, billing, path: &path, out };
        services.push(reader.read(node));
    }
    let Some(currency) = read_currency(node, "currency").or(currency) else {
        out.push(
            Finding::new(&rules::NO_CURRENCY, "the rates have no currency")
                .weighing(Severity::Error)
                .at(node.span)
                .path("rates")
                .hint("add `currency: EUR`, or whichever it is, to the rates or to the shop"),
        );
        return None;
    };
    Some(RateTable { currency, zones, services })
}

/// Reads the zones; reports countries that are in two of them.
fn read_zones(node: &Node, out: &mut Vec<Finding>) -> Vec<Zone> {
    let mut zones = Vec::new();
    let mut seen: Vec<(CountryCode, Span)> = Vec::new();
    let mut elsewhere: Option<Span> = None;
    for (key, node) in node.entries() {
        let path = format!("rates.zones.{}", key.name);
        let is_elsewhere = node.literal().map(str::trim) == Some(ELSEWHERE);
        if is_elsewhere {
            if let Some(first) = elsewhere {
                out.push(
                    Finding::new(&rules::DOUBLED_COUNTRY, "two zones are `elsewhere`")
                        .at(node.span)
                        .related(first, "the other one is here")
                        .path(path.as_str())
                        .hint("list the countries of one of them"),
                );
            }
            elsewhere = Some(node.span);
        } else if node.items().is_empty() {
            out.push(
                Finding::new(&rules::EMPTY_ZONE, format!("the zone `{}` is empty", key.name))
                    .at(key.span)
                    .path(path.as_str())
                    .hint("list its countries, such as `[DE, FR]`, or write `elsewhere`"),
            );
        }
        let countries = read_countries(node, &path, &mut seen, out);
        zones.push(Zone { name: key.name.trim().into(), countries, elsewhere: is_elsewhere });
    }
    zones
}

/// The countries of one zone; `seen` are those of the zones before it.
fn read_countries(
    node: &Node,
    path: &str,
    seen: &mut Vec<(CountryCode, Span)>,
    out: &mut Vec<Finding>,
) -> Vec<CountryCode> {
    let mut countries = Vec::new();
    for country in node.items() {
        let code = country.literal().and_then(|code| CountryCode::parse(code.trim()));
        let Some(code) = code else { continue };
        if let Some((_, first)) = seen.iter().find(|(seen, _)| *seen == code) {
            out.push(
                Finding::new(&rules::DOUBLED_COUNTRY, format!("`{code}` is in a zone already"))
                    .at(country.span)
                    .related(*first, "here")
                    .path(path)
                    .hint("leave it in one zone"),
            );
        }
        seen.push((code, country.span));
        countries.push(code);
    }
    countries
}

/// What a service is read with.
struct ServiceReader<'a> {
    /// The zones of the table.
    zones: &'a [Zone],
    /// The shop's own limits.
    limits: &'a [Limits],
    /// The shop's own rules.
    billing: &'a BillingRules,
    /// Where it stands in the file, for what is wrong with it.
    path: &'a str,
    /// Where faults go.
    out: &'a mut Vec<Finding>,
}

impl ServiceReader<'_> {
    /// The service's value.
    fn read(&mut self, node: &Node) -> Service {
        let own = ["volume_factor", "round_sides", "round_weight_up_to"];
        let has_own = own.iter().any(|name| node.get(name).is_some_and(|it| !it.is_null()));
        Service {
            name: read_text(node, "name"),
            keeps: read_keeps(node),
            days: self.read_days(node),
            limits: self.read_limit_names(node),
            billing: has_own.then(|| read_billing(node, self.billing)),
            prices: self.read_prices(node),
            extras: self.read_extras(node),
            span: node.get("name").map(|name| name.span),
        }
    }

    /// The index of a zone; reports one that does not exist.
    fn find_zone(&mut self, key: &Key, field: &str) -> Option<usize> {
        let name = key.name.trim();
        let found = self.zones.iter().position(|zone| *zone.name == *name);
        if found.is_none() {
            let known: Vec<&str> = self.zones.iter().map(|zone| &*zone.name).collect();
            self.out.push(
                Finding::new(&rules::UNKNOWN_ZONE, format!("there is no zone `{name}`"))
                    .at(key.span)
                    .path(format!("{}.{field}.{}", self.path, key.name))
                    .hint_if(did_you_mean(name, &known)),
            );
        }
        found
    }

    /// The days to each zone.
    fn read_days(&mut self, node: &Node) -> Vec<(usize, u32)> {
        let Some(days) = node.get("days") else { return Vec::new() };
        if let Some(days) = read_whole(days) {
            return (0..self.zones.len()).map(|zone| (zone, days)).collect();
        }
        let by_zone = days.entries().iter();
        by_zone
            .filter_map(|(key, days)| Some((self.find_zone(key, "days")?, read_whole(days)?)))
            .collect()
    }

    /// The names of its limits; reports those that do not exist.
    fn read_limit_names(&mut self, node: &Node) -> Vec<Box<str>> {
        let Some(node) = node.get("limits") else { return Vec::new() };
        let nodes = if let Value::List(items) = &node.value {
            &items[..]
        } else {
            std::slice::from_ref(node)
        };
        let mut names: Vec<Box<str>> = Vec::new();
        for node in nodes {
            let Some(name) = node.literal().map(str::trim) else { continue };
            if find_limits(self.limits, name).is_some() {
                names.push(name.into());
                continue;
            }
            let standard = standard_limits();
            let known = self.limits.iter().chain(&standard).map(|limits| &*limits.name);
            self.out.push(
                Finding::new(&rules::UNKNOWN_LIMITS, format!("there are no limits `{name}`"))
                    .at(node.span)
                    .path(format!("{}.limits", self.path))
                    .hint_if(did_you_mean(name, &known.collect::<Vec<_>>())),
            );
        }
        names
    }

    /// The prices to each zone.
    fn read_prices(&mut self, node: &Node) -> Vec<(usize, Vec<Band>)> {
        let Some(prices) = node.get("prices") else { return Vec::new() };
        if prices.entries().is_empty() {
            self.out.push(
                Finding::new(&rules::NO_PRICE, "this service has no price to any zone")
                    .at(prices.span)
                    .path(format!("{}.prices", self.path))
                    .hint("give one for each zone it goes to, such as `home: {1 kg: 4.80}`"),
            );
        }
        let mut all = Vec::new();
        for (key, node) in prices.entries() {
            let Some(zone) = self.find_zone(key, "prices") else { continue };
            let path = format!("{}.prices.{}", self.path, key.name);
            let bands = if node.entries().is_empty() {
                self.read_flat_price(node, &path).into_iter().collect()
            } else {
                self.read_bands(node, &path)
            };
            if !bands.is_empty() {
                all.push((zone, bands));
            }
        }
        all
    }

    /// A price for any weight.
    fn read_flat_price(&mut self, node: &Node, path: &str) -> Option<Band> {
        self.out.extend(find_blank(node, path));
        let price = Decimal::from_str_exact(node.literal()?.trim()).ok()?;
        Some(Band { up_to: None, price })
    }

    /// Prices up to a weight, the lightest first.
    fn read_bands(&mut self, node: &Node, path: &str) -> Vec<Band> {
        let mut bands: Vec<(Mass, Decimal, Span)> = Vec::new();
        for (key, value) in node.entries() {
            let path = format!("{path}.{}", key.name);
            let Some(up_to) = Mass::parse(&key.name) else {
                let message = format!("expected a weight such as `250 g`, found `{}`", key.name);
                self.out.push(
                    Finding::new(&rules::WRONG_WEIGHT, message)
                        .at(key.span)
                        .path(path)
                        .hint("write the heaviest weight the price holds for: `250 g: 3.20`"),
                );
                continue;
            };
            let Some(price) = read_price(node, &key.name) else {
                self.out.extend(find_blank(value, &path));
                continue;
            };
            if let Some((_, _, first)) = bands.iter().find(|(other, _, _)| *other == up_to) {
                self.out.push(
                    Finding::new(&rules::DOUBLED_WEIGHT, format!("`{}` has two prices", key.name))
                        .at(key.span)
                        .related(*first, "the other one is here")
                        .path(path)
                        .hint("leave one of them"),
                );
                continue;
            }
            bands.push((up_to, price, key.span));
        }
        bands.sort_by_key(|(up_to, _, _)| *up_to);
        self.report_falling_prices(&bands, path);
        bands.into_iter().map(|(up_to, price, _)| Band { up_to: Some(up_to), price }).collect()
    }

    /// Reports a heavier weight that costs less, which is mostly a slip of the pen.
    fn report_falling_prices(&mut self, bands: &[(Mass, Decimal, Span)], path: &str) {
        for pair in bands.windows(2) {
            let [(_, lighter, first), (_, heavier, second)] = pair else { continue };
            if heavier < lighter {
                let message = format!("this weight costs {heavier}, a lighter one {lighter}");
                self.out.push(
                    Finding::new(&rules::FALLING_PRICE, message)
                        .at(*second)
                        .related(*first, "the lighter one")
                        .path(path)
                        .hint("compare both with your carrier's list"),
                );
            }
        }
    }

    /// What the service offers beside carrying, each with its price.
    fn read_extras(&mut self, node: &Node) -> Vec<Extra> {
        let mut names = Names::of("extra", &rules::DOUBLED_EXTRA);
        let nodes = node.get("extras").map(Node::items).unwrap_or_default();
        let mut extras = Vec::new();
        for (index, node) in nodes.iter().enumerate() {
            let path = format!("{}.extras[{index}]", self.path);
            names.take(node.get("name"), &format!("{path}.name"), self.out);
            let Some(price) = read_price(node, "price") else {
                let blank =
                    node.get("price").and_then(|it| find_blank(it, &format!("{path}.price")));
                self.out.extend(blank);
                continue;
            };
            extras.push(Extra { name: read_text(node, "name"), price, keeps: read_keeps(node) });
        }
        extras
    }
}

/// What a service or an extra promises.
fn read_keeps(node: &Node) -> Keeps {
    Keeps {
        tracked: read_flag(node, "tracked"),
        signature: read_flag(node, "signature"),
        insured_to: read_price(node, "insured_to"),
    }
}

/// The complaint about a price that is empty text, which the table lets pass as exports write it.
fn find_blank(node: &Node, path: &str) -> Option<Finding> {
    node.literal().is_some_and(|text| text.trim().is_empty()).then(|| {
        Finding::new(&rules::NO_PRICE, "expected a price, found empty text")
            .at(node.span)
            .path(path)
            .hint("write it as `\"12.50\"`")
    })
}
