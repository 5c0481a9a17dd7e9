//! Weights to charge for and prices, against the same arithmetic done another way.

use proptest::prelude::*;
use rust_decimal::Decimal;
use rust_decimal::prelude::RoundingStrategy;
use slipwright::fields::{CountryCode, CurrencyCode};
use slipwright::parcel::{
    Band, BillingRules, Cargo, Extent, Extra, ItemBox, Keeps, Limits, Mass, Pack, ParcelFacts,
    ParcelRules, RateTable, Service, SideRounding, Tariff, Telling, Units, VolumeFactor, Wishes,
    Zone, bill, quote, weigh,
};

/// Whole centimetres, halves up, by decimal arithmetic.
fn to_centimetres(millimetres: Decimal) -> Decimal {
    let rounded = (millimetres / Decimal::TEN)
        .round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    rounded.max(Decimal::ONE)
}

proptest! {
    /// The practice of air freight in decimal arithmetic: sides to whole centimetres, volume by
    /// the factor, the greater of both weights, up to the next step.
    #[test]
    fn charged_weights_agree_with_decimal_arithmetic(
        tenths in [1_u32..20_000, 1_u32..20_000, 1_u32..20_000],
        grams in 1_u32..60_000,
        factor in 3_000_u32..8_000,
        step in prop::sample::select(vec![1_u32, 100, 500, 1_000]),
    ) {
        let rules = BillingRules {
            volume: VolumeFactor::parse(&format!("{factor} cm3/kg")),
            sides: SideRounding::Nearest(slipwright::parcel::LengthUnit::Centimetre),
            step: Some(Mass::from_grams(step)),
        };
        let size = tenths.map(|side| Extent::from_micrometres(u64::from(side) * 100));
        let found = bill(Some(Mass::from_grams(grams)), Some(size), &rules, Units::default());

        let volume: Decimal =
            tenths.iter().map(|side| to_centimetres(Decimal::new((*side).into(), 1))).product();
        let by_size = volume * Decimal::ONE_THOUSAND / Decimal::from(factor);
        let steps = by_size.max(grams.into()) / Decimal::from(step);
        let charged = steps.ceil() * Decimal::from(step);
        let nano = Decimal::from(found.billable.unwrap().value.nanograms());
        prop_assert_eq!(nano / Decimal::from(1_000_000_000), charged);
        let nano = Decimal::from(found.dimensional.unwrap().value.nanograms());
        prop_assert!((nano / Decimal::from(1_000_000_000) - by_size).abs() < Decimal::new(1, 6));
    }

    /// A larger or heavier parcel is never charged less.
    #[test]
    fn more_is_never_charged_less(
        sides in [1_u64..2_000_000, 1_u64..2_000_000, 1_u64..2_000_000],
        more in [0_u64..90_000, 0_u64..90_000, 0_u64..90_000],
        grams in [1_u32..30_000, 0_u32..900],
    ) {
        let rules = BillingRules {
            volume: VolumeFactor::parse("139 in3/lb"),
            sides: SideRounding::Next(slipwright::parcel::LengthUnit::Inch),
            step: Mass::parse("1 lb"),
        };
        let charge = |sides: [u64; 3], grams: u32| {
            let size = sides.map(Extent::from_micrometres);
            let weight = Some(Mass::from_grams(grams));
            bill(weight, Some(size), &rules, Units::default()).billable.unwrap().value
        };
        let larger = [sides[0] + more[0], sides[1] + more[1], sides[2] + more[2]];
        prop_assert!(charge(larger, grams[0] + grams[1]) >= charge(sides, grams[0]));
    }

    /// What was written with a unit is shown in that unit as it was written.
    #[test]
    fn figures_come_back_as_they_were_written(whole in 1_u32..9_000, hundredths in 0_u32..100) {
        let number = Decimal::new((whole * 100 + hundredths).into(), 2).normalize();
        for unit in ["mm", "cm", "in"] {
            let text = format!("{number} {unit}");
            let unit = slipwright::parcel::LengthUnit::parse(unit).unwrap();
            match Extent::parse(&text) {
                Some(length) => prop_assert_eq!(length.show(unit), text),
                None => prop_assert!(whole > 390, "only what is over 10 m is refused: {}", text),
            }
        }
        for unit in ["g", "kg", "oz", "lb"] {
            let text = format!("{number} {unit}");
            let unit = slipwright::parcel::MassUnit::parse(unit).unwrap();
            match Mass::parse(&text) {
                Some(mass) => prop_assert_eq!(mass.show(unit), text),
                None => prop_assert!(whole > 999, "only what is over a tonne is refused: {}", text),
            }
        }
    }
}

/// Prices in whole pence.
fn pence(amount: u32) -> Decimal {
    Decimal::new(amount.into(), 2)
}

/// Promises from three bits and a value.
fn keeps() -> impl Strategy<Value = Keeps> {
    (any::<bool>(), any::<bool>(), prop::option::of(0_u32..300)).prop_map(
        |(tracked, signature, value)| Keeps {
            tracked,
            signature,
            insured_to: value.map(Decimal::from),
        },
    )
}

/// A service with one zone, some bands and some extras.
fn service() -> impl Strategy<Value = Service> {
    let bands = prop::collection::btree_map(1_u32..40, 50_u32..3_000, 1..4);
    let extras = prop::collection::vec((0_u32..900, keeps()), 0..5);
    let days = prop::option::of(1_u32..9);
    (keeps(), bands, extras, days, 100_u32..2_000).prop_map(
        |(keeps, bands, extras, days, longest)| {
            let extra = |(index, (price, keeps)): (usize, (u32, Keeps))| Extra {
                name: format!("extra {index}").into(),
                price: pence(price),
                keeps,
            };
            Service {
                name: format!("post {longest}").into(),
                keeps,
                days: days.map(|days| (0, days)).into_iter().collect(),
                limits: vec![format!("{longest}").into()],
                billing: None,
                prices: vec![(
                    0,
                    bands
                        .into_iter()
                        .map(|(weight, price)| Band {
                            up_to: Some(Mass::from_grams(weight * 100)),
                            price: pence(price),
                        })
                        .collect(),
                )],
                extras: extras.into_iter().enumerate().map(extra).collect(),
                span: None,
            }
        },
    )
}

/// The lowest price by trying every set of extras of a service.
fn lowest_by_brute_force(
    service: &Service,
    grams: u32,
    longest: u32,
    wishes: &Wishes,
) -> Option<Decimal> {
    if longest > service.limits[0].parse::<u32>().unwrap() {
        return None;
    }
    let days = service.days.first().map(|(_, days)| *days);
    if wishes.max_days.is_some_and(|most| days.is_none_or(|days| days > most)) {
        return None;
    }
    let bands = &service.prices[0].1;
    let price = bands.iter().find(|band| band.up_to >= Some(Mass::from_grams(grams)))?.price;
    (0..1_u32 << service.extras.len())
        .filter_map(|set| {
            let chosen: Vec<&Extra> = service
                .extras
                .iter()
                .enumerate()
                .filter(|(at, _)| set & (1 << at) != 0)
                .map(|(_, extra)| extra)
                .collect();
            let all = || chosen.iter().map(|it| it.keeps).chain([service.keeps]);
            let value = all().filter_map(|it| it.insured_to).max().unwrap_or_default();
            let good = (!wishes.tracked || all().any(|it| it.tracked))
                && (!wishes.signature || all().any(|it| it.signature))
                && wishes.insured_to.is_none_or(|wanted| value >= wanted);
            good.then(|| price + chosen.iter().map(|extra| extra.price).sum::<Decimal>())
        })
        .min()
}

proptest! {
    /// The cheapest offer is the lowest price there is among all services and sets of extras, and
    /// every service is either offered or refused with a reason.
    #[test]
    fn the_cheapest_service_is_the_cheapest(
        services in prop::collection::vec(service(), 1..5),
        grams in 1_u32..4_200,
        longest in 100_u32..2_000,
        (tracked, signature) in any::<(bool, bool)>(),
        insured_to in prop::option::of(1_u32..300),
        max_days in prop::option::of(1_u32..9),
    ) {
        let home = CountryCode::parse("GB").unwrap();
        let limits: Vec<Limits> = services
            .iter()
            .map(|service| Limits {
                name: service.limits[0].clone(),
                longest: Extent::parse(&service.limits[0]),
                ..Limits::default()
            })
            .collect();
        let table = RateTable {
            currency: CurrencyCode::parse("GBP").unwrap(),
            zones: vec![Zone { name: "home".into(), countries: vec![home], elsewhere: false }],
            services,
        };
        let wishes = Wishes {
            tracked,
            signature,
            insured_to: insured_to.map(Decimal::from),
            max_days,
            ..Wishes::default()
        };
        let cargo = Cargo {
            weight: Some(Mass::from_grams(grams)),
            size: Some([longest, 50, 50].map(Extent::from_whole_mm)),
            country: home,
            wishes: &wishes,
            flat_rate: None,
        };
        let tariff = Tariff {
            table: &table,
            limits: &limits,
            billing: &BillingRules::default(),
            flat_services: &[],
            units: Units::default(),
            telling: Telling::default(),
        };
        let quotes = quote(&cargo, &tariff);
        let lowest = table
            .services
            .iter()
            .filter_map(|service| lowest_by_brute_force(service, grams, longest, &wishes))
            .min();
        prop_assert_eq!(quotes.offers.first().map(|offer| offer.total), lowest);
        prop_assert_eq!(quotes.offers.len() + quotes.refused.len(), table.services.len());
        prop_assert!(quotes.refused.iter().all(|refused| !refused.reasons.is_empty()));
        for offer in &quotes.offers {
            let extras: Decimal = offer.extras.iter().map(|extra| extra.price.value).sum();
            prop_assert_eq!(offer.price.value + extras, offer.total);
        }
        let away = Cargo { country: CountryCode::parse("JP").unwrap(), ..cargo };
        prop_assert!(quote(&away, &tariff).offers.is_empty());
    }
}

/// Lengths of any size, many of them nothing or the greatest there is.
fn any_size() -> impl Strategy<Value = [Extent; 3]> {
    let side = || prop_oneof![any::<u64>(), 0_u64..400_000, Just(u64::MAX)];
    (side(), side(), side()).prop_map(|(a, b, c)| [a, b, c].map(Extent::from_micrometres))
}

/// Weights of any size.
fn any_mass() -> impl Strategy<Value = Mass> {
    prop_oneof![any::<u64>(), 0_u64..5_000_000_000_000, Just(u64::MAX)]
        .prop_map(Mass::from_nanograms)
}

proptest! {
    /// No figures make the computation fail, and what it says can be shown.
    #[test]
    fn any_parcel_ends_in_a_weighing(
        items in prop::collection::vec(
            (prop::option::of(any_size()), prop::option::of(any_mass()), any::<u32>()),
            0..4,
        ),
        packs in prop::collection::vec(
            (any_size(), any_mass(), prop::option::of(0_u32..3)),
            0..4,
        ),
        (weight, size) in (prop::option::of(any_mass()), prop::option::of(any_size())),
        service in service(),
        width in 0_usize..200,
    ) {
        let mut rules = ParcelRules::default();
        rules.weights.billing = BillingRules {
            volume: VolumeFactor::parse("2000 kg/m3"),
            sides: SideRounding::Next(slipwright::parcel::LengthUnit::Inch),
            step: Mass::parse("1 lb"),
        };
        rules.packs = packs
            .into_iter()
            .map(|(inside, limit, left)| Pack {
                inside,
                max_weight: Some(limit),
                left,
                padding: Extent::from_whole_mm(2),
                ..Pack::default()
            })
            .collect();
        let home = CountryCode::parse("GB").unwrap();
        rules.rates = Some(RateTable {
            currency: CurrencyCode::parse("GBP").unwrap(),
            zones: vec![Zone { name: "all".into(), countries: Vec::new(), elsewhere: true }],
            services: vec![service],
        });
        let facts = ParcelFacts {
            items: items
                .into_iter()
                .map(|(size, weight, count)| ItemBox {
                    name: "item".into(),
                    count,
                    size,
                    weight,
                    this_side_up: false,
                })
                .collect(),
            pack: "".into(),
            usual_pack: "".into(),
            weight,
            size,
            country: home,
            wishes: Wishes::default(),
        };
        let weighing = weigh(&facts, &rules);
        prop_assert!(weighing.to_table(width).lines().count() > 0);
        prop_assert!(weighing.to_json().is_object());
    }
}
