//! Layout files: YAML text to a checked [`Layout`].
//!
//! In: the text of a layout. Out: its page, type styles and blocks with every setting in its own
//! type, templates and expressions parsed and their variables known to exist, or all its faults
//! at once, each with its place. The blocks and their settings stand in one table (`blocks`)
//! that the check, the JSON Schema and the documentation read. Not here: running a template
//! (`bind`) and giving a block room (`compose`).

pub(crate) mod blocks;
mod body;
mod decode;
pub(crate) mod filters;
pub(crate) mod records;
mod scope;
mod settings;
mod template;
mod values;
pub(crate) mod variables;

use std::sync::Arc;

use minijinja::Environment;

use crate::geom::Stance;
use crate::language::WordTables;
use crate::sides::TurnEdge;
use crate::source::{FileId, Span};
use crate::stock::Stock;

pub(crate) use blocks::BlockRule;
pub use body::{Block, BlockKind, Column, ListOrder, NamedField, PageOf, Table};
pub use decode::read_layout;
pub(crate) use filters::{
    CutLog, LANGUAGE, compare_shelves, fill_plain, find_unfilled, phrase_value, unknown_day,
};
pub use records::layout_schema;
pub use settings::{
    Align, BlockInk, Caption, ColumnAlign, Corner, Correction, Direction, FileHome, FillOrder, Fit,
    Form, Keep, Length, Scaling, Sides, Sit, Slant, Spot, Stroke, TypeStyle, Weight, Who,
};
pub(crate) use template::{VALUE, explain_failure};
pub(crate) use values::read_page_number;

/// A layout that has passed its check.
#[derive(Debug)]
pub struct Layout {
    /// The file it came from.
    pub file: FileId,
    /// The kind of document, which also decides who usually reads it.
    pub makes: Makes,
    /// The language of its words as a BCP 47 tag, if it says so.
    pub language: Option<String>,
    /// Who reads it, and so in whose language it is.
    pub(crate) reader: Reader,
    /// Words of its own, by language.
    pub(crate) words: WordTables,
    /// Whether it prints words, dates or figures that a language puts its own way.
    pub(crate) speaks: bool,
    /// Its paper.
    pub page: PageSetup,
    /// Small pages on a larger sheet, if it asks for that.
    pub sheet: Option<Sheet>,
    /// What there is a document of; of a list there is one in any case.
    pub per: PagePer,
    /// How many times each is printed.
    pub copies: u32,
    /// Whether a body too long for its page runs on over further pages.
    pub flow: bool,
    /// The block at the top of every page.
    pub head: Option<Block>,
    /// The block at the foot of every page.
    pub foot: Option<Block>,
    /// Its outermost block.
    pub body: Block,
    /// The block on the back of every page; `None` prints on one side only.
    pub back: Option<Block>,
    /// The families that its type styles name.
    pub families: Vec<FamilyUse>,
    /// The colours that its blocks ask for.
    pub(crate) colours: Vec<ColourUse>,
    /// Its templates and expressions, parsed, each by the key of its number.
    pub templates: Environment<'static>,
    /// The expressions of `when` and `each` as they are written, by [`ExpressionId`].
    pub expressions: Vec<String>,
    /// The fields of the seller's own that it asks for by name.
    pub(crate) own_uses: Vec<OwnUse>,
}

/// A field of the seller's own that a layout asks for by name.
#[derive(Clone, Debug)]
pub(crate) struct OwnUse {
    /// Whose field it is.
    pub(crate) whose: OwnOf,
    /// What the layout calls it, as orders or the shop file should.
    pub(crate) name: String,
    /// Where the layout asks.
    pub(crate) span: Span,
}

/// Whose a field of the seller's own is, as far as the name in the layout tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OwnOf {
    /// It is `shop.own`, which the shop file gives.
    Shop,
    /// The orders' of a parcel.
    Orders,
    /// An order's or an item's, whichever a loop goes over.
    Either,
}

/// The kinds of document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Makes {
    /// Goes on the parcel.
    Label,
    /// Travels with the item until the label goes on.
    BenchCard,
    /// Tells the buyer what is in the parcel.
    Slip,
    /// A card put into the parcel.
    Insert,
    /// One document about the whole batch.
    List,
}

/// The words for [`Makes`].
pub(crate) const MAKES: &[(&str, Makes)] = &[
    ("label", Makes::Label),
    ("bench-card", Makes::BenchCard),
    ("slip", Makes::Slip),
    ("insert", Makes::Insert),
    ("list", Makes::List),
];

impl Makes {
    /// Its word in a layout.
    #[must_use]
    pub fn word(self) -> &'static str {
        MAKES.iter().find(|(_, makes)| *makes == self).map_or("label", |(word, _)| word)
    }
}

/// What there is a document of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PagePer {
    /// One for each, however many orders and items are in it.
    #[default]
    Parcel,
    /// Each order of each parcel.
    Order,
    /// Each item of each order, however many there are of it.
    Item,
    /// Each single piece.
    Piece,
}

/// The words for [`PagePer`].
pub(crate) const PER: &[(&str, PagePer)] = &[
    ("parcel", PagePer::Parcel),
    ("order", PagePer::Order),
    ("item", PagePer::Item),
    ("piece", PagePer::Piece),
];

impl PagePer {
    /// Its word in a layout.
    #[must_use]
    pub fn word(self) -> &'static str {
        PER.iter().find(|(_, per)| *per == self).map_or("parcel", |(word, _)| word)
    }
}

/// Who reads a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reader {
    /// Who gets the parcel.
    Buyer,
    /// Who packs it.
    Seller,
}

impl Makes {
    /// Who usually reads what it makes.
    #[must_use]
    pub fn usual_reader(self) -> Reader {
        match self {
            Makes::Slip | Makes::Insert => Reader::Buyer,
            Makes::Label | Makes::BenchCard | Makes::List => Reader::Seller,
        }
    }
}

/// The page a layout is made for.
#[derive(Clone, Debug)]
pub struct PageSetup {
    /// The paper.
    pub stock: Stock,
    /// Where `stock` is said.
    pub span: Span,
    /// White left around the body.
    pub inset: Sides,
    /// The side that must stay white; `None`: what the printer or stock says.
    pub clear_edge: Option<Length>,
    /// How all that is on it is turned, and whether it is mirrored.
    pub stance: Stance,
}

/// Several small pages on one sheet.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Where it is asked for.
    pub span: Span,
    /// The paper they are put on.
    pub stock: Stock,
    /// Pages side by side.
    pub columns: u32,
    /// Pages one below another.
    pub rows: u32,
    /// White between neighbours, across and down.
    pub gutter: (Length, Length),
    /// From the sheet's top and left edges to the first page; `None` centres them.
    pub margin: Option<(Length, Length)>,
    /// The order in which the places are filled.
    pub fill: FillOrder,
    /// Whether cut marks stand outside the corners.
    pub marks: bool,
    /// The edge that the sheet is turned over for its backs.
    pub duplex: TurnEdge,
}

impl Sheet {
    /// How many pages one sheet takes.
    #[must_use]
    pub fn places(&self) -> usize {
        let count = u64::from(self.columns) * u64::from(self.rows);
        usize::try_from(count).unwrap_or(usize::MAX)
    }
}

/// A family that a type style names.
#[derive(Clone, Debug)]
pub struct FamilyUse {
    /// The family; none is the built-in one.
    pub name: Option<Arc<str>>,
    /// Where it is named.
    pub span: Span,
    /// Whether a slanted face of it is asked for.
    pub slant: Slant,
}

/// A colour that a block asks for.
#[derive(Clone, Debug)]
pub(crate) struct ColourUse {
    /// Its name among the layout's inks.
    pub(crate) name: Box<str>,
    /// Where it is asked for.
    pub(crate) span: Span,
}

/// A name that a layout gives to a value of its own.
#[derive(Clone, Debug)]
pub struct Definition {
    /// The name that the blocks inside know it by.
    pub name: String,
    /// What it stands for.
    pub value: DefinitionValue,
}

/// What a name of the layout's own can stand for.
#[derive(Clone, Debug)]
pub enum DefinitionValue {
    /// Text, which may have values of the parcel in it.
    Text(Template),
    /// The value of one expression, of whatever type that is.
    Made(Expression),
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Count(i64),
}

/// Which of a layout's templates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TemplateId(pub usize);

impl TemplateId {
    /// Its name in the template engine.
    pub(crate) fn key(self) -> String {
        self.0.to_string()
    }
}

/// Which of a layout's expressions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ExpressionId(pub usize);

impl ExpressionId {
    /// Its name in the template engine.
    pub(crate) fn key(self) -> String {
        format!("expression {}", self.0)
    }
}

/// Text in a layout: fixed, or made for each parcel.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// Where it stands.
    pub span: Span,
    /// What is printed as it stands, or run for each parcel.
    pub text: TemplateText,
}

/// The two kinds of text in a layout.
#[derive(Clone, Debug, PartialEq)]
pub enum TemplateText {
    /// The same on every page.
    Fixed(String),
    /// To be rendered.
    Made(TemplateId),
}

/// An expression in a layout.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expression {
    /// Where it stands.
    pub span: Span,
    /// By what the binder knows it.
    pub id: ExpressionId,
}
