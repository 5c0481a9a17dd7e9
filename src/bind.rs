//! A layout and a parcel to bound blocks: loops unrolled, conditions decided, templates run.
//!
//! In: a [`Layout`] and the [`Context`] of one parcel. Out: a tree of [`Bound`] blocks that holds
//! nothing but finished text and the layout's own settings. An overview also sees the other
//! documents of its kit ([`KitContents`]). Not here: room, fonts, codes.

mod arrange;
mod context;
mod given_name;
mod lists;
mod own;
mod plain;
mod run;
mod speech;
mod values;

use std::borrow::Cow;
use std::cell::Cell;
use std::collections::BTreeSet;
use std::sync::Arc;

use minijinja::{Template as Compiled, Value};

pub(crate) use context::Context;
pub use context::ContextMaker;
pub(crate) use run::BoundPage;
pub(crate) use speech::page_language;

use plain::{PlainExpression, PlainTemplate};
use run::ParcelBinding;
use values::with_value;

use crate::findings::Finding;
use crate::layout::{
    Block, Caption, Column, Correction, Direction, ExpressionId, Fit, Form, Layout, Length,
    Scaling, Table, TemplateId, TypeStyle,
};

/// A block with everything that changes from parcel to parcel put in.
#[derive(Debug)]
pub struct Bound<'l> {
    /// The block in the layout, for its settings and place.
    pub block: &'l Block,
    /// What it holds for this parcel.
    pub content: Content<'l>,
}

/// What a bound block holds.
#[derive(Debug)]
pub enum Content<'l> {
    /// Blocks in a row or column.
    Stack {
        /// Which way.
        direction: Direction,
        /// White between neighbours.
        gap: Length,
        /// The blocks that are not left out.
        children: Vec<Bound<'l>>,
    },
    /// Blocks on top of each other.
    Over(Vec<Bound<'l>>),
    /// Words that are set in lines.
    Text {
        /// What it says.
        text: Cow<'l, str>,
        /// How it is set.
        style: &'l TypeStyle,
        /// What to do when it does not fit.
        fit: Fit,
    },
    /// Lines that are never cut.
    Address {
        /// Its lines from the top.
        lines: Arc<[String]>,
        /// How it is set.
        style: &'l TypeStyle,
        /// What to do when it does not fit.
        fit: Fit,
    },
    /// The parcel's tag, as large as its box allows.
    Tag(Cow<'l, str>),
    /// Bars of a text or of element strings.
    Code128 {
        /// What it says.
        text: Cow<'l, str>,
        /// Whether it is a GS1-128: element strings with their check digits.
        gs1: bool,
        /// Where it is written out.
        caption: Caption,
        /// What is written out in place of what it says.
        caption_text: Option<Cow<'l, str>>,
        /// How the caption is set.
        style: &'l TypeStyle,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// An EAN-13, EAN-8 or UPC-A.
    Ean {
        /// The number.
        text: Cow<'l, str>,
        /// Whether its digits are written below it.
        caption: Caption,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// A square of dots of a text or of element strings.
    DataMatrix {
        /// What it says.
        text: Cow<'l, str>,
        /// Whether it holds element strings of GS1.
        gs1: bool,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// A QR code.
    Qr {
        /// What it says.
        text: Cow<'l, str>,
        /// The error correction wanted at least.
        correction: Correction,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// Cells that meet those of the other side when both are laid together.
    Tally {
        /// Its cells, true is black.
        cells: Vec<bool>,
        /// The width of a cell; zero: the widest that fits.
        cell: Length,
    },
    /// Rows and columns.
    Table(BoundTable<'l>),
    /// Something to fill in by hand.
    Blank {
        /// A line, a box to tick, a line to sign on, or boxes for letters.
        form: Form,
        /// What is to be filled in; may be empty.
        label: Cow<'l, str>,
        /// How the label is set.
        style: &'l TypeStyle,
    },
    /// A dashed line of a thickness.
    CutLine(Length),
    /// A dotted line of a thickness.
    FoldLine(Length),
    /// A line of a thickness.
    Rule(Length),
    /// An empty box with a line of a thickness.
    Outline(Length),
    /// A picture.
    Image {
        /// The name of its file.
        file: Cow<'l, str>,
        /// How large it becomes.
        fit: Scaling,
    },
    /// A page of an existing PDF.
    PageOf(BoundPage<'l>),
}

/// A table with all its cells; a part that the layout leaves out has no cells.
#[derive(Debug)]
pub struct BoundTable<'l> {
    /// The table in the layout.
    pub table: &'l Table,
    /// Its columns that are not left out.
    pub columns: Vec<&'l Column>,
    /// The head's cells.
    pub head: Vec<Cow<'l, str>>,
    /// The rows' cells.
    pub rows: Vec<Vec<Cow<'l, str>>>,
    /// The rows of cells under the last row.
    pub totals: Vec<Vec<Cow<'l, str>>>,
    /// Whether the page is in a language that is read from the right, as its columns then are.
    pub reads_from_right: bool,
}

/// Binds one layout to parcel after parcel; its expressions are compiled once.
pub struct Binder<'l> {
    /// What is bound, block by block.
    layout: &'l Layout,
    /// Its templates by their numbers.
    templates: Vec<Runnable<'l, PlainTemplate>>,
    /// Its expressions by their numbers.
    expressions: Vec<Runnable<'l, PlainExpression>>,
}

/// A template or expression, ready to run.
struct Runnable<'l, P> {
    /// As the template engine runs it.
    compiled: Compiled<'l, 'l>,
    /// The short way, if it does no more than name values.
    plain: Option<P>,
}

impl<'l> Binder<'l> {
    /// A binder for a layout that has passed its check.
    ///
    /// # Panics
    /// When a template or expression of the layout does not parse, which its check rules out.
    #[must_use]
    pub fn new(layout: &'l Layout) -> Binder<'l> {
        let env = &layout.templates;
        let count = env.templates().count() - layout.expressions.len();
        let templates = (0..count).map(|number| {
            let compiled = env.get_template(&TemplateId(number).key())?;
            let plain = PlainTemplate::parse(compiled.source());
            Ok::<_, minijinja::Error>(Runnable { compiled, plain })
        });
        let expressions = layout.expressions.iter().enumerate().map(|(number, text)| {
            let compiled = env.get_template(&ExpressionId(number).key())?;
            let plain = PlainExpression::parse(text);
            Ok::<_, minijinja::Error>(Runnable { compiled, plain })
        });
        Binder {
            layout,
            templates: templates.collect::<Result<_, _>>().expect("the layout is checked"),
            expressions: expressions.collect::<Result<_, _>>().expect("the layout is checked"),
        }
    }

    /// What the layout's templates and expressions ask for by name: a variable such as `items` as a
    /// whole, or a part of one such as `parcel.id`; and the names that they give to values
    /// themselves.
    #[must_use]
    pub fn variables(&self) -> BTreeSet<String> {
        let of_templates = self.templates.iter().map(|it| it.compiled.undeclared_variables(true));
        let of_expressions =
            self.expressions.iter().map(|it| it.compiled.undeclared_variables(true));
        of_templates.chain(of_expressions).flatten().collect()
    }

    /// The layout's body for one parcel.
    ///
    /// # Errors
    /// Every template or expression that fails for this parcel.
    pub fn bind(&self, context: &Context) -> Result<BoundBody<'l>, Vec<Finding>> {
        self.bind_body(&self.layout.body, context)
    }

    /// What is on the back of each of a parcel's pages; none when the layout has no back.
    ///
    /// # Errors
    /// Every template or expression that fails for this parcel.
    pub fn bind_back(&self, context: &Context) -> Result<Option<BoundBody<'l>>, Vec<Finding>> {
        self.layout.back.as_ref().map(|back| self.bind_body(back, context)).transpose()
    }

    /// One side of a page for one parcel.
    fn bind_body(
        &self,
        block: &'l Block,
        context: &Context,
    ) -> Result<BoundBody<'l>, Vec<Finding>> {
        let taken = Cell::new(0);
        let mut run = ParcelBinding::new(self, context, &taken);
        let values = run.cuts.attach(&context.values);
        let body = run.bind_block(block, &values);
        let notes = run.finish()?;
        Ok(BoundBody { body, notes })
    }

    /// The head and foot of one page of a parcel's document, counted from 1; `taken` is what the
    /// templates of those before have taken, in steps, and grows.
    ///
    /// # Errors
    /// Every template or expression that fails for this parcel.
    pub fn bind_furniture(
        &self,
        context: &Context,
        page: usize,
        pages: usize,
        taken: &Cell<u64>,
    ) -> Result<Furniture<'l>, Vec<Finding>> {
        if self.layout.head.is_none() && self.layout.foot.is_none() {
            return Ok(Furniture::default());
        }
        let mut run = ParcelBinding::new(self, context, taken);
        let values = run.cuts.attach(&context.values);
        let values = with_value("pages", Value::from(pages), &values);
        let values = with_value("page", Value::from(page), &values);
        let mut bind =
            |block: &'l Option<Block>| block.as_ref().and_then(|it| run.bind_block(it, &values));
        let (head, foot) = (bind(&self.layout.head), bind(&self.layout.foot));
        let notes = run.finish()?;
        Ok(Furniture { head, foot, notes })
    }
}

/// What stands at the top and foot of one page.
#[derive(Debug, Default)]
pub struct Furniture<'l> {
    /// The top.
    pub head: Option<Bound<'l>>,
    /// The bottom; none when the layout has none.
    pub foot: Option<Bound<'l>>,
    /// What the seller should know, such as texts that were shortened.
    pub notes: Vec<Finding>,
}

/// A parcel's body.
#[derive(Debug)]
pub struct BoundBody<'l> {
    /// The body; none when `when` leaves all of it out.
    pub body: Option<Bound<'l>>,
    /// What the seller should know, such as texts that were shortened.
    pub notes: Vec<Finding>,
}

/// On what occasion a parcel's pages are printed, as small print on them says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Occasion {
    /// With those of all others, or alone: nothing is said.
    #[default]
    First,
    /// Behind those of the others, because the order joined late.
    Late,
    /// Once more, in place of pages that were printed before.
    Again,
}

/// The part of a parcel that one page is about, where a layout has a page of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ParcelPart {
    /// The order, by its place in the parcel from 0.
    pub order: Option<usize>,
    /// The item, by its place in that order from 0.
    pub item: Option<usize>,
    /// Which piece of the item, from 1.
    pub piece: u32,
    /// Which of several copies of the same, from 1.
    pub copy: u32,
    /// Its number among the parcel's pages of this document, from 0.
    pub number: u32,
}

/// What else is in the kit that a list belongs to; by default nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KitContents {
    /// The documents made so far.
    pub documents: Vec<KitDocument>,
    /// What was found that the seller should look at, in whole sentences.
    pub warnings: Vec<String>,
    /// How many notes there are beside them.
    pub notes: usize,
    /// How many orders were set aside.
    pub set_aside: usize,
}

/// What a kit's list of files says of one of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitDocument {
    /// The file's name, without a folder.
    pub file: String,
    /// What it makes, such as `label`.
    pub makes: String,
    /// Its layout, by name or file.
    pub layout: String,
    /// How many pages it has.
    pub pages: usize,
    /// What it is printed on: a stock's name, or a size such as `100 × 62 mm`.
    pub stock: String,
}

impl KitContents {
    /// The variable `kit`.
    pub(super) fn to_value(&self) -> Value {
        let documents = self.documents.iter().map(|document| {
            Value::from_pairs([
                ("file", Value::from(&*document.file)),
                ("makes", Value::from(&*document.makes)),
                ("pages", Value::from(document.pages)),
                ("stock", Value::from(&*document.stock)),
            ])
        });
        Value::from_pairs([
            ("documents", documents.collect::<Value>()),
            ("warnings", self.warnings.iter().map(|it| Value::from(&**it)).collect()),
            ("notes", Value::from(self.notes)),
            ("set_aside", Value::from(self.set_aside)),
        ])
    }
}
