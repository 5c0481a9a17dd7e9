//! The first start: a folder where none is named, and a shop file where there is none.
//!
//! In: what a page asks for in six fields, and the language and currency that the country proposes. Out: a folder in the seller's home, and a `shop.yaml` in it
//! that is good; what is there already is never written over. Not here: what a shop file may say (`shop`).

use std::env;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde_json::{Value, json};

use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::output::show_path;
use super::super::scratch::Scratch;
use super::acts::CommandOutcome;
use super::files::{ledger_in, shop_in};
use super::usual_money::usual_money;
use crate::desk::HttpAnswer;
use crate::fields::{COUNTRY_CODES, CURRENCY_CODES};
use crate::findings::{Finding, Severity};
use crate::language::shipped_languages;
use crate::shop::Shop;
use crate::source::{Sources, describe_failure};

/// The folder in the seller's home that a desk has which is given none.
const HOME_FOLDER: &str = "Slipwright";

/// What stands above the seller's answers.
const HEAD: &str =
    "# Who sends. What else may stand here: `slipwright schema shop`, and the page docs/shop.md.\n";

/// For what needs no hint.
const NO_HINT: &[&str] = &[];

/// What is asked for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ShopAnswers {
    /// What the shop is called.
    name: String,
    /// Street and number.
    street: String,
    /// The town.
    city: String,
    /// The postcode; empty where the country has none.
    postcode: String,
    /// The country's two letters.
    country: String,
    /// Where a buyer writes to; may be empty.
    contact: String,
    /// The language of the papers; empty for English.
    language: String,
    /// The currency of prices; may be empty.
    currency: String,
    /// Whether the seller has seen what speaks against these answers.
    sure: bool,
}

/// The folder of a desk that is given none: the one that the seller is in if an evening was begun there,
/// or else one in the home, made now if it is not there.
///
/// # Errors
/// When it cannot be made, or nobody knows where the home is.
pub(super) fn find_folder() -> Result<PathBuf, Halt> {
    let here = Path::new(".");
    if ledger_in(here).exists() || shop_in(here).exists() {
        return Ok(here.to_owned());
    }
    let home = env::home_dir().filter(|home| home.is_dir());
    let Some(home) = home else {
        let message = "no folder is named, and this system has no home folder to make one in";
        return Err(Halt::usage(message).hint("name one: `slipwright desk FOLDER`"));
    };
    let folder = home.join(HOME_FOLDER);
    match fs::create_dir(&folder) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
            Err(Halt::unwritten(&show_path(&folder).to_string(), &error).ending_in(Exit::Output))
        }
        _ => Ok(folder),
    }
}

/// Whether the shop file is there.
pub(super) fn has_shop(folder: &Path) -> bool {
    shop_in(folder).exists()
}

/// What may be chosen: countries, each with the currency that is usual there, the languages that papers
/// have words in, and all currencies.
pub(super) fn tell_countries() -> Value {
    let countries =
        COUNTRY_CODES.iter().map(|code| json!({"code": code, "currency": usual_money(code)}));
    json!({
        "countries": countries.collect::<Vec<_>>(),
        "languages": shipped_languages().collect::<Vec<_>>(),
        "currencies": CURRENCY_CODES,
    })
}

/// Makes the shop file of what a page sends.
pub(super) fn make_shop(folder: &Path, body: &[u8]) -> HttpAnswer {
    let Ok(answers) = serde_json::from_slice::<ShopAnswers>(body) else {
        return HttpAnswer::words(
            400,
            "a shop has its answers, each a text, and whether they are sure",
        );
    };
    let outcome = match check_answers(&answers).and_then(|text| keep_shop(folder, &text)) {
        Ok(()) => CommandOutcome { exit: Exit::Done, answer: Some(json!({})), remarks: Vec::new() },
        Err(remarks) => CommandOutcome { exit: Exit::Findings, answer: None, remarks },
    };
    HttpAnswer::json(&outcome.to_json())
}

/// The text of a shop file with some answers, if it is a good one.
///
/// # Errors
/// What is wrong with it, as pages are told it.
fn check_answers(answers: &ShopAnswers) -> Result<String, Vec<Value>> {
    let must = [
        (&answers.name, "the shop's name"),
        (&answers.street, "street and number"),
        (&answers.city, "the town"),
        (&answers.country, "the country"),
    ];
    let missing = must.iter().filter(|(text, _)| text.trim().is_empty());
    let missing: Vec<Value> =
        missing.map(|(_, what)| fault(&format!("{what} is missing"), NO_HINT)).collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    let text = write_shop(answers);
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", text.as_str());
    let mut found = Vec::new();
    let shop = Shop::read(sources.get(file).text(), file, &mut found);
    let remarks = |severity: Severity| -> Vec<Value> {
        let of_it = found.iter().filter(|found| found.severity == severity);
        of_it.map(|found| remark(severity, &found.message, &found.hints)).collect()
    };
    let warnings = remarks(Severity::Warning);
    match shop.is_some() && !found.iter().any(Finding::is_error) {
        true if warnings.is_empty() || answers.sure => Ok(text),
        true => Err(warnings),
        false => Err(remarks(Severity::Error)),
    }
}

/// A shop file with some answers. Texts stand in quotation marks as JSON writes them, which YAML reads
/// as they are (YAML 1.2.2, section 1.2): none of them is ever a key, a list or a comment.
fn write_shop(answers: &ShopAnswers) -> String {
    let quoted = |text: &str| Value::from(text.trim()).to_string();
    let mut text = format!(
        "{HEAD}name: {}\naddress:\n  lines: [{}]\n  city: {}\n",
        quoted(&answers.name),
        quoted(&answers.street),
        quoted(&answers.city),
    );
    if !answers.postcode.trim().is_empty() {
        text += &format!("  postcode: {}\n", quoted(&answers.postcode));
    }
    text += &format!("  country: {}\n", quoted(&answers.country.to_uppercase()));
    if !answers.contact.trim().is_empty() {
        text += &format!("contact: {}\n", quoted(&answers.contact));
    }
    for (name, answer) in [("currency", &answers.currency), ("language", &answers.language)] {
        if !answer.trim().is_empty() {
            text += &format!("{name}: {}\n", quoted(answer));
        }
    }
    text
}

/// Keeps a shop file, whole or not at all, where there is none.
///
/// # Errors
/// Why it is not kept, as pages are told it.
fn keep_shop(folder: &Path, text: &str) -> Result<(), Vec<Value>> {
    let keep = || -> io::Result<()> {
        let scratch = Scratch::new(folder)?;
        let new = scratch.new_name();
        fs::write(&new, text)?;
        // Unlike a renamed file, a link is never put in the place of another file.
        fs::hard_link(&new, shop_in(folder))
    };
    keep().map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => {
            vec![fault("there is a shop file by now, and it stays as it is", &["reload this page"])]
        }
        _ => {
            let why = describe_failure(&error);
            vec![fault(&format!("the shop file cannot be written: {why}"), NO_HINT)]
        }
    })
}

/// An error as pages are told those of the ledger.
fn fault<Hint: AsRef<str>>(message: &str, hints: &[Hint]) -> Value {
    remark(Severity::Error, message, hints)
}

/// Something found as pages are told it.
fn remark<Hint: AsRef<str>>(severity: Severity, message: &str, hints: &[Hint]) -> Value {
    let hints: Vec<&str> = hints.iter().map(AsRef::as_ref).collect();
    json!({"severity": severity.word(), "message": message, "hints": hints})
}
