//! The ledger: entries that stay, states that follow from them, and whatever an evening does.

use std::path::Path;

use slipwright::ledger::{
    ActStamp, BenchLine, CutCopy, Done, Event, Facts, Ledger, LedgerError, Matching, Moment, News,
    OrderPlace, SentOrders,
};

use crate::ledger_support::{act, evening, line_up, order_json, print, stamp, tables, take_in};

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
    act(&mut ledger, 9, |act| act.happen(1, Event::HandedOver { number: 1, carried: None }))
        .unwrap();
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
    assert_eq!(other.copy_in(&lines[..], CutCopy::Refused).unwrap(), copied);
    let mut again = Vec::new();
    other.copy_out(&mut again).unwrap();
    assert_eq!(String::from_utf8(lines).unwrap(), String::from_utf8(again).unwrap());
    assert_eq!(tables(&folder.path().join("b.ledger")), before);
    assert_eq!(ledger.check().unwrap(), Vec::<String>::new());
}

/// Wherever a copy is cut, between its lines or within one, it is not taken for a whole one; and a line that
/// is gone or there twice is found.
#[test]
fn a_copy_that_is_cut_is_not_whole() {
    let folder = tempfile::tempdir().unwrap();
    let mut ledger = evening(folder.path());
    line_up(&mut ledger, 2, &["TH-1041"], "Marlow");
    let mut whole = Vec::new();
    ledger.copy_out(&mut whole).unwrap();
    let take = |name: &str, lines: &[u8], cut: CutCopy| {
        let path = folder.path().join(name);
        let taken = Ledger::create(&path).unwrap().copy_in(lines, cut);
        std::fs::remove_file(path).unwrap();
        taken
    };
    assert!(take("whole", &whole, CutCopy::Refused).is_ok());
    let text = String::from_utf8(whole.clone()).unwrap();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    for end in (1..whole.len() - 1).step_by(7) {
        assert!(take("cut", &whole[..end], CutCopy::Refused).is_err(), "{end}");
    }
    let first = lines[0].len();
    let taken = take("cut", &whole[..whole.len() - 9], CutCopy::Taken).unwrap();
    assert!(taken.is_cut && taken.texts == 3);
    assert_eq!(take("cut", &whole[..first], CutCopy::Taken).unwrap().entries, 0);
    for at in 1..lines.len() - 1 {
        let without: String =
            lines.iter().enumerate().filter(|(it, _)| *it != at).map(|it| *it.1).collect();
        assert!(take("less", without.as_bytes(), CutCopy::Refused).is_err(), "without {at}");
        let twice = lines[..=at].concat() + &lines[at..].concat();
        let error = take("twice", twice.as_bytes(), CutCopy::Refused).unwrap_err();
        assert!(format!("{error:?}").contains("is there twice"), "{at}: {error:?}");
    }
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
    db.execute_batch("PRAGMA user_version = 4").unwrap();
    drop(db);
    let bytes = std::fs::read(&path).unwrap();
    assert_eq!(fault(&path), "the ledger is of version 4, newer than this program's");
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
    act(&mut ledger, 5, |act| act.happen(1, Event::HandedOver { number: 1, carried: None }))
        .unwrap();
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
    act(&mut ledger, 5, |act| act.happen(1, Event::HandedOver { number: 1, carried: None }))
        .unwrap();
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

/// Papers of another ledger's sitting are not taken for those of this one, though both begin in one second.
#[test]
fn two_ledgers_that_begin_in_one_second_have_other_codes() {
    let begin = |id: &str, name: &str| {
        let folder = tempfile::tempdir().unwrap();
        let mut ledger = Ledger::create(&folder.path().join("a.ledger")).unwrap();
        take_in(&mut ledger, 0, id, &order_json(id, name, "Nib"));
        let line = act(&mut ledger, 1, |act| act.begin_sitting("Friday")).unwrap();
        (line.key, line.next_pair())
    };
    let (ours, theirs) = (begin("101", "Ines Marlow"), begin("101", "Bo Vale"));
    assert!(ours.0 != theirs.0 && ours.1 != theirs.1, "{ours:?}, {theirs:?}");
    assert_eq!(ours, begin("101", "Ines Marlow"));
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

/// What another program changed in the file is found where something else contradicts it.
#[test]
fn what_was_changed_behind_its_back_is_found() {
    let faults = |change: &str| {
        let folder = tempfile::tempdir().unwrap();
        let mut ledger = evening(folder.path());
        line_up(&mut ledger, 2, &["TH-1041"], "Marlow");
        assert_eq!(ledger.contradictions().unwrap(), [""; 0]);
        let db = rusqlite::Connection::open(folder.path().join("a.ledger")).unwrap();
        db.execute_batch(change).unwrap();
        drop(db);
        ledger.contradictions().unwrap()
    };
    let unlock = "DROP TRIGGER entry_is_never_changed; DROP TRIGGER entry_is_never_removed;";
    let unlocked = "`entry_is_never_changed` and `entry_is_never_removed` are gone from the file or \
                    changed";
    // Of whom it is for and what is in it, the words that searches look through tell.
    assert_eq!(
        faults(
            "UPDATE order_text SET json = replace(json, 'Marlow', 'Merlow') WHERE order_id = 'TH-1041'"
        ),
        [
            "`TH-1041` says something else than when it came in: its text was changed by another program"
        ]
    );
    assert_eq!(
        faults("UPDATE order_text SET json = json || '}' WHERE order_id = 'TH-1041'")[0],
        "text 1 of `TH-1041` is no order of that id"
    );
    assert_eq!(
        faults(
            "UPDATE order_text SET json = replace(json, 'TH-1041', 'TH-1042') WHERE order_id = 'TH-1041'"
        )[0],
        "text 1 of `TH-1041` is no order of that id"
    );
    assert_eq!(
        faults("UPDATE order_text SET json = NULL WHERE order_id = 'TH-1041'")[0],
        "`TH-1041` has lost what it says, and no entry says that it was forgotten"
    );
    let text = "SELECT 99, 'TH-1041', json FROM order_text WHERE order_id = 'TH-1041'";
    assert_eq!(
        faults(&format!("INSERT INTO order_text {text}")),
        ["text 99 of `TH-1041` is there, and no entry tells of it"]
    );
    let found = faults("DELETE FROM order_text WHERE order_id = 'TH-1041'");
    assert!(found[0].ends_with("names a text that its order has not"), "{found:?}");
    let found = faults("UPDATE parcel_now SET state = 'handed over'");
    assert!(found[0].starts_with("the tables of what holds now"), "{found:?}");
    let found = faults(&format!("{unlock} DELETE FROM entry WHERE seq = 2"));
    assert_eq!(found[0], unlocked);
    assert!(found[1].starts_with("entries are missing: there are "), "{found:?}");
    let found = faults(&format!("{unlock} UPDATE entry SET number = 9 WHERE number = 1"));
    assert!(found[1].ends_with("is kept under another parcel's number"), "{found:?}");
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
