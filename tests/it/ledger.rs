//! The ledger: entries that stay, states that follow from them, and whatever an evening does.

use std::path::Path;

use proptest::prelude::*;
use slipwright::ledger::{
    ActStamp, Arrival, BenchLine, Done, Event, Facts, Ledger, LedgerEntry, LedgerError,
    LineRefusal, MatchVerdict, Matcher, Matching, Moment, News, OrderPlace, Paper, ParcelState,
    PrintedParcel, SentOrders,
};

/// The orders of a test: an id, whom it is for, the title of its item.
fn order_json(id: &str, name: &str, title: &str) -> String {
    format!(
        r#"{{"id": "{id}", "ship_to": {{"name": "{name}", "lines": ["1 Quay"], "city": "Oakhaven",
            "postcode": "LS1 4AP", "country": "GB"}}, "items": [{{"title": "{title}"}}]}}"#
    )
}

/// A stamp so many minutes after the evening began.
fn stamp(minute: i64) -> ActStamp {
    let at = Moment::of_clock(1_796_000_000 + minute * 60, 60);
    ActStamp { at, by: "test".into(), request: None }
}

/// Takes in one order.
fn take_in(ledger: &mut Ledger, minute: i64, id: &str, json: &str) -> News {
    let taken: Result<_, LedgerError> =
        ledger.act(&stamp(minute), |act| act.take_in(&[Arrival { id, json }]));
    let Done::Now(mut arrived) = taken.unwrap() else { panic!("done before") };
    arrived.remove(0).news
}

/// A ledger with three waiting orders and a sitting that has begun.
fn evening(folder: &Path) -> Ledger {
    let mut ledger = Ledger::create(&folder.join("a.ledger")).unwrap();
    for (id, name) in [("TH-1041", "Ines Marlow"), ("TH-1042", "Ada Reed"), ("TH-1043", "Bo Vale")]
    {
        assert_eq!(take_in(&mut ledger, 0, id, &order_json(id, name, "Nib")), News::New);
    }
    act(&mut ledger, 1, |act| act.begin_sitting("Friday")).unwrap();
    ledger
}

/// Does something at a minute.
fn act<T>(
    ledger: &mut Ledger,
    minute: i64,
    what: impl FnOnce(&mut slipwright::ledger::Act<'_>) -> Result<T, LedgerError>,
) -> Result<T, LedgerError> {
    match ledger.act(&stamp(minute), what)? {
        Done::Now(done) => Ok(done),
        Done::Before(_) => panic!("a request that nobody gave"),
    }
}

/// Lines up some orders.
fn line_up(ledger: &mut Ledger, minute: i64, orders: &[&str], tag: &str) -> u32 {
    let orders: Vec<Box<str>> = orders.iter().map(|&id| id.into()).collect();
    let line = act(ledger, minute, |act| act.line_up(1, &orders, tag, Facts::default())).unwrap();
    line.next_number() - 1
}

/// Prints a parcel.
fn print(ledger: &mut Ledger, minute: i64, number: u32) {
    let papers = vec![Paper { document: "labels".into(), digest: format!("{minute:016x}").into() }];
    let printed = vec![PrintedParcel { number, count: 9, papers }];
    act(ledger, minute, |act| act.printed(1, printed, None)).unwrap();
}

/// All rows of the tables of what holds now.
fn tables(path: &Path) -> Vec<String> {
    let mut rows = Vec::new();
    for (table, columns) in [
        ("order_been", "id || '|' || sitting || '|' || number"),
        (
            "order_now",
            "id || '|' || state || '|' || since || '|' || coalesce(sitting, '') || '|' || coalesce(number, '') || '|' || reason || '|' || coalesce(told, '') || '|' || coalesce(words, '') || '|' || text || '|' || coalesce(doubt, '')",
        ),
        (
            "parcel_now",
            "sitting || '|' || number || '|' || place || '|' || tag || '|' || state || '|' || since || '|' || reason || '|' || coalesce(weight_g, '') || '|' || tracking",
        ),
        (
            "sitting_now",
            "sitting || '|' || name || '|' || key || '|' || opened || '|' || coalesce(closed, '')",
        ),
    ] {
        let db = rusqlite::Connection::open(path).unwrap();
        let mut query = db.prepare(&format!("SELECT {columns} FROM {table} ORDER BY 1")).unwrap();
        let found = query.query_map([], |row| row.get::<_, String>(0)).unwrap();
        rows.extend(found.map(|row| format!("{table}: {}", row.unwrap())));
    }
    rows
}

#[test]
fn an_evening_goes_its_way() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    assert_eq!(line_up(&mut ledger, 2, &["TH-1041"], "Marlow"), 1);
    assert_eq!(line_up(&mut ledger, 3, &["TH-1042", "TH-1043"], "Reed"), 2);
    print(&mut ledger, 4, 1);
    let early = act(&mut ledger, 5, |act| act.matched(1, 2, Matching::Scan));
    assert_eq!(early.unwrap_err().to_string(), "parcel 2 `Reed` is lined up, not printed");
    act(&mut ledger, 6, |act| act.matched(1, 1, Matching::Scan)).unwrap();
    act(&mut ledger, 7, |act| act.track(1, 1, "RR473124829GB")).unwrap();
    act(&mut ledger, 7, |act| act.track(1, 1, "RR473124829GB")).unwrap();
    let twice = act(&mut ledger, 8, |act| act.track(1, 2, "RR473124829GB")).unwrap_err();
    assert_eq!(
        twice.to_string(),
        "the tracking number `RR473124829GB` is that of parcel 1 `Marlow` of sitting 1, matched"
    );
    act(&mut ledger, 9, |act| act.happen(1, Event::HandedOver { number: 1 })).unwrap();
    let open = act(&mut ledger, 9, |act| act.close(1, None)).unwrap_err();
    assert_eq!(open.to_string(), "not handed over yet: 2");
    act(&mut ledger, 10, |act| act.close(1, Some("no time"))).unwrap();
    assert_eq!(ledger.open_sitting().unwrap(), None);
    let waiting: Vec<_> =
        ledger.orders_in("waiting").unwrap().into_iter().map(|it| it.id).collect();
    assert_eq!(waiting, ["TH-1042".into(), "TH-1043".into()]);
    let sent = ledger.sent(SentOrders::Untold).unwrap();
    assert_eq!((sent.len(), &*sent[0].tracking, sent[0].number), (1, "RR473124829GB", 1));
    act(&mut ledger, 11, |act| act.exported(vec!["TH-1041".into()])).unwrap();
    assert_eq!(ledger.sent(SentOrders::Untold).unwrap(), []);
    assert_eq!(ledger.sent(SentOrders::All).unwrap().len(), 1);
    // The next evening knows what went.
    let again = take_in(&mut ledger, 1500, "TH-1041", &order_json("TH-1041", "Ines Marlow", "Ink"));
    let News::Gone { place, since, differences } = again else { panic!("{again:?}") };
    assert_eq!((place, &*since), (OrderPlace::HandedOver(1, 1), "2026-11-30"));
    assert_eq!(differences[0].path, "items[0].title");
    act(&mut ledger, 1501, |act| act.begin_sitting("Saturday")).unwrap();
    let refused = act(&mut ledger, 1502, |act| {
        act.line_up(2, &["TH-1041".into()], "Marlow", Facts::default())
    });
    assert_eq!(
        refused.unwrap_err().to_string(),
        "the order `TH-1041` is handed over as parcel 1 of sitting 1"
    );
    act(&mut ledger, 1503, |act| act.again("TH-1041", "lost in the post")).unwrap();
    act(&mut ledger, 1504, |act| act.line_up(2, &["TH-1041".into()], "Marlow", Facts::default()))
        .unwrap();
}

#[test]
fn entries_are_never_changed_and_tables_are_made_of_them() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    line_up(&mut ledger, 2, &["TH-1041"], "Marlow");
    act(&mut ledger, 3, |act| {
        act.happen(1, Event::TakenOff { number: 1, reason: "cancelled".into() })
    })
    .unwrap();
    act(&mut ledger, 4, |act| act.undo(1)).unwrap();
    let path = folder.path().join("a.ledger");
    let before = tables(&path);
    ledger.rebuild().unwrap();
    assert_eq!(tables(&path), before);
    // Whoever opens it as we do cannot change an entry; not by replacing it either.
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch("PRAGMA recursive_triggers = 1").unwrap();
    for text in [
        "UPDATE entry SET by = 'x'",
        "DELETE FROM entry",
        "INSERT OR REPLACE INTO entry (seq, act, at, by, event) VALUES (1, 1, '', '', '')",
    ] {
        assert!(db.execute(text, []).unwrap_err().to_string().contains("never"), "{text}");
    }
    // A copy in plain text fills an empty ledger with the same.
    let mut lines = Vec::new();
    let copied = ledger.copy_out(&mut lines).unwrap();
    assert_eq!((copied.texts, copied.is_cut), (3, false));
    let mut other = Ledger::create(&folder.path().join("b.ledger")).unwrap();
    assert_eq!(other.copy_in(&lines[..]).unwrap(), copied);
    let mut again = Vec::new();
    other.copy_out(&mut again).unwrap();
    assert_eq!(String::from_utf8(lines).unwrap(), String::from_utf8(again).unwrap());
    assert_eq!(tables(&folder.path().join("b.ledger")), before);
    assert_eq!(ledger.check().unwrap(), Vec::<String>::new());
}

#[test]
fn files_that_are_no_ledger_of_ours() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.ledger");
    let fault = |path: &Path| Ledger::open(path).err().unwrap().to_string();
    assert_eq!(fault(&path), "there is no ledger yet");
    std::fs::write(&path, "").unwrap();
    assert_eq!(fault(&path), "the ledger is empty: what it held is lost");
    std::fs::write(&path, "no database at all, but long enough to be looked at".repeat(40))
        .unwrap();
    assert_eq!(fault(&path), "this file is no ledger");
    std::fs::remove_file(&path).unwrap();
    drop(evening(folder.path()));
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch("PRAGMA user_version = 2").unwrap();
    drop(db);
    let bytes = std::fs::read(&path).unwrap();
    assert_eq!(fault(&path), "the ledger is of version 2, newer than this program's");
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        assert_eq!(std::fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
    }
}

#[test]
fn a_request_given_twice_is_done_once() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    let request = ActStamp { request: Some("r-1".into()), ..stamp(2) };
    let lines_up = |act: &mut slipwright::ledger::Act<'_>| {
        act.line_up(
            1,
            &["TH-1041".into()],
            "Marlow",
            Facts { weight_g: Some(80), ..Facts::default() },
        )
    };
    let first: Result<Done<BenchLine>, LedgerError> = ledger.act(&request, lines_up);
    assert!(matches!(first, Ok(Done::Now(_))));
    let second: Result<Done<BenchLine>, LedgerError> = ledger.act(&request, lines_up);
    let Ok(Done::Before(entries)) = second else { panic!("{second:?}") };
    assert_eq!(entries.len(), 2);
    assert_eq!(ledger.line(1).unwrap().parcels().count(), 1);
}

#[test]
fn what_was_done_last_is_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    let nothing = act(&mut ledger, 2, |act| act.undo(1)).unwrap_err();
    assert_eq!(nothing.to_string(), "there is nothing to take back");
    line_up(&mut ledger, 3, &["TH-1041"], "Marlow");
    let code = ledger.line(1).unwrap().parcel(1).unwrap().pair;
    act(&mut ledger, 4, |act| act.undo(1)).unwrap();
    assert_eq!(ledger.order("TH-1041").unwrap().unwrap().place, OrderPlace::Waiting);
    // Neither its number nor its code is given again.
    assert_eq!(line_up(&mut ledger, 5, &["TH-1042"], "Reed"), 2);
    assert_ne!(ledger.line(1).unwrap().parcel(2).unwrap().pair, code);
    print(&mut ledger, 6, 2);
    let printed = act(&mut ledger, 7, |act| act.undo(1)).unwrap_err();
    assert_eq!(
        printed.to_string(),
        "what was printed last cannot be taken back: the paper is there"
    );
    // An order that went elsewhere is not fetched back.
    line_up(&mut ledger, 8, &["TH-1041"], "Marlow");
    act(&mut ledger, 9, |act| act.happen(1, Event::SetAside { number: 3, reason: "".into() }))
        .unwrap();
    act(&mut ledger, 10, |act| act.cancel("TH-1041", "cancelled")).unwrap();
    let gone = act(&mut ledger, 11, |act| act.undo(1)).unwrap_err();
    assert_eq!(gone.to_string(), "the order `TH-1041` is taken off: cancelled");
}

#[test]
fn the_first_parcel_is_taken_back_without_its_sitting() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::create(&folder.path().join("a.ledger")).unwrap();
    take_in(&mut ledger, 0, "TH-1041", &order_json("TH-1041", "Ines Marlow", "Nib"));
    act(&mut ledger, 1, |act| {
        let sitting = act.begin_sitting("Friday")?.sitting;
        act.line_up(sitting, &["TH-1041".into()], "Marlow", Facts::default())
    })
    .unwrap();
    let (taken, line) = act(&mut ledger, 2, |act| act.undo(1)).unwrap();
    assert_eq!((taken.len(), line.parcels().count()), (1, 0));
    assert_eq!(ledger.open_sitting().unwrap(), Some(1));
    assert_eq!(ledger.order("TH-1041").unwrap().unwrap().place, OrderPlace::Waiting);
}

#[test]
fn what_was_measured_is_of_what_the_parcel_held() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    line_up(&mut ledger, 2, &["TH-1041"], "Marlow");
    let facts = Facts {
        weight_g: Some(80),
        hazard: Some("none".into()),
        pack: Some("small box".into()),
        ..Facts::default()
    };
    act(&mut ledger, 3, |act| act.happen(1, Event::Noted { number: 1, facts })).unwrap();
    let line = act(&mut ledger, 4, |act| act.join(1, 1, "TH-1042")).unwrap();
    // Neither the scale nor a declaration knew of the second order; what was decided stays.
    let decided = Facts { pack: Some("small box".into()), ..Facts::default() };
    assert_eq!(line.parcel(1).unwrap().facts, decided);
    let (_, line) = act(&mut ledger, 5, |act| act.undo(1)).unwrap();
    assert_eq!(line.parcel(1).unwrap().facts.weight_g, Some(80));
}

#[test]
fn orders_that_may_be_one_are_held_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    let doubted = |id: &str, other: &str| {
        News::Doubted { other: other.into(), place: OrderPlace::Waiting }.eq(&take_in(
            &mut ledger_of(folder.path()),
            2,
            id,
            &order_json(id, "Ines Marlow", "Nib"),
        ))
    };
    drop(ledger);
    for id in ["th-1041", "#1041", "TH-1041-2"] {
        assert!(doubted(id, "TH-1041"), "{id}");
    }
    ledger = ledger_of(folder.path());
    // Another buyer's, or another number, is another order.
    for (id, name) in [("1041", "Bo Vale"), ("TH-1044", "Ines Marlow")] {
        assert_eq!(take_in(&mut ledger, 3, id, &order_json(id, name, "Nib")), News::New);
    }
    let refused =
        act(&mut ledger, 4, |act| act.line_up(1, &["#1041".into()], "Marlow", Facts::default()));
    assert_eq!(
        refused.unwrap_err().to_string(),
        "the order `#1041` is held back: it may be `TH-1041` once more"
    );
    act(&mut ledger, 5, |act| act.again("#1041", "two orders")).unwrap();
    line_up(&mut ledger, 6, &["#1041"], "Marlow");
}

/// The ledger of an evening, opened once more.
fn ledger_of(folder: &Path) -> Ledger {
    Ledger::open(&folder.join("a.ledger")).unwrap()
}

#[test]
fn what_is_forgotten_is_gone_from_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    line_up(&mut ledger, 2, &["TH-1041"], "M");
    print(&mut ledger, 3, 1);
    act(&mut ledger, 4, |act| act.matched(1, 1, Matching::Eye)).unwrap();
    act(&mut ledger, 5, |act| act.happen(1, Event::HandedOver { number: 1 })).unwrap();
    let before = Moment::parse("2027-01-01").unwrap();
    let forgotten = act(&mut ledger, 6, |act| act.forget(before)).unwrap();
    assert_eq!((forgotten.orders, forgotten.kept), (vec!["TH-1041".into()], 2));
    ledger.wipe().unwrap();
    assert_eq!(ledger.order_json("TH-1041").unwrap(), None);
    drop(ledger);
    for name in ["a.ledger", "a.ledger-wal"] {
        let bytes = std::fs::read(folder.path().join(name)).unwrap_or_default();
        let holds = |text: &[u8]| bytes.windows(text.len()).any(|window| window == text);
        assert!(!holds(b"Ines Marlow") && !holds(b"ines marlow"), "{name}");
        assert!(name != "a.ledger" || holds(b"Bo Vale"));
    }
    // It is still known by its id.
    let again = take_in(
        &mut ledger_of(folder.path()),
        7,
        "TH-1041",
        &order_json("TH-1041", "Ines Marlow", "Nib"),
    );
    assert!(matches!(again, News::Gone { .. }), "{again:?}");
}

#[test]
fn scans_are_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    for (minute, id, tag) in
        [(2, "TH-1041", "Marlow"), (3, "TH-1042", "Reed"), (4, "TH-1043", "Vale")]
    {
        line_up(&mut ledger, minute, &[id], tag);
    }
    print(&mut ledger, 5, 1);
    print(&mut ledger, 6, 2);
    let line = ledger.line(1).unwrap();
    let code = |number: u32, side: char| {
        let pair = line.parcel(number).unwrap().pair;
        format!("SW/{side}/{pair}/{number}-9/{}", line.key)
    };
    let mut matcher = Matcher::default();
    let mut say = |text: &str| matcher.scan(&line, text).to_string();
    assert_eq!(say(&code(1, 'C')), "the bench card of 1 Marlow: now its label");
    assert_eq!(say(&code(1, 'L')), "right: 1 Marlow");
    assert_eq!(say("rr473124829gb"), "1 Marlow has the tracking number RR473124829GB");
    assert_eq!(
        say("RR473124820GB"),
        "the check digit of the tracking number RR473124820GB is wrong: scan it again"
    );
    assert_eq!(
        say("(00)395123451234567895"),
        "1 Marlow has the tracking number 395123451234567895"
    );
    assert_eq!(say(&code(2, 'L')), "the label of 2 Reed: now its bench card");
    assert_eq!(
        say(&code(1, 'C')),
        "wrong: the label is 2 Reed, the bench card is 1 Marlow; put both back and find the other \
         half of one"
    );
    assert_eq!(say(&code(1, 'L')), "the label of 1 Marlow: now its bench card");
    assert_eq!(
        say(&code(2, 'L')),
        "two labels, 1 Marlow and 2 Reed: now the bench card that lies with 2 Reed"
    );
    assert_eq!(say("TH-1042"), "this is the bar code of 2 Reed: scan the square code beside it");
    assert_eq!(say(&code(2, 'C')), "right: 2 Reed");
    assert_eq!(
        say(&code(3, 'C')),
        "nothing is printed for 3 Vale yet: this paper is not of tonight's"
    );
    assert_eq!(
        say("RR473124829GB"),
        "RR473124829GB is a tracking number: match the parcel first, then scan it"
    );
    assert_eq!(say("hello"), "this is no code of ours");
    let other = code(1, 'L').replace(line.key.as_str(), "2222");
    assert_eq!(say(&other), "this was printed for another sitting (`2222`): do not use it tonight");
    assert_eq!(
        say(&code(1, 'L').replace("/1-9/", "/2-9/")),
        format!(
            "no parcel of this line has the pair code `{}`: do not use this paper",
            line.parcel(1).unwrap().pair
        )
    );
}

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
            act(ledger, minute, |act| act.track(sitting, number_of(*a), &format!("T{b}"))).map(drop)
        }
        Whim::HandOver(a) => happens(ledger, Event::HandedOver { number: number_of(*a) }),
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

/// Ten thousand parcels, and one in a hundred of each kind of mistake: every wrong pair is caught and
/// rightly named, no right one is refused.
#[test]
fn ten_thousand_pairs_with_every_mistake() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::create(&folder.path().join("a.ledger")).unwrap();
    let opened = act(&mut ledger, 0, |act| act.begin_sitting("long")).unwrap();
    let mut line = opened.clone();
    let at = stamp(1).at;
    for number in 1..=10_000_u32 {
        let orders = vec![format!("TH-{number}").into()];
        let pair = line.next_pair().as_str().into();
        let tag = format!("Tag{number}").into();
        line.apply(&Event::LinedUp { number, orders, tag, pair }, at).unwrap();
        if number % 100 != 50 {
            let papers = vec![];
            line.apply(&Event::Printed { number, count: 10_000, papers, kit: None }, at).unwrap();
        }
        if number % 100 == 60 {
            let reason = "cancelled".into();
            line.apply(&Event::TakenOff { number, reason }, at).unwrap();
        }
    }
    let scan = |number: u32, side: char| {
        let pair = line.parcel(number).unwrap().pair;
        format!("SW/{side}/{pair}/{number}-10000/{}", line.key)
    };
    let mut matcher = Matcher::default();
    let mut counts = std::collections::BTreeMap::<&str, usize>::new();
    for number in 1..=10_000_u32 {
        let next = number % 10_000 + 1;
        let (first, second) = match number % 100 {
            10 => (scan(number, 'C'), scan(next, 'L')),
            20 => (scan(number, 'L'), scan(next, 'L')),
            30 => (scan(number, 'C'), scan(next, 'C')),
            40 => (scan(number, 'C'), scan(number, 'L').replace(line.key.as_str(), "2222")),
            70 => (scan(number, 'C'), "RR473124829GB".to_owned()),
            80 => (scan(number, 'C'), "a book's bar code".to_owned()),
            90 => (scan(number, 'C'), scan(number, 'L').replace("SW/L/", "SW/X/")),
            _ => (scan(number, 'C'), scan(number, 'L')),
        };
        matcher.scan(&line, &first);
        let verdict = matcher.scan(&line, &second);
        let expected = match number % 100 {
            10 => "wrong",
            20 => "two-labels",
            30 => "two-cards",
            40 => "other-sitting",
            50 => "not-printed",
            60 => "out",
            70 => "tracking-first",
            80 => "foreign",
            90 => "misread",
            _ => "right",
        };
        assert_eq!(verdict.word(), expected, "{number}: {verdict}");
        if let MatchVerdict::Right { parcel } = &verdict {
            assert_eq!(parcel.number, number);
        }
        *counts.entry(verdict.word()).or_default() += 1;
        matcher = Matcher::default();
    }
    assert_eq!(counts["right"], 9_100);
    assert!(counts.values().filter(|&&count| count == 100).count() == 9);
    assert_eq!(
        line.check(&Event::Matched { number: 50, how: Matching::Scan }),
        Err(LineRefusal::State {
            number: 50,
            tag: "Tag50".into(),
            state: ParcelState::LinedUp,
            wanted: "printed",
        })
    );
}

/// A carrier's numbers come when the sitting is closed, and the shop is told of them once more.
#[test]
fn a_number_that_comes_the_morning_after_is_told_to_the_shop() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    line_up(&mut ledger, 2, &["TH-1041", "TH-1042"], "Marlow");
    line_up(&mut ledger, 2, &["TH-1043"], "Vale");
    for number in [1, 2] {
        print(&mut ledger, 3, number);
        act(&mut ledger, 4, |act| act.matched(1, number, Matching::Eye)).unwrap();
    }
    act(&mut ledger, 5, |act| act.happen(1, Event::HandedOver { number: 1 })).unwrap();
    act(&mut ledger, 5, |act| act.happen(1, Event::TakenOff { number: 2, reason: "".into() }))
        .unwrap();
    act(&mut ledger, 6, |act| act.close(1, None)).unwrap();
    act(&mut ledger, 7, |act| act.exported(vec!["TH-1041".into(), "TH-1042".into()])).unwrap();
    assert_eq!(ledger.sent(SentOrders::Untold).unwrap(), []);
    act(&mut ledger, 900, |act| act.track(1, 1, "RR473124829GB")).unwrap();
    let untold = ledger.sent(SentOrders::Untold).unwrap();
    let untold: Vec<(&str, &str)> = untold.iter().map(|it| (&*it.order, &*it.tracking)).collect();
    assert_eq!(untold, [("TH-1041", "RR473124829GB"), ("TH-1042", "RR473124829GB")]);
    assert_eq!(ledger.sent(SentOrders::OfSitting(1)).unwrap().len(), 2);
    let off = act(&mut ledger, 901, |act| act.track(1, 2, "PC0012345678")).unwrap_err();
    assert_eq!(off.to_string(), "parcel 2 `Vale` is taken off, not on its way");
    // Nothing else happens to a line that is closed.
    let closed = act(&mut ledger, 902, |act| act.matched(1, 1, Matching::Eye)).unwrap_err();
    assert_eq!(closed.to_string(), "this sitting is closed");
    assert!(ledger.is_as_entries_say().unwrap());
}

/// What happened to an order is found wherever it lay, also in a parcel that it left.
#[test]
fn an_order_has_its_story() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    line_up(&mut ledger, 2, &["TH-1041"], "Marlow");
    act(&mut ledger, 3, |act| {
        act.happen(1, Event::SetAside { number: 1, reason: "no box".into() })
    })
    .unwrap();
    act(&mut ledger, 4, |act| act.close(1, None)).unwrap();
    act(&mut ledger, 1500, |act| act.begin_sitting("Saturday")).unwrap();
    act(&mut ledger, 1501, |act| {
        act.line_up(2, &["TH-1042".into()], "Reed", Facts::default())?;
        act.join(2, 1, "TH-1041")
    })
    .unwrap();
    let story = ledger.story_of_order("TH-1041").unwrap();
    let what: Vec<String> = story.iter().map(|entry| kind(&entry.event)).collect();
    assert_eq!(what, ["came", "lined-up", "set-aside", "lined-up", "joined"]);
}

/// The word of an event.
fn kind(event: &Event) -> String {
    let value: serde_json::Value = serde_json::from_str(&event.to_json()).unwrap();
    value["what"].as_str().unwrap().to_owned()
}

/// Tables that somebody changed by hand are known, and made again.
#[test]
fn tables_that_were_changed_are_known() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    line_up(&mut ledger, 2, &["TH-1041"], "Marlow");
    assert!(ledger.is_as_entries_say().unwrap());
    let db = rusqlite::Connection::open(folder.path().join("a.ledger")).unwrap();
    db.execute("UPDATE parcel_now SET state = 'handed over'", []).unwrap();
    drop(db);
    assert!(!ledger.is_as_entries_say().unwrap());
    ledger.rebuild().unwrap();
    assert!(ledger.is_as_entries_say().unwrap());
}

/// Whoever may not read the ledger may read neither its journal nor its backup.
#[cfg(unix)]
#[test]
fn nobody_else_reads_the_ledger() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let ledger = evening(folder.path());
    ledger.back_up(&folder.path().join("b.ledger")).unwrap();
    let mode = |name: &str| {
        let known = std::fs::metadata(folder.path().join(name)).unwrap();
        known.permissions().mode() & 0o777
    };
    for name in ["a.ledger", "a.ledger-wal", "a.ledger-shm", "b.ledger"] {
        assert_eq!(mode(name), 0o600, "{name}");
    }
}
