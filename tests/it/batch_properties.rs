//! What holds for any batch: random orders out of few names, places, words and tags, so that they
//! meet often.

use std::collections::HashSet;

use proptest::prelude::*;
use serde_json::{Value, json};
use slipwright::{Batch, BatchOptions, Order, Sources, read_orders, skeleton, write_aside};

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
    assert_eq!(read.diagnostics, []);
    read.orders
}

/// Whether one tag is easily taken for another, told by comparing the two alone.
fn is_confusable(first: &str, second: &str) -> bool {
    let (first, second) = (skeleton(first), skeleton(second));
    let is_long = |text: &str| text.chars().count() > 3;
    first == second
        || (is_long(&first)
            && is_long(&second)
            && strsim::damerau_levenshtein(&first, &second) <= 1)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn any_batch_keeps_its_promises(
        mut orders in prop::collection::vec(any_order(), 1..40),
        combine: bool,
    ) {
        for (index, order) in orders.iter_mut().enumerate() {
            order["id"] = json!(format!("TH-{index}"));
        }
        let orders = read_all(&orders);
        let options = BatchOptions { combine };
        let mut found = Vec::new();
        let batch = Batch::assemble(Some("b"), orders.clone(), None, options, &mut found);

        // Every order exactly once and as it was; parcels and orders in bench order.
        let place = |order: &Order| orders.iter().position(|it| it.id == order.id).unwrap();
        let mut seen = HashSet::new();
        for parcel in &batch.parcels {
            for order in &parcel.orders {
                prop_assert_eq!(order, &orders[place(order)]);
                prop_assert!(seen.insert(order.id.clone()));
            }
            prop_assert!(parcel.orders.iter().map(place).is_sorted());
            if parcel.orders.len() > 1 {
                prop_assert!(combine);
                prop_assert!(parcel.orders.iter().all(|order| !order.apart));
                prop_assert!(parcel.orders.iter().all(|order| order.gift == parcel.gift));
                prop_assert!(parcel.orders.iter().all(|order| order.hazard == parcel.hazard));
            }
        }
        prop_assert_eq!(seen.len(), orders.len());
        prop_assert!(batch.parcels.iter().map(|parcel| place(&parcel.orders[0])).is_sorted());
        prop_assert!(batch.parcels.iter().zip(1..).all(|(parcel, at)| parcel.position == at));

        // Nothing that tells parcels apart is there twice.
        let count = batch.parcels.len();
        let distinct = |texts: Vec<String>| texts.into_iter().collect::<HashSet<_>>().len();
        let of = |name: fn(&slipwright::Parcel) -> String| batch.parcels.iter().map(name).collect();
        prop_assert_eq!(distinct(of(|parcel| parcel.pair.to_string())), count);
        prop_assert_eq!(distinct(of(|parcel| parcel.id.to_string())), count);
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

        // Given tags that are equal or confusable are all reported, each once.
        for (index, parcel) in batch.parcels.iter().enumerate().filter(|(_, it)| !it.tag.made) {
            let given = batch.parcels[..index].iter().filter(|other| !other.tag.made);
            let is_doubtful = given.clone().any(|it| is_confusable(&it.tag.text, &parcel.tag.text));
            let is_equal = given.clone().any(|it| it.tag.text == parcel.tag.text);
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
        let aside: Value = serde_json::from_str(&write_aside(Some("b"), &spans, &text)).unwrap();
        let good = read.orders.iter().map(|order| order.span);
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
            prop_assert!(bad.errors.iter().all(|&error| read.diagnostics[error].is_error()));
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
                "items": [{"title": TITLES[id % TITLES.len()], "sku": "S"}],
            })
        })
        .collect();
    let mut found = Vec::new();
    let options = BatchOptions { combine: true };
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
