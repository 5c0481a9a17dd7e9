//! The reference in the guide, written from the tables that the engine itself reads.

use std::fmt::Write as _;

use minijinja::Value;
use slipwright::codes::{CODE128_QUIET_ZONE, Code128, QR_QUIET_ZONE, Qr, QrOptions};
use slipwright::fields::Day;
use slipwright::preflight::{Rules, list_rules};
use slipwright::shipped::SHIPPED;
use slipwright::stock::STOCKS;
use slipwright::workings::{
    BATCH_VARIABLES, BLOCKS, BUILTIN_FILTERS, BlockRule, COLUMN, COMMON, ContextMaker, FILTERS,
    Field, Filter, Kind, LAYOUT, NEEDED, PAGE, Record, SHEET, TYPE, VARIABLES, Variable,
};
use slipwright::{DotGrid, Severity, limits};

use crate::sample_pages::{layout_of, pages_of, sample_batch};

/// The text of a generated part; `None` when there is none of that name.
pub(crate) fn write_part(name: &str) -> Option<String> {
    if let Some(block) = name.strip_prefix("block ") {
        return BLOCKS.iter().find(|rule| rule.name == block).map(write_block);
    }
    Some(match name {
        "layouts" => write_layouts(),
        "stocks" => write_stocks(),
        "top" => write_needed_fields(LAYOUT.fields.iter(), NEEDED),
        "page" => write_record(&PAGE),
        "sheet" => write_record(&SHEET),
        "type" => write_record(&TYPE),
        "column" => write_record(&COLUMN),
        "common" => write_fields(COMMON.iter()),
        "variables" => write_variables(),
        "batch-variables" => write_batch_variables(),
        "filters" => write_filters(FILTERS),
        "builtin-filters" => write_filters(BUILTIN_FILTERS),
        "rules" => write_rules(),
        "limits" => write_limits(),
        "sizes" => write_sizes(),
        "smallest" => write_smallest(),
        "qr-widths" => write_qr_widths(),
        "code128-widths" => write_code128_widths(),
        _ => return None,
    })
}

/// The shipped layouts.
fn write_layouts() -> String {
    let mut text = String::from("| name | what it is |\n|---|---|\n");
    for layout in SHIPPED {
        let _ = writeln!(text, "| `{}` | {} |", layout.name, layout.doc());
    }
    text
}

/// The named stocks.
fn write_stocks() -> String {
    let mut text = String::from("| name | width × height in mm | used for |\n|---|---|---|\n");
    for stock in STOCKS {
        let (width, height) = (stock.size.width.0, stock.size.height.0);
        let _ = writeln!(text, "| `{}` | {width} × {height} | {} |", stock.name, stock.doc);
    }
    text
}

/// What preflight looks at.
fn write_rules() -> String {
    let mut text = String::from("| name | protects | is |\n|---|---|---|\n");
    for rule in list_rules() {
        let weight = match rule.severity {
            Severity::Error => "an error",
            Severity::Warning => "a warning",
            Severity::Note => "a note",
        };
        let _ = writeln!(text, "| `{}` | {} | {weight} |", rule.name, rule.about);
    }
    text
}

/// What a layout may ask for.
fn write_limits() -> String {
    let mut text = String::from("| at most | | because |\n|---|---|---|\n");
    for limit in limits::LIMITS {
        let most = group_digits(&limit.most.to_string());
        let _ = writeln!(text, "| {} | {most} | {} |", limit.name, limit.guards);
    }
    text
}

/// How high blocks are that say nothing about it, as the engine places them.
fn write_sizes() -> String {
    let blocks = [
        "tag: \"{{ tag }}\"",
        "code128: \"{{ parcel.id }}\"",
        "data_matrix: \"{{ pair.label }}\"",
        "qr: \"{{ pair.label }}\"",
        "tally: pair",
        "box: 3dots",
        "blank: line",
        "blank: tick",
        "blank: boxes",
        "blank: signature",
    ];
    let (batch, shop) = sample_batch();
    let mut text = String::from("| block | high |\n|---|---|\n");
    for block in blocks {
        let page = "page: {stock: 80x120mm, inset: 4}\nmakes: label\n";
        let layout = layout_of(&format!("{page}body:\n  down:\n    - {block}\n"));
        let pages = pages_of(&batch, &shop, &layout, Some(DotGrid::DPI_203));
        let placed = &pages[0].blocks[1].rect;
        let high = match (placed.height.0 - placed.width.0).abs() < 0.01 {
            true => "as wide as it is".to_owned(),
            false => format!("{:.1} mm", placed.height.0).replace(".0 ", " "),
        };
        let _ = writeln!(text, "| `{block}` | {high} |");
    }
    text
}

/// What may not be smaller.
fn write_smallest() -> String {
    let rules = Rules::default();
    let dots = |dots: u32| format!("{dots} printer dots");
    let rows = [
        ("any type", format!("{:.0} pt, below is an error", rules.least_type.to_pt())),
        ("a buyer's address", format!("{:.0} pt, below is a warning", rules.least_address.to_pt())),
        ("the narrowest bar of a `code128`", dots(rules.code128.least_dots)),
        ("the narrowest bar of an `ean`", dots(rules.ean.least_dots)),
        ("one square of a `data_matrix`", dots(rules.data_matrix.least_dots)),
        ("one square of a `qr`", {
            let (least, advised) = (rules.qr.least_dots, rules.qr.advised_dots);
            format!("{}; under {advised} is a warning", dots(least))
        }),
        ("the bars' height", heights(&rules)),
        ("a rule or border", format!("{} dots advised", rules.advised_line_dots)),
    ];
    let mut text = String::from("| what | smallest |\n|---|---|\n");
    for (what, least) in rows {
        let _ = writeln!(text, "| {what} | {least} |");
    }
    text
}

/// How low bars may be.
fn heights(rules: &Rules) -> String {
    let (least, sscc) = (rules.least_bar_height, rules.least_sscc_height);
    let share = rules.least_bar_share * 100.0;
    format!(
        "{least} or {share:.0} % of their length, the larger; {sscc} for an SSCC; below is a warning"
    )
}

/// How much a QR code of a width says at the advised module, small letters as in a link.
fn write_qr_widths() -> String {
    let dots = Rules::default().qr.advised_dots;
    let size = |letters: usize| {
        let code = Qr::encode(&"a".repeat(letters), &QrOptions::default()).unwrap();
        code.size() + QR_QUIET_ZONE.ends()
    };
    let mut text = String::from("| letters of a link | width on a 203 dpi printer |\n|---|---|\n");
    let mut letters = 1;
    for _ in 0..6 {
        let across = size(letters);
        while size(letters + 1) == across {
            letters += 1;
        }
        let width = DotGrid::DPI_203.length(across as f64 * f64::from(dots));
        let _ = writeln!(text, "| up to {letters} | {width} |");
        letters += 1;
    }
    text
}

/// The dots a module of 203 dpi that read under every damage of `tests/cases/damage`.
const SAFE_DOTS: u32 = 6;

/// How wide a Code 128 is at the narrowest module, and at one that no single damage harms.
fn write_code128_widths() -> String {
    let least = Rules::default().code128.least_dots;
    let head = "| it says | least width on a 203 dpi printer | width at 6 dots a module |";
    let mut text = format!("{head}\n|---|---|---|\n");
    for payload in ["TH-1041", "TH-2026-1041", "1234567890", "12345678901234567890"] {
        let code = Code128::encode_text(payload).unwrap();
        let across = code.row().modules() + CODE128_QUIET_ZONE.ends();
        let width = |dots| DotGrid::DPI_203.length(across as f64 * f64::from(dots));
        let _ = writeln!(text, "| `{payload}` | {} | {} |", width(least), width(SAFE_DOTS));
    }
    text
}

/// Digits in groups of three.
fn group_digits(digits: &str) -> String {
    let groups = digits.as_bytes().rchunks(3).rev();
    groups.map(|group| std::str::from_utf8(group).unwrap()).collect::<Vec<_>>().join(",")
}

/// A block: what it is, what stands after its name, its own settings.
fn write_block(rule: &BlockRule) -> String {
    let mut text = format!("### `{}`\n\n{}\n\n", rule.name, rule.doc);
    let _ = write!(text, "After the name: {}", rule.content_doc);
    if let Kind::Word(words) = rule.content
        && words.iter().any(|word| !rule.content_doc.contains(word))
    {
        let _ = write!(text, ", {}", one_of(words));
    }
    text.push_str(".\n");
    if !rule.settings.is_empty() {
        text.push('\n');
        text.push_str(&write_fields(rule.settings.iter()));
    }
    text
}

/// The fields of a record.
fn write_record(record: &Record) -> String {
    write_fields(record.fields.iter())
}

/// Settings as a table: name, value, meaning, and what holds when it is left out.
fn write_fields<'a>(fields: impl Iterator<Item = &'a Field>) -> String {
    write_needed_fields(fields, &[])
}

/// The same, for a table that leaves it to its reader which settings are `needed`.
fn write_needed_fields<'a>(fields: impl Iterator<Item = &'a Field>, needed: &[&str]) -> String {
    let mut text =
        String::from("| setting | you write | it means | left out |\n|---|---|---|---|\n");
    for field in fields {
        let (doc, default) = match field.doc.rsplit_once("default ") {
            Some((doc, default)) => (doc.trim_end().trim_end_matches(';'), default),
            None if field.required || needed.contains(&field.name) => (field.doc, "must be there"),
            None => (field.doc, "–"),
        };
        let (value, doc) = (cell(&value_of(field.kind)), cell(doc));
        let _ = writeln!(text, "| `{}` | {value} | {doc} | {} |", field.name, cell(default));
    }
    text
}

/// Text inside a cell of a table.
fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// What one writes for a kind of value.
fn value_of(kind: Kind) -> String {
    match kind {
        Kind::Scalar(scalar) => scalar.expected.to_owned(),
        Kind::Word(words) => one_of(words),
        Kind::List(inner) => format!("a list, each {}", value_of(*inner)),
        Kind::Row(count, inner) => format!("`[{}]`, each {}", dots(count), value_of(*inner)),
        Kind::Map(record) => match record.name {
            "word" => "a text for each form of a count".to_owned(),
            "column" => "a column, see below".to_owned(),
            name => format!("the settings of [`{name}`](#{name})"),
        },
        Kind::Named(inner) => format!("names, each with {}", value_of(*inner)),
        Kind::Either(kinds) => {
            let kinds = kinds.iter().map(|kind| match kind {
                Kind::Row(count, _) => format!("`[{}]`", dots(*count)),
                kind => value_of(*kind),
            });
            kinds.collect::<Vec<_>>().join(" or ")
        }
        Kind::Other(name) => match name {
            "blocks" => "a list of blocks".to_owned(),
            _ => "a block".to_owned(),
        },
    }
}

/// Places for so many values.
fn dots(count: usize) -> String {
    vec!["…"; count].join(", ")
}

/// Words to choose from.
fn one_of(words: &[&str]) -> String {
    let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// The variables, each with what it is in the first parcel of the sample.
fn write_variables() -> String {
    let (batch, shop) = sample_batch();
    let maker = ContextMaker::new(&batch, Some(&shop)).on_day(Day::parse("2026-11-27"));
    let context = maker.make(&batch.parcels[0]);
    let head = "| variable | what it holds | in the first parcel of the sample |\n|---|---|---|\n";
    let mut text = String::new();
    let plain = VARIABLES.iter().filter(|variable| variable.fields.is_empty());
    text.push_str(head);
    for variable in plain {
        write_variable(&mut text, variable.name, variable, &context.values);
    }
    for group in VARIABLES.iter().filter(|variable| !variable.fields.is_empty()) {
        let value = context.values.get_attr(group.name).unwrap();
        let (kind, value, prefix) = match group.list {
            true => {
                let first = value.get_item(&Value::from(0)).unwrap();
                (" (a list; use `each` or a `table`)", first, singular(group.name))
            }
            false => ("", value, group.name),
        };
        let _ = write!(text, "\n**`{}`**: {}{kind}\n\n{head}", group.name, group.doc);
        for field in group.fields {
            write_variable(&mut text, &format!("{prefix}.{}", field.name), field, &value);
        }
    }
    text
}

/// The variables of a list about the whole batch.
fn write_batch_variables() -> String {
    let mut text = String::from("| variable | what it holds |\n|---|---|\n");
    for variable in BATCH_VARIABLES {
        let _ = writeln!(text, "| `{}` | {} |", variable.name, cell(variable.doc));
    }
    text
}

/// What one value of a list is mostly called.
fn singular(list: &str) -> &str {
    list.strip_suffix('s').unwrap_or(list)
}

/// One row of the variables; `of` is the value that it is a field of.
fn write_variable(text: &mut String, dotted: &str, variable: &Variable, of: &Value) {
    let value = of.get_attr(variable.name).unwrap();
    let shown = match value.to_string() {
        _ if dotted == "words" => "a word for every key".to_owned(),
        shown if shown.is_empty() || shown == "[]" => "(empty)".to_owned(),
        shown if shown == "True" || shown == "False" => format!("`{}`", shown.to_lowercase()),
        shown => format!("`{}`", shown.replace('\n', " / ").trim()),
    };
    let list = if variable.list { ", a list" } else { "" };
    let _ = writeln!(text, "| `{dotted}` | {}{list} | {} |", cell(variable.doc), cell(&shown));
}

/// Filters, each with its example.
fn write_filters(filters: &[Filter]) -> String {
    let mut text = String::new();
    for filter in filters {
        let _ = writeln!(
            text,
            "- **`{}`** {}  \n  `{}` gives `{}`",
            filter.call,
            filter.doc,
            filter.example,
            filter.output.replace('\u{a0}', " ")
        );
    }
    text
}
