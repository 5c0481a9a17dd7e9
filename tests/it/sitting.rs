//! A whole sitting: sixty orders with every difficulty we know of go from the shop's export to a
//! finished kit with one `intake` and one `kit`. What stands on the paper is compared with the
//! export as the csv crate reads it, with sums by rust_decimal; pages are read by lopdf, drawn by
//! hayro, and their codes read by rxing.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use rust_decimal::Decimal;
use serde_json::Value;
use slipwright::{DotGrid, Shop, Sources};
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use crate::command::Desk;
use crate::kit::{json_of, texts};
use crate::rasters::{Dots, draw_file, read_qr};

/// The two commands of the README.
const INTAKE: [&str; 6] =
    ["intake", "sitting.csv", "--map", "sitting-map.yaml", "-o", "sitting.json"];
/// See [`INTAKE`].
const KIT: [&str; 6] = ["kit", "sitting.json", "--combine", "--fix-tags", "--to", "sitting"];

/// A row of the export: its cells by their columns' names.
type Row = BTreeMap<String, String>;

/// What both commands made, once for all tests here.
struct Sitting {
    /// Where it is.
    desk: Desk,
    /// What the commands said.
    said: [String; 2],
    /// The rows of each order, in the order of the export.
    orders: Vec<(String, Vec<Row>)>,
    /// The parcels, as the record of the kit has them.
    parcels: Vec<Parcel>,
}

/// A parcel in the record of a kit.
struct Parcel {
    /// Its number.
    position: usize,
    /// Its tag.
    tag: String,
    /// Its pair code.
    pair: String,
    /// What the QR codes of label and card say.
    codes: [String; 2],
    /// The ids of its orders.
    ids: Vec<String>,
}

impl Parcel {
    /// The rows of all its orders.
    fn rows<'a>(&'a self, sitting: &'a Sitting) -> impl Iterator<Item = &'a Row> {
        self.ids.iter().flat_map(|id| sitting.rows(id))
    }

    /// The first row, where an order says what is true of all of it.
    fn first<'a>(&'a self, sitting: &'a Sitting) -> &'a Row {
        &sitting.rows(&self.ids[0])[0]
    }

    /// Its ids as they are printed.
    fn joined(&self) -> String {
        self.ids.join(" + ")
    }
}

impl Sitting {
    /// The rows of an order.
    fn rows(&self, id: &str) -> &[Row] {
        &self.orders.iter().find(|(known, _)| known == id).unwrap().1
    }

    /// The text of every page of one document.
    fn pages(&self, name: &str) -> Vec<String> {
        texts(&self.desk, &format!("sitting/{name}"))
    }

    /// A page of the label of each parcel, without white space.
    fn labels(&self) -> Vec<String> {
        let pages: Vec<String> =
            self.pages("labels.pdf").iter().map(|page| squeeze(page)).collect();
        assert_eq!(pages.len(), self.parcels.len());
        pages
    }

    /// The slip of each parcel, all its pages in one text without white space.
    fn slips(&self) -> Vec<String> {
        let mut slips: Vec<String> = Vec::new();
        for page in self.pages("slips.pdf") {
            match page.split_once("parcel ") {
                Some(_) if page.contains(" 1 of ") => slips.push(squeeze(&page)),
                _ => slips.last_mut().unwrap().push_str(&squeeze(&page)),
            }
        }
        assert_eq!(slips.len(), self.parcels.len());
        slips
    }
}

/// What both commands make of the samples.
static SITTING: LazyLock<Sitting> = LazyLock::new(|| {
    let desk = Desk::new();
    desk.sample("sitting.csv").sample("sitting-map.yaml").sample("shop.yaml");
    let run = |words: &[&str]| String::from_utf8(desk.done(words).stderr).unwrap();
    let said = [run(&INTAKE), run(&KIT)];
    let orders = read_export();
    let record = json_of(&desk, "sitting/batch.json");
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let parcels = record["parcels"].as_array().unwrap().iter().map(|parcel| Parcel {
        position: parcel["position"].as_u64().unwrap().try_into().unwrap(),
        tag: text(&parcel["tag"]),
        pair: text(&parcel["pair"]),
        codes: [text(&parcel["label"]), text(&parcel["card"])],
        ids: parcel["orders"].as_array().unwrap().iter().map(text).collect(),
    });
    Sitting { parcels: parcels.collect(), desk, said, orders }
});

/// The export, as the csv crate reads it.
fn read_export() -> Vec<(String, Vec<Row>)> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/sitting.csv");
    let file = fs::read(path).unwrap();
    let text = file.strip_prefix("\u{feff}".as_bytes()).expect("a byte order mark");
    let mut reader = csv::ReaderBuilder::new().delimiter(b';').from_reader(text);
    let names = reader.headers().unwrap().clone();
    let mut orders: Vec<(String, Vec<Row>)> = Vec::new();
    for record in reader.records() {
        let record = record.unwrap();
        let row: Row =
            names.iter().map(str::to_owned).zip(record.iter().map(str::to_owned)).collect();
        let id = row["Order no."].clone();
        if orders.last().is_none_or(|(last, _)| *last != id) {
            orders.push((id, Vec::new()));
        }
        orders.last_mut().unwrap().1.push(row);
    }
    orders
}

/// A text without white space: where lines break is the layout's choice.
fn squeeze(text: &str) -> String {
    text.split_whitespace().collect()
}

/// A text as it looks in capitals without accents: some countries want their town so.
fn bare_capitals(text: &str) -> String {
    let capitals = text.split_whitespace().flat_map(str::chars).flat_map(char::to_uppercase);
    capitals.nfd().filter(|c| !is_combining_mark(*c)).collect()
}

/// A price of the export, `1.240,00`.
fn price(row: &Row) -> Decimal {
    row["Unit price"].replace('.', "").replace(',', ".").parse().unwrap()
}

/// How many of an item.
fn pieces(row: &Row) -> Decimal {
    row["Pieces"].parse().unwrap()
}

/// An amount as a slip shows it: its sign, thousands parted, two decimals.
fn show(amount: Decimal, row_of_currency: &Row) -> String {
    let sign = match &*row_of_currency["Currency"] {
        "GBP" => '£',
        "EUR" => '€',
        other => panic!("{other}"),
    };
    let plain = format!("{amount:.2}");
    let (whole, cents) = plain.split_once('.').unwrap();
    let parted = match whole.len() {
        4..=6 => format!("{},{}", &whole[..whole.len() - 3], &whole[whole.len() - 3..]),
        _ => whole.to_owned(),
    };
    format!("{sign}{parted}.{cents}")
}

/// A part of a page, from a row of dots on.
fn crop(page: &Dots, from: usize, rows: usize) -> Dots {
    let black = page.black[from * page.width..(from + rows) * page.width].to_vec();
    Dots { width: page.width, black }
}

#[test]
fn two_commands_go_through_without_a_warning() {
    let sitting = &*SITTING;
    assert_eq!(sitting.orders.len(), 60);
    assert_eq!(sitting.said[0].trim(), "60 orders, 122 items in `sitting.json`");
    let said = &sitting.said[1];
    assert!(!said.contains("warning") && !said.contains("error["), "{said}");
    let found = json_of(&sitting.desk, "sitting/findings.json");
    assert_eq!((&found["errors"], &found["warnings"]), (&0.into(), &0.into()));
    let codes = found["codes"].as_array().unwrap();
    assert_eq!(codes.len(), 3 * sitting.parcels.len(), "two on a label and one on a card");
    assert!(codes.iter().all(|code| code["read"] == true && code["grade"] == "A"));
    let mut rules: BTreeMap<&str, usize> = BTreeMap::new();
    for finding in found["findings"].as_array().unwrap() {
        *rules.entry(finding["rule"].as_str().unwrap()).or_default() += 1;
    }
    let expected = [
        ("combined", 3),
        ("heavy-parcel", 1),
        ("missing-name", 1),
        ("near-recipient", 1),
        ("tag-changed", 2),
        ("tag-renamed", 2),
    ];
    assert_eq!(rules.into_iter().collect::<Vec<_>>(), expected);
}

/// The three of Maud Ellery-Quint: two together, and the present by itself.
#[test]
fn every_order_is_in_one_parcel_and_on_its_papers() {
    let sitting = &*SITTING;
    let (labels, slips) = (sitting.labels(), sitting.slips());
    let cards = squeeze(&sitting.pages("bench-cards.pdf").join(" "));
    for (id, _) in &sitting.orders {
        let homes: Vec<usize> =
            (0..labels.len()).filter(|&at| sitting.parcels[at].ids.contains(id)).collect();
        let carrying = |pages: &[String]| {
            (0..pages.len()).filter(|&at| pages[at].contains(id.as_str())).collect::<Vec<_>>()
        };
        assert_eq!(homes.len(), 1, "{id}");
        assert_eq!(carrying(&labels), homes, "{id}");
        assert_eq!(carrying(&slips), homes, "{id}");
    }
    for (at, parcel) in sitting.parcels.iter().enumerate() {
        assert_eq!(parcel.position, at + 1);
        let place = format!("{}of{}", parcel.position, sitting.parcels.len());
        let (tag, pair) = (squeeze(&parcel.tag), &parcel.pair);
        assert!(labels[at].contains(&format!("{tag}{place}")), "{}", labels[at]);
        assert!(labels[at].contains(pair.as_str()) && slips[at].contains(pair.as_str()));
        assert_eq!(cards.matches(&format!("{place}{pair}")).count(), 1, "{place}{pair}");
    }
    let combined: Vec<String> =
        sitting.parcels.iter().filter(|it| it.ids.len() > 1).map(Parcel::joined).collect();
    assert_eq!(combined, ["TH-1101 + TH-1160", "TH-1105 + TH-1129", "TH-1107 + TH-1119"]);
    for (at, parcel) in sitting.parcels.iter().enumerate().filter(|(_, it)| it.ids.len() > 1) {
        let both = squeeze(&parcel.joined());
        assert!(labels[at].contains(&both) && slips[at].contains(&both), "{both}");
        assert_eq!(cards.matches(&format!("orders{both}")).count(), 1, "{both}");
    }
    // What the scale says of the parcel, which both of its orders give.
    assert!(labels[0].contains("410g"), "{}", labels[0]);
}

#[test]
fn labels_and_cards_carry_the_codes_of_the_record() {
    let sitting = &*SITTING;
    let drawn =
        |name: &str| draw_file(fs::read(sitting.desk.path(name)).unwrap(), DotGrid::DPI_203);
    let labels: Vec<String> = drawn("sitting/labels.pdf").iter().map(read_qr).collect();
    let wanted = |side: usize| sitting.parcels.iter().map(move |it| it.codes[side].clone());
    assert_eq!(labels, wanted(0).collect::<Vec<_>>());
    // Two cards a sheet, one below the other.
    let halves = drawn("sitting/bench-cards.pdf").into_iter().flat_map(|page| {
        let rows = page.black.len() / page.width;
        [crop(&page, 0, rows / 2), crop(&page, rows / 2, rows - rows / 2)]
    });
    let cards: Vec<String> = halves.take(sitting.parcels.len()).map(|it| read_qr(&it)).collect();
    assert_eq!(cards, wanted(1).collect::<Vec<_>>());
}

/// Care-of, company, unit, box, province and all: whatever the buyer gave is on the label.
#[test]
fn every_part_of_every_address_is_on_its_label() {
    let sitting = &*SITTING;
    let parts = [
        "First name",
        "Surname",
        "Company",
        "Care of",
        "Street and number",
        "Address 2",
        "PO box",
        "Town",
        "Province",
        "Postal code",
    ];
    let mut checked = 0;
    for (label, parcel) in sitting.labels().iter().zip(&sitting.parcels) {
        let label = bare_capitals(label);
        for row in parcel.ids.iter().map(|id| &sitting.rows(id)[0]) {
            for part in parts.iter().map(|part| &row[*part]).filter(|part| !part.is_empty()) {
                assert!(label.contains(&bare_capitals(part)), "{part}: {label}");
                checked += 1;
            }
        }
    }
    assert!(checked > 300, "{checked}");
}

#[test]
fn slips_say_what_was_bought_and_what_it_comes_to() {
    let sitting = &*SITTING;
    let slips = sitting.slips();
    for (slip, parcel) in slips.iter().zip(&sitting.parcels) {
        let first = parcel.first(sitting);
        let gift = first["Gift"] == "yes";
        let money = slip.matches(['£', '€']).count();
        let mut total = Decimal::ZERO;
        for row in parcel.rows(sitting) {
            let (each, sum) = (price(row), price(row) * pieces(row));
            total += sum;
            let title = [&row["Item"], &row["Variant"]].map(String::as_str).join(", ");
            let order = if parcel.ids.len() > 1 { &row["Order no."] } else { "" };
            let mut line = format!("{}{title}{}{order}", row["Pieces"], row["Item no."]);
            if !gift {
                line += &(show(each, first) + &show(sum, first));
            }
            assert!(slip.contains(&squeeze(&line)), "{line}: {slip}");
        }
        let rows = parcel.rows(sitting).count();
        if gift {
            assert_eq!(money, 0, "{slip}");
        } else {
            assert_eq!(money, 2 * rows + 1, "{slip}");
            assert!(slip.contains(&format!("Total{}", show(total, first))), "{total}: {slip}");
        }
        for part in parcel.rows(sitting).flat_map(|row| [&row["Card"], &row["Card, signed"]]) {
            assert!(slip.contains(&squeeze(part)), "{part}: {slip}");
        }
    }
    let pages = sitting.pages("slips.pdf").len();
    assert_eq!(pages, slips.len() + 1, "one slip runs to a second page");
}

/// Weights that the export leaves out are those of the shop file.
#[test]
fn customs_sheets_say_what_leaves_the_country() {
    let sitting = &*SITTING;
    let mut sources = Sources::new();
    let text = fs::read_to_string(sitting.desk.path("shop.yaml")).unwrap();
    let file = sources.add("shop.yaml", text.as_str());
    let goods = Shop::read(&text, file, &mut Vec::new()).unwrap().rules;
    let weight = |row: &Row| match &*row["Item weight (kg)"] {
        "" => goods
            .box_item(&row["Item no."], "", 1, None)
            .weight
            .map(|mass| Decimal::from(mass.nanograms()) / Decimal::from(1_000_000_000)),
        kilograms => {
            Some(kilograms.replace(',', ".").parse::<Decimal>().unwrap() * Decimal::from(1000))
        }
    };
    let home = ["United Kingdom", "UK", "England", "Great Britain", "Scotland"];
    let abroad = |it: &&Parcel| !home.contains(&&*it.first(sitting)["Country"]);
    let parcels: Vec<&Parcel> = sitting.parcels.iter().filter(abroad).collect();
    let sheets = squeeze(&sitting.pages("customs-sheets.pdf").join(" "));
    assert_eq!(sheets.matches("Customsdatasheet").count(), 47, "one of them has two pages");
    assert_eq!(parcels.len(), 46);
    for parcel in parcels {
        let first = parcel.first(sitting);
        for row in parcel.rows(sitting) {
            let title = [&row["Item"], &row["Variant"]].map(String::as_str).join(", ");
            let total = weight(row).map(|each| (each * pieces(row)).normalize().to_string());
            let line = format!(
                "{}{title}{}{}{}{}",
                row["Pieces"],
                row["HS code"].replace('.', ""),
                row["Made in"],
                total.as_deref().unwrap_or("_____"),
                show(price(row) * pieces(row), first)
            );
            assert!(sheets.contains(&squeeze(&line)), "{line}");
        }
    }
}

#[test]
fn the_handover_list_has_every_parcel() {
    let sitting = &*SITTING;
    let list = squeeze(&sitting.pages("handover-list.pdf").join(" "));
    for parcel in &sitting.parcels {
        let row = parcel.first(sitting);
        let name = match format!("{} {}", row["First name"], row["Surname"]).trim() {
            "" => row["Company"].clone(),
            name => name.to_owned(),
        };
        let line = squeeze(&format!("{}{}{name}", parcel.position, parcel.tag));
        assert!(list.contains(&line), "{line}: {list}");
        assert!(list.contains(&squeeze(&row["Tracking no."])));
    }
    for said in
        ["heavy,16.62kg", "tracked parcel, signature", "57parcels", "Signature of the sender"]
    {
        assert!(list.contains(&squeeze(said)), "{said}: {list}");
    }
}

/// In the words of the map, on the card and in the list's own part; nothing is said of others.
#[test]
fn declared_goods_are_on_their_cards_and_on_the_list() {
    let sitting = &*SITTING;
    let list = squeeze(&sitting.pages("handover-list.pdf").join(" "));
    let cards = squeeze(&sitting.pages("bench-cards.pdf").join(" "));
    let of = |contents: &str| {
        let is_such = |it: &&Parcel| it.first(sitting)["Contents"] == contents;
        sitting.parcels.iter().filter(is_such).collect::<Vec<_>>()
    };
    let (ink, alcohol) = (of("ink"), of("alcohol ink"));
    assert_eq!((ink.len(), alcohol.len()), (5, 1));
    let words = [
        (ink, "fountain pen ink, water based, not flammable; bottles sealed and bagged"),
        (alcohol, "paint markers with alcohol-based ink, 15 ml each, flammable; capped and bagged"),
    ];
    for (parcels, words) in words {
        assert_eq!(cards.matches(&squeeze(words)).count(), parcels.len(), "{words}");
        for parcel in parcels {
            let name = ["First name", "Surname"].map(|part| &*parcel.first(sitting)[part]);
            let line = format!("{}{}{}{words}", parcel.position, parcel.tag, name.join(" "));
            assert!(list.contains(&squeeze(&line)), "{line}: {list}");
        }
    }
    assert_eq!(cards.matches("Declared").count(), 6);
}

/// `SLIPWRIGHT_BLESS=1` draws the picture anew; look at it before it is committed.
#[test]
fn the_overview_is_one_page_and_its_picture_is_kept() {
    let sitting = &*SITTING;
    let pages = sitting.pages("overview.pdf");
    assert_eq!(pages.len(), 1);
    let text = squeeze(&pages[0]);
    for parcel in &sitting.parcels {
        let line = squeeze(&format!("{}{}{}", parcel.position, parcel.tag, parcel.pair));
        assert!(text.contains(&line), "{line}");
    }
    assert!(text.contains("57parcels60orders"));
    let file = fs::read(sitting.desk.path("sitting/overview.pdf")).unwrap();
    let drawn = &draw_file(file, DotGrid::DPI_203)[0];
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/sitting-overview.png");
    let picture = write_picture(drawn);
    if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
        fs::write(&path, &picture).unwrap();
    }
    assert!(fs::read(&path).is_ok_and(|kept| kept == picture), "{} is stale", path.display());
}

/// Dots as a picture, one bit deep.
fn write_picture(dots: &Dots) -> Vec<u8> {
    let (width, height) = (dots.width as u32, (dots.black.len() / dots.width) as u32);
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::One);
    encoder.set_compression(png::Compression::High);
    let pack = |bits: &[bool]| {
        bits.iter().enumerate().fold(0, |byte, (at, black)| byte | u8::from(!black) << (7 - at))
    };
    let rows = dots.black.chunks(dots.width);
    let bytes: Vec<u8> = rows.flat_map(|row| row.chunks(8).map(pack)).collect();
    encoder.write_header().unwrap().write_image_data(&bytes).unwrap();
    file
}
