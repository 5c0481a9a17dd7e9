//! Commands that are killed at random moments of an evening of sixty parcels, with two stations at one
//! ledger: what was acknowledged is there, and nothing counts as matched that was not.
//!
//! A few kills are part of every run; `cargo test --test it -- --ignored --nocapture ledger_kills` does
//! two hundred.

use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::process::Child;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use slipwright::ledger::{Event, Ledger, OrderPlace, ParcelState, SentOrders};

use crate::command::Desk;
use crate::ledger_cases::print_parcels;

/// The parcels of an evening.
const PARCELS: u32 = 60;
/// How many of them one command lines up or hands over.
const AT_ONCE: usize = 6;
/// The ledger, under the name that the command gives it.
const LEDGER: &str = "slipwright.ledger";

/// Sixty orders as JSON.
fn orders() -> String {
    let orders: Vec<String> = (1..=PARCELS)
        .map(|number| {
            format!(
                r#"{{"id": "TH-{number:04}", "ship_to": {{"name": "Buyer {number}", "lines": ["{number} Quay"], "city": "Oakhaven", "postcode": "LS1 4AP", "country": "GB"}}, "items": [{{"title": "Nib {number}"}}], "hazard": "none"}}"#
            )
        })
        .collect();
    format!("[{}]", orders.join(","))
}

/// Two stations at one bench, and who kills what they do.
struct Evening {
    /// Where they work.
    desk: Desk,
    /// What each of them is running.
    running: [Mutex<Option<Child>>; 2],
    /// How often something was killed.
    kills: AtomicUsize,
    /// Whether the evening is over.
    is_over: AtomicBool,
    /// Numbers whose right pair was scanned, whether it was answered or not.
    scanned: Mutex<BTreeSet<u32>>,
}

/// The value behind a lock, also when a thread that held it failed.
fn hold<T>(lock: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Evening {
    /// Runs a command of a station until it has ended by itself; it is repeated, word for word, as
    /// often as it is killed.
    fn run(&self, station: usize, arguments: &[&str]) {
        loop {
            let mut child = self.desk.start(arguments);
            drop(child.stdin.take());
            let mut told = child.stdout.take().unwrap();
            let mut wrong = child.stderr.take().unwrap();
            *hold(&self.running[station]) = Some(child);
            let mut text = String::new();
            let _ = told.read_to_string(&mut text);
            let _ = wrong.read_to_string(&mut text);
            let mut child = hold(&self.running[station]).take().unwrap();
            let status = child.wait().unwrap();
            match status.code() {
                Some(0) => return,
                // Killed by a signal: it has no exit code.
                None => {}
                // The other station was quicker; nothing was entered.
                Some(1) if text.contains("give the command again") => {}
                Some(3) if text.contains("another command holds the ledger") => {}
                Some(code) => panic!("{arguments:?} ended with {code}: {text}"),
            }
        }
    }

    /// Matches parcels by a stream of scans; every answer that came is held against the ledger after
    /// each kill, and what was not answered is scanned once more.
    fn match_all(&self, station: usize, numbers: &[u32]) {
        let mut left: Vec<u32> = numbers.to_vec();
        while !left.is_empty() {
            let (scans, pairs) = self.scans_of(&left);
            let mut child = self.desk.start(&["ledger", "match"]);
            let mut input = child.stdin.take().unwrap();
            let told = BufReader::new(child.stdout.take().unwrap());
            *hold(&self.running[station]) = Some(child);
            hold(&self.scanned).extend(pairs);
            let writer = thread::spawn(move || {
                // A command that was killed reads no further.
                let _ = input.write_all(scans.as_bytes());
            });
            let mut answered = Vec::new();
            for line in told.lines().map_while(Result::ok) {
                assert!(!line.contains("right: 0"), "{line}");
                if let Some(named) = line.strip_prefix("right: ") {
                    answered.push(first_number(named));
                } else if line.ends_with("is matched already") {
                    answered.push(first_number(&line));
                }
            }
            writer.join().unwrap();
            let mut child = hold(&self.running[station]).take().unwrap();
            child.wait().unwrap();
            let ledger = Ledger::open(&self.desk.path(LEDGER)).unwrap();
            let line = ledger.line(1).unwrap();
            for number in answered {
                let state = line.parcel(number).unwrap().state;
                assert_eq!(state, ParcelState::Matched, "{number} was acknowledged");
                left.retain(|left| *left != number);
            }
            let scanned = hold(&self.scanned).clone();
            let matched = line.parcels().filter(|parcel| parcel.state == ParcelState::Matched);
            for parcel in matched {
                assert!(scanned.contains(&parcel.number), "{} was never scanned", parcel.number);
            }
        }
    }

    /// What a station scans for the parcels that are left: first two that do not belong together, then
    /// card and label of each.
    fn scans_of(&self, left: &[u32]) -> (String, Vec<u32>) {
        let ledger = Ledger::open(&self.desk.path(LEDGER)).unwrap();
        let line = ledger.line(1).unwrap();
        let code = |number: u32, side: char| {
            let pair = line.parcel(number).unwrap().pair;
            format!("SW/{side}/{pair}/{number}-{PARCELS}/{}\n", line.key)
        };
        let mut scans = String::new();
        if let [first, second, ..] = left {
            scans += &code(*first, 'C');
            scans += &code(*second, 'L');
        }
        for number in left {
            scans += &code(*number, 'C');
            scans += &code(*number, 'L');
        }
        (scans, left.to_vec())
    }

    /// Kills what one or the other station runs, at random moments, so many times at most.
    fn kill(&self, most: usize, seed: u64) {
        let mut dice = seed;
        let mut roll = |sides: u64| {
            // Any odd multiplier spreads them: moments only have to differ.
            dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (dice >> 33) % sides
        };
        while !self.is_over.load(Ordering::Relaxed) && self.kills.load(Ordering::Relaxed) < most {
            thread::sleep(Duration::from_millis(5 + roll(250)));
            let station = usize::from(roll(2) == 1);
            if let Some(child) = hold(&self.running[station]).as_mut()
                && matches!(child.try_wait(), Ok(None))
                && child.kill().is_ok()
            {
                self.kills.fetch_add(1, Ordering::Relaxed);
            }
        }
    }

    /// The work of a station: its half of the orders from the export to the counter.
    fn work(&self, station: usize, both: &std::sync::Barrier) {
        let own: Vec<u32> =
            (1..=PARCELS).filter(|number| *number as usize % 2 == station).collect();
        let at = ["--at", "2026-11-27T19:00+01:00"];
        // Both take the same export in.
        self.run(station, &[&["ledger", "take-in", "orders.json"], &at[..]].concat());
        both.wait();
        if station == 0 {
            let begin =
                ["ledger", "line-up", "TH-0060", "--sitting", "Friday", "--request", "r-60"];
            self.run(station, &[&begin[..], &at[..]].concat());
        }
        both.wait();
        let rest: Vec<u32> = own.iter().copied().filter(|number| *number != PARCELS).collect();
        for some in rest.chunks(AT_ONCE) {
            let ids: Vec<String> = some.iter().map(|number| format!("TH-{number:04}")).collect();
            let ids: Vec<&str> = ids.iter().map(|id| &**id).collect();
            let request = format!("r-{}", some[0]);
            let how = ["--request", &request, "--at", at[1]];
            self.run(station, &[&["ledger", "line-up"], &ids[..], &how[..]].concat());
        }
        both.wait();
        if station == 0 {
            let numbers: Vec<String> = (1..=PARCELS).map(|number| number.to_string()).collect();
            print_parcels(&self.desk, &numbers.join(" "));
        }
        both.wait();
        self.match_all(station, &own);
        for some in own.chunks(AT_ONCE) {
            let numbers: Vec<String> = some.iter().map(u32::to_string).collect();
            let numbers: Vec<&str> = numbers.iter().map(|number| &**number).collect();
            let request = format!("h-{}", some[0]);
            let how = ["--request", &request, "--at", at[1]];
            self.run(station, &[&["ledger", "hand-over"], &numbers[..], &how[..]].concat());
        }
        both.wait();
        if station == 0 {
            let tell = ["ledger", "tell-shop", "--map", "map.yaml", "-o", "shipped.csv"];
            self.run(station, &[&tell[..], &["--request", "told"], &at[..]].concat());
            self.run(station, &[&["ledger", "close", "--request", "end"], &at[..]].concat());
        }
    }

    /// What must be true in the end, whatever was killed.
    fn judge(&self) {
        let mut ledger = Ledger::open(&self.desk.path(LEDGER)).unwrap();
        let story = ledger.story(1).unwrap();
        let count = |is: &dyn Fn(&Event) -> bool| story.iter().filter(|it| is(&it.event)).count();
        let sixty = PARCELS as usize;
        assert_eq!(count(&|event| matches!(event, Event::LinedUp { .. })), sixty);
        assert_eq!(count(&|event| matches!(event, Event::Matched { .. })), sixty);
        assert_eq!(count(&|event| matches!(event, Event::HandedOver { .. })), sixty);
        assert_eq!(count(&|event| matches!(event, Event::Closed {})), 1);
        for number in 1..=PARCELS {
            let order = ledger.order(&format!("TH-{number:04}")).unwrap().unwrap();
            assert!(matches!(order.place, OrderPlace::HandedOver(1, _)), "{order:?}");
        }
        assert_eq!(ledger.sent(SentOrders::Untold).unwrap(), []);
        let told = std::fs::read_to_string(self.desk.path("shipped.csv")).unwrap();
        assert_eq!(told.lines().count(), sixty + 1);
        assert_eq!(ledger.check().unwrap(), Vec::<String>::new());
        assert!(ledger.is_as_entries_say().unwrap());
        let left = std::fs::read_dir(self.desk.path("")).unwrap().flatten();
        let left: Vec<_> = left.map(|entry| entry.file_name()).collect();
        assert!(left.len() < 40, "{left:?}");
    }
}

/// The number that a text begins with.
fn first_number(text: &str) -> u32 {
    text.split(' ').next().unwrap().parse().unwrap()
}

/// One evening, during which is killed so many times at most; how often it was.
fn spend_evening(most: usize, seed: u64) -> usize {
    let evening = Evening {
        desk: Desk::new(),
        running: [Mutex::new(None), Mutex::new(None)],
        kills: AtomicUsize::new(0),
        is_over: AtomicBool::new(false),
        scanned: Mutex::new(BTreeSet::new()),
    };
    evening.desk.put("orders.json", orders());
    evening.desk.put("map.yaml", "fields: {id: Order}\n");
    let both = std::sync::Barrier::new(2);
    thread::scope(|scope| {
        let killer = scope.spawn(|| evening.kill(most, seed));
        let stations: Vec<_> = [0, 1]
            .map(|station| {
                let (evening, both) = (&evening, &both);
                scope.spawn(move || evening.work(station, both))
            })
            .into_iter()
            .collect();
        let ends: Vec<_> = stations.into_iter().map(|station| station.join()).collect();
        evening.is_over.store(true, Ordering::Relaxed);
        killer.join().unwrap();
        for end in ends {
            end.unwrap();
        }
    });
    evening.judge();
    evening.kills.load(Ordering::Relaxed)
}

#[test]
fn an_evening_survives_ten_kills() {
    let kills = spend_evening(10, 13);
    assert!(kills >= 3, "{kills} kills: the evening was over before");
}

#[test]
#[ignore = "takes minutes"]
fn evenings_survive_two_hundred_kills() {
    let (mut kills, mut evenings) = (0, 0);
    while kills < 200 {
        kills += spend_evening(25.min(200 - kills), 1000 + evenings);
        evenings += 1;
        println!("{kills} kills in {evenings} evenings of {PARCELS} parcels, two stations at once");
    }
}
