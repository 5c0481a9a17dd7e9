//! Formats addresses from JSON lines on standard input, one JSON line out for
//! each, for `tests/outside/address.py` to compare.
//!
//! In: `{"parts": {"name": …, "lines": […], …}, "from": {"country": …, "language": …}}`
//! with the parts named as in the orders. Out: `{"lines": [{"text", "role"}…],
//! "problems": [{"code", "severity", "part", "message", "hint"}…]}`.

use std::error::Error;
use std::io::{BufRead, Write};

use serde_json::{Value, json};
use slipwright::address::{Formatted, Parts, Sender, format_address};

/// Formats every address of standard input.
pub(super) fn format_lines() -> Result<(), Box<dyn Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let value: Value = serde_json::from_str(&line?)?;
        let from = Sender {
            country: text(&value["from"]["country"]),
            language: text(&value["from"]["language"]),
        };
        let formatted = format_address(&read_parts(&value["parts"]), &from);
        writeln!(out, "{}", show(&formatted))?;
    }
    Ok(())
}

/// The parts of one line; what is not there is empty.
fn read_parts(value: &Value) -> Parts {
    let lines = value["lines"].as_array().cloned().unwrap_or_default();
    Parts {
        name: text(&value["name"]),
        company: text(&value["company"]),
        care_of: value["care_of"].as_str().map(String::from),
        lines: lines.iter().map(text).collect(),
        city: text(&value["city"]),
        district: value["district"].as_str().map(String::from),
        region: text(&value["region"]),
        postcode: text(&value["postcode"]),
        country: text(&value["country"]),
        phone: text(&value["phone"]),
    }
}

/// A JSON string, or nothing.
fn text(value: &Value) -> String {
    value.as_str().map(String::from).unwrap_or_default()
}

/// A formatted address as JSON.
fn show(formatted: &Formatted) -> Value {
    let lines = formatted.lines.iter();
    let lines = lines.map(|line| json!({"text": line.text, "role": line.role.word()}));
    let problems = formatted.problems.iter().map(|problem| {
        json!({
            "code": problem.code.word(),
            "severity": problem.severity.word(),
            "part": problem.part.word(),
            "message": problem.message,
            "hint": problem.hint,
        })
    });
    json!({"lines": lines.collect::<Vec<_>>(), "problems": problems.collect::<Vec<_>>()})
}
