//! Every rule that a finding can name, but those of [`preflight`](crate::preflight), which have a
//! file each.
//!
//! A rule is added here once; whoever reports it or looks for it names the constant. The file is one table,
//! and as long as there are rules.

use super::{Rule, Severity};

/// Defines rules: a sentence on what is the matter, the constant, how much it usually weighs, and
/// its name in kebab case.
macro_rules! rules {
    ($(#[doc = $about:literal] $constant:ident: $weight:ident $name:literal;)*) => {
        $(
            #[doc = $about]
            pub(crate) const $constant: Rule = rules!(@ $weight $name, $about);
        )*
        /// All of them, in the order of the stages that report them.
        pub const ALL: &[&Rule] = &[$(&$constant),*];
    };
    (@ error $name:literal, $about:literal) => { Rule::new($name, Severity::Error, $about) };
    (@ warning $name:literal, $about:literal) => { Rule::new($name, Severity::Warning, $about) };
    (@ note $name:literal, $about:literal) => { Rule::new($name, Severity::Note, $about) };
}

rules! {
    // The command.
    /// The arguments make no sense together, or name what is not there.
    USAGE: error "usage";
    /// An input cannot be read.
    UNREADABLE: error "unreadable";
    /// An output cannot be written.
    UNWRITTEN: error "unwritten";
    /// The shop file names a layout that cannot be part of a kit.
    KIT_LAYOUT: error "kit-layout";
    /// Documents of a kit go to one label printer on different papers.
    ROLL_CHANGES: note "roll-changes";
    /// Orders are left out because the command was told to.
    ORDER_LEFT_OUT: note "order-left-out";
    /// An order would share a parcel with one that has errors.
    MATE_HAS_ERRORS: error "mate-has-errors";
    /// A parcel that is printed once more goes elsewhere than in the kit.
    ADDRESS_DIFFERS_FROM_KIT: warning "address-differs-from-kit";
    /// A parcel that is printed once more is not as it was in the kit.
    PARCEL_DIFFERS_FROM_KIT: warning "parcel-differs-from-kit";
    /// A parcel of a line is not as it was when it was printed.
    PARCEL_DIFFERS_FROM_PRINT: warning "parcel-differs-from-print";
    /// Orders that share a parcel of a line no longer agree in what must be the same.
    ORDERS_DISAGREE: warning "orders-disagree";
    /// A parcel that is printed once more has other pages, though nothing known of it has changed.
    PAPERS_DIFFER_FROM_KIT: warning "papers-differ-from-kit";
    /// The shop file is another than the one that the kit was made with.
    SHOP_DIFFERS_FROM_KIT: warning "shop-differs-from-kit";
    /// A parcel has another tag than in the kit that is replaced.
    TAG_DIFFERS_FROM_KIT: warning "tag-differs-from-kit";
    /// Orders of the kit that is replaced are in no parcel any more.
    LEFT_OUT_OF_KIT: warning "left-out-of-kit";
    /// A layout asks for a field of the seller's own that nothing has.
    ABSENT_OWN_FIELD: warning "absent-own-field";
    /// A parcel goes where two customs areas meet, and nobody knows whether it needs a declaration.
    CUSTOMS_UNSURE: note "customs-unsure";
    /// A parcel leaves its customs area, and the shop file does not say how it is declared.
    NO_CUSTOMS_PAPER: warning "no-customs-paper";
    /// Orders that shared a parcel in the kit that is replaced no longer do.
    NO_LONGER_COMBINED: warning "no-longer-combined";
    /// Folders with parcels printed once more go with the kit that is replaced.
    REPRINTS_REPLACED: note "reprints-replaced";

    /// What the ledger knows of a parcel or an order does not allow it.
    LEDGER_REFUSED: error "ledger-refused";

    /// The folder with the papers of a sitting is gone.
    KIT_GONE: error "kit-gone";

    // Data files: JSON, YAML and their fields.
    /// The text is no JSON.
    JSON_SYNTAX: error "json-syntax";
    /// The text is no YAML.
    YAML_SYNTAX: error "yaml-syntax";
    /// A line of YAML is indented by no level.
    YAML_INDENT: error "yaml-indent";
    /// A line of YAML is indented with a tab.
    TAB_INDENT: error "tab-indent";
    /// The YAML has anchors or tags, which are not read.
    YAML_EXTRAS: error "yaml-extras";
    /// The YAML has a second document.
    SECOND_DOCUMENT: error "second-document";
    /// A map has one key twice.
    REPEATED_KEY: error "repeated-key";
    /// Values are nested deeper than is read.
    TOO_DEEP: error "too-deep";
    /// The file is larger, or has more in it, than is read.
    FILE_LIMIT: error "file-limit";
    /// A record has a field that does not exist.
    UNKNOWN_FIELD: warning "unknown-field";
    /// A record lacks a field that it needs.
    MISSING_FIELD: error "missing-field";
    /// A value is of another kind than its field.
    WRONG_TYPE: error "wrong-type";
    /// A value is of the right kind and still none that its field takes.
    WRONG_VALUE: error "wrong-value";
    /// A list has more entries than its field takes.
    TOO_MANY: error "too-many";
    /// An address names nobody.
    NAMELESS_ADDRESS: error "nameless-address";
    /// An address has more lines than fit any label.
    TOO_MANY_LINES: error "too-many-lines";

    // Orders.
    /// A text was spoiled on its way: letters lost, read wrongly or written as in a web page.
    GARBLED_TEXT: warning "garbled-text";
    /// A town has its postcode in it, which is printed beside it once more.
    POSTCODE_TWICE: warning "postcode-twice";
    /// An item's quantity is there and empty.
    EMPTY_QUANTITY: warning "empty-quantity";
    /// There is no order.
    NO_ORDERS: error "no-orders";
    /// An order cannot be read.
    UNREAD_ORDER: error "unread-order";
    /// A second batch is named behind the first.
    SECOND_BATCH: error "second-batch";
    /// Two orders have one id.
    DOUBLED_ID: error "doubled-id";
    /// An item has neither title nor article number.
    NAMELESS_ITEM: error "nameless-item";
    /// A tax has neither a rate nor an amount.
    EMPTY_TAX: error "empty-tax";
    /// A parcel had another tracking number before.
    TRACKING_REPLACED: warning "tracking-replaced";
    /// Two parcels have one tracking number.
    DOUBLED_TRACKING: error "doubled-tracking";
    /// A tracking number looks like an SSCC with a wrong check digit.
    SSCC_CHECK_DIGIT: warning "sscc-check-digit";

    // Exports of shops.
    /// The export is empty.
    EMPTY_FILE: error "empty-file";
    /// The export is in another encoding than was said or found out.
    WRONG_ENCODING: error "wrong-encoding";
    /// The encoding was guessed.
    ENCODING_GUESSED: note "encoding-guessed";
    /// A cell or row is longer than is read.
    TOO_LONG: error "too-long";
    /// A quote is opened and never closed.
    OPEN_QUOTE: error "open-quote";
    /// Something follows the quote that ends a cell.
    AFTER_QUOTE: error "after-quote";
    /// Two columns have one name.
    DOUBLED_COLUMN: error "doubled-column";
    /// A column has cells and no name.
    NAMELESS_COLUMN: warning "nameless-column";
    /// The map names a column that the export does not have.
    UNKNOWN_COLUMN: error "unknown-column";
    /// The export has a column that the map does not name.
    UNUSED_COLUMN: note "unused-column";
    /// A row has more cells than there are columns.
    LONG_ROW: error "long-row";
    /// A row has fewer cells than there are columns.
    SHORT_ROW: warning "short-row";
    /// A row belongs to no order.
    MISSING_ID: error "missing-id";
    /// The rows of an order do not follow each other.
    SPLIT_ORDER: error "split-order";
    /// All orders of an export are left out by the rules of its map.
    ALL_LEFT_OUT: error "all-left-out";
    /// A row below other orders says what a row of its order said, and is left out.
    REPEATED_ROW: warning "repeated-row";
    /// Two rows of an order below each other say the same.
    TWIN_ROW: warning "twin-row";
    /// An order has more rows than are read.
    TOO_MANY_ROWS: error "too-many-rows";
    /// The rows of an order say two things of what it has once.
    TWO_VALUES: error "two-values";
    /// The prices of an order are in two currencies.
    OTHER_CURRENCY: error "other-currency";
    /// An amount has more decimals than its currency.
    AMOUNT_TOO_FINE: error "amount-too-fine";
    /// A currency's sign is that of several.
    WHICH_CURRENCY: error "which-currency";
    /// A weight or size of nothing is taken as not known.
    ZERO_MEASURE: note "zero-measure";
    /// A number is below zero.
    NEGATIVE_NUMBER: error "negative-number";
    /// A number has another decimal mark than the file's.
    OTHER_DECIMAL_MARK: error "other-decimal-mark";
    /// A number can be read in two ways.
    AMBIGUOUS_NUMBER: error "ambiguous-number";
    /// A spreadsheet has cut a number short.
    NUMBER_CUT_SHORT: error "number-cut-short";
    /// A date is written in another form than the file's.
    OTHER_DATE_FORM: error "other-date-form";
    /// A cell holds what looks like further cells behind another separator.
    WRONG_SEPARATOR: error "wrong-separator";
    /// The export is something else than a table.
    NO_TABLE: error "no-table";
    /// A spreadsheet cannot be opened.
    BROKEN_SPREADSHEET: error "broken-spreadsheet";
    /// A spreadsheet is larger than is read.
    TOO_LARGE: error "too-large";
    /// A spreadsheet has no such sheet.
    UNKNOWN_SHEET: error "unknown-sheet";
    /// Of several sheets the first is read.
    FIRST_SHEET: note "first-sheet";
    /// A spreadsheet hides rows, which are read all the same.
    HIDDEN_ROWS: warning "hidden-rows";
    /// A cell has a formula and no value.
    FORMULA_WITHOUT_VALUE: error "formula-without-value";
    /// Rows are left out because the map says that they are no parcels.
    ROWS_LEFT_OUT: note "rows-left-out";
    /// A row says that it is cancelled or refunded, and is taken in.
    CANCELLED_ROW: warning "cancelled-row";
    /// A rule of the map does not say which rows are left out.
    WRONG_RULE: error "wrong-rule";
    /// A pattern of the map cannot be used.
    WRONG_PATTERN: error "wrong-pattern";
    /// A cell does not have the form of the map's pattern.
    NO_MATCH: error "no-match";
    /// A cell can be taken apart in several ways.
    TWO_WAYS: error "two-ways";
    /// A cell holds no value but a spreadsheet's error.
    SPREADSHEET_ERROR: error "spreadsheet-error";
    /// A weight that is taken as grams is no whole number of them.
    WHICH_UNIT: error "which-unit";
    /// The map says in no way that is known where a field comes from.
    WRONG_SOURCE: error "wrong-source";

    // Dispatch: what the carrier says, and what the shop is told.
    /// A carrier's table has a row without a tracking number.
    NO_TRACKING: note "no-tracking";
    /// Two columns of a carrier's table may be the one that is looked for.
    TWO_COLUMNS: error "two-columns";
    /// A spreadsheet would run a cell as a formula.
    FORMULA_CELL: error "formula-cell";
    /// The encoding of a file lacks a letter that is to stand in it.
    UNWRITABLE_LETTER: error "unwritable-letter";

    // Addresses.
    /// Nobody, or nobody of a firm, is named.
    MISSING_NAME: error "missing-name";
    /// A part that the country's addresses need is missing.
    MISSING_PART: error "missing-part";
    /// No country is named.
    MISSING_COUNTRY: error "missing-country";
    /// The country is not in ISO 3166-1.
    UNKNOWN_COUNTRY: error "unknown-country";
    /// A postcode has another shape than its country's.
    MALFORMED_POSTCODE: warning "malformed-postcode";
    /// A postcode stands where the country has none.
    UNEXPECTED_POSTCODE: note "unexpected-postcode";
    /// A region is named where its short code is written.
    REGION_NAME: note "region-name";
    /// The country has no such region.
    UNKNOWN_REGION: warning "unknown-region";
    /// There are no names of countries in this language.
    UNKNOWN_LANGUAGE: warning "unknown-language";

    // The shop file.
    /// A printer that gets PDFs does not say on which dots its queue draws them.
    QUEUE_DOTS: error "queue-dots";
    /// Two printers have one name.
    TWO_PRINTERS: error "two-printers";
    /// A printer's dots are given twice, and differ.
    TWO_GRIDS: error "two-grids";
    /// An entry of a list has an empty name.
    NAMELESS: error "nameless";
    /// Two packs have one name.
    DOUBLED_PACK: error "doubled-pack";
    /// Two goods have one name.
    DOUBLED_GOOD: error "doubled-good";
    /// Two services have one name.
    DOUBLED_SERVICE: error "doubled-service";
    /// Two extras of a service have one name.
    DOUBLED_EXTRA: error "doubled-extra";
    /// A pack is smaller outside than inside.
    INSIDE_OUT: error "inside-out";
    /// A pack's walls leave no room.
    NO_ROOM: error "no-room";
    /// The weight for two persons is below the weight for care.
    CROSSED_CAUTIONS: error "crossed-cautions";
    /// Limits limit nothing.
    NO_LIMIT: warning "no-limit";
    /// A service names limits that are not listed.
    UNKNOWN_LIMITS: error "unknown-limits";
    /// A service names a zone that is not listed.
    UNKNOWN_ZONE: error "unknown-zone";
    /// A zone has no country.
    EMPTY_ZONE: warning "empty-zone";
    /// A country is in two zones, or twice in one.
    DOUBLED_COUNTRY: error "doubled-country";
    /// The weight of a band is not a weight.
    WRONG_WEIGHT: error "wrong-weight";
    /// Two bands end at one weight.
    DOUBLED_WEIGHT: error "doubled-weight";
    /// A heavier band is cheaper.
    FALLING_PRICE: warning "falling-price";
    /// A service has no price.
    NO_PRICE: error "no-price";

    // Batches: parcels, their tags and codes.
    /// An order to be taken out of its parcel is not there.
    UNKNOWN_ORDER: error "unknown-order";
    /// An order to be taken out of its parcel shares none.
    NOTHING_TO_SPLIT: error "nothing-to-split";
    /// Orders share a parcel.
    COMBINED: note "combined";
    /// Orders could share a parcel.
    COULD_COMBINE: note "could-combine";
    /// An order has a parcel of its own because that was wished.
    SPLIT: note "split";
    /// Orders of one recipient do not agree in what a parcel has once.
    NOT_COMBINED: note "not-combined";
    /// Two addresses differ only as a slip would make them differ.
    NEAR_RECIPIENT: note "near-recipient";
    /// A batch is so large that its pair codes are longer.
    LONG_PAIR_CODES: note "long-pair-codes";
    /// A batch is so large that two parcels have one tally.
    REPEATED_TALLIES: note "repeated-tallies";
    /// Prices are in no currency.
    NO_CURRENCY: warning "no-currency";
    /// Orders of one parcel ask for different languages.
    SEVERAL_LANGUAGES: warning "several-languages";
    /// Orders of one parcel name different packs.
    SEVERAL_PACKS: note "several-packs";
    /// Orders of one parcel give it different weights or sizes.
    SEVERAL_MEASURES: warning "several-measures";
    /// Only some orders of a parcel give its weight or size.
    PARTLY_MEASURED: warning "partly-measured";
    /// Orders of one parcel have different labels of the carrier.
    SEVERAL_CARRIER_LABELS: error "several-carrier-labels";
    /// Two kinds of stamps have one name.
    DOUBLED_STAMP: error "doubled-stamp";
    /// The shop file lists stamps and no prices to choose them by.
    STAMPS_WITHOUT_RATES: warning "stamps-without-rates";
    /// The stamps there are do not make up what a parcel costs.
    NO_STAMPS: warning "no-stamps";
    /// The lines of an order do not come to what was paid.
    PAID_DIFFERS: warning "paid-differs";
    /// What was paid for an order cannot be compared with its lines, because part of them is unknown.
    PAID_UNCHECKED: note "paid-unchecked";
    /// The lines of an order come to less than nothing.
    LARGE_DISCOUNT: warning "large-discount";
    /// A tax is not what its rate makes of the prices.
    TAX_DIFFERS: warning "tax-differs";
    /// Nobody says how much a tax is.
    UNKNOWN_TAX: warning "unknown-tax";
    /// Nobody has said whether anything in a parcel is hazardous.
    UNDECLARED_HAZARD: warning "undeclared-hazard";
    /// Two parcels have one tag.
    EQUAL_TAGS: error "equal-tags";
    /// A tag is easily taken for another.
    CONFUSABLE_TAGS: warning "confusable-tags";
    /// A tag is too long to be read from far.
    LONG_TAG: warning "long-tag";
    /// A tag was replaced because it is taken for another.
    TAG_CHANGED: note "tag-changed";
    /// A made tag is another than before orders came in behind it.
    TAG_RENAMED: note "tag-renamed";
    /// A tag is not used, because its order shares a parcel.
    UNUSED_TAG: note "unused-tag";

    // Weights, packs and prices.
    /// The shop file has no such pack.
    UNKNOWN_PACK: warning "unknown-pack";
    /// A pack is too weak for what is to go into it.
    OVER_PACK_LIMIT: error "over-pack-limit";
    /// A pack is too small for what is to go into it.
    PACK_TOO_SMALL: warning "pack-too-small";
    /// There are no more of a pack.
    PACK_USED_UP: warning "pack-used-up";
    /// No pack takes the items.
    NO_PACK_FITS: warning "no-pack-fits";
    /// No pack can be chosen, because a size is not known.
    MISSING_SIZE: note "missing-size";
    /// A larger pack would be cheaper to send.
    CHEAPER_PACK: note "cheaper-pack";
    /// A parcel weighs less than its items.
    LIGHTER_THAN_ITEMS: warning "lighter-than-items";
    /// What the scale says is not what the items should weigh.
    WEIGHT_DIFFERS: warning "weight-differs";
    /// What was measured at the bench asks for another pack, service or price.
    MEASURED_CHANGES: warning "measured-changes";
    /// An order declares hazardous goods, and at the bench it was noted that there are none.
    DENIED_HAZARD: warning "denied-hazard";
    /// A weight that something depends on is not known.
    MISSING_WEIGHT: warning "missing-weight";
    /// A price goes by a weight without packaging.
    WEIGHT_WITHOUT_PACK: warning "weight-without-pack";
    /// A parcel is heavy.
    HEAVY_PARCEL: note "heavy-parcel";
    /// A parcel is to be lifted by two.
    TEAM_LIFT: note "team-lift";
    /// The rates have no such service.
    UNKNOWN_SERVICE: warning "unknown-service";
    /// A parcel is over the limits of what would carry it.
    OVER_LIMIT: error "over-limit";
    /// Nothing carries a parcel as it is asked.
    NO_SERVICE: warning "no-service";
    /// Limits of size are not checked, because no size is known.
    UNCHECKED_LIMITS: warning "unchecked-limits";

    // Layouts.
    /// A layout has nothing in it.
    EMPTY_LAYOUT: error "empty-layout";
    /// A layout asks for more than is made.
    LAYOUT_LIMIT: error "layout-limit";
    /// A layout that is included cannot be.
    INCLUDE: error "include";
    /// A name of the layout's own cannot be used.
    LET_NAME: error "let-name";
    /// A block is no map with its name in front.
    BLOCK: error "block";
    /// A block's name is not its first key.
    BLOCK_ORDER: error "block-order";
    /// There is no such block.
    UNKNOWN_BLOCK: error "unknown-block";
    /// A block says nothing.
    EMPTY_BLOCK: error "empty-block";
    /// Only pages of parcels can have this block, or only lists.
    LIST_BLOCK: error "list-block";
    /// A setting has no value.
    EMPTY_SETTING: error "empty-setting";
    /// A block lacks a setting that it needs.
    MISSING_SETTING: error "missing-setting";
    /// A block has no such setting.
    UNKNOWN_SETTING: error "unknown-setting";
    /// A setting has a value that it does not take.
    WRONG_SETTING: error "wrong-setting";
    /// There is no such text style.
    UNKNOWN_TYPE: error "unknown-type";
    /// Text styles are built on each other in a circle.
    TYPE_CIRCLE: error "type-circle";
    /// A layout is printed on both sides and has no back.
    DUPLEX_WITHOUT_BACK: error "duplex-without-back";
    /// A list asks for a page of each order, item or piece.
    PER_OF_A_LIST: error "per-of-a-list";
    /// A layout with a page of each item or piece, and no parcel has any.
    NOTHING_TO_PRINT: error "nothing-to-print";
    /// A document that runs over pages cannot be put on sheets.
    FLOW_ON_SHEET: error "flow-on-sheet";
    /// A template cannot be read, or fails for a parcel.
    TEMPLATE: error "template";
    /// A template has single braces.
    SINGLE_BRACES: error "single-braces";
    /// A text is in curly quotes, which are printed.
    CURLY_QUOTES: warning "curly-quotes";
    /// A condition cannot be read, or fails for a parcel.
    EXPRESSION: error "expression";
    /// There is no such filter.
    UNKNOWN_FILTER: error "unknown-filter";
    /// There is no such variable.
    UNKNOWN_VARIABLE: error "unknown-variable";
    /// Arithmetic is done on text.
    TEXT_ARITHMETIC: error "text-arithmetic";
    /// Words are given for a language that nothing is known of.
    WORD_LANGUAGE: error "word-language";
    /// A word is given that nobody asks for.
    WORD_KEY: error "word-key";
    /// A word has no form for all other counts.
    WORD_FORM: error "word-form";
    /// A word has a gap that nothing is put in.
    WORD_GAP: error "word-gap";
    /// A page is in another language than its reader's, for want of words.
    MISSING_WORDS: warning "missing-words";
    /// A text was cut by a filter.
    SHORTENED: note "shortened";
    /// What is to be repeated over is no list.
    NOT_A_LIST: error "not-a-list";

    // Composing.
    /// There is no such family of fonts.
    UNKNOWN_FAMILY: error "unknown-family";
    /// A page would have nothing on it.
    EMPTY_PAGE: error "empty-page";
    /// A sheet has no such place.
    FIRST_PLACE: error "first-place";
    /// An ink has a name that means something already.
    INK_NAME: error "ink-name";
    /// A block asks for an ink that has no name.
    UNKNOWN_INK: error "unknown-ink";
    /// What is in colour would be black.
    COLOUR_LOST: error "colour-lost";
    /// A window of an envelope is for another paper.
    WINDOW_PAPER: error "window-paper";
    /// Something needs more room than it has.
    OVERFLOW: error "overflow";
    /// No font has a character.
    MISSING_GLYPH: error "missing-glyph";
    /// A list shows a letter that no font has as its number.
    SPELT_LETTER: note "spelt-letter";
    /// A font cannot set a text.
    UNSHAPABLE: error "unshapable";
    /// An address is empty.
    EMPTY_ADDRESS: error "empty-address";
    /// A tag is empty.
    EMPTY_TAG: error "empty-tag";
    /// A tag is so small that it cannot be read across the bench.
    SMALL_TAG: warning "small-tag";
    /// A code says nothing.
    EMPTY_CODE: error "empty-code";
    /// A code is wider than its box with the smallest module.
    CODE_TOO_WIDE: error "code-too-wide";
    /// A code is printed white on black.
    CODE_REVERSED: error "code-reversed";
    /// A text cannot be put into a Code 128.
    CODE128: error "code128";
    /// A number is none that shops scan.
    EAN: error "ean";
    /// A text cannot be put into a QR.
    QR: error "qr";
    /// A text cannot be put into a Data Matrix.
    DATA_MATRIX: error "data-matrix";
    /// A text is no GS1 element string.
    GS1: error "gs1";
    /// A tally cannot be drawn.
    TALLY: error "tally";
    /// A sheet's places do not fit its paper.
    SHEET: error "sheet";
    /// Cut marks would run into what is printed.
    CUT_MARKS: warning "cut-marks";
    /// A picture cannot be used.
    PICTURE: error "picture";
    /// A picture has fewer dots than it is printed with.
    COARSE_PICTURE: warning "coarse-picture";

    // Pages of other PDFs.
    /// A page of another PDF has nothing to come from.
    PDF_PAGE_NO_FILE: error "pdf-page-no-file";
    /// A PDF lies outside the folder of the orders or the layout.
    PDF_PAGE_OUTSIDE: error "pdf-page-outside";
    /// A PDF cannot be read from the disk.
    PDF_PAGE_UNREADABLE: error "pdf-page-unreadable";
    /// A PDF has changed since it was read.
    PDF_PAGE_CHANGED: error "pdf-page-changed";
    /// A PDF has no such page.
    PDF_PAGE_NUMBER: error "pdf-page-number";
    /// A piece lies outside its page.
    PDF_PAGE_PART: error "pdf-page-part";
    /// A page cannot be drawn as dots.
    PDF_PAGE_DRAWING: error "pdf-page-drawing";
    /// A page is printed larger or smaller than it is.
    PDF_PAGE_SCALED: note "pdf-page-scaled";
    /// What is on a page breaks PDF/A-2b.
    PDF_PAGE_NOT_ARCHIVAL: note "pdf-page-not-archival";
    /// Something on a page is left out.
    PDF_PAGE_REMARK: warning "pdf-page-remark";
    /// A file is no PDF.
    PDF_PAGE_NOT_A_PDF: error "pdf-page-not-a-pdf";
    /// A PDF is protected with a password.
    PDF_PAGE_ENCRYPTED: error "pdf-page-encrypted";
    /// A PDF is broken.
    PDF_PAGE_BROKEN: error "pdf-page-broken";
    /// A page is larger or smaller than any paper.
    PDF_PAGE_SIZE: error "pdf-page-size";
    /// A page asks for more than is read.
    PDF_PAGE_TOO_LARGE: error "pdf-page-too-large";
    /// A page has a layer that is hidden.
    PDF_PAGE_HIDDEN_LAYER: error "pdf-page-hidden-layer";
    /// A field of a form has no appearance of its own.
    PDF_PAGE_NO_APPEARANCE: error "pdf-page-no-appearance";
    /// A PDF is a form that only one program can draw.
    PDF_PAGE_DYNAMIC_FORM: error "pdf-page-dynamic-form";
    /// A page needs data from outside its file.
    PDF_PAGE_OUTSIDE_DATA: error "pdf-page-outside-data";

    // Printing by a queue.
    /// A printer or its queue does not print what it was asked to.
    PRINTER_REFUSED: error "printer-refused";
    /// A printer or its queue cannot be reached, or does not answer as printers do.
    PRINTER_LOST: error "printer-lost";
    /// A printer waits for somebody, or a document is not printed as one would think.
    PRINTER_REMARK: warning "printer-remark";

    // The ruler.
    /// A paper is too small for a ruler page.
    SMALL_RULER: error "small-ruler";

    // The proof.
    /// A code reads back as it should.
    PROOF: note "proof";
    /// A code cannot be read back.
    UNREADABLE_CODE: error "unreadable-code";
    /// A code reads back as something else.
    MISREAD_CODE: error "misread-code";
    /// A code reads back, but barely.
    WEAK_CODE: warning "weak-code";
    /// A code reads in its place but is not found on the page.
    LOST_CODE: warning "lost-code";
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_rule_has_a_name_of_its_own_and_a_sentence() {
        let mut names = BTreeSet::new();
        for rule in ALL {
            let is_kebab =
                |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
            assert!(rule.name.bytes().all(is_kebab) && !rule.name.is_empty(), "{rule}");
            assert!(names.insert(rule.name), "{rule} is there twice");
            assert!(rule.about.ends_with('.') && rule.about.len() > 12, "{rule}: {}", rule.about);
        }
    }
}
