//! What it costs to send a parcel, by the shop's own table, and which service is the cheapest that
//! keeps what was promised.
//!
//! In: the table, the limits and what is known of a parcel. Out: [`Quotes`]: the price of each
//! service that can carry it, and why each other cannot. Not here: reading the table.

use std::sync::LazyLock;

use crate::words::counted;
use rust_decimal::Decimal;

use super::billing::{BillingRules, bill_telling};
use super::limits::{Limits, standard_limits};
use super::rates::{Band, Extra, Keeps, RateTable, Service, Wishes};
use super::units::{Figure, Mass, Size3, Telling, Units};
use crate::fields::{CountryCode, CurrencyCode};

/// The most extras of one service that are combined with each other; further ones count only when
/// they are asked for by name.
const MOST_COMBINED: usize = 10;

/// A parcel whose carriage is to be priced.
#[derive(Clone, Copy, Debug)]
pub struct Cargo<'a> {
    /// Its weight on the scale, when it is known.
    pub weight: Option<Mass>,
    /// Its size, when it is known.
    pub size: Option<Size3>,
    /// The country it goes to.
    pub country: CountryCode,
    /// What is asked of whatever carries it.
    pub wishes: &'a Wishes,
    /// The service whose flat price its pack carries, when it has one.
    pub flat_rate: Option<&'a str>,
}

/// The rules that carriage is priced by.
#[derive(Clone, Copy, Debug)]
pub struct Tariff<'a> {
    /// The prices.
    pub table: &'a RateTable,
    /// The shop's own limits; standard ones are looked up behind them.
    pub limits: &'a [Limits],
    /// How the weight to charge for is found where a service does not say.
    pub billing: &'a BillingRules,
    /// The services whose flat price some pack carries: they take no other pack.
    pub flat_services: &'a [&'a str],
    /// The units that reasons are written in.
    pub units: Units,
    /// Whether reasons are written.
    pub telling: Telling,
}

/// The price of one service.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quote {
    /// The service's name.
    pub service: Box<str>,
    /// The zone's name.
    pub zone: Box<str>,
    /// The weight that is charged for; none for a price that holds for any weight.
    pub billable: Option<Figure<Mass>>,
    /// The price without extras, and which band it is of.
    pub price: Figure<Decimal>,
    /// Those that were asked for, each with its price.
    pub extras: Vec<QuotedExtra>,
    /// The price of all.
    pub total: Decimal,
    /// How many days it takes, when that is known.
    pub days: Option<u32>,
    /// What could not be checked because a figure is missing, as `size` or `weight`.
    pub unchecked: Vec<&'static str>,
}

/// An extra that goes with a service.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuotedExtra {
    /// Its name among the service's extras.
    pub name: Box<str>,
    /// Its price, and why it goes with it.
    pub price: Figure<Decimal>,
}

/// A service that cannot carry a parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// The service's name.
    pub service: Box<str>,
    /// Why, as sentences without their subject.
    pub reasons: Vec<String>,
    /// Whether a limit of size or weight is among them.
    pub over_limit: bool,
    /// Whether figures are missing that its price depends on.
    pub unknown: bool,
    /// Whether it is no choice at all: it does not go to the country, or goes with other packs only.
    pub no_choice: bool,
}

/// The offers of all services.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quotes {
    /// The currency of all prices.
    pub currency: CurrencyCode,
    /// How many decimals prices are shown with.
    pub decimals: u32,
    /// The services that can carry it, the cheapest first; of equal price the quicker, then as the
    /// table lists them.
    pub offers: Vec<Quote>,
    /// The services that cannot, as the table lists them.
    pub refused: Vec<Refused>,
    /// Whether one service was asked for, so that no other was looked at.
    pub asked: bool,
}

impl Quotes {
    /// An amount without its currency, with as many decimals as the table's prices have.
    #[must_use]
    pub fn digits(&self, amount: Decimal) -> String {
        show_amount(amount, self.decimals)
    }

    /// An amount with its currency.
    #[must_use]
    pub fn show(&self, amount: Decimal) -> String {
        format!("{} {}", self.digits(amount), self.currency)
    }
}

/// An amount with at least so many decimals.
pub(super) fn show_amount(mut amount: Decimal, decimals: u32) -> String {
    if amount.scale() < decimals {
        amount.rescale(decimals);
    }
    amount.to_string()
}

/// Prices a parcel with every service, or with the one that was asked for.
#[must_use]
pub fn quote(cargo: &Cargo<'_>, tariff: &Tariff<'_>) -> Quotes {
    let mut quotes = Quotes {
        currency: tariff.table.currency,
        decimals: tariff.table.decimals(),
        offers: Vec::new(),
        refused: Vec::new(),
        asked: cargo.wishes.service.is_some(),
    };
    let wanted = cargo.wishes.service.as_deref();
    for service in &tariff.table.services {
        if wanted.is_some_and(|wanted| *wanted != *service.name) {
            continue;
        }
        match quote_service(service, cargo, tariff) {
            Ok(offer) => quotes.offers.push(offer),
            Err(refused) => quotes.refused.push(refused),
        }
    }
    quotes.offers.sort_by_key(|offer| (offer.total, offer.days.unwrap_or(u32::MAX)));
    quotes
}

/// Prices a parcel with one service.
fn quote_service(
    service: &Service,
    cargo: &Cargo<'_>,
    tariff: &Tariff<'_>,
) -> Result<Quote, Refused> {
    let mut refused = Refused {
        service: service.name.clone(),
        reasons: Vec::new(),
        over_limit: false,
        unknown: false,
        no_choice: false,
    };
    refused.reasons.extend(explain_pack(service, cargo, tariff));
    refused.no_choice = !refused.reasons.is_empty();
    let unchecked = check_limits(service, cargo, tariff, &mut refused);
    let chosen =
        choose_extras(service, cargo.wishes).map_err(|reasons| refused.reasons.extend(reasons));
    let days = check_days(service, cargo, tariff, &mut refused);
    let priced = find_price(service, cargo, tariff, &mut refused);
    let (Ok(chosen), Some((zone, billable, price))) = (chosen, priced) else { return Err(refused) };
    if !refused.reasons.is_empty() {
        return Err(refused);
    }
    let total =
        chosen.iter().map(|extra| extra.price.value).fold(price.value, Decimal::saturating_add);
    let zone = tariff.table.zones[zone].name.clone();
    let extras = chosen;
    let service = service.name.clone();
    Ok(Quote { service, zone, billable, price, extras, total, days, unchecked })
}

/// Why a service does not carry the pack, if it does not: a flat price belongs to its pack.
fn explain_pack(service: &Service, cargo: &Cargo<'_>, tariff: &Tariff<'_>) -> Option<String> {
    let name = &*service.name;
    match cargo.flat_rate {
        Some(flat) if flat == name => None,
        Some(flat) => Some(tariff.telling.say(|| format!("its pack is paid for by `{flat}`"))),
        None => tariff.flat_services.contains(&name).then(|| {
            tariff.telling.say(|| "it goes only with packs that carry its flat price".to_owned())
        }),
    }
}

/// Checks the limits of a service; returns what could not be checked.
fn check_limits(
    service: &Service,
    cargo: &Cargo<'_>,
    tariff: &Tariff<'_>,
    refused: &mut Refused,
) -> Vec<&'static str> {
    let mut unchecked = Vec::new();
    for name in &service.limits {
        let Some(limits) = find_limits(tariff.limits, name) else { continue };
        let found = limits.check(cargo.size, cargo.weight, tariff.units);
        refused.over_limit |= !found.breaches.is_empty();
        refused.reasons.extend(found.breaches);
        unchecked.extend(found.unchecked);
    }
    unchecked.sort_unstable();
    unchecked.dedup();
    unchecked
}

/// The limits of a name: the shop's own, or else the standard ones.
pub(super) fn find_limits<'l>(own: &'l [Limits], name: &str) -> Option<&'l Limits> {
    static STANDARD: LazyLock<Vec<Limits>> = LazyLock::new(|| standard_limits().into());
    own.iter().chain(&*STANDARD).find(|limits| *limits.name == *name)
}

/// How long a service takes; refuses it when that is too long or not known though it matters.
fn check_days(
    service: &Service,
    cargo: &Cargo<'_>,
    tariff: &Tariff<'_>,
    refused: &mut Refused,
) -> Option<u32> {
    let zone = tariff.table.zone_of(cargo.country);
    let days = service.days.iter().find(|(index, _)| Some(*index) == zone).map(|(_, days)| *days);
    if let Some(most) = cargo.wishes.max_days {
        match days {
            Some(days) if days <= most => {}
            Some(days) => {
                refused.reasons.push(format!("takes {}, not {most}", counted(days, "day")))
            }
            None => {
                let most = counted(most, "day");
                let reason = format!("nobody says how long it takes, it may take {most}");
                refused.reasons.push(reason);
            }
        }
    }
    days
}

/// The zone, the weight charged for and the price without extras.
fn find_price(
    service: &Service,
    cargo: &Cargo<'_>,
    tariff: &Tariff<'_>,
    refused: &mut Refused,
) -> Option<(usize, Option<Figure<Mass>>, Figure<Decimal>)> {
    let Some(zone) = tariff.table.zone_of(cargo.country) else {
        refused.no_choice = true;
        refused.reasons.push(tariff.telling.say(|| format!("no zone has `{}`", cargo.country)));
        return None;
    };
    let name = &tariff.table.zones[zone].name;
    let Some((_, bands)) = service.prices.iter().find(|(index, _)| *index == zone) else {
        refused.no_choice = true;
        let explain = || format!("has no price for the zone `{name}` of `{}`", cargo.country);
        refused.reasons.push(tariff.telling.say(explain));
        return None;
    };
    if let [Band { up_to: None, price }] = bands[..] {
        let price = tariff.telling.figure(price, || format!("flat price for `{name}`"));
        return Some((zone, None, price));
    }
    let rules = service.billing.as_ref().unwrap_or(tariff.billing);
    let billing = bill_telling(cargo.weight, cargo.size, rules, tariff.units, tariff.telling);
    let Some(billable) = billing.billable else {
        refused.unknown = true;
        refused.reasons.push("is paid by weight, and the weight is not known".into());
        return None;
    };
    match bands.iter().find(|band| band.up_to.is_none_or(|up_to| billable.value <= up_to)) {
        Some(band) => {
            let explain = || explain_band(*band, name, tariff.units);
            let price = tariff.telling.figure(band.price, explain);
            Some((zone, Some(billable), price))
        }
        None => {
            refused.over_limit = true;
            let explain = || explain_heaviest(&billable, bands, tariff.units);
            refused.reasons.push(tariff.telling.say(explain));
            None
        }
    }
}

/// Which band a price is of.
fn explain_band(band: Band, zone: &str, units: Units) -> String {
    match band.up_to {
        Some(up_to) => format!("up to {} to `{zone}`", units.mass(up_to)),
        None => format!("any weight to `{zone}`"),
    }
}

/// How far a weight is beyond the heaviest band.
fn explain_heaviest(billable: &Figure<Mass>, bands: &[Band], units: Units) -> String {
    let heaviest = bands.iter().filter_map(|band| band.up_to).max().unwrap_or_default();
    let over = units.mass(billable.value.saturating_sub(heaviest));
    let (charged, heaviest) = (units.mass(billable.value), units.mass(heaviest));
    format!("{charged} are charged for, which is {over} over its heaviest price of {heaviest}")
}

/// The extras that a parcel needs with a service: those asked for by name, and the cheapest of the
/// others that keep what the service alone does not.
///
/// # Errors
/// Why no service does.
fn choose_extras(service: &Service, wishes: &Wishes) -> Result<Vec<QuotedExtra>, Vec<String>> {
    let mut faults = Vec::new();
    let mut named: Vec<&Extra> = Vec::new();
    let mut promises = Keeps { tracked: wishes.tracked, signature: wishes.signature, ..NOTHING };
    for wish in &wishes.extras {
        let extra = service.extras.iter().find(|extra| is_named(extra, wish));
        match (extra, promise_of(wish)) {
            (Some(extra), _) if named.contains(&extra) => {}
            (Some(extra), _) => named.push(extra),
            (None, Some(promise)) => promises = promises.with(promise),
            (None, None) => faults.push(format!("has no extra `{wish}`")),
        }
    }
    let wishes = &Wishes {
        tracked: promises.tracked,
        signature: promises.signature,
        insured_to: wishes.insured_to,
        ..Wishes::default()
    };
    let kept = named.iter().fold(service.keeps, |keeps, extra| keeps.with(extra.keeps));
    let others: Vec<&Extra> =
        service.extras.iter().filter(|extra| !named.contains(extra)).take(MOST_COMBINED).collect();
    let Some(added) = cheapest_set(kept, &others, wishes) else {
        let all = others.iter().fold(kept, |keeps, extra| keeps.with(extra.keeps));
        faults.push(format!("does not offer {}", all.missing(wishes).join(" and ")));
        return Err(faults);
    };
    if !faults.is_empty() {
        return Err(faults);
    }
    if named.is_empty() && added.is_empty() {
        return Ok(Vec::new());
    }
    let asked = named.into_iter().map(|extra| (extra, "asked for by name".to_owned()));
    let missing = kept.missing(wishes).join(" and ");
    let needed = added.into_iter().map(|extra| (extra, format!("needed for {missing}")));
    let all = asked.chain(needed);
    let quoted = |extra: &Extra, why: String| QuotedExtra {
        name: extra.name.clone(),
        price: Figure::new(extra.price, why),
    };
    Ok(all.map(|(extra, why)| quoted(extra, why)).collect())
}

/// Whether an extra is the one that was asked for; case does not matter.
fn is_named(extra: &Extra, wish: &str) -> bool {
    extra.name.to_lowercase() == wish.trim().to_lowercase()
}

/// No promise at all.
const NOTHING: Keeps = Keeps { tracked: false, signature: false, insured_to: None };

/// What an extra's name asks for by itself, whatever a service calls it.
fn promise_of(wish: &str) -> Option<Keeps> {
    match wish.trim().to_lowercase().as_str() {
        "tracked" | "tracking" => Some(Keeps { tracked: true, ..NOTHING }),
        "signature" | "signed" | "signed for" => Some(Keeps { signature: true, ..NOTHING }),
        _ => None,
    }
}

/// The cheapest set of extras that, with what is kept already, keeps everything asked for; of
/// equal price the one with fewer extras, then the one listed first.
fn cheapest_set<'a>(kept: Keeps, extras: &[&'a Extra], wishes: &Wishes) -> Option<Vec<&'a Extra>> {
    if kept.missing(wishes).is_empty() {
        return Some(Vec::new());
    }
    let sets = 0_u32..1 << extras.len();
    let members = |set: u32| {
        extras.iter().enumerate().filter(move |(at, _)| set >> at & 1 == 1).map(|(_, it)| *it)
    };
    let good = sets.filter(|set| {
        members(*set).fold(kept, |keeps, it| keeps.with(it.keeps)).missing(wishes).is_empty()
    });
    let price = |set: u32| {
        members(set).map(|extra| extra.price).fold(Decimal::ZERO, Decimal::saturating_add)
    };
    let best = good.min_by_key(|set| (price(*set), set.count_ones(), *set))?;
    Some(members(best).collect())
}
