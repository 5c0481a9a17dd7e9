//! The fields of an orders file.

use crate::fields::{
    ADDRESS_FIELDS, CURRENCY, DATE, GRAMS, GTIN, HAZARD, HS_NUMBER, ID, LANGUAGE, LINE, LONG_ID,
    LONG_LINE, ORIGIN, OWN, PARAGRAPH, PRICE, QUANTITY, RATE, SHORT_LINE, SIDE, TRACKING,
};
use crate::record::{COUNT, FLAG, Kind, Record, optional, required, scalar};

/// The field with the reasons that [`write_aside`](super::write_aside) puts beside the orders.
pub(super) const SET_ASIDE: &str = "set_aside";

/// Every kind of map in an orders file.
pub(super) static RECORDS: [&Record; 7] =
    [&BATCH, &ORDER, &SHIP_TO, &ITEM, &TAX, &PARCEL, &CARRIER_LABEL];

/// The outermost map of a file; each of its orders is checked against [`ORDER`] by itself.
pub(super) static BATCH: Record = Record {
    name: "batch",
    doc: "The orders of one sitting, in the order in which they lie on the bench.",
    fields: &[
        scalar("batch", &LINE, "the batch's name, such as `Tuesday evening`"),
        required("orders", Kind::List(&Kind::Other("order")), "the orders, at least one"),
        optional(
            SET_ASIDE,
            Kind::Other("set_aside"),
            "why these orders were set aside in an earlier run; written for you, never read",
        ),
    ],
};

/// What an order may say, and what it has to.
pub(super) static ORDER: Record = Record {
    name: "order",
    doc: "What one buyer bought, and where it goes.",
    fields: &[
        required("id", Kind::Scalar(&ID), "the order's number in your shop, unique in the file"),
        scalar("tag", &SHORT_LINE, "your short name for the parcel; made when left out"),
        scalar("placed", &DATE, "when it was placed, after ISO 8601"),
        required("ship_to", Kind::Map(&SHIP_TO), "the recipient's name and address"),
        scalar("language", &LANGUAGE, "the language that the buyer reads; default: the shop's"),
        optional("items", Kind::List(&Kind::Map(&ITEM)), "what was bought; at most 1,000"),
        scalar("currency", &CURRENCY, "the currency of the prices; default: the shop's"),
        scalar("shipping", &PRICE, "what the buyer paid for sending it"),
        scalar("discount", &PRICE, "what was taken off the prices, from 0 up"),
        optional("tax", Kind::List(&Kind::Map(&TAX)), "its taxes, one for each rate; at most 20"),
        scalar("paid", &PRICE, "what the buyer paid in all, which the slip's total is"),
        optional("parcel", Kind::Map(&PARCEL), "the packed parcel"),
        scalar("service", &LINE, "the service that carries it; default: the shop's"),
        optional("extras", Kind::List(&Kind::Scalar(&LINE)), "the service's extras; at most 20"),
        scalar(
            "tracking",
            &TRACKING,
            "the tracking number; check digits of S10 and SSCC are checked",
        ),
        scalar("hazard", &HAZARD, "`none` or what it is; left out means not declared"),
        scalar("gift", &FLAG, "whether no price may be seen; default: `false`"),
        scalar("message", &PARAGRAPH, "the buyer's message for the card"),
        scalar("note", &PARAGRAPH, "your own note; never seen by the buyer"),
        scalar("apart", &FLAG, "whether it must never share a parcel; default: `false`"),
        optional("carrier_label", Kind::Map(&CARRIER_LABEL), "the carrier's own label"),
        optional("own", OWN, "fields of your own, for your layouts: `{\"ribbon\": \"red\"}`"),
    ],
};

/// Where an order goes.
static SHIP_TO: Record =
    Record { name: "ship_to", doc: "A name and address.", fields: ADDRESS_FIELDS };

/// Some number of one article.
static ITEM: Record = Record {
    name: "item",
    doc: "Some number of one article; it has a title or a stock-keeping number.",
    fields: &[
        scalar("sku", &LONG_ID, "the stock-keeping number, in quotes"),
        scalar("gtin", &GTIN, "its GTIN, as below its barcode, in quotes"),
        scalar("title", &LONG_LINE, "what it is called"),
        scalar("qty", &QUANTITY, "how many; default: 1"),
        scalar("price", &PRICE, "the price of one, best as text: `\"12.50\"`"),
        scalar("shelf", &SHORT_LINE, "where it lies"),
        scalar("weight_g", &GRAMS, "the weight of one, in whole grams"),
        scalar("hs", &HS_NUMBER, "the Harmonized System number, in quotes"),
        scalar("origin", &ORIGIN, "the country of origin, ISO 3166-1"),
        optional("own", OWN, "fields of your own, for your layouts"),
    ],
};

/// What an order may say of a tax.
static TAX: Record = Record {
    name: "tax",
    doc: "A tax on an order; it has a rate or an amount.",
    fields: &[
        scalar("name", &LINE, "what it is called, such as `VAT`; default: the layout's word"),
        scalar("rate", &RATE, "its rate in per cent, such as `\"19\"`"),
        scalar(
            "amount",
            &PRICE,
            "how much it is; default: reckoned from the rate, rounded half up once for the order",
        ),
        scalar(
            "of",
            &PRICE,
            "what it is reckoned on: of a tax on top without it, else with it; default: goods and \
             shipping, less the discount",
        ),
        scalar(
            "on_top",
            &FLAG,
            "whether it comes on top of the prices; default: `false`, they include it",
        ),
    ],
};

/// A packed parcel.
static PARCEL: Record = Record {
    name: "parcel",
    doc: "What is known of the packed parcel.",
    fields: &[
        scalar("pack", &LINE, "the packaging's name; default: the shop's"),
        scalar(
            "weight_g",
            &GRAMS,
            "what the packed parcel weighs on the scale, in whole grams; of orders that share a \
             parcel one gives it, or all the same: weights are never added up",
        ),
        optional(
            "size_mm",
            Kind::Row(3, &Kind::Scalar(&SIDE)),
            "its length, width and height in millimetres; of orders that share a parcel one gives \
             them, or all the same",
        ),
    ],
};

/// What an order says of a label that the carrier made already.
static CARRIER_LABEL: Record = Record {
    name: "carrier_label",
    doc: "A page of a PDF that the carrier made for this order.",
    fields: &[
        required("file", Kind::Scalar(&LONG_LINE), "the PDF file"),
        scalar("page", &COUNT, "the page; default: 1"),
    ],
};
