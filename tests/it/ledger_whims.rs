//! Whatever a month brings, in whatever order: nothing goes twice and nothing is forgotten.

use proptest::prelude::*;
use slipwright::ledger::{
    BenchLine, Event, Facts, Ledger, LedgerEntry, LedgerError, Matching, Moment, Paper,
    ParcelState, PrintedParcel, SentOrders,
};

use crate::ledger_support::{act, order_json, tables, take_in};

/// What may happen in a month, in random order.
#[derive(Clone, Debug)]
enum Whim {
    TakeIn(u8),
    Begin,
    LineUp(u8, bool),
    Move(u8, u8),
    Weigh(u8, u32),
    Join(u8, u8),
    Part(u8),
    Print(u8),
    Match(u8),
    Track(u8, u8),
    HandOver(u8),
    TakeOff(u8),
    SetAside(u8),
    Close(bool),
    Undo,
    Again(u8),
    TellShop,
    Crash,
}

fn whim() -> impl Strategy<Value = Whim> {
    prop_oneof![
        4 => any::<u8>().prop_map(Whim::TakeIn),
        2 => Just(Whim::Begin),
        6 => (any::<u8>(), any::<bool>()).prop_map(|(a, b)| Whim::LineUp(a, b)),
        1 => any::<(u8, u8)>().prop_map(|(a, b)| Whim::Move(a, b)),
        1 => (any::<u8>(), 1..5000_u32).prop_map(|(a, b)| Whim::Weigh(a, b)),
        1 => any::<(u8, u8)>().prop_map(|(a, b)| Whim::Join(a, b)),
        1 => any::<u8>().prop_map(Whim::Part),
        5 => any::<u8>().prop_map(Whim::Print),
        5 => any::<u8>().prop_map(Whim::Match),
        1 => any::<(u8, u8)>().prop_map(|(a, b)| Whim::Track(a, b)),
        4 => any::<u8>().prop_map(Whim::HandOver),
        1 => any::<u8>().prop_map(Whim::TakeOff),
        1 => any::<u8>().prop_map(Whim::SetAside),
        1 => any::<bool>().prop_map(Whim::Close),
        2 => Just(Whim::Undo),
        1 => any::<u8>().prop_map(Whim::Again),
        1 => Just(Whim::TellShop),
        1 => Just(Whim::Crash),
    ]
}

/// Does what a whim says; what is refused leaves nothing behind.
fn follow(ledger: &mut Ledger, minute: i64, whim: &Whim) -> Result<(), LedgerError> {
    let sitting = ledger.open_sitting()?;
    let line = sitting.map(|sitting| ledger.line(sitting)).transpose()?;
    let number_of = |pick: u8| {
        let numbers: Vec<u32> =
            line.iter().flat_map(BenchLine::parcels).map(|it| it.number).collect();
        if numbers.is_empty() { 0 } else { numbers[usize::from(pick) % numbers.len()] }
    };
    let waiting = ledger.orders_in("waiting")?;
    let waiting = |pick: u8| -> Box<str> {
        if waiting.is_empty() {
            return "TH-0".into();
        }
        waiting[usize::from(pick) % waiting.len()].id.clone()
    };
    let sitting = sitting.unwrap_or_default();
    let happens = |ledger: &mut Ledger, event| {
        act(ledger, minute, |act| act.happen(sitting, event)).map(drop)
    };
    match whim {
        Whim::TakeIn(from) => {
            // An export that overlaps with others.
            for id in (u16::from(*from) % 40)..(u16::from(*from) % 40 + 5) {
                let id = format!("TH-1{id:03}");
                take_in(ledger, minute, &id, &order_json(&id, &format!("N{id}"), "Nib"));
            }
            Ok(())
        }
        Whim::Begin => act(ledger, minute, |act| act.begin_sitting("evening")).map(drop),
        Whim::LineUp(pick, two) => {
            let mut orders = vec![waiting(*pick)];
            if *two && waiting(pick.wrapping_add(1)) != orders[0] {
                orders.push(waiting(pick.wrapping_add(1)));
            }
            act(ledger, minute, |act| act.line_up(sitting, &orders, "Tag", Facts::default()))
                .map(drop)
        }
        Whim::Move(a, b) => happens(
            ledger,
            Event::Moved { number: number_of(*a), before: (b % 5 > 0).then(|| number_of(*b)) },
        ),
        Whim::Weigh(a, grams) => happens(
            ledger,
            Event::Noted {
                number: number_of(*a),
                facts: Facts { weight_g: Some(*grams), ..Facts::default() },
            },
        ),
        Whim::Join(a, b) => {
            act(ledger, minute, |act| act.join(sitting, number_of(*a), &waiting(*b))).map(drop)
        }
        Whim::Part(a) => {
            let number = number_of(*a);
            let order =
                line.as_ref().and_then(|line| line.parcel(number)).map(|it| it.orders[0].clone());
            happens(ledger, Event::Parted { number, order: order.unwrap_or_default() })
        }
        Whim::Print(a) => {
            let papers = vec![Paper { document: "labels".into(), digest: "0".into() }];
            let printed = vec![PrintedParcel { number: number_of(*a), count: 1, papers }];
            act(ledger, minute, |act| act.printed(sitting, printed, None)).map(drop)
        }
        Whim::Match(a) => {
            act(ledger, minute, |act| act.matched(sitting, number_of(*a), Matching::Scan)).map(drop)
        }
        Whim::Track(a, b) => {
            act(ledger, minute, |act| act.track(sitting, number_of(*a), &format!("PC{b:08}")))
                .map(drop)
        }
        Whim::HandOver(a) => {
            happens(ledger, Event::HandedOver { number: number_of(*a), carried: None })
        }
        Whim::TakeOff(a) => {
            happens(ledger, Event::TakenOff { number: number_of(*a), reason: "cancelled".into() })
        }
        Whim::SetAside(a) => {
            happens(ledger, Event::SetAside { number: number_of(*a), reason: "late".into() })
        }
        Whim::Close(leave) => {
            act(ledger, minute, |act| act.close(sitting, leave.then_some("late"))).map(drop)
        }
        Whim::Undo => act(ledger, minute, |act| act.undo(sitting)).map(drop),
        Whim::Again(a) => {
            let gone = ledger.orders_in("handed over")?;
            let id = gone.get(usize::from(*a) % gone.len().max(1)).map(|it| it.id.clone());
            act(ledger, minute, |act| act.again(&id.unwrap_or_default(), "lost"))
        }
        Whim::TellShop => {
            let untold = ledger.sent(SentOrders::Untold)?;
            let untold = untold.into_iter().map(|sent| sent.order).collect();
            act(ledger, minute, |act| act.exported(untold))
        }
        // A program that dies in the middle of an act; the next one opens the file anew.
        Whim::Crash => {
            let failed: Result<(), LedgerError> = act(ledger, minute, |act| {
                act.happen(sitting, Event::Closed {}).map(drop)?;
                Err(LedgerError::NotEmpty)
            });
            assert!(failed.is_err());
            Ok(())
        }
    }
}

/// How often an order went according to the entries alone: what was taken back does not count, and
/// each `again` allows one more.
fn count_of(entries: &[LedgerEntry], id: &str, line_of: &[BenchLine]) -> (usize, usize) {
    let went = line_of
        .iter()
        .flat_map(BenchLine::parcels)
        .filter(|it| it.state == ParcelState::HandedOver && it.orders.iter().any(|it| **it == *id))
        .count();
    let again = entries
        .iter()
        .filter(|entry| matches!(&entry.event, Event::Again { order, .. } if **order == *id))
        .count();
    (went, again)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever happens, in whatever order: every order went exactly once (or as often as the seller
    /// said), or waits, or is taken off; no number and no pair code is ever used for two parcels of
    /// one sitting; and the tables are what the entries make them.
    #[test]
    fn a_month_of_whims(whims in proptest::collection::vec(whim(), 1..160)) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ledger");
        let mut ledger = Ledger::create(&path).unwrap();
        for (minute, whim) in whims.iter().enumerate() {
            if matches!(whim, Whim::Crash) {
                ledger = Ledger::open(&path).unwrap();
            }
            match follow(&mut ledger, minute as i64, whim) {
                Ok(()) | Err(
                    LedgerError::Refused(_)
                    | LedgerError::NoSitting(_)
                    | LedgerError::NoOrder(_)
                    | LedgerError::OrderIs { .. }
                    | LedgerError::SittingOpen { .. }
                    | LedgerError::TrackingUsed { .. }
                ) => {}
                Err(error) => panic!("{whim:?}: {error}"),
            }
        }
        let before = tables(&path);
        ledger.rebuild().unwrap();
        prop_assert_eq!(tables(&path), before);
        let sittings = ledger.sittings().unwrap();
        let lines: Vec<BenchLine> =
            sittings.iter().map(|it| ledger.line(it.sitting).unwrap()).collect();
        let mut given = std::collections::HashSet::new();
        let mut codes = std::collections::HashSet::new();
        let mut entries = Vec::new();
        for sitting in &sittings {
            for entry in ledger.story(sitting.sitting).unwrap() {
                if let Event::LinedUp { number, pair, .. } = &entry.event {
                    prop_assert!(given.insert((sitting.sitting, *number)));
                    prop_assert!(codes.insert((sitting.sitting, pair.clone())));
                }
                entries.push(entry);
            }
        }
        let mut dump = Vec::new();
        ledger.copy_out(&mut dump).unwrap();
        let agains: Vec<LedgerEntry> = read_agains(&dump);
        entries.extend(agains);
        for state in ["waiting", "doubted", "in line", "handed over", "taken off"] {
            for order in ledger.orders_in(state).unwrap() {
                let (went, again) = count_of(&entries, &order.id, &lines);
                prop_assert!(went <= 1 + again, "{} went {went} times", order.id);
                let open = lines.iter().flat_map(BenchLine::parcels).filter(|it| {
                    it.state.is_open() && it.orders.contains(&order.id)
                });
                prop_assert_eq!(open.count(), usize::from(state == "in line"));
                if state == "handed over" {
                    prop_assert!(went > 0);
                }
                // The shop is told of what went, and of nothing else.
                prop_assert!(order.told.is_none() || went > 0);
            }
        }
    }
}

/// The entries of a copy that say `again`.
fn read_agains(dump: &[u8]) -> Vec<LedgerEntry> {
    let text = String::from_utf8(dump.to_vec()).unwrap();
    let values = text.lines().map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap());
    values
        .filter(|value| value["event"]["what"] == "again")
        .map(|value| LedgerEntry {
            seq: value["entry"].as_i64().unwrap(),
            act: value["act"].as_i64().unwrap(),
            at: Moment::parse(value["at"].as_str().unwrap()).unwrap(),
            by: "".into(),
            sitting: None,
            event: Event::from_json(&value["event"].to_string()).unwrap(),
        })
        .collect()
}
