//! What every locale writes, for `languages.py` and `languages.mjs` to write again.
//!
//! Out: a line for each locale and expression: the tag, what is asked for with its values, and what a
//! layout in that language prints.

use std::error::Error;
use std::fs;
use std::path::Path;

use slipwright::workings::{Binder, Bound, Content, ContextMaker};
use slipwright::{Batch, BatchOptions, NoFiles, Sources, read_layout};

/// Amounts of money, in currencies whose decimals nobody disagrees about.
const AMOUNTS: [&str; 8] =
    ["0", "1", "12.5", "999.99", "1234.5", "12345.6", "1234567.89", "-1234.5"];

/// The currencies.
const CURRENCIES: [&str; 12] =
    ["EUR", "USD", "GBP", "CHF", "PLN", "SEK", "DKK", "CZK", "BRL", "CAD", "INR", "AUD"];

/// The forms of a date.
const FORMS: [&str; 4] = ["long", "short", "numeric", "month"];

/// Prints them all.
pub(crate) fn print_languages() -> Result<(), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let table = fs::read_to_string(root.join("src/language/data/locales.tsv"))?;
    let tags = table.lines().filter(|line| !line.starts_with(['#', 'u']) || line.starts_with("uk"));
    for tag in tags.filter_map(|line| line.split('\t').next()) {
        print_language(tag)?;
    }
    Ok(())
}

/// Prints one locale's lines.
fn print_language(tag: &str) -> Result<(), Box<dyn Error>> {
    let asked = list_questions();
    let mut text =
        format!("page: {{stock: a4}}\nmakes: insert\nlanguage: {tag}\nwords:\n  {tag}:\n");
    text += "    form: {zero: zero, one: one, two: two, few: few, many: many, other: other}\n";
    text += "body:\n  down:\n";
    for (_, expression) in &asked {
        text += &format!("    - text: \"{{{{ {expression} }}}}\"\n");
    }
    let mut sources = Sources::new();
    let file = sources.add("layout.yaml", text);
    let (layout, faults) = read_layout(&mut sources, file, &NoFiles, Path::new(""));
    let layout = layout.ok_or_else(|| format!("{tag}: {faults:?}"))?;
    let file =
        sources.add("orders.json", r#"[{"id": "1", "ship_to": {"name": "A", "country": "GB"}}]"#);
    let orders = slipwright::read_orders(sources.get(file).shared_text(), file).orders;
    let batch = Batch::assemble(None, orders, None, BatchOptions::default(), &mut Vec::new());
    let binder = Binder::new(&layout);
    let maker = ContextMaker::new(&batch, None).in_layout(&layout, &binder.variables());
    let bound =
        binder.bind(&maker.make(&batch.parcels[0])).map_err(|it| format!("{tag}: {it:?}"))?;
    let Some(Bound { content: Content::Stack { children, .. }, .. }) = bound.body else {
        return Err(format!("{tag}: nothing is printed").into());
    };
    assert_eq!(children.len(), asked.len(), "{tag}");
    for ((question, _), child) in asked.iter().zip(&children) {
        if let Content::Text { text, .. } = &child.content {
            println!("{tag}\t{question}\t{text}");
        }
    }
    Ok(())
}

/// What is asked for, each with the expression that prints it.
fn list_questions() -> Vec<(String, String)> {
    let mut asked = Vec::new();
    for currency in CURRENCIES {
        asked.extend(AMOUNTS.iter().map(|amount| {
            (format!("money {amount} {currency}"), format!("'{amount}' | money('{currency}')"))
        }));
    }
    for number in ["0", "7", "1234", "12345.678", "-1234567.5"] {
        asked.push((format!("number {number}"), format!("'{number}' | number")));
    }
    for date in (1..=12).flat_map(|month| [1, 5, 25].map(|day| format!("2026-{month:02}-{day:02}")))
    {
        asked.extend(
            FORMS
                .iter()
                .map(|form| (format!("day {form} {date}"), format!("'{date}' | day('{form}')"))),
        );
    }
    for count in (0..=125).chain([200, 1000, 1001, 10_000, 100_000, 1_000_000, 2_000_000]) {
        asked.push((format!("plural {count}"), format!("words.form | fill(count={count})")));
    }
    asked
}
