//! The shop file, `shop.yaml`: who sends, on what printer, in what packaging, with what defaults.
//!
//! In: the file's text. Out: a [`Shop`], or everything that is wrong with it. It is written by
//! hand and read as a whole, so an unknown field is an error here: a misspelt default would
//! otherwise be ignored without a word. What it says of packs, weights, limits, rates and goods is
//! read by `parcel`. Not here: finding the file, and what packs, rates and printers are good for.

mod customs;
mod hazards;
mod kit;
mod printers;
mod table;

use serde_json::json;

use crate::address;
use crate::customs::{CustomsRules, CustomsVerdict};
use crate::fields::{
    Address, CurrencyCode, NameNeed, OwnFields, check_address, check_own, read_address,
    read_currency, read_own, read_paragraph, read_text,
};
use crate::findings::{Finding, Severity, rules};
use crate::language::{WordTables, WordsOf, check_words, read_words};
use crate::parcel::{ParcelRules, read_parcel_rules};
use crate::record::{OtherFields, RecordCheck, check, name_parts, record_schema};
use crate::source::FileId;
use crate::stock::Printers;
use crate::tree::{Node, Value, yaml};
use crate::words::did_you_mean;

pub use hazards::{HazardRules, HazardSignature, Undeclared};
pub use kit::{KitDocumentPlan, KitLayout, KitPlan, PageOrder};

use customs::{check_customs, read_customs};
use hazards::read_hazards;
use kit::{build_kit, check_kit};
use printers::{build_printers, check_printers};
use table::SHOP;

/// What the shop file says. Text that it does not give is empty.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// What the shop is called; every shop file gives it.
    pub name: Box<str>,
    /// The return address; its name is the shop's when the file gives none.
    pub address: Address<'static>,
    /// A sentence of thanks for slips.
    pub thanks: Box<str>,
    /// Where a buyer writes to: an e-mail address or a web page.
    pub contact: Box<str>,
    /// What a buyer does when something is wrong.
    pub returns: Box<str>,
    /// The currency of orders that name none.
    pub currency: Option<CurrencyCode>,
    /// The language of papers whose reader names no other; `en` unless the file says otherwise.
    pub language: Box<str>,
    /// Words of the layouts that the seller puts otherwise, or in other languages.
    pub words: WordTables,
    /// The folder of fonts beside the file, if there is one.
    pub fonts: Box<str>,
    /// The printers, in the order of the file.
    pub printers: Printers,
    /// What holds where orders and the command say nothing.
    pub defaults: Defaults,
    /// What is done about hazards.
    pub hazards: HazardRules,
    /// Which parcels need a customs declaration, where it is not as the table of areas has it.
    pub customs: CustomsRules,
    /// Fields of the seller's own.
    pub own: OwnFields,
    /// The packaging at hand, and how parcels are weighed, limited and priced.
    pub rules: ParcelRules,
    /// The documents of one sitting.
    pub kit: KitPlan,
}

/// What holds where orders and the command say nothing. Empty means no default.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Defaults {
    /// The label's layout, by name or file.
    pub layout: Box<str>,
    /// The service that carries a parcel.
    pub service: Box<str>,
    /// The packaging where none can be chosen; one of the shop's packs when it lists any.
    pub pack: Box<str>,
}

impl Shop {
    /// Reads a shop file; what is wrong with it goes to `out`.
    #[must_use]
    pub fn read(text: &str, file: FileId, out: &mut Vec<Finding>) -> Option<Shop> {
        let node = yaml::read_or_report(text, file, out)?;
        let before = out.len();
        check(&node, &SHOP, "", RecordCheck::STRICT, out);
        if let Some(address) = node.get("address") {
            check_address(address, "address", NameNeed::Free, out);
            out.extend(find_postcode_fault(address));
        }
        check_own(&node, "", out);
        let rules = read_parcel_rules(&node, read_currency(&node, "currency"), out);
        check_defaults(&node, &rules, out);
        check_printers(&node, out);
        check_customs(&node, out);
        check_kit(&node, out);
        if let Some(words) = node.get("words") {
            check_words(words, WordsOf::Shop, out);
        }
        out[before..].iter_mut().for_each(add_example);
        if out[before..].iter().any(Finding::is_error) {
            return None;
        }
        build_shop(&node, rules)
    }

    /// Whether a parcel to an address needs a customs declaration.
    #[must_use]
    pub fn judge_customs(&self, to: &Address) -> CustomsVerdict {
        self.customs.judge(&self.address, to)
    }
}

/// What is wrong with the sender's postcode; as with buyers', it may be right all the same.
fn find_postcode_fault(sender: &Node) -> Option<Finding> {
    let text = |name| Some(sender.get(name)?.literal()?.trim().to_owned());
    let (country, postcode) = (text("country")?, text("postcode")?);
    let problems =
        address::check_address(&address::Parts { country, postcode, ..address::Parts::default() });
    let is_malformed =
        |problem: &address::Problem| problem.code == address::ProblemCode::MalformedPostcode;
    let problem = problems.into_iter().find(is_malformed)?;
    let span = sender.get("postcode")?.span;
    Some(
        Finding::new(&rules::MALFORMED_POSTCODE, problem.message)
            .at(span)
            .path("address.postcode")
            .hint(problem.hint),
    )
}

/// Reports a default that is no pack, or a service that has neither prices nor limits.
fn check_defaults(node: &Node, rules: &ParcelRules, out: &mut Vec<Finding>) {
    let default = |name| {
        let field = node.get("defaults")?.get(name)?;
        Some((field.literal()?.trim(), field.span)).filter(|(word, _)| !word.is_empty())
    };
    let packs: Vec<&str> = rules.packs.iter().map(|pack| &*pack.name).collect();
    if let Some((wanted, span)) = default("pack")
        && !packs.is_empty()
        && !packs.contains(&wanted)
    {
        out.push(
            Finding::new(&rules::UNKNOWN_PACK, format!("there is no pack `{wanted}`"))
                .weighing(Severity::Error)
                .at(span)
                .path("defaults.pack")
                .hint_if(did_you_mean(wanted, &packs)),
        );
    }
    let Some(table) = &rules.rates else { return };
    if let Some((wanted, span)) = default("service")
        && !rules.knows_service(wanted)
    {
        let services: Vec<&str> = table.services.iter().map(|service| &*service.name).collect();
        out.push(
            Finding::new(&rules::UNKNOWN_SERVICE, format!("the rates have no service `{wanted}`"))
                .at(span)
                .path("defaults.service")
                .hint_if(did_you_mean(wanted, &services)),
        );
    }
}

/// How a field is written, for those whose table entry gives no way out.
const EXAMPLES: &[(&str, &str)] = &[
    ("address", "lines: [\"12 Long Street\"]`, `city: …`, `postcode: …`, `country: GB"),
    ("lines", "lines: [\"12 Long Street\", \"Flat 2\"]"),
    ("printer", "printer: {dpi: 203, clear_edge: 3}"),
    ("printers", "printers: {bench: {dpi: 203}, office: {dpi: 600, stocks: [a4]}}"),
    ("area", "area: [104, 2000]"),
    ("offset", "offset: [0.5, -1]"),
    ("scale", "scale: [1, 0.995]"),
    ("stocks", "stocks: [4x6in, 100x62mm]"),
    ("defaults", "defaults: {pack: small box}"),
    ("hazards", "hazards: {undeclared: error, signature: once}"),
    ("undeclared", "undeclared: error"),
    ("signature", "signature: once"),
    ("words", "words: {de: {dear: \"Hallo {name},\"}}"),
    ("customs", "customs: {none_for: [NO], needed_for: [ES 35]}"),
    ("none_for", "none_for: [NO, ES 35]"),
    ("needed_for", "needed_for: [NO, ES 35]"),
    ("kit", "kit: {slips: slip-letter, inserts: none}"),
    ("documents", "documents: {care-cards: {layout: care.yaml, when: gift}}"),
    ("packs", "packs: [{name: small box, inside: 220 x 110 x 40 mm}]"),
    ("weights", "weights: {volume_factor: 6000 cm3/kg}"),
    ("round_sides", "round_sides: nearest cm"),
    ("show_lengths_in", "show_lengths_in: cm"),
    ("show_weights_in", "show_weights_in: kg"),
    ("limits", "limits: {slot: {within: 353 x 250 x 25 mm, weight: 750 g}}"),
    ("rates", "rates: {zones: {home: [GB]}, services: [{name: letter, prices: {home: 1.10}}]}"),
    ("zones", "zones: {home: [GB], world: elsewhere}"),
    ("services", "services: [{name: letter, prices: {home: 1.10}}]"),
    ("prices", "prices: {home: {250 g: 3.20, 1 kg: 4.80}}"),
    ("extras", "extras: [{name: signature, price: 1.40}]"),
    ("stamps", "stamps: [{name: first class, value: 1.70, left: 24}]"),
    ("value", "value: 1.10"),
    ("goods", "goods: [{sku: NB-A5, size: 210 x 148 x 20 mm, weight: 260 g}]"),
];

/// Shows how a field is written when its error has no hint yet.
fn add_example(finding: &mut Finding) {
    if !finding.hints.is_empty() {
        return;
    }
    let path = finding.path.as_deref().unwrap_or_default();
    let field = path.rsplit('.').next().unwrap_or_default();
    let name = field.split('[').next().unwrap_or_default();
    let hint = match EXAMPLES.iter().find(|(known, _)| *known == name) {
        Some((_, example)) => format!("write it as `{example}`"),
        None if name.is_empty() => "start the file with `name:` and `address:`".into(),
        None => format!("write `{name}: …` with text after the colon"),
    };
    finding.hints.push(hint);
}

/// The shop's value, once the file has passed its check.
fn build_shop(node: &Node, rules: ParcelRules) -> Option<Shop> {
    let nothing = Node { span: node.span, value: Value::Null };
    let part = |name| node.get(name).unwrap_or(&nothing);
    let name = read_text(node, "name");
    let mut address = read_address(node.get("address")?)?.into_owned();
    if address.name.is_empty() && address.company.is_empty() {
        address.name = name.to_string().into();
    }
    let language = read_text(node, "language");
    let defaults = part("defaults");
    Some(Shop {
        name,
        address,
        thanks: read_text(node, "thanks"),
        contact: read_text(node, "contact"),
        returns: read_paragraph(node, "returns").into(),
        own: read_own(node),
        currency: read_currency(node, "currency"),
        language: if language.is_empty() { "en".into() } else { language },
        words: read_words(node.get("words")),
        fonts: read_text(node, "fonts"),
        printers: build_printers(node),
        defaults: Defaults {
            layout: read_text(defaults, "layout"),
            service: read_text(defaults, "service"),
            pack: read_text(defaults, "pack"),
        },
        hazards: read_hazards(node),
        customs: read_customs(node),
        rules,
        kit: build_kit(node.get("kit")),
    })
}

/// The JSON Schema (draft 2020-12) of shop files.
#[must_use]
pub fn shop_schema() -> serde_json::Value {
    let mut schema = record_schema(&SHOP, OtherFields::Refused);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["$id"] = json!("urn:slipwright:schema:shop");
    schema["title"] = json!("Shop file of slipwright");
    name_parts(schema)
}
