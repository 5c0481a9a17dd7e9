//! What intake makes of exports, right and wrong: one folder a case in `tests/cases/intake`, with
//! the export (`export.csv` or another ending), its map (without one, a first map is proposed, and for shops
//! `first-map-of-…` used as it is) and the whole text that must come of
//! it: every finding as a person sees it, then the orders.
//!
//! `SLIPWRIGHT_BLESS=1 cargo test` writes the texts anew. A case without one fails.

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use slipwright::intake::{
    Intake, IntakeOutput, OpenExport, propose_map, read_intake_map, take_in, take_in_with,
};
use slipwright::{Finding, Sources, findings, has_errors, read_orders};

/// An export in memory, to be opened any number of times.
pub(crate) fn opener(bytes: &[u8]) -> impl Fn() -> io::Result<Box<dyn Read>> + '_ {
    move || Ok(Box::new(io::Cursor::new(bytes.to_vec())))
}

/// Takes an export in; the outcome and what was written.
pub(crate) fn take(map: &str, export: &[u8], sources: &mut Sources) -> (Intake, String) {
    take_file(map, ("export.csv", export), sources)
}

/// As [`take`], of a file with its name.
fn take_file(map: &str, (name, export): (&str, &[u8]), sources: &mut Sources) -> (Intake, String) {
    let file = sources.add("map.yaml", map);
    let mut findings = Vec::new();
    let Some(map) = read_intake_map(map, file, &mut findings) else {
        assert!(has_errors(&findings));
        return (Intake { findings, ..Intake::default() }, String::new());
    };
    assert_eq!(findings, []);
    let mut out = Vec::new();
    let open: OpenExport<'_> = &opener(export);
    let intake = take_in(&map, open, name, &mut out, sources).unwrap();
    (intake, String::from_utf8(out).unwrap())
}

/// What came of a case.
fn show_case(case: &Path) -> String {
    let files = fs::read_dir(case).unwrap().map(|entry| entry.unwrap().path());
    let export =
        files.into_iter().find(|file| file.file_stem().is_some_and(|stem| stem == "export"));
    let export = export.unwrap_or_else(|| panic!("{} has no export", case.display()));
    let name = export.file_name().unwrap().to_str().unwrap();
    let export = fs::read(&export).unwrap();
    let mut sources = Sources::new();
    let (intake, text) = match fs::read_to_string(case.join("map.yaml")) {
        Ok(map) => take_file(&map, (name, &export), &mut sources),
        Err(_) => {
            let (map, intake) = propose_map(&opener(&export), name, &mut sources).unwrap();
            let shop = case.file_name().unwrap().to_str().unwrap().starts_with("first-map-of-");
            let taken = if shop { show_taken(&map, (name, &export)) } else { String::new() };
            (intake, map + &taken)
        }
    };
    let mut shown = String::new();
    for finding in &intake.findings {
        assert!(!finding.is_error() || !finding.hints.is_empty(), "{finding:?}");
        shown.push_str(&findings::render(finding, &sources, findings::Style::Full));
        shown.push('\n');
    }
    if has_errors(&intake.findings) {
        shown.push_str(if intake.broken { "not read\n" } else { "nothing is written\n" });
        return shown;
    }
    if case.join("map.yaml").is_file() {
        let file = sources.add("orders.json", text.as_str());
        let orders = read_orders(&text, file);
        assert_eq!(orders.findings, [], "{}: {text}", case.display());
        assert_eq!(orders.orders.len(), intake.orders);
        assert_eq!(
            orders.orders.iter().map(|order| order.items().len()).sum::<usize>(),
            intake.items
        );
    }
    shown + &text
}

/// What comes of an export by the map that is proposed for it, as it stands.
fn show_taken(map: &str, export: (&str, &[u8])) -> String {
    let mut sources = Sources::new();
    let (intake, orders) = take_file(map, export, &mut sources);
    let mut shown = "\n# Taken in with it:\n".to_owned();
    for finding in &intake.findings {
        shown.push_str(&findings::render(finding, &sources, findings::Style::Short));
        shown.push('\n');
    }
    shown + &orders
}

#[test]
fn every_case_gives_its_text() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/intake");
    let mut cases: Vec<PathBuf> =
        fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 50, "the cases are gone");
    let failures: Vec<String> = cases
        .iter()
        .filter_map(|case| crate::support::compare(&case.join("expected.txt"), &show_case(case)))
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// Faulty orders go aside as they stand, in an export that is taken in with the same map once it is
/// mended, whatever the encoding was; all rows are in the one or in the other.
#[test]
fn rows_that_were_set_aside_are_an_export_again() {
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/command/intake-set-aside");
    let map = fs::read_to_string(case.join("map.yaml")).unwrap();
    let export = fs::read(case.join("export.csv")).unwrap();
    let mut sources = Sources::new();
    let (intake, orders, rest) = take_with_aside(&map, &export, &mut sources);
    assert!(!intake.stopped);
    assert_eq!((intake.orders, intake.orders_left_out, intake.set_aside), (2, 1, 3));
    assert_eq!(orders.matches("\"id\"").count(), 2);
    let expected = "\u{feff}Bestellnummer;Status;Name;Straße;PLZ Ort;Land;Artikel;Menge;Einzelpreis;\
         Gewicht g\n\
         ;bezahlt;Ole Dahl;Hang 2;26993 Grünsiel;Deutschland;Feder;1;46,00;2\n\
         4713;bezahlt;Ida Berg;Hang 1;2699 Grünsiel;Deutschland;Feder;1;46,00;2\n\
         4713;;;;;;Tinte;2;9,90;120\n\
         4714;bezahlt;Anna Lund;Hang 3;26993 Grünsiel;Deutschland;Feder;eins;46,00;2\n";
    assert_eq!(rest, expected);
    let mended = rest.replace("\n;", "\n4716;").replace("2699 ", "26993 ").replace("eins", "1");
    let (intake, again, rest) = take_with_aside(&map, mended.as_bytes(), &mut sources);
    assert_eq!((intake.orders, intake.set_aside, &*rest), (3, 0, ""));
    assert!(again.contains("Ida Berg") && again.contains("Grünsiel"), "{again}");
}

/// An order whose rows do not stand together cannot go aside: a part of it was taken in already.
#[test]
fn an_order_in_two_places_stops_all() {
    let map = "fields: {id: Order, ship_to.name: Name, ship_to.country: Country}";
    let export = "Order,Name,Country\n1,Ada,GB\n2,Ben,GB\n1,Ada Marlow,GB\n3,Ida,XX\n";
    let (intake, ..) = take_with_aside(map, export.as_bytes(), &mut Sources::new());
    assert!(intake.stopped);
    assert_eq!(intake.set_aside, 1);
}

/// Takes an export in, faulty orders set aside: the outcome, the orders, and the rows set aside.
fn take_with_aside(map: &str, export: &[u8], sources: &mut Sources) -> (Intake, String, String) {
    let file = sources.add("map.yaml", map);
    let map = read_intake_map(map, file, &mut Vec::new()).unwrap();
    let (mut orders, mut rest) = (Vec::new(), Vec::new());
    let output = IntakeOutput { orders: &mut orders, aside: Some(&mut rest) };
    let intake = take_in_with(&map, &opener(export), "export.csv", output, sources).unwrap();
    (intake, String::from_utf8(orders).unwrap(), String::from_utf8(rest).unwrap())
}

/// The sample's text.
fn sample(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name)).unwrap()
}

#[test]
fn the_sample_is_taken_in_without_a_word() {
    let mut sources = Sources::new();
    let export = sample("export.csv");
    let (intake, _) = take(&sample("export-map.yaml"), export.as_bytes(), &mut sources);
    assert_eq!((intake.findings, intake.orders, intake.items), (vec![], 6, 8));
}

/// The proposal gives the same orders as the map made by hand, but for the batch's name and what
/// only a person can know.
#[test]
fn the_map_proposed_for_the_sample_serves_as_it_is() {
    let export = sample("export.csv");
    let mut sources = Sources::new();
    let (map, intake) =
        propose_map(&opener(export.as_bytes()), "export.csv", &mut sources).unwrap();
    assert_eq!(intake.findings, []);
    let (by_proposal, proposed) = take(&map, export.as_bytes(), &mut sources);
    let rules: Vec<_> = by_proposal.findings.iter().map(|found| found.rule).collect();
    assert_eq!(rules, ["unused-column"]);
    assert!(!by_proposal.findings.iter().any(Finding::is_error));
    let (_, made) = take(&sample("export-map.yaml"), export.as_bytes(), &mut sources);
    let plain = |text: &str| text.to_lowercase().replace("\"batch\": \"thursday evening\", ", "");
    assert_eq!(plain(&proposed), plain(&made));
}
