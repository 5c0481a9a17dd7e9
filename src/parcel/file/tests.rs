//! The sections as a seller writes them, and every mistake in them.

use super::*;
use crate::fields::CountryCode;
use crate::parcel::units::Mass;
use crate::record::{Field, Record, RecordCheck, check};
use crate::source::Sources;
use crate::tree::yaml;

/// The sections alone, as the shop's table has them.
static SECTIONS: Record = Record {
    name: "shop",
    doc: "",
    fields: &[
        Field { name: "packs", kind: PACKS, required: false, doc: "" },
        Field { name: "weights", kind: WEIGHTS, required: false, doc: "" },
        Field { name: "limits", kind: LIMITS, required: false, doc: "" },
        Field { name: "rates", kind: RATES, required: false, doc: "" },
        Field { name: "goods", kind: GOODS, required: false, doc: "" },
    ],
};

/// The rules of a shop file and what is wrong with it, as `line:column rule path: message (hint)`.
pub(in crate::parcel) fn read(text: &str) -> (ParcelRules, Vec<String>) {
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", text);
    let node = yaml::read_document(text, file).unwrap();
    let mut out = Vec::new();
    check(&node, &SECTIONS, "", RecordCheck::STRICT, &mut out);
    let rules = read_parcel_rules(&node, CurrencyCode::parse("GBP"), &mut out);
    let show = |it: &Finding| {
        let place = it.span.map(|span| sources.position(span));
        let place = place.map(|at| format!("{}:{}", at.line, at.column)).unwrap_or_default();
        let path = it.path.as_deref().unwrap_or_default();
        format!("{place} {} {path}: {} ({})", it.rule, it.message, it.hints.join("; "))
    };
    (rules, out.iter().map(show).collect())
}

/// The one thing that is wrong with a shop file.
fn fault(text: &str) -> String {
    let (_, faults) = read(text);
    assert_eq!(faults.len(), 1, "{faults:#?}");
    faults.into_iter().next().unwrap()
}

/// A whole set of sections of the invented shop.
pub(in crate::parcel) const SHOP: &str = r#"
packs:
  - {name: pen tube, inside: 180 x 32 x 32 mm, max_weight: 250 g, own_weight: 28 g}
  - {name: small box, inside: 22 x 11 x 4 cm, max_weight: 1 kg, own_weight: 64 g, left: 12}
  - name: book mailer
    inside: 310 x 220 x 60 mm
    outside: 318 x 228 x 66 mm
    padding: 2 mm
    max_weight: 5 kg
    own_weight: 140 g
  - {name: satchel, inside: 330 x 250 x 80 mm, max_weight: 5 kg, own_weight: 45 g, flat_rate: satchel}

weights:
  volume_factor: 5000 cm3/kg
  round_sides: nearest cm
  round_weight_up_to: 100 g
  wrap: 1 mm
  wrapping_weight: 20 g

limits:
  slot: {within: 353 x 250 x 25 mm, weight: 750 g}

rates:
  currency: GBP
  zones:
    home: [GB]
    europe: [DE, FR, "NO"]
    world: elsewhere
  services:
    - name: letter
      limits: [letter, slot]
      round_weight_up_to: none
      volume_factor: none
      prices:
        home: {750 g: "2.50", 100 g: 1.10}
        europe: {100 g: "3.20", 750 g: "6.80"}
    - name: tracked parcel
      tracked: true
      insured_to: 50
      days: {home: 2, europe: 5}
      limits: small parcel
      prices:
        home: {1 kg: 4.10, 2 kg: 5.20}
        europe: {1 kg: 11.00, 2 kg: 14.50}
        world: {1 kg: 17.00, 2 kg: 24.00}
      extras:
        - {name: signature, price: 1.40, signature: true}
        - {name: cover to 150, price: 2.00, insured_to: 150}
        - {name: cover to 500, price: 5.50, insured_to: 500}
    - name: satchel
      tracked: true
      signature: true
      days: 1
      prices: {home: "3.95"}

goods:
  - {sku: NB-A5, size: 210 x 148 x 20 mm, weight: 260 g}
  - {sku: INK-50, size: 45 x 45 x 62 mm, weight: 130 g, this_side_up: true}
  - {sku: PEN, size: 150 x 18 x 18 mm, weight: 24 g}
"#;

#[test]
fn a_whole_shop_is_read() {
    let (rules, faults) = read(SHOP);
    assert_eq!(faults, [""; 0]);
    assert_eq!(rules.packs.len(), 4);
    let mailer = &rules.packs[2];
    assert_eq!(mailer.own_weight, Some(Mass::from_grams(140)));
    assert_eq!(mailer.room()[2].show(LengthUnit::Millimetre), "56 mm");
    assert_eq!(rules.packs[1].left, Some(12));
    assert_eq!(rules.packs[3].flat_rate.as_deref(), Some("satchel"));
    assert_eq!(rules.weights.billing.step, Some(Mass::from_grams(100)));
    assert_eq!(rules.weights.heavy, HeavyRules::default());
    assert_eq!(rules.limits[0].weight, Some(Mass::from_grams(750)));
    let table = rules.rates.unwrap();
    assert_eq!(table.zone_of(CountryCode::parse("NO").unwrap()), Some(1));
    assert_eq!(table.zone_of(CountryCode::parse("JP").unwrap()), Some(2));
    let letter = &table.services[0];
    assert_eq!(letter.billing.as_ref().unwrap().step, None);
    assert_eq!(letter.billing.as_ref().unwrap().sides, rules.weights.billing.sides);
    let bands = &letter.prices[0].1;
    assert!(bands.is_sorted_by_key(|band| band.up_to), "the lightest comes first");
    assert_eq!(table.services[1].days, [(0, 2), (1, 5)]);
    assert_eq!(table.services[2].days, [(0, 1), (1, 1), (2, 1)]);
    assert_eq!(table.services[1].billing, None);
    assert!(rules.goods[1].this_side_up);
}

#[test]
fn nothing_written_is_nothing_ruled() {
    let (rules, faults) = read("packs: []\n");
    assert_eq!(faults, [""; 0]);
    assert_eq!(rules, ParcelRules::default());
}

#[test]
fn mistakes_in_packs_are_shown() {
    for (text, wanted) in [
        (
            "packs:\n  - {name: box, inside: [220, 110, 40]}\n",
            "2:25 wrong-value packs[0].inside: expected three lengths such as `220 x 110 x 40 mm`, \
             found a list (write it as `220 x 110 x 40 mm`)",
        ),
        (
            "packs:\n  - {name: box, inside: 9 x 6 in}\n",
            "2:25 wrong-value packs[0].inside: expected three lengths such as `220 x 110 x 40 mm`, \
             found `9 x 6 in` (add the height: `220 x 110 x 40 mm`)",
        ),
        (
            "packs:\n  - {name: box, inside: 9 x 6 x 2 in, max_weight: 1000}\n",
            "2:51 wrong-value packs[0].max_weight: expected a weight with its unit, such as \
             `250 g` or `1.5 kg`, found `1000` (write the unit: `1000 g`)",
        ),
        (
            "packs:\n  - {name: box, inside: 9 x 6 x 2 in}\n  - {name: box, inside: 9 x 6 x 3 in}\n",
            "3:12 doubled-pack packs[1].name: two packs have the name `box` (give each pack a \
             name of its own)",
        ),
        (
            "packs:\n  - {name: box, inside: 9 x 6 x 2 in, outside: 9 x 2 x 5 in}\n",
            "2:48 inside-out packs[0].outside: `box` is larger inside than outside (measure \
             again: `outside` is `inside` and the walls)",
        ),
        (
            "packs:\n  - {name: box, inside: 90 x 60 x 20 mm, padding: 10 mm}\n",
            "2:51 no-room packs[0].padding: a padding of 10 mm on each side leaves no room \
             inside (give less padding, or correct `inside`)",
        ),
        (
            "packs:\n  - {name: bag, inside: 9 x 6 x 2 in, flat_rate: satchel}\n",
            "2:50 unknown-service packs[0].flat_rate: there is no service `satchel` in the rates \
             (list `satchel` under `rates`, `services`)",
        ),
        (
            "packs:\n  - {name: box, inside: 9 x 6 x 2 in, max_wieght: 1 kg}\n",
            "2:39 unknown-field packs[0].max_wieght: unknown field `max_wieght` in pack (did you \
             mean `max_weight`?)",
        ),
    ] {
        assert_eq!(fault(text), wanted);
    }
}

#[test]
fn mistakes_in_weights_and_limits_are_shown() {
    for (text, wanted) in [
        (
            "weights: {volume_factor: 6000}\n",
            "1:26 wrong-value weights.volume_factor: expected a factor such as `6000 cm3/kg`, \
             `139 in3/lb` or `250 kg/m3`, or `none`, found `6000` (write what your carrier \
             states, such as `6000 cm3/kg`)",
        ),
        (
            "weights: {round_sides: neares cm}\n",
            "1:24 wrong-value weights.round_sides: expected one of `as measured`, `nearest cm`, \
             `next cm`, `nearest in`, `next in`, found `neares cm` (did you mean `nearest cm`?)",
        ),
        (
            "weights: {caution_from: 25 kg}\n",
            "1:25 crossed-cautions weights: two lift from 20 kg on, but the caution begins at \
             25 kg (let `team_lift_from` be the greater of the two)",
        ),
        (
            "limits: {slot: {}}\n",
            "1:10 no-limit limits.slot: the limits `slot` limit nothing (give one, such as \
             `weight: 2 kg`, or leave it out)",
        ),
        (
            "goods: [{sku: A}, {sku: A}]\n",
            "1:25 doubled-good goods[1].sku: two goods have the name `A` (give each good a name \
             of its own)",
        ),
    ] {
        assert_eq!(fault(text), wanted);
    }
}

/// A table of rates with one service.
fn rates(zones: &str, service: &str) -> String {
    format!("rates:\n  zones: {zones}\n  services:\n    - {{name: post, {service}}}\n")
}

#[test]
fn mistakes_in_rates_are_shown() {
    for (zones, service, wanted) in [
        (
            "{home: [GB], near: [IE, GB]}",
            "prices: {home: 3}",
            "2:34 doubled-country rates.zones.near: `GB` is in a zone already (leave it in one \
             zone)",
        ),
        (
            "{home: elsewhere, world: elsewhere}",
            "prices: {home: 3}",
            "2:35 doubled-country rates.zones.world: two zones are `elsewhere` (list the \
             countries of one of them)",
        ),
        (
            "{home: []}",
            "prices: {home: 3}",
            "2:11 empty-zone rates.zones.home: the zone `home` is empty (list its countries, such \
             as `[DE, FR]`, or write `elsewhere`)",
        ),
        (
            "{home: [UK]}",
            "prices: {home: 3}",
            "2:18 wrong-value rates.zones.home[0]: there is no country `UK` (write `GB`)",
        ),
        (
            "{home: [GB]}",
            "prices: {hmoe: 3}",
            "4:29 unknown-zone rates.services[0].prices.hmoe: there is no zone `hmoe` (did you \
             mean `home`?)",
        ),
        (
            "{home: [GB]}",
            "prices: {}",
            "4:28 no-price rates.services[0].prices: this service has no price to any zone (give \
             one for each zone it goes to, such as `home: {1 kg: 4.80}`)",
        ),
        (
            "{home: [GB]}",
            "prices: {home: \"\"}",
            "4:35 no-price rates.services[0].prices.home: expected a price, found empty text \
             (write it as `\"12.50\"`)",
        ),
        (
            "{home: [GB]}",
            "prices: {home: {250: 3}}",
            "4:36 wrong-weight rates.services[0].prices.home.250: expected a weight such as \
             `250 g`, found `250` (write the heaviest weight the price holds for: `250 g: 3.20`)",
        ),
        (
            "{home: [GB]}",
            "prices: {home: {1 kg: 3, 1000 g: 4}}",
            "4:45 doubled-weight rates.services[0].prices.home.1000 g: `1000 g` has two prices \
             (leave one of them)",
        ),
        (
            "{home: [GB]}",
            "prices: {home: {1 kg: 3.10, 2 kg: 2.90}}",
            "4:48 falling-price rates.services[0].prices.home: this weight costs 2.90, a lighter \
             one 3.10 (compare both with your carrier's list)",
        ),
        (
            "{home: [GB]}",
            "limits: leter, prices: {home: 3}",
            "4:28 unknown-limits rates.services[0].limits: there are no limits `leter` (did you \
             mean `letter`?)",
        ),
        (
            "{home: [GB]}",
            "days: {away: 3}, prices: {home: 3}",
            "4:27 unknown-zone rates.services[0].days.away: there is no zone `away` (known here: \
             `home`)",
        ),
        (
            "{home: [GB]}",
            "prices: {home: 3}, extras: [{name: a, price: 1}, {name: a, price: 2}]",
            "4:76 doubled-extra rates.services[0].extras[1].name: two extras have the name `a` \
             (give each extra a name of its own)",
        ),
    ] {
        assert_eq!(fault(&rates(zones, service)), wanted);
    }
}

#[test]
fn rates_need_a_currency() {
    let text = rates("{home: [GB]}", "prices: {home: 3}");
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", &*text);
    let node = yaml::read_document(&text, file).unwrap();
    let mut out = Vec::new();
    let table =
        read_rates(node.get("rates").unwrap(), &[], &BillingRules::default(), None, &mut out);
    assert_eq!(table, None);
    assert_eq!(out[0].rule, "no-currency");
}

#[test]
fn what_failed_its_table_does_not_panic() {
    for text in [
        "packs: 3\nweights: []\nlimits: x\nrates: [1]\ngoods: {}\n",
        "packs: [3, null, {}]\nrates: {zones: [], services: {}}\nlimits: {a: 3, b: null}\n",
        "rates: {zones: {a: {b: c}}, services: [{prices: {a: [1]}, days: [], extras: [1, {}]}]}\n",
        "packs: [{name: [], inside: {}}]\nweights: {caution_from: [], wrap: {}}\ngoods: [null]\n",
    ] {
        let (_, faults) = read(text);
        assert!(!faults.is_empty(), "{text}");
    }
}
