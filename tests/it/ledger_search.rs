//! Searching the orders of a ledger: what is found, in which order, and among how many.

use slipwright::ledger::{Arrival, Event, Facts, Ledger, Matching, Paper, PrintedParcel};

use crate::ledger_support::{act, order_json};

/// Orders that wait: more than a search looks at before it reads the table as it lies.
const WAITING: usize = 2_300;

/// The ids that a search finds.
fn found(ledger: &Ledger, text: &str, most: usize) -> Vec<String> {
    let orders = ledger.find_orders(text, most).unwrap();
    orders.into_iter().map(|order| order.id.into()).collect()
}

#[test]
fn accents_and_letter_case_are_no_matter() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.ledger");
    let mut ledger = Ledger::create(&path).unwrap();
    let names = ["Jürgen Müller", "Ada Weißenfels", "Søren Holm", "Ewa Wiśniewska"];
    let ids = ["TH-0", "TH-1", "TH-2", "TH-3"];
    let texts: Vec<_> =
        ids.iter().zip(names).map(|(id, name)| order_json(id, name, "Füllhalter")).collect();
    let arrivals: Vec<_> = ids.iter().zip(&texts).map(|(id, json)| Arrival { id, json }).collect();
    act(&mut ledger, 0, |act| act.take_in(&arrivals)).unwrap();
    let searches = [
        ("Muller", 0),
        ("MÜLLER", 0),
        ("weissenf", 1),
        ("Weißenf", 1),
        ("soren", 2),
        ("wisniew", 3),
    ];
    let look = |ledger: &Ledger| {
        for (words, at) in searches {
            assert_eq!(found(ledger, words, 9), [ids[at]], "{words}");
        }
        assert_eq!(found(ledger, "fullhalter", 9).len(), 4);
    };
    look(&ledger);
    // A ledger that an older program began finds them as well.
    drop(ledger);
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch(
        "UPDATE order_now SET words = 'müller';
         DROP INDEX order_news;
         ALTER TABLE entry DROP COLUMN asks;
         ALTER TABLE order_now DROP COLUMN called_off;
         ALTER TABLE order_now DROP COLUMN changed_from;
         PRAGMA user_version = 1;",
    )
    .unwrap();
    drop(db);
    let mut ledger = Ledger::open(&path).unwrap();
    look(&ledger);
    assert!(ledger.is_as_entries_say().unwrap());
}

#[test]
fn a_search_finds_the_newest_of_each_state_and_all_there_are() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::create(&folder.path().join("a.ledger")).unwrap();
    // One in seven has an ink, one in a thousand a stand; every order has a nib.
    let title = |at: usize| match at {
        _ if at % 1_000 == 3 => "Nib and stand",
        _ if at % 7 == 3 => "Nib and ink",
        _ => "Nib",
    };
    // The ids tell nothing of what came first.
    let id = |at: usize| format!("TH-{:04}", at * 7_919 % 9_973);
    let texts: Vec<_> =
        (0..WAITING).map(|at| (id(at), order_json(&id(at), "Ines Marlow", title(at)))).collect();
    let arrivals: Vec<_> = texts.iter().map(|(id, json)| Arrival { id, json }).collect();
    act(&mut ledger, 0, |act| act.take_in(&arrivals)).unwrap();
    let ids_of = |what: &[usize]| what.iter().map(|at| id(*at)).collect::<Vec<_>>();
    let newest = |wanted: &dyn Fn(usize) -> bool, most: usize| {
        let newest = (0..WAITING).rev().filter(|at| wanted(*at)).take(most);
        ids_of(&newest.collect::<Vec<_>>())
    };
    assert_eq!(found(&ledger, "NIB marlow", 9), newest(&|_| true, 9));
    assert_eq!(found(&ledger, "ink", 9), newest(&|at| title(at).ends_with("ink"), 9));
    // Some of them only among those that came first.
    let inks = newest(&|at| title(at).ends_with("ink"), WAITING);
    assert_eq!(found(&ledger, "ink", 10_000), inks);
    assert_eq!(found(&ledger, "stand", 9), ids_of(&[2_003, 1_003, 3]));
    assert_eq!(found(&ledger, "stand", 2), ids_of(&[2_003, 1_003]));
    assert_eq!(found(&ledger, &id(17), 9), ids_of(&[17]));
    assert!(found(&ledger, "nib heliotrope", 9).is_empty());
    assert!(found(&ledger, "nib", 0).is_empty());

    act(&mut ledger, 1, |act| {
        act.begin_sitting("Friday")?;
        for (at, tag) in [(3, "Otter"), (1_003, "Wren")] {
            act.line_up(1, &[id(at).into()], tag, Facts::default())?;
        }
        let papers = vec![Paper { document: "labels".into(), digest: "0".into() }];
        act.printed(1, vec![PrintedParcel { number: 1, count: 2, papers }], None)?;
        act.matched(1, 1, Matching::Scan)?;
        act.happen(1, Event::HandedOver { number: 1, carried: None })?;
        act.cancel(&id(0), "cancelled")
    })
    .unwrap();
    // What waits, what is in the line, what was taken off, what went.
    assert_eq!(found(&ledger, "stand", 9), ids_of(&[2_003, 1_003, 3]));
    let all = found(&ledger, "nib", 10_000);
    assert_eq!(all.len(), WAITING);
    assert_eq!(all[WAITING - 3..], ids_of(&[1_003, 0, 3]));
}
