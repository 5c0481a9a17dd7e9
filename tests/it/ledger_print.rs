//! `slipwright ledger print`: first the whole kit, afterwards only what is late or out of date, and
//! nothing that is printed already moves.

use std::fs;

use serde_json::{Value, json};
use slipwright::ledger::Ledger;

use crate::evening_support::{Evening, order, three};

/// What an answer prints: number, reason, documents.
fn prints(answer: &Value) -> Vec<(u64, String, Vec<String>)> {
    let told = |value: &Value| value.as_str().unwrap().to_owned();
    let parcels = answer["prints"].as_array().unwrap().iter();
    let parcels = parcels.map(|it| {
        let documents = it["documents"].as_array().unwrap().iter().map(told).collect();
        (it["number"].as_u64().unwrap(), told(&it["why"]), documents)
    });
    parcels.collect()
}

/// An evening with three parcels in the line, and the sample's shop file.
fn lined_up() -> Evening {
    let evening = three();
    evening.desk.sample("shop.yaml");
    evening.says("line-up --all --sitting Friday");
    evening
}

/// An evening with three parcels that are printed into `tonight`.
fn printed() -> Evening {
    let evening = lined_up();
    let answer = evening.answers("print --to tonight --no-proof");
    assert_eq!((&answer["first"], prints(&answer).len()), (&json!(true), 3));
    assert!(evening.desk.path("tonight/labels.pdf").is_file());
    evening
}

/// The parcels of the line, by number, without what printing changes.
fn fixed(evening: &Evening) -> Vec<(Value, Value, Value)> {
    let answer = evening.answers("list line");
    let parcels = answer["parcels"].as_array().unwrap().clone();
    parcels.iter().map(|it| (it["number"].clone(), it["tag"].clone(), it["pair"].clone())).collect()
}

/// `kit` makes codes of orders, the ledger of parcels' numbers.
#[test]
fn kit_says_of_a_kit_of_the_ledger_s_what_prints_it() {
    let evening = printed();
    let output = evening.desk.run(&["kit", "--to", "tonight", "--only", "1"], b"");
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.starts_with("error: the ledger made the kit in `tonight`\n"), "{said}");
    assert!(said.contains("`slipwright ledger print --anew` all of it once more"), "{said}");
}

#[test]
fn a_late_order_s_papers_alone_are_printed() {
    let evening = printed();
    let before = fixed(&evening);
    let said = evening.says("print --no-proof");
    assert_eq!(said, "everything is printed and up to date\n");
    evening.take_in(&[order("TH-1044", "Eve Tarn", "Cap")]);
    evening.says("line-up TH-1044");
    let plan = evening.answers("print --dry-run");
    assert!(!evening.desk.path("tonight/reprint-1").exists());
    let answer = evening.answers("print --no-proof");
    assert_eq!(prints(&plan), prints(&answer));
    let [(4, why, documents)] = &prints(&answer)[..] else { panic!("{answer:#}") };
    assert_eq!(why, "late");
    assert!(documents.contains(&"labels".to_owned()) && documents.len() > 1, "{documents:?}");
    let labels = lopdf::Document::load(evening.desk.path("tonight/reprint-1/labels.pdf")).unwrap();
    assert_eq!(labels.get_pages().len(), 1);
    assert_eq!(labels.extract_text(&[1]).unwrap().matches("late").count(), 1);
    assert_eq!(fixed(&evening)[..3], before);
}

#[test]
fn what_changed_is_printed_again_and_a_number_that_is_off_stays_empty() {
    let evening = printed();
    let before = fixed(&evening);
    let said = evening.says("take-off 2 --because cancelled");
    assert_eq!(
        said,
        "2 `Curlew` is taken off: cancelled; its number stays empty\n\
         throw its label and card away: Curlew\n"
    );
    let mut moved = order("TH-1043", "Bo Vale", "Ink");
    moved["ship_to"]["lines"] = json!(["2 Quay"]);
    let said = evening.take_in(&[moved]);
    assert!(said.contains("TH-1043, parcel 3 `Vale`, printed, to be printed again:"), "{said}");
    let answer = evening.answers("print --no-proof");
    let [(3, why, documents)] = &prints(&answer)[..] else { panic!("{answer:#}") };
    assert_eq!(why, "out of date");
    assert!(documents.contains(&"labels".to_owned()), "{documents:?}");
    assert_eq!(fixed(&evening), before);
    assert_eq!(evening.says("print --no-proof"), "everything is printed and up to date\n");
    // The line lies as it lay; what is off says so on the list of what is left.
    evening.says("set-aside 1 --because later");
    let answer = evening.answers("print --list waiting --no-proof");
    assert_eq!(answer["file"], "waiting-list.pdf");
    let list = lopdf::Document::load(evening.desk.path("waiting-list.pdf")).unwrap();
    let text = list.extract_text(&[1]).unwrap();
    assert!(text.contains("TH-1041"), "{text}");
}

#[test]
fn a_run_that_ends_before_the_ledger_knows_is_given_again() {
    let evening = lined_up();
    // The ledger as it is when a kit has appeared and the power fails.
    let path = |name: &str| evening.desk.path(name);
    Ledger::open(&path("slipwright.ledger")).unwrap().back_up(&path("before")).unwrap();
    let kit = |folder: &str| fs::read(path(folder).join("labels.pdf")).unwrap();
    evening.says("print --to tonight --no-proof");
    let labels = kit("tonight");
    for name in ["slipwright.ledger-wal", "slipwright.ledger-shm"] {
        let _ = fs::remove_file(path(name));
    }
    fs::rename(path("before"), path("slipwright.ledger")).unwrap();
    let states = evening.answers("list line");
    assert!(states["parcels"].as_array().unwrap().iter().all(|it| it["state"] == "lined up"));
    let answer = evening.answers("print --to tonight --no-proof");
    assert_eq!((&answer["first"], prints(&answer).len()), (&json!(true), 3));
    assert!(kit("tonight") == labels, "the same ledger makes the same bytes");
    assert_eq!(evening.says("print"), "everything is printed and up to date\n");
}

#[test]
fn a_dry_run_prints_nothing_and_a_request_prints_once() {
    let evening = lined_up();
    let said = evening.says("print --dry-run");
    assert_eq!(said, "a dry run: nothing is entered\nthe whole kit: 3 parcels\n");
    assert!(!evening.desk.path("sitting-1").exists());
    evening.says("print --no-proof --request p-1");
    assert!(evening.desk.path("sitting-1/labels.pdf").is_file());
    let again = evening.answers("print --no-proof --request p-1");
    assert_eq!((&again["before"], again["entries"].as_array().unwrap().len()), (&json!(true), 3));
}

#[cfg(unix)]
#[test]
fn a_kit_is_readable_by_its_owner_only() {
    use std::os::unix::fs::PermissionsExt as _;
    let evening = printed();
    for name in ["tonight", "slipwright.ledger"] {
        let mode = fs::metadata(evening.desk.path(name)).unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{name}: {mode:o}");
    }
}

/// A label that writes its code out, so that it can be read from the PDF.
const LABEL: &str = "page: {stock: 4x6in, inset: 6}
makes: label
body:
  down:
    - address: ship_to
    - tag: \"{{ tag }}\"
      height: 20
    - text: \"{{ pair.label }}\"
";

/// An evening with three parcels that are printed into `tonight`, on labels that write their codes out.
fn printed_in_words() -> Evening {
    let evening = three();
    let shop = "name: Tern Hollow Pens\naddress: {lines: [7 Saltings Lane], city: Ternmouth, postcode: \
                TR77 4NH, country: GB}\nkit: {labels: label.yaml, slips: none, inserts: none}\n";
    evening.desk.put("shop.yaml", shop).put("label.yaml", LABEL);
    evening.says("line-up --all --sitting Friday");
    evening.says("print --to tonight --no-proof");
    evening
}

/// The words of a document of a kit.
fn words_of(evening: &Evening, file: &str) -> String {
    let document = lopdf::Document::load(evening.desk.path(file)).unwrap();
    let pages: Vec<u32> = document.get_pages().into_keys().collect();
    document.extract_text(&pages).unwrap()
}

/// What is printed again because it says something else has another code, and the paper with the old
/// address is refused; the papers of others keep theirs.
#[test]
fn the_label_with_the_old_address_does_not_match() {
    let evening = printed_in_words();
    let answer = evening.answers("list line");
    let key = answer["sitting"]["key"].as_str().unwrap().to_owned();
    let pair = answer["parcels"][2]["pair"].as_str().unwrap().to_owned();
    let (first, second) = (format!("SW/L/{pair}/3-3/{key}"), format!("SW/L2/{pair}/3-3/{key}"));
    let card = format!("SW/C/{pair}/3-3/{key}");
    let codes = words_of(&evening, "tonight/labels.pdf");
    assert!(codes.contains(&first) && !codes.contains("SW/L2/"), "{codes}");
    let mut moved = order("TH-1043", "Bo Vale", "Ink");
    moved["ship_to"]["lines"] = json!(["2 Quay"]);
    evening.take_in(&[moved]);
    evening.says("print --no-proof");
    let codes = words_of(&evening, "tonight/reprint-1/labels.pdf");
    assert!(codes.contains(&second) && !codes.contains(&first), "{codes}");
    assert_eq!(evening.says("print --no-proof"), "everything is printed and up to date\n");
    let output = evening.run(&format!("match {card} {first}"), "");
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        String::from_utf8(output.stdout).unwrap(),
        "this label of 3 Vale is not the one that was printed last: throw it away and take that one\n"
    );
    let said = evening.says(&format!("match {card} {second}"));
    assert_eq!(said, "right: 3 Vale\n");
    // Nothing of another parcel was printed again.
    let pair = answer["parcels"][0]["pair"].as_str().unwrap();
    let said = evening.says(&format!("match SW/C/{pair}/1-3/{key} SW/L/{pair}/1-3/{key}"));
    assert!(said.starts_with("right: 1 "), "{said}");
}

/// Nothing is up to date whose papers are gone.
#[test]
fn a_kit_that_is_gone_is_told_and_made_again() {
    let evening = printed_in_words();
    let labels = words_of(&evening, "tonight/labels.pdf");
    let (code, said) = evening.stops("print --anew");
    assert_eq!(code, 1);
    assert!(said.starts_with("error: the kit of this sitting is there: `tonight`\n"), "{said}");
    fs::remove_dir_all(evening.desk.path("tonight")).unwrap();
    for line in ["print", "print --dry-run"] {
        let (code, said) = evening.stops(line);
        assert_eq!(code, 1, "{said}");
        assert!(said.contains("the kit of this sitting is gone: "), "{said}");
        assert!(said.contains("`slipwright ledger print --anew`"), "{said}");
    }
    let before = evening.answers("list line");
    let answer = evening.answers("print --anew --no-proof");
    assert_eq!((&answer["first"], prints(&answer).len()), (&json!(true), 3));
    assert_eq!(words_of(&evening, "tonight/labels.pdf"), labels);
    // They are the papers that were printed, so nothing has happened in the line.
    assert_eq!(evening.answers("list line")["parcels"], before["parcels"]);
    assert_eq!(evening.says("print --no-proof"), "everything is printed and up to date\n");
}

/// A rehearsal ends as the print would.
#[test]
fn a_dry_run_ends_as_print_does() {
    let evening = lined_up();
    let mut wordy = order("TH-1043", "Bo Vale", "Ink");
    wordy["ship_to"]["lines"] = json!(["\u{e000} Quay"]);
    evening.take_in(&[wordy]);
    let rehearsed = evening.run("print --dry-run", "");
    let done = evening.run("print --no-proof", "");
    let said = String::from_utf8(rehearsed.stderr).unwrap();
    assert!(said.contains("error"), "{said}");
    assert_eq!((rehearsed.status.code(), done.status.code()), (Some(1), Some(1)));
}
