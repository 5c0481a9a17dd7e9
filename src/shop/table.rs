//! The fields of the shop file.

use super::customs::CUSTOMS;
use super::hazards::HAZARDS;
use super::kit::KIT;
use super::printers::PRINTER;
use crate::fields::{ADDRESS_FIELDS, CURRENCY, LANGUAGE, LINE, LONG_LINE, OWN, PARAGRAPH};
use crate::language::WORDS;
use crate::parcel::{GOODS, LIMITS, PACKS, RATES, STAMPS, WEIGHTS};
use crate::record::{Kind, Record, optional, required, scalar};

/// The shop file.
pub(super) static SHOP: Record = Record {
    name: "shop",
    doc: "The seller: name, return address, printers, defaults, packaging, limits and prices.",
    fields: &[
        required("name", Kind::Scalar(&LINE), "the shop's name"),
        required("address", Kind::Map(&SHOP_ADDRESS), "the return address"),
        scalar("thanks", &LONG_LINE, "a sentence of thanks for slips"),
        scalar("contact", &LINE, "where a buyer writes to: an e-mail address or a web page"),
        scalar("returns", &PARAGRAPH, "what a buyer does when something is wrong"),
        optional(
            "own",
            OWN,
            "fields of your own, for your layouts: `own: {motto: Ink is patient}`",
        ),
        scalar("currency", &CURRENCY, "the currency of orders that name none, ISO 4217"),
        scalar(
            "language",
            &LANGUAGE,
            "the language of all papers, but of slips and inserts for orders that name another; also \
             of the country line of addresses where the post of your country reads it, else that is \
             in English; default: `en`",
        ),
        optional(
            "words",
            WORDS,
            "words of the shipped layouts put otherwise, and languages added, by language and key",
        ),
        scalar(
            "fonts",
            &LONG_LINE,
            "a folder of fonts beside this file (`.ttf`, `.otf`, `.ttc`), with folders within it",
        ),
        optional("printer", Kind::Map(&PRINTER), "the printer of labels, if there is only one"),
        optional(
            "printers",
            Kind::Named(&Kind::Map(&PRINTER)),
            "the printers by their names; a paper goes to the first that lists it, a label else to \
             the first that lists no papers, and all to the one named by `--printer`",
        ),
        optional("defaults", Kind::Map(&DEFAULTS), "what holds where nothing else is said"),
        optional("hazards", Kind::Map(&HAZARDS), "what is done about hazards"),
        optional("customs", Kind::Map(&CUSTOMS), "which parcels need a customs sheet"),
        optional("kit", Kind::Map(&KIT), "the documents of one sitting"),
        optional("packs", PACKS, "the packaging at hand"),
        optional("weights", WEIGHTS, "how weights and sizes are found and shown"),
        optional("limits", LIMITS, "what services take, by the limits' name or a service's own"),
        optional("rates", RATES, "what it costs to send a parcel"),
        optional(
            "stamps",
            STAMPS,
            "the stamps there are; card, label and `weigh` say which to stick on what goes without tracking",
        ),
        optional("goods", GOODS, "what the shop sells: sizes and weights that orders do not say"),
    ],
};

/// The return address.
static SHOP_ADDRESS: Record = Record {
    name: "address",
    doc: "The return address; its name is the shop's unless it has one.",
    fields: ADDRESS_FIELDS,
};

/// What orders get that do not say otherwise.
static DEFAULTS: Record = Record {
    name: "defaults",
    doc: "What holds where orders and the command say nothing.",
    fields: &[
        scalar("layout", &LONG_LINE, "the label's layout, by name or file"),
        scalar("service", &LINE, "the service that carries a parcel"),
        scalar("pack", &LINE, "the packaging where none can be chosen, by its name"),
    ],
};
