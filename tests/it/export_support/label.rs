//! A 4×6 in label like the one shipped: sender, address, tag, Code 128, QR, tally, fourteen lines.

use slipwright::fonts::{Cut, Shaper, TextStyle};
use slipwright::geom::Stance;
use slipwright::scene::Ink;
use slipwright::{DotGrid, Page};

use super::PageBuilder;

/// Invented recipients in three scripts: name, street, town, country.
const PEOPLE: [[&str; 4]; 6] = [
    ["Agnès Fontaine-Löwe", "12 rue des Écluses", "59000 LILLE", "FRANCE"],
    ["Νεφέλη Παπαδοπούλου", "Οδός Ερμού 45", "105 63 ΑΘΗΝΑ", "GREECE"],
    ["Надежда Щербакова", "ул. Речная, д. 7, кв. 18", "1000 СОФИЯ", "BULGARIA"],
    ["Øyvind Sæther Å", "Fjærevegen 3 B", "4885 GRIMSTAD", "NORWAY"],
    ["Jiří Šťastný", "Příčná 1421/9", "110 00 PRAHA 1", "CZECHIA"],
    ["Office of Effie Offley", "77 Affluence Lane, Flat 4", "BRISTOL BS1 4XY", "UNITED KINGDOM"],
];

/// Invented tags.
const TAGS: [&str; 6] = ["Marlow", "Quill", "Iris", "Tamar", "Oban", "Fjord"];

/// One of any number of different labels.
pub(crate) fn label(shaper: &mut Shaper, number: u32) -> Page {
    label_of(shaper, number, DotGrid::DPI_203, (101.6, 152.4))
}

/// The same for another printer or paper of about that size.
pub(crate) fn label_of(shaper: &mut Shaper, number: u32, grid: DotGrid, size: (f64, f64)) -> Page {
    let pick = number as usize % PEOPLE.len();
    let [name, street, town, country] = PEOPLE[pick];
    let tag = TAGS[pick];
    let order = format!("TH-2026-{number:05}");
    let title = format!("{} · {tag}", number + 1);
    let mut page = PageBuilder::new(shaper, size, grid, &title);
    let dots = |mm: f64| grid.whole_dots_within(slipwright::Mm(mm));
    let thick = dots(0.375).max(2);
    let (left, right) = (dots(4.0), dots(size.0 - 4.0));
    let rule = |page: &mut PageBuilder<'_>, mm: f64| {
        page.fill([left, dots(mm), right - left, thick], Ink::Black);
    };
    page.text((4.0, 7.5), 7.0, Cut::Bold, "Tern Hollow Pens");
    page.text((4.0, 10.5), 7.0, Cut::Regular, "2 Saltmarsh Row, Tern Hollow");
    page.text((4.0, 13.5), 7.0, Cut::Regular, "UNITED KINGDOM");
    let module = dots(0.5).max(3);
    page.qr((right - 25 * module, dots(5.0)), module, &format!("SW1:L:{order}"));
    rule(&mut page, 26.0);
    page.text((4.0, 34.0), 13.0, Cut::Bold, name);
    page.text((4.0, 40.0), 13.0, Cut::Regular, street);
    page.text((4.0, 46.0), 13.0, Cut::Regular, town);
    page.text((4.0, 52.0), 13.0, Cut::Bold, country);
    rule(&mut page, 74.0);
    let bar = dots(0.375).max(2);
    page.code128((left + 10 * bar, dots(78.0)), bar, dots(15.0), Stance::UPRIGHT, &order);
    let spaced = TextStyle { letter_spacing_em: 0.05, ..TextStyle::default() };
    page.styled((12.0, 97.0), 8.0, &spaced, Ink::Black, &order);
    page.text((4.0, 106.0), 9.0, Cut::Regular, &format!("{} of 12", number % 12 + 1));
    page.text((30.0, 106.0), 9.0, Cut::Regular, "640 g");
    page.text((50.0, 106.0), 9.0, Cut::Regular, "Tracked, by air");
    page.fill([left, dots(110.0), right - left, dots(22.0)], Ink::Black);
    let bold = TextStyle { cut: Cut::CondensedBold, ..TextStyle::default() };
    page.styled((8.0, 128.0), 48.0, &bold, Ink::White, tag);
    page.text((4.0, 137.0), 7.0, Cut::Regular, "If undelivered, please return to the sender.");
    page.text(
        (4.0, 140.0),
        7.0,
        Cut::Regular,
        "Contents: one fountain pen, restored; two bottles of ink",
    );
    page.tally(
        (left, dots(size.1 - 10.0)),
        (dots(3.75), dots(6.0)),
        number.wrapping_mul(2_654_435_761),
    );
    page.finish()
}
