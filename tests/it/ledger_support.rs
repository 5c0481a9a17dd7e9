//! What the tests of the ledger have in common: orders, an evening that has begun, and acts.

use std::path::Path;

use slipwright::ledger::{
    ActStamp, Arrival, Done, Facts, Ledger, LedgerError, Moment, News, Paper, PrintedParcel,
};

/// The orders of a test: an id, whom it is for, the title of its item.
pub(crate) fn order_json(id: &str, name: &str, title: &str) -> String {
    format!(
        r#"{{"id": "{id}", "ship_to": {{"name": "{name}", "lines": ["1 Quay"], "city": "Oakhaven",
            "postcode": "LS1 4AP", "country": "GB"}}, "items": [{{"title": "{title}"}}]}}"#
    )
}

/// A stamp so many minutes after the evening began.
pub(crate) fn stamp(minute: i64) -> ActStamp {
    let at = Moment::of_clock(1_796_000_000 + minute * 60, 60);
    ActStamp { at, by: "test".into(), request: None }
}

/// Takes in one order.
pub(crate) fn take_in(ledger: &mut Ledger, minute: i64, id: &str, json: &str) -> News {
    let taken: Result<_, LedgerError> =
        ledger.act(&stamp(minute), |act| act.take_in(&[Arrival { id, json }]));
    let Done::Now(mut arrived) = taken.unwrap() else { panic!("done before") };
    arrived.remove(0).news
}

/// A ledger with three waiting orders and a sitting that has begun.
pub(crate) fn evening(folder: &Path) -> Ledger {
    let mut ledger = Ledger::create(&folder.join("a.ledger")).unwrap();
    for (id, name) in [("TH-1041", "Ines Marlow"), ("TH-1042", "Ada Reed"), ("TH-1043", "Bo Vale")]
    {
        assert_eq!(take_in(&mut ledger, 0, id, &order_json(id, name, "Nib")), News::New);
    }
    act(&mut ledger, 1, |act| act.begin_sitting("Friday")).unwrap();
    ledger
}

/// Does something at a minute.
pub(crate) fn act<T>(
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
pub(crate) fn line_up(ledger: &mut Ledger, minute: i64, orders: &[&str], tag: &str) -> u32 {
    let orders: Vec<Box<str>> = orders.iter().map(|&id| id.into()).collect();
    let line = act(ledger, minute, |act| act.line_up(1, &orders, tag, Facts::default())).unwrap();
    line.next_number() - 1
}

/// Prints a parcel.
pub(crate) fn print(ledger: &mut Ledger, minute: i64, number: u32) {
    let papers = vec![Paper { document: "labels".into(), digest: format!("{minute:016x}").into() }];
    let printed = vec![PrintedParcel { number, count: 9, papers }];
    act(ledger, minute, |act| act.printed(1, printed, None)).unwrap();
}

/// All rows of the tables of what holds now.
pub(crate) fn tables(path: &Path) -> Vec<String> {
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
