//! The variables that templates and expressions may use, with their meaning.
//!
//! `bind` fills them for every parcel; a test there holds the two together. All text is empty,
//! never undefined, when an order does not give it, so `when: message` needs no more words.

/// A variable, or a field of one.
#[derive(Debug)]
pub struct Variable {
    /// Its name in templates and expressions.
    pub name: &'static str,
    /// What it holds, with its unit.
    pub doc: &'static str,
    /// Whether it is a list of values that have the fields.
    pub list: bool,
    /// Its fields, or those of the values in its list; none for a single value.
    pub fields: &'static [Variable],
}

/// What has names of the seller's own: nothing is known of what is in it.
pub(super) const OWN: &str = "own";

/// The fields whose values are decimal numbers in text, of whatever they are fields.
pub(super) const DECIMALS: &[&str] = &[
    "amount",
    "discount",
    "goods",
    "postage",
    "price",
    "rate",
    "shipping",
    "stamps_over",
    "stamps_value",
    "total",
    "value",
];

/// A single value.
const fn value(name: &'static str, doc: &'static str) -> Variable {
    Variable { name, doc, list: false, fields: &[] }
}

/// A list of single values.
const fn list(name: &'static str, doc: &'static str) -> Variable {
    Variable { name, doc, list: true, fields: &[] }
}

/// The fields of an address.
const ADDRESS: &[Variable] = &[
    value("name", "the person"),
    value(
        "given_name",
        "what a letter calls the person: the given name where the order says it, else the first \
         word; the whole name where that is an initial or the country writes the family name first",
    ),
    value("company", "the company"),
    list("lines", "the street lines as given"),
    value("city", "the town"),
    value("region", "the state, province or county"),
    value("postcode", "the postcode, with the spaces that its country writes"),
    value("country", "the country's two letters, ISO 3166"),
    value("country_name", "the country's name in the page's language"),
    value("phone", "the telephone number"),
    list(
        "as_printed",
        "the lines that the block `address` prints: in the form of its country, the country named \
         where it is another",
    ),
];

/// The fields of an item, and more behind them.
macro_rules! item_fields {
    ($($more:expr),*) => {
        &[
            value("sku", "the stock-keeping number"),
            value("gtin", "its GTIN, the number of its barcode"),
            value("title", "what it is called"),
            value("qty", "how many"),
            value("price", "the price of one, as a decimal number"),
            value("total", "price times quantity"),
            value("shelf", "where it lies"),
            value("weight_g", "the weight of one, in grams"),
            value("total_weight_g", "weight times quantity, in grams"),
            value("hs", "the Harmonized System number"),
            value("origin", "the country of origin, ISO 3166"),
            value("order", "the id of the order it belongs to"),
            value("own", "its fields of your own, such as `item.own.colour`; empty where it has none"),
            $($more),*
        ]
    };
}

/// What each of `items` has.
const ITEM: &[Variable] = item_fields![];

/// The fields of an item in a list of all parcels' items.
const ITEM_OF_BATCH: &[Variable] = item_fields![
    value("position", "the number of its parcel"),
    value("tag", "the tag of its parcel")
];

/// What orders come to.
const AMOUNTS: &[Variable] = &[
    value("goods", "what the items cost; empty when one has no price"),
    value("shipping", "what was paid for sending, or empty"),
    value("discount", "what was taken off, or empty when that is nothing"),
    Variable {
        name: "taxes",
        doc: "the taxes, one for each name, rate and kind",
        list: true,
        fields: &[
            value("name", "what it is called, such as `VAT`, or empty"),
            value("rate", "its rate in per cent, such as `8.5`, or empty"),
            value("amount", "how much it is, as given or reckoned; empty when nobody knows"),
            value("on_top", "whether it comes on top of the prices; else they include it"),
        ],
    },
    value(
        "total",
        "what was paid; where no order says it, what the lines come to; empty when a price is missing",
    ),
];

/// The shop's address.
const SELLER: Variable =
    Variable { name: "seller", doc: "the shop's address", list: false, fields: ADDRESS };

/// What holds for all parcels of an evening.
const SITTING: Variable = Variable {
    name: "batch",
    doc: "the sitting",
    list: false,
    fields: &[
        value("name", "its name"),
        value("key", "its four-character key"),
        value("count", "how many parcels it has"),
    ],
};

/// What the shop file says, but for its rules.
const SHOP: Variable = Variable {
    name: "shop",
    doc: "from the shop file",
    list: false,
    fields: &[
        value("name", "the shop's name"),
        value("thanks", "a sentence of thanks"),
        value("contact", "where to write to"),
        value("returns", "what to do when something is wrong"),
        value("own", "its fields of your own, such as `shop.own.motto`"),
        value(
            "hazard_signature",
            "whether the sender signs what is declared: `once`, for `each` parcel, or empty",
        ),
    ],
};

/// The words of the page's language.
const WORDS: Variable = value(
    "words",
    "the words of the page's language by their keys, such as `words.quantity`; one with gaps is \
     filled: `words.page_of | fill(page=page, pages=pages)`",
);

/// The tag that its words, dates and amounts are written by.
const PAGE_LANGUAGE: Variable =
    value("language", "the language of the page, such as `de` or `pt-PT`");

/// Given by who prints, because the engine reads no clock.
const TODAY: Variable = value("today", "the day of printing, for `day` to write");

/// Every variable of a parcel's page.
pub const VARIABLES: &[Variable] = &[
    value("tag", "the parcel's tag"),
    Variable {
        name: "pair",
        doc: "what a label and its bench card share",
        list: false,
        fields: &[
            value("code", "the pair code, four characters"),
            value("label", "what the label's QR says"),
            value("card", "what the card's QR says"),
        ],
    },
    value("position", "the parcel's number: its place on the bench when it was lined up, from 1"),
    value("count", "how many parcels the batch has, or had when the parcel's papers were printed"),
    Variable { name: "ship_to", doc: "where the parcel goes", list: false, fields: ADDRESS },
    SELLER,
    Variable { name: "items", doc: "what is in the parcel", list: true, fields: ITEM },
    Variable {
        name: "orders",
        doc: "the orders in the parcel; more than one when combined",
        list: true,
        fields: &[
            value("id", "the order's id"),
            value("placed", "when it was placed"),
            value("message", "the buyer's message"),
            value("note", "the seller's own note"),
            value("gift", "whether it is a gift"),
            Variable {
                name: "amounts",
                doc: "what it comes to, see `amounts`",
                list: false,
                fields: AMOUNTS,
            },
            value("own", "its fields of your own"),
        ],
    },
    Variable {
        name: "amounts",
        doc: "what the orders come to together, in decimal numbers of the parcel's `currency`",
        list: false,
        fields: AMOUNTS,
    },
    Variable {
        name: "parcel",
        doc: "the parcel itself",
        list: false,
        fields: &[
            value("id", "the id on its Code 128"),
            value("ids", "the ids of its orders, joined by ` + `"),
            value(
                "pack",
                "the packaging: the order's, or the smallest of the shop's that takes it",
            ),
            value("weight_g", "its weight in grams, or empty"),
            value("weight", "its weight in words, such as `430 g`, or empty"),
            value("size", "its size in words, such as `220 × 110 × 40 mm`, or empty"),
            value(
                "expected_weight_g",
                "what it should weigh in grams, with its items, its pack and the wrapping, or empty",
            ),
            value("expected_weight", "what it should weigh, in words, such as `372 g`, or empty"),
            value("expected_size", "what it should measure, in words: its pack outside, or empty"),
            value("caution", "a caution in words when it is heavy to lift, else empty"),
            value("billable", "the weight that is charged for, in words, or empty"),
            value("service", "the service it goes by: the order's, the default or the cheapest"),
            value(
                "price",
                "what that service costs by the shop's rates, with its currency, or empty",
            ),
            value("postage", "that price as a decimal number, or empty"),
            value("postage_currency", "the currency of that price, ISO 4217, or empty"),
            Variable {
                name: "stamps",
                doc: "the stamps to stick on it: the fewest, and of those the ones with the least over; \
                      none where it can be followed or no stamps are listed",
                list: true,
                fields: &[
                    value("name", "what the stamp is called"),
                    value("value", "what one is worth, as a decimal number"),
                    value("count", "how many of it"),
                ],
            },
            value("stamps_value", "what they are worth together, as a decimal number, or empty"),
            value(
                "stamps_over",
                "what they are worth more than the price, or empty when it is nothing",
            ),
            value("stamps_reason", "why these and no fewer, in a few words, or empty"),
            list("extras", "the extras of that service"),
            value("tracking", "the tracking number"),
            value(
                "customs",
                "whether it leaves the customs and VAT area it is posted in, so that it needs a \
                 declaration",
            ),
            value("hazard", "what was declared: `none`, what it is, or empty when nothing was"),
            value("declared", "what was declared hazardous, or empty when nothing is"),
        ],
    },
    Variable {
        name: "carrier_label",
        doc: "the carrier's own label for the parcel, a page of a PDF",
        list: false,
        fields: &[
            value("file", "the PDF file, or empty"),
            value("page", "the page, from 1; empty when there is no file"),
        ],
    },
    value("reprint", "whether its pages are printed once more, in place of others"),
    value(
        "late",
        "whether its pages are printed behind those of the others, because it joined late",
    ),
    value(
        "out",
        "on lists: why it does not go, such as `taken off: cancelled`; empty when it goes",
    ),
    value("gift", "whether any order in it is a gift"),
    value("message", "the buyers' messages, a line each"),
    value("note", "the seller's own notes, a line each"),
    value("currency", "the currency, ISO 4217"),
    value(
        OWN,
        "the orders' fields of your own, such as `own.ribbon`; empty where there is none, and a line each \
         where orders in one parcel differ",
    ),
    SITTING,
    SHOP,
    WORDS,
    PAGE_LANGUAGE,
    TODAY,
];

/// The variables of a document about the whole batch.
pub const BATCH_VARIABLES: &[Variable] = &[
    Variable {
        name: "parcels",
        doc: "the parcels in bench order; each has all variables that a parcel's own page has",
        list: true,
        fields: VARIABLES,
    },
    Variable {
        name: "places",
        doc: "the parcels and, between them, the numbers whose parcels do not go: those have their \
              `position`, their `tag` and in `out` the reason, and nothing else",
        list: true,
        fields: VARIABLES,
    },
    Variable {
        name: "items",
        doc: "everything in all parcels, in bench order; `sort_by` and `group_by` put it otherwise",
        list: true,
        fields: ITEM_OF_BATCH,
    },
    Variable {
        name: "to_fetch",
        doc: "what is to be fetched for all parcels, in the order of the shelves; what lies on none \
              comes last",
        list: true,
        fields: &[
            value("shelf", "where it lies, or empty"),
            value("opens_shelf", "whether it is the first of its shelf"),
            value("title", "what it is called"),
            value("sku", "the stock-keeping number"),
            value("qty", "how many, all parcels together"),
            Variable {
                name: "parcels",
                doc: "the parcels that it is for",
                list: true,
                fields: &[
                    value("position", "the parcel's number"),
                    value("tag", "its tag"),
                    value("qty", "how many of it are for this parcel"),
                ],
            },
        ],
    },
    Variable {
        name: "waiting",
        doc: "orders that are in no parcel",
        list: true,
        fields: &[
            value("id", "the order's id"),
            value("placed", "when it was placed"),
            Variable { name: "ship_to", doc: "where it goes", list: false, fields: ADDRESS },
            Variable { name: "items", doc: "what was bought", list: true, fields: ITEM },
            value("note", "the seller's own note"),
            value("since", "the day since which it waits, such as `2026-11-25`, or empty"),
        ],
    },
    value("count", "how many parcels go"),
    SELLER,
    SITTING,
    SHOP,
    WORDS,
    PAGE_LANGUAGE,
    TODAY,
    Variable {
        name: "kit",
        doc: "what else is in the kit; empty lists when there is no kit",
        list: false,
        fields: &[
            Variable {
                name: "documents",
                doc: "the documents made before this one",
                list: true,
                fields: &[
                    value("file", "the file's name"),
                    value("makes", "what it makes, such as `label`"),
                    value("pages", "how many pages it has"),
                    value("stock", "what it is printed on"),
                ],
            },
            list("warnings", "what the seller should look at, in whole sentences"),
            value("notes", "how many notes there are beside them"),
            value("set_aside", "how many orders were set aside"),
        ],
    },
];
