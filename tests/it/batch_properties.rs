//! What holds for any batch: random orders out of few names, places, words and tags, so that they
//! meet often.

use std::collections::HashSet;

use proptest::prelude::*;
use serde_json::{Value, json};
use slipwright::batch::check_split;
use slipwright::orders::{AsideOrder, write_aside};
use slipwright::workings::skeleton;
use slipwright::{Batch, BatchOptions, Finding, Order, Sources, read_orders};

const NAMES: &[&str] =
    &["Ada Marlow", "ADA MARLOW", "Ada Marlwo", "Zoë Nyström", "Iris Fell", "Ελένη Θαλασσινού"];
const STREETS: &[&str] = &["12 Long Street", "12 Long St", "3 Mill Lane", "Am Hang 7"];
const TITLES: &[&str] = &[
    "Kingfisher pen",
    "Heron pen",
    "HERON nib 51",
    "Ink 30 ml",
    "Füllfeder Elster",
    "Μελάνι",
    "Чернила",
    "7",
    "",
    "🖋",
];
const TAGS: &[&str] =
    &["", "", "", "", "Tern", "TERN", "Tem", "Heron", "Heron 11", "Marlow", "!!", "🦊"];

const SERVICES: &[&str] = &["", "tracked", "express"];

/// One order's JSON without its id.
fn any_order() -> impl Strategy<Value = Value> {
    (
        (0..NAMES.len(), 0..STREETS.len(), 0..TAGS.len()),
        prop::collection::vec(0..TITLES.len(), 0..3),
        any::<[bool; 3]>(),
        0..SERVICES.len(),
    )
        .prop_map(|((name, street, tag), titles, [gift, apart, hazard], service)| {
            let items: Vec<_> = titles
                .iter()
                .map(|&title| json!({"title": TITLES[title], "sku": "S", "qty": 1}))
                .collect();
            json!({
                "tag": TAGS[tag],
                "ship_to": {"name": NAMES[name], "lines": [STREETS[street]], "country": "GB"},
                "items": items,
                "gift": gift,
                "apart": apart && gift,
                "hazard": if hazard { "none" } else { "" },
                "service": SERVICES[service],
            })
        })
}

/// Reads orders that are all good.
fn read_all(orders: &[Value]) -> Vec<Order> {
    let text = Value::from(orders).to_string();
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text.as_str());
    let read = read_orders(&text, file);
    assert_eq!(read.findings, []);
    read.orders
}

/// Whether one tag is easily taken for another, told by comparing the two alone.
fn is_confusable(first: &str, second: &str) -> bool {
    let wholes = [first, second].map(skeleton);
    let words = [first, second].map(|tag| {
        let words = tag.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        words.map(skeleton).collect::<Vec<_>>()
    });
    if !is_near(&wholes[0], &wholes[1]) {
        return false;
    }
    if wholes[0] == wholes[1] || words[0].len() != words[1].len() {
        return true;
    }
    // What both share neither helps nor harms.
    let own = |of: usize| -> String {
        let words = words[of].iter().zip(&words[1 - of]);
        words.filter(|(one, other)| one != other).map(|(one, _)| one.as_str()).collect()
    };
    is_near(&own(0), &own(1))
}

/// Whether two skeletons are equal, or one letter apart and not short.
fn is_near(first: &str, second: &str) -> bool {
    let is_long = |text: &str| text.chars().count() > 3;
    first == second
        || (is_long(first) && is_long(second) && strsim::damerau_levenshtein(first, second) <= 1)
}

/// Gives orders their ids.
fn number_orders(orders: &mut [Value]) {
    for (index, order) in orders.iter_mut().enumerate() {
        order["id"] = json!(format!("TH-{index}"));
    }
}

/// A batch and what was found.
fn assemble(orders: &[Order], options: &BatchOptions) -> (Batch, Vec<Finding>) {
    let mut found = Vec::new();
    let batch = Batch::assemble(Some("b"), orders.to_vec(), None, options.clone(), &mut found);
    (batch, found)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn any_batch_keeps_its_promises(
        mut orders in prop::collection::vec(any_order(), 1..40),
        combine: bool,
    ) {
        number_orders(&mut orders);
        let orders = read_all(&orders);
        let options = BatchOptions { combine, ..BatchOptions::default() };
        let mut found = Vec::new();
        let batch = Batch::assemble(Some("b"), orders.clone(), None, options.clone(), &mut found);

        // Every order exactly once and as it was; parcels and orders in bench order.
        let place = |order: &Order| orders.iter().position(|it| it.id() == order.id()).unwrap();
        let mut seen = HashSet::new();
        for parcel in &batch.parcels {
            for order in &parcel.orders {
                prop_assert_eq!(order, &orders[place(order)]);
                prop_assert!(seen.insert(Box::<str>::from(order.id())));
            }
            prop_assert!(parcel.orders.iter().map(place).is_sorted());
            prop_assert_eq!(&parcel.id(), &parcel.orders[0].id());
            if parcel.orders.len() > 1 {
                prop_assert!(combine);
                prop_assert!(parcel.orders.iter().all(|order| !order.apart()));
                prop_assert!(parcel.orders.iter().all(|order| order.gift() == parcel.gift));
                prop_assert!(parcel.orders.iter().all(|order| *order.hazard() == *parcel.hazard));
            }
        }
        prop_assert_eq!(seen.len(), orders.len());
        prop_assert!(batch.parcels.iter().map(|parcel| place(&parcel.orders[0])).is_sorted());
        prop_assert!(batch.parcels.iter().zip(1..).all(|(parcel, at)| parcel.position == at));

        // Made tags can be read from far: at most 12 characters, never all in capitals, and none
        // ends in a number, which would be read as a place on the bench.
        for parcel in batch.parcels.iter().filter(|parcel| parcel.tag.made) {
            let tag = &parcel.tag.text;
            prop_assert!((1..=12).contains(&tag.chars().count()), "{}", tag);
            let capitals = tag.chars().filter(|letter| letter.is_uppercase()).count();
            let small = tag.chars().filter(|letter| letter.is_lowercase()).count();
            prop_assert!(capitals < 2 || small > 0, "{}", tag);
            let last = tag.split(' ').next_back().unwrap_or_default();
            prop_assert!(last.chars().any(|letter| !letter.is_numeric()), "{}", tag);
        }

        // Nothing that tells parcels apart is there twice.
        let count = batch.parcels.len();
        let distinct = |texts: Vec<String>| texts.into_iter().collect::<HashSet<_>>().len();
        let of = |name: fn(&slipwright::batch::Parcel) -> String| batch.parcels.iter().map(name).collect();
        prop_assert_eq!(distinct(of(|parcel| parcel.pair.to_string())), count);
        prop_assert_eq!(distinct(of(|parcel| parcel.id().to_string())), count);
        for (index, parcel) in batch.parcels.iter().enumerate() {
            for other in &batch.parcels[..index] {
                prop_assert!(parcel.tally.distance(other.tally) >= 6);
                prop_assert!(parcel.tally.turned().distance(other.tally) >= 3);
                let (a, b) = (&parcel.tag, &other.tag);
                if a.made || b.made {
                    prop_assert!(!is_confusable(&a.text, &b.text), "{} {}", a.text, b.text);
                }
            }
        }

        // Given tags that are equal to one of an earlier order, or confusable with it, are all
        // reported, each once.
        let bringer = |parcel: &slipwright::batch::Parcel| {
            place(parcel.orders.iter().find(|order| !order.tag().is_empty()).unwrap())
        };
        let given: Vec<_> = batch.parcels.iter().filter(|parcel| !parcel.tag.made).collect();
        for parcel in &given {
            let before = given.iter().filter(|other| bringer(other) < bringer(parcel));
            let is_doubtful = before.clone().any(|it| is_confusable(&it.tag.text, &parcel.tag.text));
            let is_equal = before.clone().any(|it| it.tag.text == parcel.tag.text);
            let reports = |rule: &str| {
                let at = Some(parcel.position);
                found.iter().filter(|it| it.rule == rule && it.subject.as_ref().and_then(|it| it.position) == at).count()
            };
            prop_assert_eq!(reports("equal-tags"), usize::from(is_equal));
            prop_assert_eq!(reports("confusable-tags"), usize::from(is_doubtful && !is_equal));
        }

        // The same again.
        let mut again = Vec::new();
        prop_assert_eq!(&Batch::assemble(Some("b"), orders, None, options, &mut again), &batch);
        prop_assert_eq!(again, found);
    }

    /// An order more at the end: what was tagged stays tagged so, or a finding names the new tag.
    #[test]
    fn an_order_more_renames_no_other_parcel_unsaid(
        mut orders in prop::collection::vec(any_order(), 2..16),
        combine: bool,
        fix_tags: bool,
    ) {
        number_orders(&mut orders);
        let orders = read_all(&orders);
        let options = BatchOptions { combine, fix_tags, ..BatchOptions::default() };
        let (mut before, _) = assemble(&orders[..1], &options);
        for count in 2..=orders.len() {
            let (after, found) = assemble(&orders[..count], &options);
            for (old, new) in before.parcels.iter().zip(&after.parcels) {
                prop_assert_eq!(&old.orders[0].id(), &new.orders[0].id());
                let is_same = old.orders.len() == new.orders.len();
                prop_assert!(!is_same || old.pair == new.pair);
                if old.tag.text != new.tag.text {
                    let said = found.iter().filter(|it| {
                        ["tag-renamed", "tag-changed"].contains(&it.rule.name)
                            && it.subject.as_ref().and_then(|it| it.position) == Some(new.position)
                    });
                    let names = |tag: &str| format!("`{tag}`");
                    let names_both = said.clone().any(|it| {
                        it.message.contains(&names(&old.tag.text))
                            && it.message.contains(&names(&new.tag.text))
                    });
                    let changed = said.clone().any(|it| {
                        it.rule == "tag-changed" && it.message.contains(&names(&new.tag.text))
                    });
                    prop_assert!(names_both || changed, "{} {}", old.tag.text, new.tag.text);
                }
            }
            before = after;
        }
    }

    /// The remedy leaves no two tags that are taken for one another, changes no more than it says,
    /// and gives what the findings propose.
    #[test]
    fn fixed_tags_are_apart_and_as_proposed(
        mut orders in prop::collection::vec(any_order(), 1..40),
        combine: bool,
    ) {
        number_orders(&mut orders);
        let orders = read_all(&orders);
        let plain = BatchOptions { combine, ..BatchOptions::default() };
        let (as_given, proposals) = assemble(&orders, &plain);
        let (fixed, found) = assemble(&orders, &BatchOptions { fix_tags: true, ..plain });
        for (index, parcel) in fixed.parcels.iter().enumerate() {
            for other in &fixed.parcels[..index] {
                let (a, b) = (&parcel.tag.text, &other.tag.text);
                prop_assert!(!is_confusable(a, b), "{a} {b}");
            }
            let of = |it: &&Finding| {
                it.subject.as_ref().and_then(|it| it.position) == Some(parcel.position)
            };
            let old = &as_given.parcels[index];
            prop_assert_eq!(&old.orders, &parcel.orders);
            let changes = found.iter().filter(of).filter(|it| it.rule == "tag-changed").count();
            prop_assert_eq!(changes, usize::from(old.tag != parcel.tag));
            if old.tag != parcel.tag {
                let proposal = format!("the tag `{}`, or", parcel.tag.text);
                let rules = ["equal-tags", "confusable-tags"];
                let mut proposals = proposals.iter().filter(of).filter(|it| rules.contains(&it.rule.name));
                prop_assert!(proposals.any(|it| it.hints[0].contains(&proposal)));
                prop_assert!(!old.tag.made && parcel.tag.made);
                prop_assert!(parcel.tag.text.chars().count() <= 12);
            }
        }
        let doubts = ["equal-tags", "confusable-tags"];
        prop_assert!(found.iter().all(|it| !doubts.contains(&it.rule.name)));
    }

    /// Orders that are split off lie alone; the others share as they did.
    #[test]
    fn splitting_undoes_combining_and_loses_nothing(
        mut orders in prop::collection::vec(any_order(), 2..40),
        picks in prop::collection::vec(any::<prop::sample::Index>(), 1..4),
    ) {
        number_orders(&mut orders);
        let text = Value::from(&orders[..]).to_string();
        let file = Sources::new().add("orders.json", text.as_str());
        let read = read_orders(&text, file);
        let whole = BatchOptions { combine: true, ..BatchOptions::default() };
        let (combined, _) = assemble(&read.orders, &whole);
        let shared: Vec<_> = combined
            .parcels
            .iter()
            .filter(|parcel| parcel.orders.len() > 1)
            .flat_map(|parcel| parcel.orders.iter().map(|order| Box::<str>::from(order.id())))
            .collect();
        let alone = combined.parcels.iter().find(|parcel| parcel.orders.len() == 1);
        if let Some(alone) = alone {
            let faults = check_split(&read, None, &[alone.orders[0].id().into()]);
            prop_assert_eq!(faults.len(), 1);
            prop_assert_eq!(faults[0].rule, "nothing-to-split");
        }
        prop_assume!(!shared.is_empty());
        let split: Vec<Box<str>> = picks.iter().map(|pick| pick.get(&shared).clone()).collect();
        prop_assert_eq!(check_split(&read, None, &split), []);
        let options = BatchOptions { split: split.clone(), ..whole };
        let (taken_apart, found) = assemble(&read.orders, &options);
        let ids = |batch: &Batch| -> Vec<Vec<Box<str>>> {
            let ids = |parcel: &slipwright::batch::Parcel| {
                parcel.orders.iter().map(|order| Box::<str>::from(order.id())).collect()
            };
            batch.parcels.iter().map(ids).collect()
        };
        let mut expected: Vec<Vec<Box<str>>> = Vec::new();
        for parcel in ids(&combined) {
            let (out, stay): (Vec<_>, Vec<_>) =
                parcel.into_iter().partition(|id| split.contains(id));
            expected.extend(out.into_iter().map(|id| vec![id]));
            expected.extend((!stay.is_empty()).then_some(stay));
        }
        let place = |id: &str| read.orders.iter().position(|order| order.id() == id).unwrap();
        expected.sort_by_key(|ids| place(&ids[0]));
        prop_assert_eq!(ids(&taken_apart), expected);
        let mut distinct = split;
        distinct.sort();
        distinct.dedup();
        prop_assert_eq!(found.iter().filter(|it| it.rule == "split").count(), distinct.len());
    }

    #[test]
    fn good_and_set_aside_make_up_the_input(
        mut orders in prop::collection::vec((any_order(), 0_u8..6), 1..20),
    ) {
        for (index, (order, fault)) in orders.iter_mut().enumerate() {
            order["id"] = json!(format!("TH-{index}"));
            match fault {
                0 => order["ship_to"]["country"] = json!("UK"),
                1 => order["id"] = json!("TH-0"),
                2 => *order = json!([order]),
                _ => {}
            }
        }
        let orders: Vec<_> = orders.into_iter().map(|(order, _)| order).collect();
        let text = json!({"batch": "b", "orders": orders}).to_string();
        let mut sources = Sources::new();
        let file = sources.add("orders.json", text.as_str());
        let read = read_orders(&text, file);
        prop_assert!(!read.is_broken());
        let spans: Vec<_> = read.bad.iter().map(|bad| bad.span).collect();
        let bad = read.bad.iter().map(|bad| AsideOrder::refused(bad, &read.findings));
        let bad: Vec<_> = bad.collect();
        let aside: Value = serde_json::from_str(&write_aside(Some("b"), &bad, &sources)).unwrap();
        let good = read.orders.iter().map(|order| order.span());
        let mut all: Vec<_> = good.chain(spans).collect();
        all.sort_by_key(|span| span.start);
        let parts: Vec<Value> = all
            .iter()
            .map(|span| serde_json::from_str(sources.slice(*span)).unwrap())
            .collect();
        prop_assert_eq!(parts, orders);
        prop_assert_eq!(aside["orders"].as_array().map(Vec::len), Some(read.bad.len()));
        for bad in &read.bad {
            prop_assert!(!bad.errors.is_empty());
            prop_assert!(bad.errors.iter().all(|&error| read.findings[error].is_error()));
        }
    }
}

#[test]
fn a_batch_beyond_the_tallies_says_so_and_keeps_its_tags_apart() {
    let orders: Vec<_> = (0..4_200)
        .map(|id| {
            json!({
                "id": id,
                "ship_to": {"name": "Ada Marlow", "lines": [id.to_string()], "country": "GB"},
                "apart": true,
                "hazard": "none",
                "items": [{"title": TITLES[id % TITLES.len()], "sku": "S"}],
            })
        })
        .collect();
    let mut found = Vec::new();
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    let batch = Batch::assemble(None, read_all(&orders), None, options, &mut found);
    let rules: Vec<_> = found.iter().map(|found| found.rule).collect();
    assert_eq!(rules, ["repeated-tallies"]);
    assert_eq!(found[0].subject.as_ref().and_then(|subject| subject.position), Some(4_093));
    let bones: HashSet<_> = batch.parcels.iter().map(|it| skeleton(&it.tag.text)).collect();
    assert_eq!(bones.len(), 4_200);
    assert!(batch.parcels.iter().all(|parcel| parcel.tag.text.chars().count() <= 12));
    let codes: HashSet<_> = batch.parcels.iter().map(|parcel| parcel.pair).collect();
    assert_eq!(codes.len(), 4_200);
}
