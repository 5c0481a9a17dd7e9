//! What templates see of a parcel: the variables of the layout language with their values. Long, as each
//! variable has its line here.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use minijinja::Value;

use super::lists::{describe_waiting, lay_places, list_items, list_to_fetch};
use super::own::describe_own;
use super::speech::{Speaker, Speech, buyers_language};
use super::values::{
    Wanted, WantedVariables, address_lines, describe_address, describe_amounts,
    describe_carrier_label, describe_item, describe_order, describe_parcel, empty_address, map,
    or_empty, sort_wanted, text, with_value,
};
use super::{KitContents, Occasion, ParcelPart};
use crate::address::Sender;
use crate::batch::{Batch, Parcel};
use crate::fields::{CountryCode, Day};
use crate::findings::Finding;
use crate::layout::{LANGUAGE, Layout, unknown_day};
use crate::orders::{Order, join_own};
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
    /// What contexts are made of: parcels, numbers that stay empty, orders that wait.
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
    /// Makes contexts for the parcels of a batch; without a shop file its variables are empty.
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

    /// What a layout sees of a parcel that is printed for the first time.
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
            ("waiting", waiting.map(|order| describe_waiting(order, &self.home, speech)).collect()),
            ("parcels", Value::from(parcels)),
            ("count", Value::from(self.count)),
            ("seller", self.describe_seller(&self.home.country, speech, Wanted::All)),
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

    /// The shop's address as variables, as it is read in a country.
    fn describe_seller(&self, country: &str, speech: &Speech, parts: Wanted<'_>) -> Value {
        let Some(shop) = self.shop else { return empty_address() };
        describe_address(&shop.address, &seller_read_in(shop, country), speech, parts)
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
        let recipient = parcel.recipient();
        add("ship_to", &|parts| describe_address(&recipient, &self.home, speech, parts));
        let country = recipient.country.as_str();
        add("seller", &|parts| self.describe_seller(country, speech, parts));
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

/// The lines of the shop's address as they are read in a country.
fn lay_seller(shop: Option<&Shop>, country: &str) -> Arc<[String]> {
    let Some(shop) = shop else { return Arc::default() };
    address_lines(&shop.address, &seller_read_in(shop, country))
}

/// Who has the shop's address written so that it is read in a country.
fn seller_read_in(shop: &Shop, country: &str) -> Sender {
    Sender { country: country.to_owned(), language: shop.language.to_string() }
}

/// The shop as the one who sends.
fn shop_as_sender(shop: &Shop) -> Sender {
    Sender {
        country: shop.address.country.as_str().to_owned(),
        language: shop.language.to_string(),
    }
}

/// Texts that are not empty, a line each.
fn lines<'t>(texts: impl Iterator<Item = &'t str>) -> Value {
    let given: Vec<&str> = texts.filter(|text| !text.is_empty()).collect();
    Value::from(given.join("\n"))
}
