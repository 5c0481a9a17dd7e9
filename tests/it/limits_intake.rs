//! Limits of spreadsheets and of patterns, each passed by one and kept: beside `limits`, for what
//! comes in by `intake`.

use std::io::{Cursor, Read, Write as _};

use flate2::Compression;
use flate2::write::DeflateEncoder;
use slipwright::intake::{IntakeOutput, read_intake_map, take_in_with};
use slipwright::{Sources, limits};

/// The number of a limit.
fn most(name: &str) -> usize {
    let limit = limits::LIMITS.iter().find(|limit| limit.name.starts_with(name));
    usize::try_from(limit.unwrap_or_else(|| panic!("there is no limit `{name}`")).most).unwrap()
}

/// What an export is complained about, rule by rule, taken in with a map.
fn complaints(map: &str, export: Vec<u8>) -> Vec<&'static str> {
    let mut sources = Sources::new();
    let file = sources.add("map.yaml", map);
    let mut found = Vec::new();
    let map = read_intake_map(map, file, &mut found);
    if let Some(map) = map {
        let open =
            || -> std::io::Result<Box<dyn Read>> { Ok(Box::new(Cursor::new(export.clone()))) };
        let mut out = Vec::new();
        let output = IntakeOutput { orders: &mut out, aside: None };
        let taken = take_in_with(&map, &open, "export.xlsx", output, &mut sources).unwrap();
        found.extend(taken.findings);
    }
    found.iter().map(|finding| finding.rule.name).collect()
}

/// A map that wants nothing but ids.
const IDS: &str = "fields: {id: I, ship_to.country: {always: NL}}\n";

/// Whether a spreadsheet is said to be too large.
fn is_too_large(export: Vec<u8>) -> bool {
    complaints(IDS, export).contains(&"too-large")
}

/// A zip file with these parts, packed.
fn pack(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let (mut zip, mut directory) = (Vec::new(), Vec::new());
    for (name, plain) in parts {
        let mut packer = DeflateEncoder::new(Vec::new(), Compression::fast());
        packer.write_all(plain).unwrap();
        let packed = packer.finish().unwrap();
        let mut crc = flate2::Crc::new();
        crc.update(plain);
        let offset = u32::try_from(zip.len()).unwrap();
        let mut head = [0_u8; 26];
        head[4..6].copy_from_slice(&8_u16.to_le_bytes());
        head[10..14].copy_from_slice(&crc.sum().to_le_bytes());
        head[14..18].copy_from_slice(&u32::try_from(packed.len()).unwrap().to_le_bytes());
        head[18..22].copy_from_slice(&u32::try_from(plain.len()).unwrap().to_le_bytes());
        head[22..24].copy_from_slice(&u16::try_from(name.len()).unwrap().to_le_bytes());
        zip.extend_from_slice(b"PK\x03\x04");
        zip.extend_from_slice(&head);
        zip.extend_from_slice(name.as_bytes());
        zip.extend_from_slice(&packed);
        directory.extend_from_slice(b"PK\x01\x02\0\0");
        directory.extend_from_slice(&head);
        directory.extend_from_slice(&[0; 10]);
        directory.extend_from_slice(&offset.to_le_bytes());
        directory.extend_from_slice(name.as_bytes());
    }
    let mut end = [0_u8; 18];
    let count = u16::try_from(parts.len()).unwrap().to_le_bytes();
    end[4..6].copy_from_slice(&count);
    end[6..8].copy_from_slice(&count);
    end[8..12].copy_from_slice(&u32::try_from(directory.len()).unwrap().to_le_bytes());
    end[12..16].copy_from_slice(&u32::try_from(zip.len()).unwrap().to_le_bytes());
    zip.extend(directory);
    zip.extend_from_slice(b"PK\x05\x06");
    zip.extend_from_slice(&end);
    zip
}

/// The parts of a workbook before its sheet.
const BOOK: [(&str, &[u8]); 2] = [
    (
        "xl/workbook.xml",
        b"<workbook><sheets><sheet name='A' sheetId='1' r:id='r1'/></sheets></workbook>",
    ),
    (
        "xl/_rels/workbook.xml.rels",
        b"<Relationships><Relationship Id='r1' Target='worksheets/sheet1.xml'/></Relationships>",
    ),
];

/// A workbook of one sheet with these rows, and further parts.
pub(crate) fn workbook(rows: &str, more: &[(&str, &[u8])]) -> Vec<u8> {
    let sheet = format!("<worksheet><sheetData>{rows}</sheetData></worksheet>");
    let mut parts = BOOK.to_vec();
    parts.push(("xl/worksheets/sheet1.xml", sheet.as_bytes()));
    parts.extend_from_slice(more);
    pack(&parts)
}

/// The head of the table, and one order below it.
const TABLE: &str =
    "<row r='1'><c r='A1' t='str'><v>I</v></c></row><row r='2'><c r='A2'><v>7</v></c></row>";

/// The name of a column from 0 on.
fn column(mut number: usize) -> String {
    let mut name = String::new();
    loop {
        name.insert(0, char::from(b'A' + u8::try_from(number % 26).unwrap()));
        number = match number / 26 {
            0 => return name,
            rest => rest - 1,
        };
    }
}

#[test]
fn a_spreadsheet_has_so_many_bytes_and_parts() {
    let most_bytes = most("bytes of a spreadsheet");
    let mut file = workbook(TABLE, &[]);
    assert!(!is_too_large(file.clone()));
    // Bytes before the directory's end do no harm; the file is too large or it is not.
    let mut long = vec![b'P', b'K', 3, 4];
    long.resize(most_bytes + 1, 0);
    assert!(is_too_large(long.clone()));
    long.truncate(most_bytes);
    assert!(!is_too_large(long), "broken, but not too large");

    let most_parts = most("parts of a spreadsheet");
    let with = |count: usize| {
        let names: Vec<String> = (0..count - 3).map(|number| number.to_string()).collect();
        let more: Vec<(&str, &[u8])> = names.iter().map(|name| (&**name, &b""[..])).collect();
        workbook(TABLE, &more)
    };
    file = with(most_parts);
    assert!(!is_too_large(file));
    assert!(is_too_large(with(most_parts + 1)));
}

#[test]
fn a_spreadsheet_unpacks_to_so_many_bytes() {
    let most = most("bytes that the parts of a spreadsheet unpack to");
    let with = |bytes: usize| {
        let known: usize = BOOK.iter().map(|(_, text)| text.len()).sum();
        let frame = "<worksheet><sheetData></sheetData></worksheet>".len() + TABLE.len();
        workbook(&(TABLE.to_owned() + &" ".repeat(bytes - known - frame)), &[])
    };
    assert!(!is_too_large(with(most)));
    assert!(is_too_large(with(most + 1)));
}

#[test]
fn a_sheet_has_so_many_columns_rows_and_cells() {
    let columns = most("columns of a sheet");
    let far = |number: usize| {
        let name = column(number);
        workbook(
            &format!("{TABLE}<row r='3'><c r='A3'><v>8</v></c><c r='{name}3'><v>1</v></c></row>"),
            &[],
        )
    };
    assert!(!is_too_large(far(columns - 1)));
    assert!(is_too_large(far(columns)));

    let rows = most("rows of a sheet");
    let deep = |row: usize| {
        workbook(&format!("{TABLE}<row r='{row}'><c r='A{row}'><v>8</v></c></row>"), &[])
    };
    assert!(!is_too_large(deep(rows)));
    assert!(is_too_large(deep(rows + 1)));

    // The head has the last column, so that each row counts as many cells.
    let cells = most("cells of a sheet");
    let wide = |count: usize| {
        let last = column(columns - 1);
        let head =
            format!("<row><c r='A1' t='str'><v>I</v></c><c r='{last}1' t='str'><v>Z</v></c></row>");
        let body: String = (2..=count / columns)
            .map(|row| format!("<row><c r='A{row}'><v>{row}</v></c></row>"))
            .collect();
        workbook(&(head + &body), &[])
    };
    assert!(!is_too_large(wide(cells)));
    assert!(is_too_large(wide(cells + columns)));
}

#[test]
fn a_sheet_shows_and_shares_so_many_texts() {
    let shown = most("bytes that the cells of a sheet show");
    let piece = 1 << 16;
    let with = |count: usize| {
        let texts = format!("<sst><si><t>{}</t></si></sst>", "x".repeat(piece));
        let head = "<row r='1'><c r='A1' t='str'><v>I</v></c><c r='B1' t='str'><v>B</v></c></row>";
        let body: String = (0..count)
            .map(|row| format!("<row><c r='A9'><v>{row}</v></c><c r='B9' t='s'><v>0</v></c></row>"))
            .collect();
        workbook(&(head.to_owned() + &body), &[("xl/sharedStrings.xml", texts.as_bytes())])
    };
    assert!(!is_too_large(with(shown / piece - 1)));
    assert!(is_too_large(with(shown / piece)));

    let texts = most("texts that the cells of a spreadsheet share");
    let with = |count: usize| {
        let texts = format!("<sst>{}</sst>", "<si/>".repeat(count));
        workbook(TABLE, &[("xl/sharedStrings.xml", texts.as_bytes())])
    };
    assert!(!is_too_large(with(texts)));
    assert!(is_too_large(with(texts + 1)));
}

#[test]
fn a_workbook_has_so_many_formats_and_levels() {
    let formats = most("formats of the cells");
    let with = |count: usize| {
        let styles = format!(
            "<styleSheet><cellXfs>{}</cellXfs></styleSheet>",
            "<xf numFmtId='1'/>".repeat(count)
        );
        workbook(TABLE, &[("xl/styles.xml", styles.as_bytes())])
    };
    assert!(!is_too_large(with(formats)));
    assert!(is_too_large(with(formats + 1)));

    let levels = most("levels of elements in a part");
    // The sheet and its data are two of them.
    let nested = |depth: usize| {
        workbook(&format!("{TABLE}{}{}", "<a>".repeat(depth), "</a>".repeat(depth)), &[])
    };
    let is_refused = |depth| {
        complaints(IDS, nested(depth))
            .iter()
            .any(|rule| *rule == "too-large" || *rule == "broken-spreadsheet")
    };
    assert!(!is_refused(levels - 2));
    assert!(is_refused(levels - 1));
}

/// What is said of one cell that a pattern takes apart.
fn of_cell(patterns: &str, cell: &str) -> Vec<&'static str> {
    let map = format!(
        "patterns: [{{column: A, pattern: {patterns}}}]\nfields: {{id: I, ship_to.country: {{always: NL}}}}\n"
    );
    complaints(&map, format!("I,A\n1,\"{cell}\"\n").into_bytes())
}

#[test]
fn a_pattern_takes_so_long_a_cell_apart() {
    let longest = most("bytes of a cell that a pattern takes apart");
    let is_refused = |bytes: usize| {
        let cell = format!("1234 AB {}", "x".repeat(bytes - 8));
        of_cell("\"{postcode} {city}\"", &cell).contains(&"two-ways")
    };
    assert!(!is_refused(longest), "{:?}", of_cell("\"{postcode} {city}\"", "1234 AB x"));
    assert!(is_refused(longest + 1));
}

#[test]
fn a_column_has_so_many_patterns() {
    let patterns = most("patterns of one column");
    let with = |count: usize| {
        let all: Vec<String> = (0..count).map(|number| format!("\"{{city}} {number}x\"")).collect();
        of_cell(&format!("[{}]", all.join(", ")), "Ellenport 0x")
    };
    assert!(!with(patterns).contains(&"wrong-pattern"), "{:?}", with(patterns));
    assert!(with(patterns + 1).contains(&"wrong-pattern"));
}

#[test]
fn a_row_of_an_export_has_so_many_bytes() {
    let longest = most("bytes of one row of an export");
    let map = "fields: {id: I, note: N, ship_to.country: {always: NL}}\n";
    let with = |bytes: usize| {
        let row = format!("1,{}\n", "x".repeat(bytes - 3));
        assert_eq!(row.len(), bytes);
        complaints(map, format!("I,N\n{row}2,y\n").into_bytes())
    };
    let said = with(longest);
    assert!(!said.contains(&"broken-export") && !said.contains(&"too-large"), "{said:?}");
    assert_ne!(with(longest + 1), said);
}

#[test]
fn the_rows_of_an_order_have_so_many_bytes() {
    let most = most("bytes of the rows of one order in an export");
    let map = "fields: {id: I, items.title: T, ship_to.country: {always: NL}}\n";
    let with = |bytes: usize| {
        let row = |bytes: usize| format!("1,{}\n", "x".repeat(bytes - 3));
        let rows = row(most / 32).repeat(31) + &row(bytes - most / 32 * 31);
        assert_eq!(rows.len(), bytes);
        complaints(map, format!("I,T\n{rows}").into_bytes())
    };
    assert!(!with(most).contains(&"too-many-rows"));
    assert!(with(most + 1).contains(&"too-many-rows"));
}

#[test]
fn an_order_has_so_many_rows_of_an_export() {
    let rows = most("rows of one order in an export");
    let with = |count: usize| {
        let map = "fields: {id: I, items.title: T, ship_to.country: {always: NL}}\n";
        complaints(map, format!("I,T\n{}", "1,\n".repeat(count)).into_bytes())
    };
    assert!(!with(rows).contains(&"too-many-rows"), "{:?}", with(rows));
    assert!(with(rows + 1).contains(&"too-many-rows"), "{:?}", with(rows + 1));
}
