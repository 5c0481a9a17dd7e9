//! A line on paper: numbers, tags and codes that never change, what the scale says, numbers that stay
//! empty, and what tells whether papers are out of date.

use slipwright::batch::{
    Absence, AbsenceState, LinePlace, LineUp, LinedTag, Measured, TagDoubt, WaitingOrder,
    judge_tag, propose_tag,
};
use slipwright::digest::PageDigest;
use slipwright::orders::OrderParts;
use slipwright::pairs::{BatchKey, PairCode};
use slipwright::pipeline::{Document, Occasion, PictureStore, Run, SelectedPlace, Selection};
use slipwright::scene::MarkKind;
use slipwright::shop::PageOrder;
use slipwright::{
    Batch, Finding, FontBook, Layout, NoFiles, Order, Page, Shop, Sources, find_shipped,
    read_layout, read_orders, watch_batch,
};

/// A shop with packs, of which there is one tube, and prices.
const SHOP: &str = "
name: Tern Hollow Pens
address: {company: Tern Hollow Pens, lines: [1 Quay], city: Ternmouth, postcode: TR77 4NH, country: GB}
currency: GBP
packs:
  - {name: tube, inside: 180 x 32 x 32 mm, own_weight: 20 g, left: 1}
  - {name: box, inside: 300 x 200 x 100 mm, own_weight: 100 g}
goods:
  - {sku: PEN, size: 150 x 15 x 15 mm, weight: 96 g}
rates:
  zones: {world: elsewhere}
  services:
    - {name: letter, prices: {world: {250 g: 2.35}}}
    - {name: parcel, prices: {world: {2 kg: 4.80}}}
";

/// The shop.
fn shop() -> Shop {
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", SHOP);
    let mut found = Vec::new();
    let shop = Shop::read(sources.get(file).text(), file, &mut found);
    assert!(found.is_empty(), "{found:?}");
    shop.unwrap()
}

/// An order of so many pens for somebody, with a title.
fn order(id: &str, name: &str, title: &str, qty: u32) -> Order {
    let text = format!(
        r#"[{{"id": "{id}", "hazard": "none", "ship_to": {{"name": "{name}", "lines": ["1 Quay"],
            "city": "Oakhaven", "postcode": "LS1 4AP", "country": "GB"}},
            "items": [{{"sku": "PEN", "title": "{title}", "qty": {qty}, "shelf": "B{qty}"}}]}}]"#
    );
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text);
    let mut orders = read_orders(sources.get(file).shared_text(), file);
    assert!(orders.bad.is_empty(), "{:?}", orders.findings);
    orders.orders.remove(0)
}

/// A line in which every parcel was lined up one after the other and nothing is printed.
struct Line {
    /// Its key.
    key: BatchKey,
    /// Its places as they lie.
    places: Vec<LinePlace>,
    /// The codes that it gave.
    codes: Vec<PairCode>,
}

/// That a parcel was taken off.
fn taken_off(reason: &str) -> Absence {
    Absence { state: AbsenceState::TakenOff, reason: reason.into() }
}

impl Line {
    /// A line of three parcels.
    fn of_three() -> Line {
        let key = BatchKey::of_sitting("Friday", 1, 0, 0, |_| false);
        let mut line = Line { key, places: Vec::new(), codes: Vec::new() };
        line.line_up(order("TH-1", "Ines Marlow", "Heron pen", 1), "Marlow");
        line.line_up(order("TH-2", "Ada Reed", "Wren pen", 2), "Reed");
        line.line_up(order("TH-3", "Bo Vale", "Curlew pen", 1), "Vale");
        line
    }

    /// Lines up a parcel.
    fn line_up(&mut self, order: Order, tag: &str) {
        let number = self.codes.len() + 1;
        let used = |code: &PairCode| self.codes.contains(code);
        let place = u32::try_from(number).unwrap();
        let pair = PairCode::of_place(self.key, place, self.codes.len(), used);
        self.codes.push(pair);
        self.places.push(LinePlace {
            number,
            orders: vec![order],
            tag: tag.into(),
            pair,
            count: None,
            measured: Measured::default(),
            tracking: "".into(),
            out: None,
        });
    }

    /// Prints all that is there: its papers say how many there are.
    fn print(&mut self) {
        let count = self.codes.len();
        self.places.iter_mut().for_each(|place| place.count = place.count.or(Some(count)));
    }

    /// The place of a number.
    fn place(&mut self, number: usize) -> &mut LinePlace {
        self.places.iter_mut().find(|place| place.number == number).unwrap()
    }

    /// Its batch, with what was found.
    fn batch(&self) -> (Batch, Vec<Finding>) {
        let line = LineUp {
            name: "Friday".into(),
            key: self.key,
            codes: self.codes.clone(),
            places: self.places.clone(),
            waiting: vec![WaitingOrder {
                order: order("TH-9", "Cy Wood", "Snipe pen", 1),
                since: "2026-11-30".into(),
            }],
        };
        let mut found = Vec::new();
        let batch = Batch::of_line(line, Some(&shop()), &mut found);
        (batch, found)
    }

    /// The digests of the labels of all parcels that go.
    fn labels(&self) -> Vec<(usize, PageDigest)> {
        print(&self.batch().0, "label-4x6in", |_| Occasion::First).digests
    }
}

/// What was printed of a batch.
struct Printed {
    /// Its pages.
    pages: Vec<Page>,
    /// The parcels' digests, by number.
    digests: Vec<(usize, PageDigest)>,
}

/// Prints a batch in a shipped layout, each parcel on an occasion by its number.
fn print(batch: &Batch, layout: &str, occasion: impl Fn(usize) -> Occasion) -> Printed {
    print_in(batch, &layout_of(find_shipped(layout).unwrap().text), occasion)
}

/// A layout from its text.
fn layout_of(text: &str) -> Layout {
    let mut sources = Sources::new();
    let file = sources.add("layout.yaml", text);
    let (layout, found) = read_layout(&mut sources, file, &NoFiles, std::path::Path::new(""));
    assert!(found.is_empty(), "{found:?}");
    layout.unwrap()
}

/// Prints a batch in a layout.
fn print_in(batch: &Batch, layout: &Layout, occasion: impl Fn(usize) -> Occasion) -> Printed {
    let (book, pictures, shop) = (FontBook::builtin(), PictureStore::new(&NoFiles, ""), shop());
    let places = batch.parcels.iter().enumerate();
    let places =
        places.map(|(place, parcel)| SelectedPlace { place, occasion: occasion(parcel.position) });
    let selection = Selection::on(places, PageOrder::Bench);
    let document =
        Document { shop: Some(&shop), selection, ..Document::new(batch, layout, &book, &pictures) };
    let run = Run::new(&document).unwrap().with_digests();
    let mut pages = Vec::new();
    let take = |page| {
        pages.push(page);
        Ok(())
    };
    let outcome = run.make(&mut watch_batch(batch), Page::clone, take, |_| {}).unwrap();
    assert!(!outcome.failed, "{:?}", outcome.findings);
    let digests = outcome.digests.iter().map(|it| (it.position, it.digest)).collect();
    Printed { pages, digests }
}

/// What a page says, run by run.
fn says(page: &Page) -> String {
    let runs = page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Text(run) => Some(run.text.trim()),
        _ => None,
    });
    runs.collect::<Vec<_>>().join(" ")
}

/// What must be equal of a parcel whatever happens to others.
fn identity(batch: &Batch, number: usize) -> (String, String, String, usize, Vec<bool>, String) {
    let parcel = batch.at(number).unwrap();
    (
        parcel.tag.text.to_string(),
        batch.label_payload(parcel),
        batch.card_payload(parcel),
        parcel.count,
        parcel.tally.cells().to_vec(),
        parcel.pack.to_string(),
    )
}

/// A late order, one taken off and one moved change no other parcel, and no page of one.
#[test]
fn the_bench_does_not_move() {
    let mut line = Line::of_three();
    line.print();
    let (before, labels) = (line.batch().0, line.labels());
    line.line_up(order("TH-4", "Di Fell", "Swift pen", 1), "Fell");
    line.place(1).out = Some(taken_off("cancelled"));
    let last = line.places.remove(2);
    line.places.insert(0, last);
    let (after, _) = line.batch();
    let numbers: Vec<usize> = after.parcels.iter().map(|parcel| parcel.position).collect();
    assert_eq!(numbers, [3, 2, 4]);
    for number in [2, 3] {
        assert_eq!(identity(&after, number), identity(&before, number));
    }
    // The only tube is that of the parcel that was taken off: it may be packed.
    assert_eq!(&*before.at(1).unwrap().pack, "tube");
    assert_eq!(&*after.at(4).unwrap().pack, "box");
    assert_eq!(after.at(4).unwrap().count, 4);
    assert_eq!((after.at(1), after.place_of(3)), (None, Some(0)));
    let now = line.labels();
    assert_eq!(now.iter().map(|label| label.0).collect::<Vec<_>>(), [3, 2, 4]);
    for label in &labels[1..] {
        assert!(now.contains(label), "the label of parcel {} is as it was", label.0);
    }
}

/// A number and a tag that were given stay on every list, and say why nothing lies there.
#[test]
fn a_number_that_was_taken_off_stays_empty_on_every_list() {
    let mut line = Line::of_three();
    line.place(2).out = Some(taken_off("cancelled by the buyer"));
    let (batch, found) = line.batch();
    let vacant = &batch.vacant[0];
    assert_eq!((vacant.position, &*vacant.tag, vacant.before), (2, "Reed", 1));
    let aside = |finding: &&Finding| finding.position() == Some(2);
    assert_eq!(found.iter().find(aside), None, "nothing is asked of what does not go");
    let list = |layout: &str| says(&print(&batch, layout, |_| Occasion::First).pages[0]);
    let handover = list("handover-list-a4");
    assert!(handover.contains("1 Marlow Ines Marlow"), "{handover}");
    assert!(handover.contains("2 Reed taken off: cancelled by the buyer 3 Vale"), "{handover}");
    assert!(!handover.contains("Ada Reed"), "{handover}");
    assert!(handover.contains("2 parcels"), "{handover}");
    let overview = list("overview-a4");
    assert!(overview.contains("2 Reed off"), "{overview}");
    let waiting = list("waiting-list-a4");
    assert!(waiting.contains("TH-9 Cy Wood GB Snipe pen 30 November 2026"), "{waiting}");
    assert!(waiting.contains("2 Reed taken off: cancelled by the buyer"), "{waiting}");
    // Who reads German is told in German, but for the seller's own words.
    let text = find_shipped("waiting-list-a4").unwrap().text;
    let layout = layout_of(&format!("{text}\nlanguage: de\n"));
    let german = says(&print_in(&batch, &layout, |_| Occasion::First).pages[0]);
    assert!(german.contains("Snipe pen 30. November 2026"), "{german}");
    assert!(german.contains("2 Reed herausgenommen: cancelled by the buyer"), "{german}");
    let picking = list("picking-list-a4");
    assert!(
        picking.contains("B1 1 × Heron pen PEN 1 Marlow 1 × Curlew pen PEN 3 Vale"),
        "{picking}"
    );
    assert!(!picking.contains("Wren"), "{picking}");
}

/// The handover list adds up what the parcels cost, by service, and says whose price is not known.
#[test]
fn the_handover_list_has_real_weights_and_the_postage() {
    let mut line = Line::of_three();
    for (number, grams) in [(1, 118), (2, 300), (3, 205)] {
        line.place(number).measured.weight_g = Some(grams);
    }
    let (batch, _) = line.batch();
    let list = says(&print(&batch, "handover-list-a4", |_| Occasion::First).pages[0]);
    assert!(list.contains("2 Reed Ada Reed GB 300 parcel"), "{list}");
    assert!(list.contains("3 parcels 623"), "{list}");
    assert!(list.contains("letter 2 £4.70 parcel 1 £4.80"), "{list}");
    assert!(list.contains("3 £9.50"), "{list}");
    // Too heavy for any service: its price is not in the sum.
    line.place(2).measured.weight_g = Some(2500);
    let (batch, _) = line.batch();
    let list = says(&print(&batch, "handover-list-a4", |_| Occasion::First).pages[0]);
    assert!(list.contains("The postage of 1 parcel is not known and not in the sum."), "{list}");
}

/// What was measured at the bench goes before orders and sums, and what it changes is told.
#[test]
fn what_the_scale_says_wins_and_is_said() {
    let mut line = Line::of_three();
    let measured = &mut line.place(2).measured;
    measured.weight_g = Some(196);
    measured.size = Some([200.0, 120.0, 60.0].map(slipwright::Mm));
    let (batch, found) = line.batch();
    let parcel = batch.at(2).unwrap();
    assert_eq!((parcel.weight_g, &*parcel.service), (Some(196), "letter"));
    assert_eq!(parcel.size.as_ref().unwrap()[2].0, 60.0);
    let message = |rule: &str| {
        let finding = found.iter().find(|finding| *finding.rule == *rule).unwrap();
        assert_eq!(finding.position(), Some(2));
        (finding.message.clone(), finding.details.join("; "))
    };
    let (said, details) = message("weight-differs");
    assert_eq!(
        said,
        "the parcel weighs 96 g less than it should: is the second `Wren pen` inside?"
    );
    assert_eq!(details, "on the scale: 196 g; its items, pack and wrapping: 292 g");
    let (said, details) = message("measured-changes");
    assert_eq!(said, "what was measured asks for another service and price");
    assert_eq!(details, "service: was `parcel`, is `letter`; price: was `4.80 GBP`, is `2.35 GBP`");
    // Without the bench it should weigh what its items, its pack and nothing else weigh.
    line.place(2).measured = Measured::default();
    let (batch, found) = line.batch();
    assert_eq!(batch.at(2).unwrap().weight_g, None);
    assert!(found.iter().all(|finding| finding.position() != Some(2)), "{found:?}");
    // What is decided at the bench wins too.
    let measured = &mut line.place(3).measured;
    measured.pack = Some("box".into());
    measured.service = Some("parcel".into());
    measured.hazard = Some("ink".into());
    let (batch, _) = line.batch();
    let parcel = batch.at(3).unwrap();
    assert_eq!((&*parcel.pack, &*parcel.service, parcel.declared()), ("box", "parcel", "ink"));
}

/// Changes an order where it lies.
fn change(order: &mut Order, how: impl FnOnce(&mut OrderParts<'_>)) {
    *order = order.changed(how);
}

/// An order that joins a parcel is in it, and what any of its orders declares is declared.
#[test]
fn orders_that_a_seller_joins_share_a_parcel() {
    let mut line = Line::of_three();
    let mut other = order("TH-8", "Ines Marlow", "Plover ink", 1);
    other = other.changed(|order| {
        order.hazard = "ink, flammable";
        order.gift = true;
    });
    line.place(1).orders.push(other);
    let (batch, _) = line.batch();
    let parcel = batch.at(1).unwrap();
    assert_eq!((parcel.order_ids(), parcel.id()), ("TH-1 + TH-8".to_owned(), "TH-1"));
    assert_eq!((parcel.declared(), parcel.gift), ("ink, flammable", true));
    change(&mut line.place(1).orders[1], |order| order.hazard = "");
    assert_eq!(&*line.batch().0.at(1).unwrap().hazard, "", "one of them has not said");
}

/// Small words say on what occasion pages are printed, and change no digest.
#[test]
fn late_papers_and_reprints_say_so_in_small_print() {
    let (batch, _) = Line::of_three().batch();
    let occasion = |number: usize| match number {
        1 => Occasion::First,
        2 => Occasion::Late,
        _ => Occasion::Again,
    };
    for layout in ["label-4x6in", "letter-label-62x100mm", "bench-card", "slip-a4", "gift-slip-a4"]
    {
        let plain = print(&batch, layout, |_| Occasion::First);
        let printed = print(&batch, layout, occasion);
        assert_eq!(printed.digests, plain.digests, "{layout}");
        let word = |page: usize, word: &str| {
            says(&printed.pages[page]).split_whitespace().any(|it| it == word)
        };
        assert!(!word(0, "late") && !word(0, "reprint"), "{layout}");
        assert!(word(1, "late") && !word(1, "reprint"), "{layout}");
        assert!(word(2, "reprint") && !word(2, "late"), "{layout}");
    }
}

/// A digest tells an address, a quantity and a layout that have changed, each by the papers that show it.
#[test]
fn what_is_out_of_date_is_told_by_the_pages() {
    let mut line = Line::of_three();
    line.print();
    let papers = |line: &Line, layout: &str| {
        let (batch, _) = line.batch();
        print(&batch, layout, |_| Occasion::First).digests
    };
    let (labels, slips) = (papers(&line, "label-4x6in"), papers(&line, "slip-a4"));
    let changed = |before: &[(usize, PageDigest)], now: &[(usize, PageDigest)]| -> Vec<usize> {
        let now = now.iter().filter(|paper| !before.contains(paper));
        now.map(|paper| paper.0).collect()
    };
    change(&mut line.place(2).orders[0], |order| order.items[0].qty = 3);
    assert_eq!(changed(&slips, &papers(&line, "slip-a4")), [2]);
    assert_eq!(changed(&labels, &papers(&line, "label-4x6in")), [0; 0], "no label shows it");
    change(&mut line.place(3).orders[0], |order| order.ship_to.lines = vec!["2 Quay".into()]);
    assert_eq!(changed(&labels, &papers(&line, "label-4x6in")), [3]);
    // The shop's own layout was changed a little.
    let text = find_shipped("slip-a4").unwrap().text;
    let other = layout_of(&text.replacen("16pt", "15pt", 1).replacen("18pt", "17pt", 1));
    let (batch, _) = Line::of_three().batch();
    assert_ne!(find_shipped("slip-a4").unwrap().text, "");
    let plain = print(&batch, "slip-a4", |_| Occasion::First).digests;
    assert_eq!(changed(&plain, &print_in(&batch, &other, |_| Occasion::First).digests), [1, 2, 3]);
}

/// A proposed tag depends on nothing but what was given, and those that are gone were given too.
#[test]
fn tags_are_proposed_against_all_that_was_given() {
    let orders: Vec<Vec<Order>> = [("TH-1", "Heron pen"), ("TH-2", "Wren pen")]
        .map(|(id, title)| vec![order(id, "Ines Marlow", title, 1)])
        .into();
    let mut lined = vec![
        LinedTag { number: 1, tag: "Heron", orders: &orders[0] },
        // Nobody knows any more what was in it.
        LinedTag { number: 2, tag: "Curlew", orders: &[] },
        LinedTag { number: 3, tag: "Wren", orders: &orders[1] },
    ];
    let next = |title: &str| vec![order("TH-9", "Bo Vale", title, 1)];
    assert_eq!(&*propose_tag(&lined, &next("Swift pen"), "Tern Hollow Pens"), "Swift");
    assert_eq!(&*propose_tag(&lined, &next("Curlew pen"), "Tern Hollow Pens"), "Vale");
    // The tag that the order brings is kept, unless it can be taken for another.
    let mut own = next("Swift pen");
    change(&mut own[0], |order| order.tag = "Otter");
    assert_eq!(&*propose_tag(&lined, &own, ""), "Otter");
    change(&mut own[0], |order| order.tag = "Her0n");
    assert_eq!(&*propose_tag(&lined, &own, ""), "Swift");
    lined.pop();
    assert_eq!(&*propose_tag(&lined, &next("Wren pen"), ""), "Wren");
    let doubt = |tag: &str| judge_tag(&lined, tag).map(|doubt| doubt.to_string());
    assert_eq!(doubt("Otter"), None);
    assert_eq!(judge_tag(&lined, "Heron"), Some(TagDoubt::Equal { number: 1 }));
    assert_eq!(doubt("Heron").unwrap(), "parcel 1 has this tag");
    assert_eq!(doubt("her0n").unwrap(), "it is easily taken for `Heron` of parcel 1");
    assert_eq!(
        doubt("Kingfisher and otter").unwrap(),
        "it has 20 characters and cannot be read from far"
    );
}

/// Papers that say the day they are printed on are not out of date on the next.
#[test]
fn the_day_of_printing_changes_no_digest() {
    let (batch, _) = Line::of_three().batch();
    let layout = layout_of(
        "page: {stock: 4x6in, inset: 4}\nmakes: slip\nbody: {text: \"{{ tag }} {{ today | day }}\"}\n",
    );
    let (book, pictures, shop) = (FontBook::builtin(), PictureStore::new(&NoFiles, ""), shop());
    let [one, other] = ["2026-11-30", "2026-12-01"].map(|date| {
        let date = slipwright::fields::Day::parse(date);
        let document = Document {
            shop: Some(&shop),
            date,
            ..Document::new(&batch, &layout, &book, &pictures)
        };
        let run = Run::new(&document).unwrap().with_digests();
        let mut pages = Vec::new();
        let take = |page| {
            pages.push(page);
            Ok(())
        };
        let outcome = run.make(&mut watch_batch(&batch), Page::clone, take, |_| {}).unwrap();
        let digests: Vec<PageDigest> = outcome.digests.iter().map(|it| it.digest).collect();
        (says(&pages[0]), digests)
    });
    assert_ne!(one.0, other.0);
    assert_eq!((one.1.len(), &one.1), (3, &other.1));
}
