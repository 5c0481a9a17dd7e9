//! An evening on paper: a kit, a late order, a changed address, one that was taken off, and a run that
//! ended between the folder and the ledger.

use std::fs;
use std::path::{Path, PathBuf};

use super::*;
use crate::cli::inputs::ShopPlace;
use crate::fonts::FontBook;
use crate::ledger::{
    Act, ActStamp, Arrival, Done, Event, Facts, Ledger, LedgerError, Matching, Moment, ParcelState,
};
use crate::pipeline::Occasion;

/// A shop with two services, whose inserts are left out so that there is less to print.
const SHOP: &str = "
name: Tern Hollow Pens
address: {company: Tern Hollow Pens, lines: [1 Quay], city: Ternmouth, postcode: TR77 4NH, country: GB}
currency: GBP
kit: {inserts: none, customs_sheets: customs-sheet-a5}
packs: [{name: box, inside: 300 x 200 x 100 mm, own_weight: 100 g}]
goods: [{sku: PEN, size: 150 x 15 x 15 mm, weight: 96 g}]
rates:
  zones: {world: elsewhere}
  services:
    - {name: letter, prices: {world: {250 g: 2.35}}}
    - {name: parcel, prices: {world: {2 kg: 4.80}}}
";

/// An evening in a folder of its own.
struct Evening {
    /// Where the evening's ledger, shop file and kits are.
    folder: tempfile::TempDir,
    /// The ledger in it.
    ledger: Ledger,
    /// How many acts there were.
    minute: i64,
}

impl Evening {
    /// An evening with three parcels lined up.
    fn begin() -> Evening {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("shop.yaml"), SHOP).unwrap();
        let ledger = Ledger::create(&folder.path().join("a.ledger")).unwrap();
        let mut evening = Evening { folder, ledger, minute: 0 };
        evening.act(|act| act.begin_sitting("Friday"));
        evening.line_up("TH-1", "Ines Marlow", "1 Quay", "Marlow");
        evening.line_up("TH-2", "Ada Reed", "2 Quay", "Reed");
        evening.line_up("TH-3", "Bo Vale", "3 Quay", "Vale");
        evening
    }

    /// Does something in the ledger.
    fn act<T>(&mut self, what: impl FnOnce(&mut Act<'_>) -> Result<T, LedgerError>) -> T {
        self.minute += 1;
        let at = Moment::of_clock(1_796_000_000 + self.minute * 60, 60);
        match self.ledger.act(&ActStamp { at, by: "test".into(), request: None }, what) {
            Ok(Done::Now(done)) => done,
            Ok(Done::Before(_)) => panic!("no request was given"),
            Err(error) => panic!("{error}"),
        }
    }

    /// Takes an order in, new or changed.
    fn take_in(&mut self, id: &str, name: &str, street: &str, country: &str) {
        let json = format!(
            r#"{{"id": "{id}", "hazard": "none", "ship_to": {{"name": "{name}",
                "lines": ["{street}"], "city": "Oakhaven", "postcode": "LS1 4AP",
                "country": "{country}"}},
                "items": [{{"sku": "PEN", "title": "Heron pen", "qty": 2, "price": "30.00"}}]}}"#
        );
        // What an order said before it changed is only taken by name.
        self.act(|act| act.take_in_knowing(&[Arrival { id, json: &json }], &[id.to_owned()]));
    }

    /// Takes an order in and lines it up.
    fn line_up(&mut self, id: &str, name: &str, street: &str, tag: &str) {
        self.take_in(id, name, street, "GB");
        self.act(|act| act.line_up(1, &[id.into()], tag, Facts::default()));
    }

    /// Lets something happen to the line.
    fn happen(&mut self, event: Event) {
        self.act(|act| act.happen(1, event));
    }

    /// The line with all that it is made of.
    fn source(&self) -> LineInputs {
        let beside = self.folder.path().join("shop.yaml");
        let place = ShopPlace { named: Some(&beside), beside: &beside };
        LineInputs::read(&self.ledger, self.ledger.line(1).unwrap(), place).unwrap()
    }

    /// The folder of the kit.
    fn kit(&self) -> PathBuf {
        self.folder.path().join("tonight")
    }

    /// What would be printed, a line a parcel.
    fn plan(&self) -> Vec<String> {
        let plan = plan_line(&mut self.source(), &setup(), WantedPapers::Due).unwrap();
        plan.parcels.iter().map(show).collect()
    }

    /// What is told before anything is printed.
    fn told(&self) -> Vec<String> {
        let plan = plan_line(&mut self.source(), &setup(), WantedPapers::Due).unwrap();
        let told = plan.findings.iter().map(|it| {
            let number = it.position().unwrap_or_default();
            let more: String = match it.is(&crate::findings::rules::PARCEL_DIFFERS_FROM_PRINT) {
                true => it.details.iter().map(|line| format!("; {line}")).collect(),
                false => String::new(),
            };
            format!("{} ({number}): {}{more}", it.rule.name, it.message)
        });
        told.collect()
    }

    /// Prints, and leaves the ledger as it is.
    fn make(&self) -> Result<LinePrinted, Halt> {
        make_line(&mut self.source(), &setup(), &self.kit(), WantedPapers::Due)
    }

    /// Prints, and tells the ledger.
    fn print(&mut self) -> LinePrinted {
        let printed = self.make().unwrap();
        let parcels = printed.parcels.clone();
        self.act(|act| act.printed(1, parcels, Some("tonight")));
        printed
    }
}

/// What pages are made with.
fn setup() -> PrintSetup {
    PrintSetup { book: FontBook::builtin(), grid: None, threads: None, proof: None, date: None }
}

/// A parcel of which something would be printed.
fn show(parcel: &PlannedParcel) -> String {
    let papers: Vec<String> = parcel
        .documents
        .iter()
        .map(|paper| {
            format!(
                "{}{}",
                paper.document,
                match paper.occasion {
                    Occasion::First => "",
                    Occasion::Late => " (late)",
                    Occasion::Again => " (reprint)",
                }
            )
        })
        .collect();
    let gone = parcel.withdrawn.iter().map(|paper| format!(", no {paper}")).collect::<String>();
    let (number, tag) = (parcel.number, &parcel.tag);
    format!("{number} {tag}: {}: {}{gone}", parcel.why.word(), papers.join(", "))
}

/// What each page of a PDF says, words joined by single blanks.
fn texts(file: &Path) -> Vec<String> {
    let document = lopdf::Document::load(file).unwrap();
    let pages: Vec<u32> = document.get_pages().into_keys().collect();
    let words = |page: &u32| {
        let text = document.extract_text(&[*page]).unwrap();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    pages.iter().map(words).collect()
}

/// The files of a folder.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap());
    let files = entries.filter(|entry| entry.file_type().unwrap().is_file());
    let mut files: Vec<(String, Vec<u8>)> = files
        .map(|entry| (entry.file_name().into_string().unwrap(), fs::read(entry.path()).unwrap()))
        .collect();
    files.sort();
    files
}

#[test]
fn a_kit_first_and_then_only_the_difference() {
    let mut evening = Evening::begin();
    assert_eq!(
        evening.plan(),
        [
            "1 Marlow: new: labels, bench-cards, slips",
            "2 Reed: new: labels, bench-cards, slips",
            "3 Vale: new: labels, bench-cards, slips",
        ]
    );
    let printed = evening.print();
    assert_eq!(printed.folder, Some(evening.kit()));
    assert!(printed.parcels.iter().all(|parcel| (parcel.count, parcel.papers.len()) == (3, 3)));
    let labels = texts(&evening.kit().join("labels.pdf"));
    assert!(labels[1].contains("2 of 3") && !labels[1].contains("late"), "{}", labels[1]);
    let names: Vec<String> = files(&evening.kit()).into_iter().map(|file| file.0).collect();
    assert!(names.contains(&"picking-list.pdf".to_owned()), "{names:?}");
    assert!(!names.contains(&"handover-list.pdf".to_owned()), "it comes at the counter: {names:?}");
    assert_eq!(evening.plan(), [""; 0]);
    assert_eq!(evening.make().unwrap().folder, None, "nothing has to be printed");

    // A late order joins at the end, one is taken off, and one is for another address now.
    evening.line_up("TH-4", "Cy Wood", "4 Quay", "Wood");
    evening.happen(Event::TakenOff { number: 1, reason: "cancelled".into() });
    evening.take_in("TH-3", "Bo Vale", "33 Quay", "GB");
    assert_eq!(
        evening.plan(),
        [
            "3 Vale: out of date: labels (reprint), slips (reprint)",
            "4 Wood: late: labels (late), bench-cards (late), slips (late)",
        ]
    );
    assert_eq!(
        evening.told(),
        [
            "parcel-differs-from-print (3): parcel `TH-3` is not as it was when it was printed; to: was \
          `Bo Vale, 3 Quay, Oakhaven, LS1 4AP`, is `Bo Vale, 33 Quay, Oakhaven, LS1 4AP`"
        ]
    );
    let before = files(&evening.kit());
    let printed = evening.print();
    let folder = printed.folder.unwrap();
    assert_eq!(folder, evening.kit().join("reprint-1"));
    assert_eq!(files(&evening.kit()), before, "what is there stays as it is");
    let labels = texts(&folder.join("labels.pdf"));
    assert_eq!(labels.len(), 2);
    assert!(labels[0].contains("33 Quay") && labels[0].contains("reprint"), "{}", labels[0]);
    assert!(labels[0].contains("3 of 3"), "{}", labels[0]);
    assert!(labels[1].contains("4 of 4") && labels[1].contains("late"), "{}", labels[1]);
    assert_eq!(texts(&folder.join("bench-cards.pdf")).len(), 1);
    assert_eq!(evening.plan(), [""; 0]);

    // The scale says what should be, and less than that.
    let facts = Facts { weight_g: Some(199), ..Facts::default() };
    evening.happen(Event::Noted { number: 2, facts });
    assert_eq!(evening.plan(), ["2 Reed: out of date: labels (reprint), bench-cards (reprint)"]);
    assert_eq!(
        evening.told(),
        [
            "weight-differs (2): the parcel weighs 93 g less than it should: is the second `Heron pen` \
             inside?",
            "parcel-differs-from-print (2): parcel `TH-2` is not as it was when it was printed; price: \
             was `4.80`, is `2.35`; service: was `parcel`, is `letter`; \
             weight in grams: was none, is 199",
        ]
    );
    // Moved to the front: nothing is printed anew.
    evening.print();
    evening.happen(Event::Moved { number: 4, before: Some(2) });
    assert_eq!(evening.plan(), [""; 0]);
}

#[test]
fn a_paper_that_is_no_longer_needed_is_told_and_forgotten() {
    let mut evening = Evening::begin();
    evening.take_in("TH-2", "Ada Reed", "2 Quay", "US");
    evening.print();
    evening.take_in("TH-2", "Ada Reed", "2 Quay", "GB");
    let told = evening.plan();
    assert_eq!(
        told,
        ["2 Reed: out of date: labels (reprint), slips (reprint), \
          no customs-sheets"]
    );
    evening.print();
    assert_eq!(evening.plan(), [""; 0]);
    // The other way it is no reprint: there was none.
    evening.take_in("TH-2", "Ada Reed", "2 Quay", "US");
    assert!(evening.plan()[0].ends_with("slips (reprint), customs-sheets"), "{:?}", evening.plan());
}

/// The folder was there and the ledger did not know: the next run makes the same once more.
#[test]
fn a_run_that_ended_before_the_ledger_knew_does_no_harm() {
    let mut evening = Evening::begin();
    let lost = evening.make().unwrap();
    let before = files(&evening.kit());
    let states: Vec<ParcelState> =
        evening.ledger.line(1).unwrap().parcels().map(|parcel| parcel.state).collect();
    assert_eq!(states, [ParcelState::LinedUp; 3], "nothing passes for printed");
    assert_eq!(evening.plan().len(), 3);
    let printed = evening.print();
    assert_eq!(files(&evening.kit()), before, "same ledger, same bytes");
    assert_eq!(printed.parcels, lost.parcels);
    assert_eq!(evening.plan(), [""; 0]);
    // The same of a difference: its folder is left behind, and the next has the same pages.
    evening.line_up("TH-4", "Cy Wood", "4 Quay", "Wood");
    let lost = evening.make().unwrap().folder.unwrap();
    let printed = evening.print().folder.unwrap();
    assert_eq!(printed, evening.kit().join("reprint-2"));
    assert_eq!(files(&printed), files(&lost));
}

#[test]
fn what_is_wrong_stops_all_of_it_and_nothing_is_written() {
    let mut evening = Evening::begin();
    evening.print();
    evening.line_up("TH-4", "Cy \u{4e01} Wood", "4 Quay", "Wood");
    let halt = evening.make().unwrap_err();
    assert!(halt.closing[0].starts_with("nothing was written: "), "{:?}", halt.closing);
    assert!(halt.findings.iter().any(|it| it.is(&crate::findings::rules::MISSING_GLYPH)));
    // Nothing is said of parcels that are printed and stay as they are.
    assert!(halt.findings.iter().all(|it| it.position().is_none_or(|it| it == 4)));
    assert!(!evening.kit().join("reprint-1").exists());
    // Another kit in that place is nobody's to replace.
    let other = Evening::begin();
    fs::create_dir(other.kit()).unwrap();
    fs::write(other.kit().join("letter.txt"), "mine").unwrap();
    assert!(other.make().is_err());
    assert_eq!(files(&other.kit())[0].0, "letter.txt");
}

/// Only what is on its way is on the handover list; all other numbers say why not.
#[test]
fn lists_are_printed_by_themselves() {
    let mut evening = Evening::begin();
    evening.print();
    evening.act(|act| act.matched(1, 2, Matching::Scan));
    evening.happen(Event::TakenOff { number: 1, reason: "cancelled".into() });
    evening.take_in("TH-9", "Di Fell", "9 Quay", "GB");
    let list = |kind: ListKind| {
        let to = evening.folder.path();
        let list = make_list(&mut evening.source(), &setup(), kind, to).unwrap();
        texts(&list.file).join(" ")
    };
    let handover = list(ListKind::Handover);
    assert!(handover.contains("taken off: cancelled"), "{handover}");
    assert!(handover.contains("not matched yet"), "{handover}");
    assert!(handover.contains("Ada Reed") && !handover.contains("Bo Vale"), "{handover}");
    assert!(handover.contains("1 parcel"), "{handover}");
    let waiting = list(ListKind::Waiting);
    assert!(waiting.contains("TH-9") && waiting.contains(" 2026"), "{waiting}");
    let picking = list(ListKind::Picking);
    assert!(picking.contains("2 Reed (2), 3 Vale (2)"), "{picking}");
}

/// Nothing known of the parcels has changed, and their slips print otherwise.
#[test]
fn a_changed_shop_file_makes_papers_out_of_date() {
    let mut evening = Evening::begin();
    evening.print();
    let shop = SHOP.replace("currency: GBP", "currency: GBP\nthanks: Thank you.");
    fs::write(evening.folder.path().join("shop.yaml"), shop).unwrap();
    assert_eq!(evening.plan()[0], "1 Marlow: out of date: slips (reprint)");
    assert_eq!(
        evening.told()[0],
        "parcel-differs-from-print (1): the slips of parcel `TH-1` would not print as they did"
    );
}

/// What a pair is matched by: nothing but the parcel itself is looked at while it is as it was printed.
#[test]
fn a_parcel_is_known_to_be_as_it_was_printed_without_reading_the_others() {
    let mut evening = Evening::begin();
    let is_as_printed = |evening: &Evening| {
        let line = evening.ledger.line(1).unwrap();
        [1, 2, 3]
            .map(|number| crate::cli::line::is_as_printed(&evening.ledger, &line, number).unwrap())
    };
    assert_eq!(is_as_printed(&evening), [true; 3], "nothing is printed");
    evening.print();
    assert_eq!(is_as_printed(&evening), [true; 3]);
    // Neither what happens to it afterwards nor its number makes its papers untrue.
    evening.act(|act| act.matched(1, 1, Matching::Scan));
    evening.act(|act| act.track(1, 1, "TH000000000001"));
    evening.line_up("TH-4", "Cy Wood", "4 Quay", "Wood");
    assert_eq!(is_as_printed(&evening), [true; 3]);
    let facts = Facts { weight_g: Some(372), ..Facts::default() };
    evening.happen(Event::Noted { number: 2, facts });
    assert_eq!(is_as_printed(&evening), [true, false, true]);
    evening.take_in("TH-3", "Bo Vale", "33 Quay", "GB");
    assert_eq!(is_as_printed(&evening), [true, false, false]);
    evening.take_in("TH-3", "Bo Vale", "3 Quay", "GB");
    assert_eq!(is_as_printed(&evening), [true, false, true], "it says what it said");
}

/// A parcel that leaves the customs area without a paper for it is told of, and told of once.
#[test]
fn a_line_tells_that_nothing_is_printed_for_customs() {
    let mut evening = Evening::begin();
    let set_shop = |evening: &Evening, sheets: &str| {
        let shop = SHOP.replace(", customs_sheets: customs-sheet-a5", sheets);
        fs::write(evening.folder.path().join("shop.yaml"), shop).unwrap();
    };
    set_shop(&evening, "");
    assert_eq!(evening.told(), [""; 0], "all parcels stay inside");
    evening.take_in("TH-2", "Ada Reed", "2 Quay", "US");
    evening.take_in("TH-3", "Bo Vale", "3 Quay", "CH");
    let of_customs = |evening: &Evening| {
        let mut told = evening.told();
        told.retain(|it| it.starts_with("no-customs-paper"));
        told
    };
    let said = "no-customs-paper (2): parcels 2-3 leave the customs and VAT area, and no paper here is \
                for customs";
    assert_eq!(of_customs(&evening), [said]);
    let printed = evening.print().findings;
    let printed = printed.iter().filter(|it| it.is(&crate::findings::rules::NO_CUSTOMS_PAPER));
    assert_eq!(printed.count(), 1);
    assert_eq!(of_customs(&evening), [""; 0], "they are printed");
    set_shop(&evening, ", customs_sheets: none");
    evening.line_up("TH-4", "Cy Wood", "4 Quay", "Wood");
    evening.take_in("TH-4", "Cy Wood", "4 Quay", "US");
    assert_eq!(evening.plan().len(), 1);
    assert_eq!(of_customs(&evening), [""; 0], "the shop file says that none is wanted");
}
