//! What templates see of a parcel: the variables of the layout language with their values. Long, as each
//! variable has its line here.

use crate::words::trim_zeros;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use minijinja::Value;
use rust_decimal::Decimal;

use super::amounts::describe_amounts;
use super::given_name::given_name;
use super::lists::{describe_waiting, lay_places, list_items, list_to_fetch};
use super::own::describe_own;
use super::run::with_value;
use super::speech::{Speaker, Speech, buyers_language, country_name_in};
use super::{KitContents, Occasion, ParcelPart};
use crate::address::{Role, Sender, lay_address, write_postcode};
use crate::batch::{Batch, Parcel};
use crate::fields::{Address, CountryCode, CurrencyCode, Day};
use crate::findings::Finding;
use crate::geom::Mm;
use crate::layout::{LANGUAGE, Layout, fill_plain, unknown_day};
use crate::orders::{CarrierLabel, Item, Order, join_own};
use crate::parcel::{HeavyLevel, ParcelFigures, StampCount};
use crate::shop::Shop;

/// The day that stands for every day of printing.
const ANY_DAY: &str = "2000-01-01";

/// One parcel as a layout sees it.
#[derive(Debug)]
pub struct Context {
    /// The variables by name.
    pub values: Value,
    /// The lines of the buyer's address.
    pub ship_to: Arc<[String]>,
    /// The lines of the shop's address, as they stand on a parcel to the buyer.
    pub seller: Arc<[String]>,
    /// The cells of the tally, true is black.
    pub tally: Vec<bool>,
    /// What the seller should know of the language that it is in.
    pub notes: Vec<Finding>,
    /// The language that it is in, as a BCP 47 tag; none where the layout says nothing in one.
    pub language: Option<Arc<str>>,
}

/// Makes the contexts of a batch; what is the same for all parcels is made once.
pub struct ContextMaker<'a> {
    /// The batch.
    batch: &'a Batch,
    /// The shop, if there is a shop file.
    shop: Option<&'a Shop>,
    /// How many parcels there are.
    count: usize,
    /// What the document asks of languages.
    speaker: Speaker<'a>,
    /// What is said in the language of each buyer, and where nobody says which.
    speeches: BTreeMap<Box<str>, Speech>,
    /// The day of printing.
    today: Value,
    /// The lines of the shop's address as they are read in each country that parcels go to.
    seller_lines: BTreeMap<CountryCode, Arc<[String]>>,
    /// The shop as the one who sends.
    home: Sender,
    /// The variables that are asked for; `None`: all of them.
    wanted: Option<WantedVariables>,
    /// The shop as variables.
    about_shop: Value,
    /// The batch as variables.
    about_batch: Value,
    /// What else is in the kit, as a variable.
    kit: Value,
}

impl<'a> ContextMaker<'a> {
    /// A maker for one batch.
    #[must_use]
    pub fn new(batch: &'a Batch, shop: Option<&'a Shop>) -> ContextMaker<'a> {
        let count = batch.parcels.len();
        let said = |of: fn(&Shop) -> &str| text(shop.map_or("", of));
        let mut seller_lines = BTreeMap::new();
        for parcel in &batch.parcels {
            let country = parcel.orders[0].country();
            seller_lines.entry(country).or_insert_with(|| lay_seller(shop, country.as_str()));
        }
        ContextMaker {
            batch,
            shop,
            count,
            speeches: BTreeMap::from([("".into(), Speaker::new(shop).speak(""))]),
            speaker: Speaker::new(shop),
            today: unknown_day(),
            seller_lines,
            home: shop.map_or_else(Sender::default, shop_as_sender),
            wanted: None,
            about_shop: map([
                ("name", said(|shop| &shop.name)),
                ("thanks", said(|shop| &shop.thanks)),
                ("contact", said(|shop| &shop.contact)),
                ("returns", said(|shop| &shop.returns)),
                ("own", describe_own(&shop.map(|shop| shop.own.clone()).unwrap_or_default())),
                ("hazard_signature", said(|shop| shop.hazards.signature.word())),
            ]),
            about_batch: map([
                ("name", text(&batch.name)),
                ("key", text(batch.key.as_str())),
                ("count", Value::from(count)),
            ]),
            kit: KitContents::default().to_value(),
        }
    }

    /// Speaks as a layout does, and in the languages of its readers.
    #[must_use]
    pub fn in_layout(self, layout: &'a Layout, asked: &BTreeSet<String>) -> ContextMaker<'a> {
        let speaker = self.speaker.in_layout(layout, asked);
        let mut speeches = BTreeMap::from([("".into(), speaker.speak(""))]);
        if speaker.heeds_buyer() {
            for language in self.batch.parcels.iter().filter_map(buyers_language) {
                if !speeches.contains_key(language) {
                    speeches.insert(language.into(), speaker.speak(language));
                }
            }
        }
        ContextMaker { speaker, speeches, ..self }
    }

    /// Prints on a day.
    #[must_use]
    pub fn on_day(self, day: Option<Day>) -> ContextMaker<'a> {
        let today = day.map_or_else(unknown_day, |day| Value::from(day.to_string()));
        ContextMaker { today, ..self }
    }

    /// Tells a list what else is in its kit.
    #[must_use]
    pub fn in_kit(self, contents: &KitContents) -> ContextMaker<'a> {
        ContextMaker { kit: contents.to_value(), ..self }
    }

    /// Leaves out what is not among these variables and parts of variables, as
    /// [`Binder::variables`](super::Binder::variables) names them, which is quicker.
    #[must_use]
    pub fn only(self, wanted: BTreeSet<String>) -> ContextMaker<'a> {
        ContextMaker { wanted: Some(sort_wanted(&wanted)), ..self }
    }

    /// The context of one parcel.
    #[must_use]
    pub fn make(&self, parcel: &Parcel) -> Context {
        self.make_on(parcel, Occasion::First)
    }

    /// Whether pages say the day of printing.
    #[must_use]
    pub fn is_dated(&self) -> bool {
        Wanted::of(self.wanted.as_ref(), "today").is_some()
    }

    /// The context of one parcel as if it was printed for the first time, on a day that is always the
    /// same: what pages are then does not depend on when they are printed.
    #[must_use]
    pub fn make_undated(&self, parcel: &Parcel) -> Context {
        let context = self.make(parcel);
        let values = with_value("today", Value::from(ANY_DAY), &context.values);
        Context { values, ..context }
    }

    /// The context of one parcel, whose pages say on what occasion they are printed.
    #[must_use]
    pub fn make_on(&self, parcel: &Parcel, occasion: Occasion) -> Context {
        let recipient = parcel.recipient();
        // A return address is read in the country the parcel is in when it comes back.
        let seller = self.seller_lines.get(&recipient.country).cloned().unwrap_or_default();
        let speech = self.speech(buyers_language(parcel));
        Context {
            values: self.describe(parcel, occasion, self.wanted.as_ref(), speech),
            ship_to: address_lines(&recipient, &self.home),
            seller,
            tally: parcel.tally.cells().to_vec(),
            notes: speech.finding.iter().cloned().collect(),
            language: self.speaker.is_heard().then(|| speech.name.clone()),
        }
    }

    /// The same context for a part of its parcel, which its pages know.
    #[must_use]
    pub fn make_part(&self, parcel: &Parcel, part: &ParcelPart, context: Context) -> Context {
        let mut values = vec![("copy", Value::from(part.copy))];
        if let Some(order) = part.order.and_then(|at| parcel.orders.get(at)) {
            values.push(("order", describe_order(order, parcel.currency)));
            if let Some(item) = part.item.and_then(|at| order.items().nth(at)) {
                values.push(("item", describe_item(&item, order)));
                values.push(("piece", Value::from(part.piece)));
                values.push(("pieces", Value::from(item.qty)));
            }
        }
        let with = |values, (name, value): (&str, Value)| with_value(name, value, &values);
        let values = values.into_iter().fold(context.values.clone(), with);
        Context { values, ..context }
    }

    /// The context of a document about the whole batch.
    #[must_use]
    pub fn make_list(&self) -> Context {
        let parcels = self.batch.parcels.iter();
        let speech = self.speech(None);
        let parcels: Vec<Value> =
            parcels.map(|parcel| self.describe(parcel, Occasion::First, None, speech)).collect();
        let if_wanted = |name: &str, make: &dyn Fn() -> Value| {
            Wanted::of(self.wanted.as_ref(), name).map_or_else(Value::default, |_| make())
        };
        let waiting = self.batch.waiting.iter();
        let values = map([
            ("places", lay_places(self.batch, &parcels, speech)),
            ("items", if_wanted("items", &|| list_items(self.batch))),
            ("to_fetch", if_wanted("to_fetch", &|| list_to_fetch(self.batch))),
            ("waiting", waiting.map(|order| describe_waiting(order, speech)).collect()),
            ("parcels", Value::from(parcels)),
            ("count", Value::from(self.count)),
            ("seller", self.describe_seller(speech, Wanted::All)),
            ("words", speech.words.clone()),
            (LANGUAGE, speech.tag.clone()),
            ("today", self.today.clone()),
            ("batch", self.about_batch.clone()),
            ("shop", self.about_shop.clone()),
            ("kit", self.kit.clone()),
        ]);
        let seller = lay_seller(self.shop, &self.home.country);
        let notes = speech.finding.iter().cloned().collect();
        let language = self.speaker.is_heard().then(|| speech.name.clone());
        Context { values, ship_to: Arc::default(), seller, tally: Vec::new(), notes, language }
    }

    /// What is said in a buyer's language, or where nobody says which.
    fn speech(&self, language: Option<&str>) -> &Speech {
        let found = language.and_then(|language| self.speeches.get(language));
        found.unwrap_or(&self.speeches[""])
    }

    /// The shop's address as variables.
    fn describe_seller(&self, speech: &Speech, parts: Wanted<'_>) -> Value {
        let address = self.shop.map(|shop| &shop.address);
        address.map_or_else(empty_address, |address| describe_address(address, speech, parts))
    }

    /// The variables of one parcel, or those of them that are wanted.
    fn describe(
        &self,
        parcel: &Parcel,
        occasion: Occasion,
        wanted: Option<&WantedVariables>,
        speech: &Speech,
    ) -> Value {
        let mut values = Vec::new();
        let mut add = |name: &'static str, make: &dyn Fn(Wanted<'_>) -> Value| {
            if let Some(parts) = Wanted::of(wanted, name) {
                values.push((name, make(parts)));
            }
        };
        let of_orders = |text: fn(&Order) -> &str| lines(parcel.orders.iter().map(text));
        add("tag", &|_| text(&parcel.tag.text));
        add("pair", &|parts| self.describe_pair(parcel, parts));
        add("position", &|_| Value::from(parcel.position));
        add("count", &|_| Value::from(parcel.count));
        add("ship_to", &|parts| describe_address(&parcel.recipient(), speech, parts));
        add("seller", &|parts| self.describe_seller(speech, parts));
        add("items", &|_| {
            parcel.items().map(|(order, item)| describe_item(&item, order)).collect()
        });
        add("orders", &|_| {
            parcel.orders.iter().map(|order| describe_order(order, parcel.currency)).collect()
        });
        add("amounts", &|_| describe_amounts(&parcel.orders, parcel.currency));
        let customs = || self.needs_customs(parcel);
        add("parcel", &|parts| describe_parcel(parcel, customs, speech, parts));
        add("carrier_label", &|_| describe_carrier_label(parcel.carrier_label()));
        add("reprint", &|_| Value::from(occasion == Occasion::Again));
        add("late", &|_| Value::from(occasion == Occasion::Late));
        add("out", &|_| text(""));
        add("gift", &|_| Value::from(parcel.gift));
        add("message", &|_| of_orders(|order| order.message()));
        add("note", &|_| of_orders(|order| order.note()));
        add("currency", &|_| or_empty(parcel.currency.map(|code| code.as_str().to_owned())));
        add("own", &|_| describe_own(&join_own(&parcel.orders)));
        add("batch", &|_| self.about_batch.clone());
        add("shop", &|_| self.about_shop.clone());
        add("words", &|_| speech.words.clone());
        add("today", &|_| self.today.clone());
        // Filters ask for it without naming it.
        values.push((LANGUAGE, speech.tag.clone()));
        Value::from_pairs(values)
    }

    /// Whether a parcel needs a customs declaration; it may when nobody knows where it is posted.
    fn needs_customs(&self, parcel: &Parcel) -> bool {
        self.shop.is_none_or(|shop| shop.judge_customs(&parcel.recipient()).is_needed())
    }

    /// A parcel's pair code, and what the codes of its two sides say.
    fn describe_pair(&self, parcel: &Parcel, parts: Wanted<'_>) -> Value {
        parts.map(&[
            ("code", &|| text(parcel.pair.as_str())),
            ("label", &|| Value::from(self.batch.label_payload(parcel))),
            ("card", &|| Value::from(self.batch.card_payload(parcel))),
        ])
    }
}

/// The variables that are asked for, each with its parts that are; `None`: it is as a whole.
type WantedVariables = BTreeMap<String, Option<BTreeSet<String>>>;

/// Sorts out what is asked for by name: `items`, `parcel.id`.
fn sort_wanted(names: &BTreeSet<String>) -> WantedVariables {
    let mut wanted = WantedVariables::new();
    // A name stands before its parts, because nothing that it may hold sorts before a dot.
    for name in names {
        match name.split_once('.') {
            None => drop(wanted.insert(name.clone(), None)),
            Some((name, parts)) => {
                let known = wanted.entry(name.to_owned()).or_insert_with(|| Some(BTreeSet::new()));
                let part = parts.split('.').next().unwrap_or(parts);
                if let Some(known) = known {
                    known.insert(part.to_owned());
                }
            }
        }
    }
    wanted
}

/// Which parts of a variable are asked for.
#[derive(Clone, Copy)]
enum Wanted<'w> {
    /// All of them.
    All,
    /// These.
    Parts(&'w BTreeSet<String>),
}

impl<'w> Wanted<'w> {
    /// What is asked for of a variable; `None` when nothing is.
    fn of(wanted: Option<&'w WantedVariables>, name: &str) -> Option<Wanted<'w>> {
        let Some(wanted) = wanted else { return Some(Wanted::All) };
        Some(wanted.get(name)?.as_ref().map_or(Wanted::All, Wanted::Parts))
    }

    /// A map of what is asked for.
    fn map(self, entries: &[(&'static str, &dyn Fn() -> Value)]) -> Value {
        let entries = entries.iter().filter(|(name, _)| match self {
            Wanted::All => true,
            Wanted::Parts(parts) => parts.contains(*name),
        });
        Value::from_pairs(entries.map(|(name, make)| (*name, make())))
    }
}

/// The lines of the shop's address as they are read in a country.
fn lay_seller(shop: Option<&Shop>, country: &str) -> Arc<[String]> {
    let Some(shop) = shop else { return Arc::default() };
    let language = shop.language.to_string();
    address_lines(&shop.address, &Sender { country: country.to_owned(), language })
}

/// An address in the form of its country. The telephone number is the carrier's, not the paper's.
fn address_lines(address: &Address, from: &Sender) -> Arc<[String]> {
    lay_address(&address.to_parts(), from)
        .into_iter()
        .filter(|line| line.role != Role::Phone)
        .map(|line| line.text)
        .collect()
}

/// The shop as the one who sends.
fn shop_as_sender(shop: &Shop) -> Sender {
    Sender {
        country: shop.address.country.as_str().to_owned(),
        language: shop.language.to_string(),
    }
}

/// A map of variables.
pub(super) fn map<const N: usize>(entries: [(&'static str, Value); N]) -> Value {
    Value::from_pairs(entries)
}

/// Text, which is empty when it was not given.
pub(super) fn text(value: &str) -> Value {
    Value::from(value)
}

/// A value, or empty text when there is none.
pub(super) fn or_empty<T: Into<Value>>(value: Option<T>) -> Value {
    value.map_or_else(|| Value::from(""), Into::into)
}

/// Texts that are not empty, a line each.
fn lines<'t>(texts: impl Iterator<Item = &'t str>) -> Value {
    let given: Vec<&str> = texts.filter(|text| !text.is_empty()).collect();
    Value::from(given.join("\n"))
}

/// An address as variables.
fn describe_address(address: &Address, speech: &Speech, parts: Wanted<'_>) -> Value {
    let country = address.country.as_str();
    parts.map(&[
        ("name", &|| text(&address.name)),
        ("given_name", &|| text(given_name(address))),
        ("company", &|| text(&address.company)),
        ("lines", &|| address.lines.iter().map(|line| text(line)).collect()),
        ("city", &|| text(&address.city)),
        ("region", &|| text(&address.region)),
        ("postcode", &|| Value::from(write_postcode(&address.postcode, country))),
        ("country", &|| text(country)),
        ("country_name", &|| text(country_name_in(country, speech.locale).unwrap_or(country))),
        ("phone", &|| text(&address.phone)),
    ])
}

/// An address with all its variables.
pub(super) fn describe_whole_address(address: &Address, speech: &Speech) -> Value {
    describe_address(address, speech, Wanted::All)
}

/// The variables of an address that the shop file does not give.
fn empty_address() -> Value {
    let names = ["name", "given_name", "company", "city", "region", "postcode", "country"];
    let more = ["country_name", "phone"];
    let texts = names.into_iter().chain(more).map(|name| (name, text("")));
    Value::from_pairs(texts.chain([("lines", Value::from(Vec::<Value>::new()))]))
}

/// An item as variables.
pub(super) fn describe_item(item: &Item, order: &Order) -> Value {
    map([
        ("sku", text(item.sku)),
        ("gtin", or_empty(item.gtin.map(|gtin| gtin.to_string()))),
        ("title", text(item.label())),
        ("qty", Value::from(item.qty)),
        ("price", or_empty(item.price.map(plain_decimal))),
        ("total", or_empty(item.total().map(plain_decimal))),
        ("shelf", text(item.shelf)),
        ("weight_g", or_empty(item.weight_g)),
        ("total_weight_g", or_empty(item.total_weight_g())),
        ("hs", text(item.hs)),
        ("origin", or_empty(item.origin.as_ref().map(|code| code.as_str().to_owned()))),
        ("order", text(order.id())),
        ("own", describe_own(&item.own)),
    ])
}

/// A decimal by its digits: money never passes through a float.
pub(super) fn plain_decimal(value: Decimal) -> String {
    value.to_string()
}

/// An order as variables; its amounts are those of the parcel's currency.
fn describe_order(order: &Order, currency: Option<CurrencyCode>) -> Value {
    map([
        ("id", text(order.id())),
        ("placed", text(order.placed())),
        ("message", text(order.message())),
        ("note", text(order.note())),
        ("gift", Value::from(order.gift())),
        ("amounts", describe_amounts(std::slice::from_ref(order), currency)),
        ("own", describe_own(order.own())),
    ])
}

/// A carrier's label as variables, empty when there is none.
fn describe_carrier_label(label: Option<&CarrierLabel>) -> Value {
    map([
        ("file", text(label.map_or("", |label| &label.file))),
        ("page", or_empty(label.map(|label| label.page))),
    ])
}

/// A parcel as variables.
fn describe_parcel(
    parcel: &Parcel,
    customs: impl Fn() -> bool,
    speech: &Speech,
    parts: Wanted<'_>,
) -> Value {
    let (figures, stamps) = (parcel.figures.as_deref(), parcel.stamps.as_deref());
    let measure =
        |text: Option<String>| or_empty(text.map(|text| speech.locale.write_measure(&text)));
    parts.map(&[
        ("id", &|| text(parcel.id())),
        ("ids", &|| Value::from(parcel.order_ids())),
        ("pack", &|| text(&parcel.pack)),
        ("weight_g", &|| or_empty(parcel.weight_g)),
        ("weight", &|| measure(parcel.weight_g.map(describe_weight))),
        ("size", &|| measure(parcel.size.as_ref().map(describe_size))),
        ("expected_weight_g", &|| or_empty(figures.and_then(ParcelFigures::expected_grams))),
        ("expected_weight", &|| measure(figures.and_then(ParcelFigures::show_expected_weight))),
        ("expected_size", &|| measure(figures.and_then(ParcelFigures::show_expected_size))),
        ("caution", &|| describe_caution(figures, speech)),
        ("billable", &|| measure(figures.and_then(ParcelFigures::show_billable))),
        ("service", &|| text(&parcel.service)),
        ("price", &|| measure(figures.and_then(ParcelFigures::show_price))),
        ("postage", &|| or_empty(figures.and_then(|it| it.price).map(|price| price.digits()))),
        ("postage_currency", &|| or_empty(figures.and_then(ParcelFigures::price_currency))),
        ("stamps", &|| describe_stamps(parcel)),
        ("stamps_value", &|| or_empty(stamps.map(|it| plain_decimal(it.value)))),
        ("stamps_over", &|| {
            or_empty(stamps.filter(|it| !it.over.is_zero()).map(|it| plain_decimal(it.over)))
        }),
        ("stamps_reason", &|| describe_stamps_reason(parcel, speech)),
        ("extras", &|| parcel.extras.iter().map(|extra| text(extra)).collect()),
        ("tracking", &|| text(&parcel.tracking)),
        ("customs", &|| Value::from(customs())),
        ("hazard", &|| text(&parcel.hazard)),
        ("declared", &|| text(parcel.declared())),
    ])
}

/// The stamps to stick on a parcel.
fn describe_stamps(parcel: &Parcel) -> Value {
    let stamps = parcel.stamps.iter().flat_map(|choice| &choice.stamps);
    let describe = |stamp: &StampCount| {
        map([
            ("name", text(&stamp.name)),
            ("value", Value::from(plain_decimal(stamp.value))),
            ("count", Value::from(stamp.count)),
        ])
    };
    stamps.map(describe).collect()
}

/// Why no fewer stamps and no others, in the page's language; empty without stamps.
fn describe_stamps_reason(parcel: &Parcel, speech: &Speech) -> Value {
    let price = parcel.figures.as_deref().and_then(|figures| figures.price);
    let Some((choice, price)) = parcel.stamps.as_deref().zip(price) else { return text("") };
    let money = |amount: Decimal| {
        Value::from(speech.locale.write_money(amount, price.currency.as_str(), price.decimals))
    };
    let fill = |word: &Value, count: usize, amount: Decimal| {
        let gap = |name: &str| match name {
            "count" => Value::from(count),
            _ => money(amount),
        };
        fill_plain(word, Some(&speech.tag), |name| Some(gap(name))).unwrap_or_default()
    };
    let [fewer, over, exact] = &speech.stamping;
    let count = choice.stamps.iter().map(|it| it.count).sum();
    let mut reasons: Vec<String> =
        choice.fewer.iter().map(|it| fill(fewer, it.count, it.worth)).collect();
    let least = if choice.over.is_zero() { exact } else { over };
    reasons.push(fill(least, count, choice.over));
    Value::from(reasons.join("; "))
}

/// A heavy parcel's caution with its weight; empty when it is none.
fn describe_caution(figures: Option<&ParcelFigures>, speech: &Speech) -> Value {
    let words = figures.and_then(|figures| {
        let caution = figures.caution?;
        let [heavy, lift_in_twos] = &speech.cautions;
        let word = match caution.level {
            HeavyLevel::Caution => heavy,
            HeavyLevel::TeamLift => lift_in_twos,
        };
        let weight = speech.locale.write_measure(&figures.units.mass(caution.weight));
        fill_plain(word, Some(&speech.tag), |_| Some(Value::from(weight.clone())))
    });
    or_empty(words)
}

/// A weight in words: grams below a kilogram, else kilograms with the grams that matter.
fn describe_weight(grams: u32) -> String {
    if grams < 1000 {
        return format!("{grams} g");
    }
    let kilograms = format!("{}.{:03}", grams / 1000, grams % 1000);
    format!("{} kg", trim_zeros(&kilograms))
}

/// A parcel's sides in words.
fn describe_size(sides: &[Mm; 3]) -> String {
    let [length, width, height] = sides.map(|side| {
        let text = side.to_string();
        text.trim_end_matches(" mm").to_owned()
    });
    format!("{length} × {width} × {height} mm")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_alone_asks_for_all_of_it() {
        let names = ["items", "parcel", "parcel.id", "pair.code.x", "pair.label"];
        let wanted = sort_wanted(&names.map(str::to_owned).into());
        let parts = |name| match Wanted::of(Some(&wanted), name) {
            None => vec!["nothing".to_owned()],
            Some(Wanted::All) => vec!["all".to_owned()],
            Some(Wanted::Parts(parts)) => parts.iter().cloned().collect(),
        };
        assert_eq!(parts("items"), ["all"]);
        assert_eq!(parts("parcel"), ["all"]);
        assert_eq!(parts("pair"), ["code", "label"]);
        assert_eq!(parts("ship_to"), ["nothing"]);
    }

    #[test]
    fn weights_read_well() {
        assert_eq!(describe_weight(430), "430 g");
        assert_eq!(describe_weight(1000), "1 kg");
        assert_eq!(describe_weight(1250), "1.25 kg");
        assert_eq!(describe_weight(20_005), "20.005 kg");
    }
}
