//! An order as it is kept: a few bytes that say where its texts stand in the file that it was read
//! from, and what they cannot say.
//!
//! In: [`OrderParts`] and the text that they come from. Out: an [`Order`], whose parts are read out of
//! its bytes when they are asked for. Two hundred thousand orders are held at a time, and mostly twenty
//! texts in each: as values of their own they took five times as much. A text that does not stand in the
//! file as it is meant, because of an escape in it, stands among the bytes. Not here: what a part may be.
//! Long, as each part of an order has its own question here.

use std::fmt;
use std::sync::Arc;

use rust_decimal::Decimal;

use super::pack::{PackReader, Packer};
use super::{CarrierLabel, Item, OrderAmounts};
use crate::fields::{Address, CountryCode, CurrencyCode, Gtin, LanguageTag, OwnFields};
use crate::geom::Mm;
use crate::source::{SharedText, Span};

/// What one buyer bought, and where it goes.
///
/// ```
/// use slipwright::{Order, Sources, read_orders};
///
/// let mut sources = Sources::new();
/// let file = sources.add("orders.json", std::fs::read_to_string("samples/evening.json")?);
/// let orders: Vec<Order> = read_orders(&sources.get(file).shared_text(), file).orders;
/// assert_eq!(orders[0].ship_to().country.to_string(), "GB");
/// assert!(orders[0].items().all(|item| item.qty > 0));
/// # Ok::<(), std::io::Error>(())
/// ```
///
/// Text that was not given is empty; all text is without white space around it.
#[derive(Clone)]
pub struct Order {
    /// What holds its parts.
    room: Arc<OrderRoom>,
    /// What few orders have.
    rare: Option<Box<RareParts>>,
    /// Its place in the file.
    span: Span,
    /// Where its parts begin in the room.
    at: u32,
    /// How many bytes they take.
    length: u32,
    /// Where it goes.
    country: CountryCode,
    /// Whether it is a gift.
    gift: bool,
    /// Whether it must never share a parcel.
    apart: bool,
}

/// The bytes of an order, or of several that follow each other in a file: by itself each would take a
/// seventh more.
struct OrderRoom {
    /// The text that they were read from.
    source: SharedText,
    /// Their parts, as [`Order::keep`] writes them.
    bytes: Box<[u8]>,
}

/// What few orders have, as values.
#[derive(Clone, Debug, Default, PartialEq)]
struct RareParts {
    /// Shipping, discount, taxes and what was paid.
    amounts: Option<OrderAmounts>,
    /// The packed parcel's size.
    size: Option<[Mm; 3]>,
    /// The carrier's own label.
    carrier_label: Option<CarrierLabel>,
    /// Fields of the seller's own.
    own: OwnFields,
    /// The same of the items, for as many as it takes to the last that has some.
    of_items: Vec<OwnFields>,
}

/// All parts of an order, to be looked at or changed.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderParts<'a> {
    /// The id, unique in its file.
    pub id: &'a str,
    /// The seller's own tag.
    pub tag: &'a str,
    /// When it was placed: a date, or date and time, after ISO 8601.
    pub placed: &'a str,
    /// The recipient.
    pub ship_to: Address<'a>,
    /// The language that the buyer reads, if anybody said.
    pub language: Option<LanguageTag>,
    /// What was bought.
    pub items: Vec<Item<'a>>,
    /// The currency of the prices.
    pub currency: Option<CurrencyCode>,
    /// Shipping, discount, taxes and what was paid, if any of it is given.
    pub amounts: Option<OrderAmounts>,
    /// The packaging's name.
    pub pack: &'a str,
    /// The packed parcel's weight on the scale, in grams.
    pub weight_g: Option<u32>,
    /// The packed parcel's length, width and height.
    pub size: Option<[Mm; 3]>,
    /// The service that carries it.
    pub service: &'a str,
    /// The service's extras, such as `signature`.
    pub extras: Vec<&'a str>,
    /// The tracking number.
    pub tracking: &'a str,
    /// What was declared of hazards: `none` or what it is; empty means that nobody said.
    pub hazard: &'a str,
    /// Whether it is a gift, so that no price may be seen.
    pub gift: bool,
    /// Whether it must never share a parcel.
    pub apart: bool,
    /// The buyer's message, lines divided by `\n`.
    pub message: &'a str,
    /// The seller's own note, lines divided by `\n`.
    pub note: &'a str,
    /// The carrier's own label for it.
    pub carrier_label: Option<CarrierLabel>,
    /// Fields of the seller's own.
    pub own: OwnFields,
    /// Its place in the file.
    pub span: Span,
    /// The place of its id.
    pub id_span: Span,
    /// The place of its tag, when it has one.
    pub tag_span: Option<Span>,
}

/// The parts in the order in which they stand among the bytes, up to the address; behind it stand the
/// items, last because they are long.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum KeptPart {
    /// What the shop calls it.
    Id,
    /// Where the id starts and ends.
    IdPlace,
    /// Empty when the seller gave none.
    Tag,
    /// Where the tag starts and ends; nothing when there is none.
    TagPlace,
    /// When it was placed.
    Placed,
    /// The buyer's; empty when nobody said.
    Language,
    /// Three letters, or nothing.
    Currency,
    /// Empty when none is named.
    Pack,
    /// The weight and one more, or nothing.
    Weight,
    /// Empty when none is named.
    Service,
    /// The tracking number.
    Tracking,
    /// What is declared; empty when nobody said.
    Hazard,
    /// The buyer's; empty when there is none.
    Message,
    /// The seller's; empty when there is none.
    Note,
    /// How many extras there are, and each.
    Extras,
    /// The address.
    ShipTo,
    /// How many items there are, and each.
    Items,
}

/// All parts as they follow each other.
const KEPT_PARTS: [KeptPart; 17] = [
    KeptPart::Id,
    KeptPart::IdPlace,
    KeptPart::Tag,
    KeptPart::TagPlace,
    KeptPart::Placed,
    KeptPart::Language,
    KeptPart::Currency,
    KeptPart::Pack,
    KeptPart::Weight,
    KeptPart::Service,
    KeptPart::Tracking,
    KeptPart::Hazard,
    KeptPart::Message,
    KeptPart::Note,
    KeptPart::Extras,
    KeptPart::ShipTo,
    KeptPart::Items,
];

impl Order {
    /// Keeps an order whose texts come from `source`, all or most of them.
    #[must_use]
    pub fn keep(parts: &OrderParts<'_>, source: &SharedText) -> Order {
        let mut pack = Packer::new(source, parts.span);
        pack.text(parts.id);
        pack.place(parts.id_span);
        pack.text(parts.tag);
        match parts.tag_span {
            Some(place) => pack.place(place),
            None => pack.no_place(),
        }
        pack.text(parts.placed);
        pack.text(parts.language.as_ref().map_or("", LanguageTag::as_str));
        pack.text(parts.currency.as_ref().map_or("", CurrencyCode::as_str));
        pack.text(parts.pack);
        pack.count(parts.weight_g);
        for text in [parts.service, parts.tracking, parts.hazard, parts.message, parts.note] {
            pack.text(text);
        }
        pack.texts(&parts.extras);
        keep_address(&mut pack, &parts.ship_to);
        pack.number(parts.items.len() as u64);
        parts.items.iter().for_each(|item| keep_item(&mut pack, item));
        let bytes = pack.finish();
        Order {
            at: 0,
            length: bytes.len() as u32,
            room: Arc::new(OrderRoom { source: source.clone(), bytes }),
            rare: RareParts::of(parts),
            span: parts.span,
            country: parts.ship_to.country,
            gift: parts.gift,
            apart: parts.apart,
        }
    }

    /// Puts the bytes of orders of one text into one room.
    pub(super) fn gather(orders: &mut [Order]) {
        let Some(source) = orders.first().map(|order| order.room.source.clone()) else { return };
        let bytes = orders.iter().map(Order::bytes).collect::<Vec<_>>().concat().into();
        let room = Arc::new(OrderRoom { source, bytes });
        let mut at = 0;
        for order in orders {
            (order.room, order.at) = (Arc::clone(&room), at);
            at += order.length;
        }
    }

    /// Its own part of the room that it shares with the orders read beside it.
    fn bytes(&self) -> &[u8] {
        let (at, length) = (self.at as usize, self.length as usize);
        self.room.bytes.get(at..at + length).unwrap_or_default()
    }

    /// Everything that it says, read at once.
    #[must_use]
    pub fn parts(&self) -> OrderParts<'_> {
        OrderParts {
            id: self.id(),
            tag: self.tag(),
            placed: self.placed(),
            ship_to: self.ship_to(),
            language: self.language(),
            items: self.items().collect(),
            currency: self.currency(),
            amounts: self.amounts().cloned(),
            pack: self.pack(),
            weight_g: self.weight_g(),
            size: self.size(),
            service: self.service(),
            extras: self.extras(),
            tracking: self.tracking(),
            hazard: self.hazard(),
            gift: self.gift,
            apart: self.apart,
            message: self.message(),
            note: self.note(),
            carrier_label: self.carrier_label().cloned(),
            own: self.own().clone(),
            span: self.span,
            id_span: self.id_span(),
            tag_span: self.tag_span(),
        }
    }

    /// The order with some of its parts changed.
    #[must_use]
    pub fn changed<'a>(&'a self, change: impl FnOnce(&mut OrderParts<'a>)) -> Order {
        let mut parts = self.parts();
        change(&mut parts);
        Order::keep(&parts, &self.room.source)
    }

    /// A reader that stands before a part.
    fn at(&self, part: KeptPart) -> PackReader<'_> {
        let mut reader = PackReader::new(&self.room.source, self.span, self.bytes());
        for before in KEPT_PARTS.into_iter().take_while(|&before| before != part) {
            match before {
                KeptPart::Weight => reader.skip_number(),
                KeptPart::IdPlace | KeptPart::TagPlace => reader.skip_place(),
                KeptPart::Extras => reader.skip_texts(),
                KeptPart::ShipTo => skip_address(&mut reader),
                _ => reader.skip_text(),
            }
        }
        reader
    }

    /// The id, unique in its file.
    #[must_use]
    pub fn id(&self) -> &str {
        self.at(KeptPart::Id).text()
    }

    /// The place of its id.
    #[must_use]
    pub fn id_span(&self) -> Span {
        self.at(KeptPart::IdPlace).place().unwrap_or(self.span)
    }

    /// The seller's own tag.
    #[must_use]
    pub fn tag(&self) -> &str {
        self.at(KeptPart::Tag).text()
    }

    /// The place of its tag, when it has one.
    #[must_use]
    pub fn tag_span(&self) -> Option<Span> {
        self.at(KeptPart::TagPlace).place()
    }

    /// When it was placed: a date, or date and time, after ISO 8601.
    #[must_use]
    pub fn placed(&self) -> &str {
        self.at(KeptPart::Placed).text()
    }

    /// The language that the buyer reads, if anybody said.
    #[must_use]
    pub fn language(&self) -> Option<LanguageTag> {
        LanguageTag::parse(self.language_text())
    }

    /// The tag of that language; empty when nobody said.
    pub(crate) fn language_text(&self) -> &str {
        self.at(KeptPart::Language).text()
    }

    /// The currency of the prices.
    #[must_use]
    pub fn currency(&self) -> Option<CurrencyCode> {
        match self.at(KeptPart::Currency).text() {
            "" => None,
            code => CurrencyCode::parse(code),
        }
    }

    /// The packaging's name.
    #[must_use]
    pub fn pack(&self) -> &str {
        self.at(KeptPart::Pack).text()
    }

    /// The packed parcel's weight on the scale, in grams.
    #[must_use]
    pub fn weight_g(&self) -> Option<u32> {
        self.at(KeptPart::Weight).count()
    }

    /// The service that carries it.
    #[must_use]
    pub fn service(&self) -> &str {
        self.at(KeptPart::Service).text()
    }

    /// The service's extras, such as `signature`.
    #[must_use]
    pub fn extras(&self) -> Vec<&str> {
        self.at(KeptPart::Extras).texts()
    }

    /// The tracking number.
    #[must_use]
    pub fn tracking(&self) -> &str {
        self.at(KeptPart::Tracking).text()
    }

    /// What was declared of hazards: `none` or what it is; empty means that nobody said.
    #[must_use]
    pub fn hazard(&self) -> &str {
        self.at(KeptPart::Hazard).text()
    }

    /// The buyer's message, lines divided by `\n`.
    #[must_use]
    pub fn message(&self) -> &str {
        self.at(KeptPart::Message).text()
    }

    /// The seller's own note, lines divided by `\n`.
    #[must_use]
    pub fn note(&self) -> &str {
        self.at(KeptPart::Note).text()
    }

    /// Where it goes.
    #[must_use]
    pub fn country(&self) -> CountryCode {
        self.country
    }

    /// The recipient.
    #[must_use]
    pub fn ship_to(&self) -> Address<'_> {
        read_address(&mut self.at(KeptPart::ShipTo), self.country)
    }

    /// What was bought.
    #[must_use]
    pub fn items(&self) -> Items<'_> {
        let mut reader = self.at(KeptPart::Items);
        let left = reader.number() as usize;
        Items { reader, left, own: self.own_of_items().iter() }
    }

    /// The fields of the seller's own of those items that have some.
    pub(crate) fn own_of_items(&self) -> &[OwnFields] {
        self.rare.as_ref().map_or(&[], |rare| &rare.of_items)
    }

    /// Whether it is a gift, so that no price may be seen.
    #[must_use]
    pub fn gift(&self) -> bool {
        self.gift
    }

    /// Whether it must never share a parcel.
    #[must_use]
    pub fn apart(&self) -> bool {
        self.apart
    }

    /// Its place in the file.
    #[must_use]
    pub fn span(&self) -> Span {
        self.span
    }

    /// Shipping, discount, taxes and what was paid, if any of it is given.
    #[must_use]
    pub fn amounts(&self) -> Option<&OrderAmounts> {
        self.rare.as_ref()?.amounts.as_ref()
    }

    /// The packed parcel's length, width and height.
    #[must_use]
    pub fn size(&self) -> Option<[Mm; 3]> {
        self.rare.as_ref()?.size
    }

    /// The carrier's own label for it.
    #[must_use]
    pub fn carrier_label(&self) -> Option<&CarrierLabel> {
        self.rare.as_ref()?.carrier_label.as_ref()
    }

    /// Fields of the seller's own.
    #[must_use]
    pub fn own(&self) -> &OwnFields {
        self.rare.as_ref().map_or(&OwnFields::NONE, |rare| &rare.own)
    }
}

impl PartialEq for Order {
    /// Orders are equal when all their parts are, however they are kept.
    fn eq(&self, other: &Order) -> bool {
        self.parts() == other.parts()
    }
}

impl fmt::Debug for Order {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.parts().fmt(f)
    }
}

impl RareParts {
    /// Those of an order; none when it has none of them.
    fn of(parts: &OrderParts<'_>) -> Option<Box<RareParts>> {
        let last = parts.items.iter().rposition(|item| item.own != OwnFields::NONE);
        let with_own = &parts.items[..last.map_or(0, |last| last + 1)];
        let rare = RareParts {
            amounts: parts.amounts.clone(),
            size: parts.size,
            carrier_label: parts.carrier_label.clone(),
            own: parts.own.clone(),
            of_items: with_own.iter().map(|item| item.own.clone()).collect(),
        };
        (rare != RareParts::default()).then(|| Box::new(rare))
    }
}

/// The items of an order, one after the other.
#[derive(Clone, Debug)]
pub struct Items<'a> {
    /// Stands before the next.
    reader: PackReader<'a>,
    /// How many are to come.
    left: usize,
    /// Their fields of the seller's own, as long as there are some.
    own: std::slice::Iter<'a, OwnFields>,
}

impl<'a> Iterator for Items<'a> {
    type Item = Item<'a>;

    fn next(&mut self) -> Option<Item<'a>> {
        self.left = self.left.checked_sub(1)?;
        let own = self.own.next().cloned().unwrap_or_default();
        Some(read_item(&mut self.reader, own))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (self.left, Some(self.left))
    }
}

impl ExactSizeIterator for Items<'_> {}

/// Writes an address, without its country.
fn keep_address(pack: &mut Packer<'_>, address: &Address<'_>) {
    pack.text(&address.name);
    pack.text(&address.given_name);
    pack.text(&address.company);
    pack.texts(&address.lines);
    for text in [&address.city, &address.region, &address.postcode, &address.phone] {
        pack.text(text);
    }
}

/// Reads what [`keep_address`] wrote.
fn read_address<'a>(reader: &mut PackReader<'a>, country: CountryCode) -> Address<'a> {
    Address {
        name: reader.text().into(),
        given_name: reader.text().into(),
        company: reader.text().into(),
        lines: reader.texts().into_iter().map(Into::into).collect(),
        city: reader.text().into(),
        region: reader.text().into(),
        postcode: reader.text().into(),
        country,
        phone: reader.text().into(),
    }
}

/// Passes by what [`keep_address`] wrote.
fn skip_address(reader: &mut PackReader<'_>) {
    (0..3).for_each(|_| reader.skip_text());
    reader.skip_texts();
    (0..4).for_each(|_| reader.skip_text());
}

/// Writes an item, without its fields of the seller's own.
fn keep_item(pack: &mut Packer<'_>, item: &Item<'_>) {
    pack.text(item.sku);
    pack.text(item.title);
    pack.number(u64::from(item.qty));
    keep_price(pack, item.price);
    pack.text(item.shelf);
    pack.count(item.weight_g);
    pack.text(item.hs);
    pack.text(item.origin.as_ref().map_or("", CountryCode::as_str));
    pack.number(item.gtin.map_or(0, Gtin::number));
}

/// Reads what [`keep_item`] wrote.
fn read_item<'a>(reader: &mut PackReader<'a>, own: OwnFields) -> Item<'a> {
    Item {
        sku: reader.text(),
        title: reader.text(),
        qty: reader.number() as u32,
        price: read_price(reader),
        shelf: reader.text(),
        weight_g: reader.count(),
        hs: reader.text(),
        origin: Some(reader.text()).filter(|code| !code.is_empty()).and_then(CountryCode::parse),
        gtin: Gtin::of_number(reader.number()),
        own,
    }
}

/// Writes a price: its decimals, its sign and whether it has more digits than 64 bits hold, so that zero
/// is left for none; and its digits.
fn keep_price(pack: &mut Packer<'_>, price: Option<Decimal>) {
    let Some(price) = price else { return pack.number(0) };
    let digits = price.mantissa().unsigned_abs();
    let high = (digits >> u64::BITS) as u64;
    let signs = u64::from(high > 0) << 1 | u64::from(price.mantissa() < 0);
    pack.number((u64::from(price.scale()) << 2 | signs) + 1);
    pack.number(digits as u64);
    if high > 0 {
        pack.number(high);
    }
}

/// Reads what [`keep_price`] wrote.
fn read_price(reader: &mut PackReader<'_>) -> Option<Decimal> {
    let head = reader.number().checked_sub(1)?;
    let low = i128::from(reader.number());
    let high = if head & 2 == 2 { i128::from(reader.number()) } else { 0 };
    let digits = low | high << u64::BITS;
    let digits = if head & 1 == 1 { -digits } else { digits };
    Decimal::try_from_i128_with_scale(digits, (head >> 2) as u32).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Sources;

    #[test]
    fn prices_come_back_however_long_they_are() {
        let source = SharedText::from("{}");
        let span = Span::new(Sources::new().add("orders.json", ""), 0, 2);
        let long = Decimal::MAX;
        let prices =
            [None, Some(Decimal::ZERO), Some(long), Some(-long), Some(Decimal::new(-5, 28))];
        let mut pack = Packer::new(&source, span);
        prices.iter().for_each(|price| keep_price(&mut pack, *price));
        let bytes = pack.finish();
        let mut reader = PackReader::new(&source, span, &bytes);
        assert_eq!(prices.map(|_| read_price(&mut reader)), prices);
    }
}
