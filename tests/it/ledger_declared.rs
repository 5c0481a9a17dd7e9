//! What is declared of hazardous goods at the bench, against what orders declare: an answer stands for
//! what was asked, and nothing that an order declares goes without a word.

use serde_json::{Value, json};

use crate::evening_support::{Evening, order};

/// An order that declares this; nothing when it is empty.
fn declaring(hazard: &str) -> Value {
    let mut order = order("TH-1041", "Ines Marlow", "Heron nib");
    order["hazard"] = hazard.into();
    order
}

/// An evening whose one parcel was lined up with this noted of its hazards, and is printed.
fn printed(declared: &str, noted: &str) -> Evening {
    let evening = Evening::new();
    evening.desk.sample("shop.yaml");
    evening.take_in(&[declaring(declared)]);
    evening.says(&format!("line-up TH-1041 --hazard \"{noted}\" --sitting Friday"));
    evening.says("print --no-proof");
    evening
}

/// Holds what is listed against the entries.
fn check(evening: &Evening) {
    let said = evening.desk.done(&["ledger", "check"]).stdout;
    assert!(String::from_utf8(said).unwrap().contains("sound"));
}

#[test]
fn what_an_order_declares_anew_is_printed_and_asked() {
    let evening = printed("", "none");
    let said = evening.take_in(&[declaring("red ink, 50 ml")]);
    assert_eq!(
        said,
        "1 order: 1 changed\nchanged:\n  TH-1041, parcel 1 `Heron`, printed, to be printed again: hazard \
         is `red ink, 50 ml` now; `none`, which you noted, no longer holds: declare it again: \
         `slipwright ledger note 1 --hazard WORDS`\n"
    );
    let list = evening.says("list");
    assert!(list.contains("hazards: to be declared again"), "{list}");
    let answer = evening.answers("list line --full");
    assert_eq!(answer["parcels"][0]["hazard_before"], "none");
    assert_eq!(answer["computed"]["1"]["hazard"], "red ink, 50 ml");
    assert_eq!(answer["computed"]["1"]["hazard_open"], true);
    let plan = evening.answers("print --dry-run");
    assert_eq!(plan["prints"][0]["why"], "out of date");
    let said = evening.says("history");
    assert!(
        said.contains("TH-1041 declares other goods: what was noted of 1's no longer holds"),
        "{said}"
    );
    // Answered anew, it is no question any more; the same export once more changes nothing.
    evening.says("note 1 --hazard \"red ink, 50 ml, bagged\"");
    evening.take_in(&[declaring("red ink, 50 ml")]);
    let answer = evening.answers("list line --full");
    assert_eq!(answer["parcels"][0]["hazard_before"], Value::Null);
    assert_eq!(answer["computed"]["1"]["hazard"], "red ink, 50 ml, bagged");
    assert_eq!(answer["computed"]["1"]["hazard_open"], false);
    check(&evening);
}

#[test]
fn a_declaration_that_is_taken_back_is_asked_again() {
    let evening = printed("ink, 50 ml", "ink, one bottle of 50 ml");
    evening.take_in(&[declaring("")]);
    let answer = evening.answers("list line --full");
    assert_eq!(answer["computed"]["1"]["hazard"], "");
    assert_eq!(answer["computed"]["1"]["hazard_open"], true);
    // Another field of the order is no reason to ask.
    let evening = printed("", "none");
    let mut moved = declaring("");
    moved["ship_to"]["city"] = "Ashford".into();
    evening.take_in(&[moved]);
    assert_eq!(evening.answers("list line")["parcels"][0]["hazard"], "none");
}

/// The act before an export came in can be taken back, though the export changed the parcel meanwhile.
#[test]
fn an_export_in_between_is_no_act_of_the_bench() {
    let evening = Evening::new();
    evening.take_in(&[declaring("")]);
    evening.says("line-up TH-1041 --hazard none --sitting Friday");
    evening.take_in(&[declaring("ink, 50 ml")]);
    evening.says("undo");
    assert_eq!(evening.answers("list line")["parcels"], json!([]));
    evening.says("line-up TH-1041");
    let answer = evening.answers("list line --full");
    assert_eq!(answer["computed"]["2"]["hazard"], "ink, 50 ml");
    check(&evening);
}

#[test]
fn none_over_what_an_order_declares_is_told() {
    let evening = printed("ink, 50 ml", "none");
    let doubt = "order `TH-1041` declares `ink, 50 ml`, and `none` is noted";
    let output = evening.run("print --dry-run", "");
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "", "it was told when it was printed");
    let output = evening.run("note 1 --hazard none", "");
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains(&format!("warning[denied-hazard]: {doubt}")), "{said}");
    let list = evening.says("list");
    assert!(list.contains("hazards: none, though TH-1041 declares `ink, 50 ml`"), "{list}");
    let answer = evening.answers("list line --full");
    assert_eq!(answer["computed"]["1"]["hazard_doubt"], doubt);
    evening.says("note 1 --hazard \"ink, one bottle\"");
    let answer = evening.answers("list line --full");
    assert_eq!(answer["computed"]["1"]["hazard_doubt"], Value::Null);
}

#[test]
fn words_for_none_and_bare_answers_are_no_goods() {
    let evening = Evening::new();
    evening.take_in(&[declaring("keine")]);
    evening.says("line-up TH-1041 --sitting Friday");
    assert_eq!(evening.answers("list line --full")["computed"]["1"]["hazard"], "none");
    evening.says("note 1 --hazard Nessuno");
    assert_eq!(evening.answers("list line")["parcels"][0]["hazard"], "none");
    for (bare, hint) in [
        ("nein", "write `none` if nothing in the parcel is hazardous"),
        ("–", "write `none` if nothing in the parcel is hazardous"),
        ("ja", "say what it is, such as `perfume, 1 bottle of 30 ml`"),
    ] {
        let (code, said) = evening.stops(&format!("note 1 --hazard={bare}"));
        let told =
            format!("error: expected `none` or what it is, found `{bare}`\n  help: {hint}\n");
        assert_eq!((code, said), (2, told));
    }
}
