//! Cells of workbooks that programs write in their own ways: what a formula leaves empty, and rows that
//! are hidden by a word.

use crate::command::Desk;
use crate::limits_intake::workbook;

/// What taking a sheet's rows in says and gives.
fn taken(rows: &str) -> (String, String) {
    let desk = Desk::new();
    desk.put("export.xlsx", workbook(rows, &[]));
    desk.put(
        "map.yaml",
        "fields: {id: I, note: N, ship_to.name: {always: Ada}, ship_to.country: {always: NL}}\n",
    );
    let ran =
        desk.run(&["intake", "export.xlsx", "--map", "map.yaml", "--diagnostics", "short"], b"");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (text(ran.stderr), text(ran.stdout))
}

/// The head of the table.
const HEAD: &str = "<row r='1'><c r='A1' t='str'><v>I</v></c><c r='B1' t='str'><v>N</v></c></row>";

#[test]
fn a_formula_may_show_an_empty_text_but_not_an_unknown_number() {
    let row = |kind: &str| {
        format!("{HEAD}<row r='2'><c r='A2'><v>7</v></c><c r='B2'{kind}><f>X1</f><v></v></c></row>")
    };
    let (said, orders) = taken(&row(" t='str'"));
    assert!(!said.contains("B2"), "{said}");
    assert!(orders.contains("\"7\""), "{orders}");
    let (said, _) = taken(&row(""));
    assert!(said.contains("the cell B2 holds a formula whose result is not in the file"), "{said}");
}

#[test]
fn rows_hidden_by_either_word_are_told() {
    for word in ["1", "true"] {
        let row = format!("{HEAD}<row r='2' hidden='{word}'><c r='A2'><v>7</v></c></row>");
        let (said, _) = taken(&row);
        assert!(said.contains("a row that is hidden in the sheet was read too"), "{word}: {said}");
    }
    let row = format!("{HEAD}<row r='2' hidden='0'><c r='A2'><v>7</v></c></row>");
    assert!(!taken(&row).0.contains("hidden"));
}
