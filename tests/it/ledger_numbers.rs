//! What a ledger of years costs: 100,000 orders in 1,500 sittings, and how long every question and
//! entry takes then.
//!
//! `cargo test --test it -- --ignored --nocapture ledger_numbers` prints the figures.

use std::path::Path;
use std::time::{Duration, Instant};

use slipwright::ledger::{
    Act, ActStamp, Arrival, Done, Event, Facts, Ledger, LedgerError, Matching, Moment, News, Paper,
    PrintedParcel, SentOrders,
};

use crate::fuzz_corpus::processor_time;

/// The orders of the ledger.
const ORDERS: usize = 100_000;
/// Its sittings.
const SITTINGS: u32 = 1_500;
/// What a question or an entry may take of a processor.
const MOST: Duration = Duration::from_millis(50);
/// What taking in an export of known orders may take.
const MOST_TAKE_IN: Duration = Duration::from_secs(1);
/// What the file may have.
const MOST_BYTES: u64 = 200_000_000;
/// Orders of an export that is taken in once more.
const EXPORT: usize = 2_000;

/// An order as shops export them.
fn order_json(index: usize) -> String {
    let (name, town) = (["Ines", "Ada", "Bo", "Carl", "Dora"][index % 5], index % 977);
    format!(
        r#"{{"id":"TH-{index:06}","placed":"2026-11-25","ship_to":{{"name":"{name} Marlow-{index}","lines":["{} Quay Street"],"city":"Oakhaven {town}","postcode":"LS{} {}AP","country":"GB","phone":"+44 1632 960{:03}"}},"items":[{{"sku":"NIB-{}","title":"Broad nib, {}","qty":1,"price":"46.00","shelf":"B{}","weight_g":12}},{{"sku":"INK-{}","title":"Ink, harbour blue","qty":2,"price":"9.90","weight_g":120}}],"currency":"GBP","service":"tracked-48","hazard":"none","message":"Please leave it with number {}."}}"#,
        index % 200,
        index % 30,
        index % 10,
        index % 1000,
        index % 40,
        index % 7,
        index % 20,
        index % 12,
        index % 99,
    )
}

/// A stamp in the evening of a sitting.
fn stamp(sitting: u32, second: i64) -> ActStamp {
    let at = Moment::of_clock(1_600_000_000 + i64::from(sitting) * 86_400 + second, 60);
    ActStamp { at, by: "test".into(), request: None }
}

/// Does something.
fn act<T>(
    ledger: &mut Ledger,
    stamp: &ActStamp,
    what: impl FnOnce(&mut Act<'_>) -> Result<T, LedgerError>,
) -> T {
    match ledger.act(stamp, what).unwrap() {
        Done::Now(done) => done,
        Done::Before(_) => panic!("a request that nobody gave"),
    }
}

/// One evening from export to counter; all of it in one act, so that a disk is waited for once.
fn evening(ledger: &mut Ledger, sitting: u32, orders: std::ops::Range<usize>) {
    let texts: Vec<(String, String)> =
        orders.map(|index| (format!("TH-{index:06}"), order_json(index))).collect();
    let count = texts.len() as u32;
    let papers = ["labels", "bench-cards", "slips"]
        .map(|document| Paper { document: document.into(), digest: "0123456789abcdef".into() });
    act(ledger, &stamp(sitting, 0), |act| {
        let arrivals: Vec<Arrival<'_>> =
            texts.iter().map(|(id, json)| Arrival { id, json }).collect();
        act.take_in(&arrivals)?;
        act.begin_sitting("Evening")?;
        for (at, (id, _)) in texts.iter().enumerate() {
            let facts = Facts { weight_g: Some(300 + at as u32), ..Facts::default() };
            act.line_up(sitting, &[id.as_str().into()], &format!("Tag{at}"), facts)?;
        }
        let parcels = (1..=count)
            .map(|number| PrintedParcel { number, count, papers: papers.to_vec() })
            .collect();
        act.printed(sitting, parcels, Some("/home/bench/tern-hollow/evening"))?;
        for number in 1..=count {
            act.matched(sitting, number, Matching::Scan)?;
            act.track(sitting, number, &format!("TH{sitting:06}{number:06}"))?;
            act.happen(sitting, Event::HandedOver { number, carried: None })?;
        }
        act.close(sitting, None)?;
        act.exported(texts.iter().map(|(id, _)| id.as_str().into()).collect())
    });
}

/// The processor's time for the middle one of a few runs, printed with the clock's: other work on the
/// machine lengthens the clock's alone.
fn slowest(what: &str, mut run: impl FnMut()) -> Duration {
    let mut times: Vec<(Duration, Duration)> = (0..7)
        .map(|_| {
            let (began, busy) = (Instant::now(), processor_time());
            run();
            (processor_time().saturating_sub(busy), began.elapsed())
        })
        .collect();
    times.sort();
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    let (middle, by_clock) = times[3];
    let longest = times.iter().map(|(_, clock)| milliseconds(*clock)).fold(0.0, f64::max);
    println!(
        "{what:<44} {:>8.2} ms  (by the clock {:.2}, longest {longest:.2})",
        milliseconds(middle),
        milliseconds(by_clock),
    );
    middle
}

#[test]
#[ignore = "takes minutes; prints the figures of a ledger of years"]
fn a_ledger_of_years() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("years.ledger");
    let mut ledger = Ledger::create(&path).unwrap();
    let began = Instant::now();
    for sitting in 1..=SITTINGS {
        let from = (sitting as usize - 1) * ORDERS / SITTINGS as usize;
        let to = sitting as usize * ORDERS / SITTINGS as usize;
        evening(&mut ledger, sitting, from..to);
        if sitting % 100 == 0 {
            println!("{sitting} sittings after {:.0} s", began.elapsed().as_secs_f64());
        }
    }
    println!(
        "filled in {:.0} s, {} entries",
        began.elapsed().as_secs_f64(),
        ledger.last_entry().unwrap()
    );
    let bytes = std::fs::metadata(&path).unwrap().len();
    println!("{:.1} MB", bytes as f64 / 1e6);
    tonight(&mut ledger);
    let mut slow = ask(&ledger);
    slow.extend(enter(&mut ledger));
    let took = take_in_known(&mut ledger);
    chores(&mut ledger, &path);
    assert!(slow.is_empty(), "over {MOST:?}: {slow:?}");
    assert!(took < MOST_TAKE_IN, "{took:?}");
    assert!(bytes < MOST_BYTES, "{bytes} bytes");
}

/// An evening that is just going on: 60 orders, lined up and printed, and 40 that wait.
fn tonight(ledger: &mut Ledger) {
    let sitting = SITTINGS + 1;
    let texts: Vec<(String, String)> =
        (ORDERS..ORDERS + 100).map(|index| (format!("TH-{index:06}"), order_json(index))).collect();
    act(ledger, &stamp(sitting, 0), |act| {
        let arrivals: Vec<Arrival<'_>> =
            texts.iter().map(|(id, json)| Arrival { id, json }).collect();
        act.take_in(&arrivals)
    });
    act(ledger, &stamp(sitting, 60), |act| {
        act.begin_sitting("Tonight")?;
        for (at, (id, _)) in texts[..60].iter().enumerate() {
            act.line_up(sitting, &[id.as_str().into()], &format!("Tag{at}"), Facts::default())?;
        }
        let papers = vec![Paper { document: "labels".into(), digest: "0".into() }];
        let parcels = (1..=60)
            .map(|number| PrintedParcel { number, count: 60, papers: papers.clone() })
            .collect();
        act.printed(sitting, parcels, None)
    });
}

/// Asks everything; what took too long.
fn ask(ledger: &Ledger) -> Vec<String> {
    let mut slow = Vec::new();
    let mut ask = |what: &str, run: &mut dyn FnMut()| {
        if slowest(what, run) > MOST {
            slow.push(what.to_owned());
        }
    };
    ask("open sitting and its line", &mut || {
        let sitting = ledger.open_sitting().unwrap().unwrap();
        assert_eq!(ledger.line(sitting).unwrap().parcels().count(), 60);
    });
    ask("the line of an old sitting", &mut || {
        ledger.line(700).unwrap();
    });
    ask("what waits", &mut || assert_eq!(ledger.orders_in("waiting").unwrap().len(), 40));
    ask("what is taken off", &mut || assert!(ledger.orders_in("taken off").unwrap().is_empty()));
    ask("one order and what it says", &mut || {
        assert!(ledger.order_json("TH-050000").unwrap().is_some());
    });
    ask("search: a name", &mut || {
        assert_eq!(ledger.find_orders("marlow-99999", 20).unwrap().len(), 1);
    });
    ask("search: two words", &mut || {
        assert_eq!(ledger.find_orders("ink oakhaven", 20).unwrap().len(), 20);
    });
    ask("search: nothing has it", &mut || {
        assert!(ledger.find_orders("heliotrope", 20).unwrap().is_empty());
    });
    ask("all sittings", &mut || {
        assert_eq!(ledger.sittings().unwrap().len(), SITTINGS as usize + 1);
    });
    ask("what the shop was not told of", &mut || {
        assert!(ledger.sent(SentOrders::Untold).unwrap().is_empty());
    });
    ask("what went in a sitting", &mut || {
        assert!(ledger.sent(SentOrders::OfSitting(900)).unwrap().len() > 60);
    });
    ask("the story of a sitting", &mut || assert!(ledger.story(900).unwrap().len() > 300));
    ask("the story of an order", &mut || {
        assert_eq!(ledger.story_of_order("TH-050000").unwrap().len(), 7);
    });
    ask("the last entry", &mut || assert!(ledger.last_entry().unwrap() > 600_000));
    slow
}

/// Enters one of each; what took too long.
fn enter(ledger: &mut Ledger) -> Vec<String> {
    let mut slow = Vec::new();
    let sitting = SITTINGS + 1;
    let mut number = 0;
    let mut second = 2_000;
    let mut enter =
        |what: &str, run: &mut dyn FnMut(&mut Act<'_>, u32) -> Result<(), LedgerError>| {
            let took = slowest(what, || {
                number = number % 60 + 1;
                second += 1;
                act(ledger, &stamp(sitting, second), |act| run(act, number));
            });
            if took > MOST {
                slow.push(what.to_owned());
            }
        };
    let mut next = ORDERS + 60;
    enter("entry: line up", &mut |act, _| {
        let id = format!("TH-{next:06}").into();
        next += 1;
        act.line_up(sitting, &[id], "Late", Facts::default()).map(drop)
    });
    enter("entry: weigh", &mut |act, number| {
        let facts = Facts { weight_g: Some(400), ..Facts::default() };
        act.happen(sitting, Event::Noted { number, facts }).map(drop)
    });
    enter("entry: move", &mut |act, number| {
        act.happen(sitting, Event::Moved { number, before: None }).map(drop)
    });
    enter("entry: match, track, hand over", &mut |act, number| {
        act.matched(sitting, number, Matching::Scan)?;
        act.track(sitting, number, &format!("PC00{number:08}"))?;
        act.happen(sitting, Event::HandedOver { number, carried: None }).map(drop)
    });
    enter("entry: set aside", &mut |act, number| {
        act.happen(sitting, Event::SetAside { number, reason: "no box".into() }).map(drop)
    });
    enter("entry: the last act taken back", &mut |act, _| {
        // Each taking back has something to take back.
        act.happen(sitting, Event::Moved { number: 50, before: Some(2) }).map(drop)
    });
    enter("entry: one order cancelled", &mut |act, _| {
        let id = format!("TH-{next:06}");
        next += 1;
        act.cancel(&id, "cancelled")
    });
    slow
}

/// Takes in an export of orders that are known, most of which went.
fn take_in_known(ledger: &mut Ledger) -> Duration {
    let texts: Vec<(String, String)> = (ORDERS - EXPORT..ORDERS)
        .map(|index| (format!("TH-{index:06}"), order_json(index)))
        .collect();
    let arrivals: Vec<Arrival<'_>> = texts.iter().map(|(id, json)| Arrival { id, json }).collect();
    slowest("2,000 known orders taken in", || {
        let arrived = act(ledger, &stamp(SITTINGS + 1, 9_000), |act| act.take_in(&arrivals));
        assert!(arrived.iter().all(|it| matches!(it.news, News::Gone { .. })));
    })
}

/// What is done once in a while, printed.
fn chores(ledger: &mut Ledger, path: &Path) {
    let timed = |what: &str, run: &mut dyn FnMut()| {
        let began = Instant::now();
        run();
        println!("{what:<44} {:>8.2} s", began.elapsed().as_secs_f64());
    };
    let mut count = 0;
    timed("chore: integrity check", &mut || assert!(ledger.check().unwrap().is_empty()));
    timed("chore: tables compared with entries", &mut || {
        assert!(ledger.is_as_entries_say().unwrap());
    });
    timed("chore: everything held against everything", &mut || {
        assert!(ledger.contradictions().unwrap().is_empty());
    });
    timed("chore: backup", &mut || {
        count += 1;
        ledger.back_up(&path.with_extension(format!("backup{count}"))).unwrap();
    });
    timed("chore: copied out", &mut || {
        ledger.copy_out(&mut std::io::sink()).unwrap();
    });
    timed("chore: half of it forgotten", &mut || {
        let half = stamp(SITTINGS / 2, 0).at;
        let forgotten = act(ledger, &stamp(SITTINGS + 1, 9_100), |act| act.forget(half));
        assert!(forgotten.orders.len() > 49_000);
        ledger.wipe().unwrap();
    });
}
