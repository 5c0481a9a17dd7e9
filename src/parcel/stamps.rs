//! Which stamps make up a price: the fewest, and of those the ones with the least over.
//!
//! In: the stamps there are, and a price. Out: a [`StampChoice`] with its reason, or why there is none.
//! All is exact: amounts are counted in the largest unit that all stamps are whole numbers of. Not here:
//! which parcels get stamps (`batch`).

use rust_decimal::Decimal;

use crate::limits::{PARCEL_STAMPS, STAMP_KINDS, STAMP_UNITS};
use crate::words::counted;

/// A kind of stamp.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PostageStamp {
    /// What it is called.
    pub name: Box<str>,
    /// What it is worth, more than nothing.
    pub value: Decimal,
    /// How many are left in the drawer; none when they are not counted.
    pub left: Option<u32>,
}

/// The stamps for one price.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StampChoice {
    /// The kinds, each with how many; those worth most first.
    pub stamps: Vec<StampCount>,
    /// What they are worth together.
    pub value: Decimal,
    /// What they are worth more than the price.
    pub over: Decimal,
    /// Why no fewer; `None` for a single stamp.
    pub fewer: Option<FewerStamps>,
}

/// What one stamp fewer than those chosen would be worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FewerStamps {
    /// How many these are.
    pub count: usize,
    /// What so many are worth at most, less than the price.
    pub worth: Decimal,
}

impl StampChoice {
    /// Why these, in English.
    #[must_use]
    pub fn reason(&self) -> String {
        let least = match self.fewer {
            _ if self.over.is_zero() => "nothing over",
            None => "no other comes nearer",
            Some(_) => "no others come nearer",
        };
        match self.fewer {
            None => format!("one stamp; {least}"),
            Some(FewerStamps { count, worth }) => {
                format!("{} would be worth {worth} at most; {least}", counted(count, "stamp"))
            }
        }
    }
}

/// Some stamps of one kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StampCount {
    /// The kind, by its place in the shop's list.
    pub kind: usize,
    /// What it is called.
    pub name: Box<str>,
    /// What one is worth.
    pub value: Decimal,
    /// How many.
    pub count: usize,
}

/// Why no stamps make up a price.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StampLack {
    /// All that are left are worth less; this much.
    Worth(Decimal),
    /// More would be needed than anybody sticks on a parcel; the largest are worth this much.
    TooMany(Decimal),
    /// The price has more units than are counted.
    TooFine,
}

/// Chooses the stamps for a price.
///
/// # Errors
/// When the stamps do not reach it.
pub fn choose_stamps(stamps: &[PostageStamp], price: Decimal) -> Result<StampChoice, StampLack> {
    let mut kinds = sort_kinds(stamps);
    let unit = kinds.iter().map(|kind| stamps[kind.place].value).reduce(largest_unit);
    let unit = unit.ok_or(StampLack::Worth(Decimal::ZERO))?;
    let units = |amount: Decimal| -> Option<u64> {
        let whole = (amount / unit).ceil();
        u64::try_from(whole).ok().filter(|units| *units <= STAMP_UNITS)
    };
    let wanted = units(price).ok_or(StampLack::TooFine)?;
    for kind in &mut kinds {
        // One that is worth more than is counted makes up any price by itself.
        kind.units = units(stamps[kind.place].value).unwrap_or(STAMP_UNITS + 1);
    }
    // Of those that make up any price by themselves the one worth least is the nearest.
    let large = kinds.iter().filter(|kind| kind.units > STAMP_UNITS).count();
    kinds.drain(..large.saturating_sub(1));
    let Some(fewest) = count_fewest(&kinds, wanted) else {
        let worth = worth_at_most(&kinds, stamps, PARCEL_STAMPS);
        let held: usize = kinds.iter().map(|kind| kind.left).sum();
        return Err(match held < PARCEL_STAMPS {
            true => StampLack::Worth(worth),
            false => StampLack::TooMany(worth),
        });
    };
    let counts = fill_exactly(&kinds, fewest, wanted);
    let stuck = counts.into_iter().map(|(place, count)| {
        let PostageStamp { name, value, .. } = &stamps[place];
        StampCount { kind: place, name: name.clone(), value: *value, count }
    });
    let stuck: Vec<StampCount> = stuck.collect();
    let value: Decimal = stuck.iter().map(|it| it.value * Decimal::from(it.count)).sum();
    let over = value - price;
    let fewer = (fewest > 1).then(|| FewerStamps {
        count: fewest - 1,
        worth: worth_at_most(&kinds, stamps, fewest - 1),
    });
    Ok(StampChoice { stamps: stuck, value, over, fewer })
}

/// A kind of stamp as the search sees it.
struct StampKind {
    /// Its place in the shop's list.
    place: usize,
    /// What it is worth in units.
    units: u64,
    /// How many may be used.
    left: usize,
}

/// The kinds that there are any of, those worth most first.
fn sort_kinds(stamps: &[PostageStamp]) -> Vec<StampKind> {
    let left = |stamp: &PostageStamp| {
        let left = stamp.left.map(|left| usize::try_from(left).unwrap_or(usize::MAX));
        left.map_or(PARCEL_STAMPS, |left| left.min(PARCEL_STAMPS))
    };
    let kinds = stamps.iter().enumerate();
    let kinds = kinds.map(|(place, stamp)| StampKind { place, units: 0, left: left(stamp) });
    let mut kinds: Vec<StampKind> =
        kinds.filter(|kind| kind.left > 0 && stamps[kind.place].value > Decimal::ZERO).collect();
    kinds.sort_by_key(|kind| std::cmp::Reverse(stamps[kind.place].value));
    kinds.truncate(STAMP_KINDS);
    kinds
}

/// The largest amount that two amounts are whole numbers of.
fn largest_unit(one: Decimal, other: Decimal) -> Decimal {
    let (mut one, mut other) = (one, other);
    while !other.is_zero() {
        (one, other) = (other, one % other);
    }
    one
}

/// How many stamps it takes at least: those worth most go first.
fn count_fewest(kinds: &[StampKind], wanted: u64) -> Option<usize> {
    let (mut sum, mut count) = (0_u64, 0);
    for kind in kinds {
        for _ in 0..kind.left {
            if sum >= wanted || count == PARCEL_STAMPS {
                break;
            }
            sum = sum.saturating_add(kind.units);
            count += 1;
        }
    }
    (sum >= wanted).then_some(count)
}

/// What so many stamps are worth at most.
fn worth_at_most(kinds: &[StampKind], stamps: &[PostageStamp], most: usize) -> Decimal {
    let all =
        kinds.iter().flat_map(|kind| std::iter::repeat_n(stamps[kind.place].value, kind.left));
    all.take(most).sum()
}

/// So many stamps, by their places in the shop's list, that reach the price with the least over; of
/// equal ones those with more of the kinds worth most. As no fewer reach it, they are worth less than
/// the price and one stamp.
fn fill_exactly(kinds: &[StampKind], count: usize, wanted: u64) -> Vec<(usize, usize)> {
    let most = kinds.first().map_or(0, |kind| kind.units.min(STAMP_UNITS + 1));
    let size = usize::try_from(wanted + most).unwrap_or(usize::MAX) + 1;
    // Of the kinds from a place on: by how many stamps a sum can be had, a bit for each count.
    let mut reach = vec![vec![0_u32; size]; kinds.len() + 1];
    reach[kinds.len()][0] = 1;
    for at in (0..kinds.len()).rev() {
        let units = usize::try_from(kinds[at].units).unwrap_or(usize::MAX);
        for sum in 0..size {
            let most = kinds[at].left.min(count);
            let before = |taken: usize| sum.checked_sub(units.checked_mul(taken)?);
            let ways = (0..=most).map_while(|taken| Some(reach[at + 1][before(taken)?] << taken));
            reach[at][sum] = ways.fold(0, |all, way| all | way);
        }
    }
    let wanted = usize::try_from(wanted).unwrap_or(usize::MAX);
    let found = (wanted..size).find(|&sum| reach[0][sum] >> count & 1 == 1);
    let Some(mut sum) = found else { return Vec::new() };
    let (mut rest, mut chosen) = (count, Vec::new());
    for (at, kind) in kinds.iter().enumerate() {
        let units = usize::try_from(kind.units).unwrap_or(usize::MAX);
        let fits = |taken: usize| {
            let before = sum.checked_sub(units.checked_mul(taken)?)?;
            Some(reach[at + 1][before] >> rest.checked_sub(taken)? & 1 == 1)
        };
        let most = (0..=kind.left.min(rest)).rev().find(|&taken| fits(taken) == Some(true));
        let Some(taken) = most else { continue };
        if taken > 0 {
            chosen.push((kind.place, taken));
        }
        sum -= units * taken;
        rest -= taken;
    }
    chosen
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Stamps of these values and counts.
    fn drawer(all: &[(&str, Option<u32>)]) -> Vec<PostageStamp> {
        let stamp = |(value, left): &(&str, Option<u32>)| PostageStamp {
            name: (*value).into(),
            value: value.parse().unwrap(),
            left: *left,
        };
        all.iter().map(stamp).collect()
    }

    /// The values of the stamps that are chosen, and what is over.
    fn chosen(stamps: &[PostageStamp], price: &str) -> String {
        match choose_stamps(stamps, price.parse().unwrap()) {
            Ok(choice) => {
                let name = |it: &StampCount| format!("{}×{}", it.count, it.name);
                let names: Vec<String> = choice.stamps.iter().map(name).collect();
                format!("{} over {}: {}", names.join(" "), choice.over, choice.reason())
            }
            Err(lack) => format!("{lack:?}"),
        }
    }

    #[test]
    fn the_fewest_go_first_and_then_the_least_over() {
        let stamps = drawer(&[("1.10", None), ("1.70", None), ("0.05", None), ("0.20", None)]);
        assert_eq!(chosen(&stamps, "1.10"), "1×1.10 over 0.00: one stamp; nothing over");
        assert_eq!(chosen(&stamps, "1.40"), "1×1.70 over 0.30: one stamp; no other comes nearer");
        assert_eq!(
            chosen(&stamps, "1.75"),
            "1×1.70 1×0.05 over 0.00: 1 stamp would be worth 1.70 at most; nothing over"
        );
        assert_eq!(
            chosen(&stamps, "3.65"),
            "1×1.70 2×1.10 over 0.25: 2 stamps would be worth 3.40 at most; no others come nearer"
        );
    }

    #[test]
    fn the_drawer_has_so_many() {
        let stamps = drawer(&[("1.00", Some(1)), ("0.40", Some(2)), ("0.70", Some(0))]);
        assert_eq!(
            chosen(&stamps, "1.50"),
            "1×1.00 2×0.40 over 0.30: 2 stamps would be worth 1.40 at most; no others come nearer"
        );
        assert_eq!(chosen(&stamps, "1.81"), "Worth(1.80)");
        assert_eq!(chosen(&[], "1"), "Worth(0)");
        assert_eq!(chosen(&drawer(&[("0.01", None)]), "1.00"), "TooMany(0.20)");
        assert_eq!(chosen(&drawer(&[("0.01", None)]), "900"), "TooFine");
        assert!(
            chosen(&drawer(&[("99999999", None), ("0.01", None)]), "3.00")
                .starts_with("1×99999999")
        );
    }

    /// All ways to take so many stamps, tried one after another.
    fn brute_force(
        stamps: &[PostageStamp],
        price: Decimal,
        most: usize,
    ) -> Option<(usize, Decimal)> {
        let mut best: Option<(usize, Decimal)> = None;
        let mut ways = vec![(0_usize, Decimal::ZERO)];
        for stamp in stamps {
            let left = stamp.left.map_or(most, |left| left as usize);
            let with = |&(count, sum): &(usize, Decimal)| {
                let taken = 0..=left.min(most - count);
                let add = move |it: usize| (count + it, sum + stamp.value * Decimal::from(it));
                taken.map(add).collect::<Vec<_>>()
            };
            ways = ways.iter().flat_map(with).collect();
            ways.sort_unstable();
            ways.dedup();
        }
        for (count, sum) in ways.into_iter().filter(|(_, sum)| *sum >= price) {
            if best.is_none_or(|best| (count, sum - price) < best) {
                best = Some((count, sum - price));
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn no_choice_is_better(
            kinds in prop::collection::vec((1_i64..300, prop::option::of(0_u32..4)), 0..5),
            price in 1_i64..700,
        ) {
            let stamp = |(value, left): &(i64, Option<u32>)| PostageStamp {
                name: "".into(), value: Decimal::new(*value, 2), left: *left,
            };
            let stamps: Vec<PostageStamp> = kinds.iter().map(stamp).collect();
            let price = Decimal::new(price, 2);
            let choice = choose_stamps(&stamps, price);
            let best = brute_force(&stamps, price, 6);
            match (choice, best) {
                (Ok(choice), Some((count, over))) => {
                    let used: usize = choice.stamps.iter().map(|it| it.count).sum();
                    prop_assert_eq!((used, choice.over), (count, over));
                    for it in &choice.stamps {
                        let left = stamps[it.kind].left;
                        prop_assert!(left.is_none_or(|left| it.count <= left as usize));
                    }
                }
                (Ok(choice), None) => {
                    prop_assert!(choice.stamps.iter().map(|it| it.count).sum::<usize>() > 6);
                }
                (Err(_), best) => prop_assert_eq!(best, None),
            }
        }
    }
}
