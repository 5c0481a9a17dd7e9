//! Scans of cards and labels: every kind of mistake is caught and rightly named.

use slipwright::ledger::{
    Event, Ledger, LineRefusal, MatchVerdict, Matcher, Matching, ParcelState,
};

use crate::ledger_support::{act, evening, line_up, print, stamp};

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
        "1 Marlow has the tracking number 00395123451234567895"
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
