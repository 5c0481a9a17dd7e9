//! Papers that are made, to a printer of the shop file.
//!
//! `POST /send` is `slipwright print DOCUMENT --no-wait`, `POST /job` is `slipwright print --job N`. A page
//! names documents of a listing and printers of the shop file, and no address: it could else make this
//! machine call any other. Not here: what a printer says (`print`).

use std::ffi::OsString;
use std::path::Path;

use serde_json::{Value, json};

use super::acts::run_command;
use super::files::shop_in;
use super::papers::Papers;
use crate::desk::HttpAnswer;

/// The words of a command that prints.
fn start_words(folder: &Path) -> Vec<OsString> {
    let mut shop = OsString::from("--shop=");
    shop.push(shop_in(folder));
    vec!["slipwright".into(), "print".into(), "--json".into(), shop]
}

/// Adds an option that a page gives as a text or a number.
fn add_option(words: &mut Vec<OsString>, given: &Value, name: &str) {
    match &given[name] {
        Value::String(text) if !text.trim().is_empty() => {
            words.push(format!("--{name}={}", text.trim()).into());
        }
        Value::Number(number) => words.push(format!("--{name}={number}").into()),
        _ => {}
    }
}

/// Sends a document; whether it is printed is asked with its job's number.
pub(super) fn send(folder: &Path, papers: &Papers, body: &[u8]) -> HttpAnswer {
    let given: Value = serde_json::from_slice(body).unwrap_or_default();
    let document = given["document"].as_str().and_then(|name| papers.find(name));
    let Some(document) = document else { return HttpAnswer::nothing_there() };
    let mut words = start_words(folder);
    words.push("--no-wait".into());
    for name in ["printer", "pages", "copies"] {
        add_option(&mut words, &given, name);
    }
    words.extend(["--".into(), document.into()]);
    run(&words)
}

/// What has become of a job, for a page that shows it.
pub(super) fn tell_job(folder: &Path, body: &[u8]) -> HttpAnswer {
    let given: Value = serde_json::from_slice(body).unwrap_or_default();
    if !given["job"].is_u64() {
        return HttpAnswer::words(400, "a job has a number");
    }
    let mut words = start_words(folder);
    for name in ["job", "printer"] {
        add_option(&mut words, &given, name);
    }
    run(&words)
}

/// Runs a command for a page.
fn run(words: &[OsString]) -> HttpAnswer {
    match run_command(words) {
        Some(outcome) => HttpAnswer::json(&outcome.to_json()),
        None => HttpAnswer::json(&json!({"exit": 3, "answer": null, "remarks": [
            {"severity": "error", "message": "the program failed at this; look at the printer", "hints": []}
        ]})),
    }
}
