//! An evening as a seller types it: a desk, a ledger and a clock that moves on with every command.

use std::process::Output;

use serde_json::Value;

use crate::command::Desk;
use crate::kit_kept::schema_of;

/// A desk with a ledger, and an evening's clock.
pub(crate) struct Evening {
    /// The desk.
    pub(crate) desk: Desk,
    /// The minute of the evening, which every command moves on.
    minute: std::cell::Cell<u32>,
}

impl Evening {
    /// A desk without a shop file.
    pub(crate) fn new() -> Evening {
        Evening { desk: Desk::new(), minute: std::cell::Cell::new(0) }
    }

    /// Runs a verb with some input; its words are split as a shell does.
    pub(crate) fn run(&self, line: &str, input: &str) -> Output {
        let minute = self.minute.get();
        self.minute.set(minute + 1);
        let at = format!("2026-11-27T{:02}:{:02}+01:00", 18 + minute / 60, minute % 60);
        let mut words = vec!["ledger"];
        words.extend(line.split('"').enumerate().flat_map(|(at, part)| match at % 2 {
            0 => part.split_whitespace().collect(),
            _ => vec![part],
        }));
        if !["list", "history"].contains(&words[1]) && !line.contains("--at") {
            words.extend(["--at", &at]);
        }
        self.desk.run(&words, input.as_bytes())
    }

    /// What a verb says on standard output, which must be done.
    pub(crate) fn says(&self, line: &str) -> String {
        self.says_of(line, "")
    }

    /// What a verb says of some input.
    pub(crate) fn says_of(&self, line: &str, input: &str) -> String {
        let output = self.run(line, input);
        assert!(output.status.success(), "{line}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// What a verb answers a program, held to the schema.
    pub(crate) fn answers(&self, line: &str) -> Value {
        let answer: Value = serde_json::from_str(&self.says(&format!("{line} --json"))).unwrap();
        let schema = schema_of("ledger");
        let faults: Vec<String> = schema.iter_errors(&answer).map(|it| it.to_string()).collect();
        assert!(faults.is_empty(), "{line}: {faults:?}\n{answer:#}");
        answer
    }

    /// What stops a verb, and its exit code.
    pub(crate) fn stops(&self, line: &str) -> (i32, String) {
        let output = self.run(line, "");
        assert!(output.stdout.is_empty(), "{line}: {}", String::from_utf8_lossy(&output.stdout));
        (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
    }

    /// Takes in an order for a buyer, whose town and weight may be named; returns what is said.
    pub(crate) fn take_in(&self, orders: &[Value]) -> String {
        self.says_of("take-in", &Value::from(orders.to_vec()).to_string())
    }
}

/// An order of one item.
pub(crate) fn order(id: &str, name: &str, title: &str) -> Value {
    serde_json::json!({
        "id": id,
        "ship_to": {"name": name, "lines": ["1 Quay"], "city": "Oakhaven", "postcode": "LS1 4AP",
                    "country": "GB"},
        "items": [{"title": title}],
        "hazard": "none",
    })
}

/// The order with a weight of its parcel.
pub(crate) fn weighing(mut order: Value, grams: u32) -> Value {
    order["parcel"] = serde_json::json!({"weight_g": grams});
    order
}

/// An evening with three orders waiting.
pub(crate) fn three() -> Evening {
    let evening = Evening::new();
    let said = evening.take_in(&[
        order("TH-1041", "Ines Marlow", "Heron nib"),
        order("TH-1042", "Ada Reed", "Curlew pen"),
        order("TH-1043", "Bo Vale", "Ink"),
    ]);
    assert_eq!(said, "3 orders: 3 new\n");
    evening
}

/// Lines up, prints, matches and hands over what the line has, without the papers.
pub(crate) fn hand_over(evening: &Evening, number: u32) {
    use slipwright::ledger::{
        ActStamp, Event, Ledger, LedgerError, Matching, Moment, PrintedParcel,
    };
    let mut ledger = Ledger::open(&evening.desk.path("slipwright.ledger")).unwrap();
    let at = Moment::parse("2026-11-27T21:00+01:00").unwrap();
    let stamp = ActStamp { at, by: "test".into(), request: None };
    let done: Result<_, LedgerError> = ledger.act(&stamp, |act| {
        let sitting = act.expect_sitting()?;
        act.printed(sitting, vec![PrintedParcel { number, count: 3, papers: Vec::new() }], None)?;
        act.matched(sitting, number, Matching::Eye)?;
        act.happen(sitting, Event::HandedOver { number, carried: None })
    });
    done.unwrap();
}
