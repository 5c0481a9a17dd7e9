//! The binding of one block after another for one parcel, within its limits. Long, as each kind of block
//! is bound here, and all of them count against the same limits.

use std::borrow::Cow;
use std::cell::Cell;

use minijinja::{Captured, Error, Template as Compiled, Value, context};

use super::arrange::arrange_values;
use super::values::with_value;
use super::{Binder, Bound, BoundTable, Content, Context};
use crate::findings::{Finding, rules};
use crate::language::reads_from_right;
use crate::layout::{
    Block, BlockKind, CutLog, Definition, DefinitionValue, Expression, LANGUAGE, ListOrder, PageOf,
    Table, Template, TemplateText, VALUE, Who, explain_failure, find_unfilled,
};
use crate::limits::{
    DOCUMENT_BLOCKS, DOCUMENT_STEPS, DOCUMENT_TEXT, REPEATS, TEMPLATE_STEPS, TEMPLATE_TEXT,
};
use crate::source::Span;

/// What a block that repeats asks for.
struct EachParts<'l> {
    /// What gives the values, such as `items`.
    list: &'l Expression,
    /// The order and the groups of its values.
    order: &'l ListOrder,
    /// What each value is called.
    name: &'l str,
    /// The block to repeat.
    show: &'l Block,
    /// At most so many, and the block that tells the rest.
    limit: Option<(usize, &'l Block)>,
    /// The block between each two.
    between: Option<&'l Block>,
}

/// The variables with a loop's value and the number of its row, from 1.
fn with_entry(name: &str, value: Value, row: usize, values: &Value) -> Value {
    let inner = [(name.to_owned(), value), ("row".to_owned(), Value::from(row))];
    context! { ..Value::from_pairs(inner), ..values.clone() }
}

/// One parcel's way through the layout, with what it has used up of the limits.
pub(super) struct ParcelBinding<'b, 'l> {
    /// The layout's compiled parts.
    binder: &'b Binder<'l>,
    /// What the parcel is to templates.
    context: &'b Context,
    /// Steps of templates and expressions so far, also of other pages of the document.
    taken: &'b Cell<u64>,
    /// Repeats made so far.
    repeats: usize,
    /// Blocks and cells bound so far.
    blocks: usize,
    /// Bytes of text made so far.
    text: usize,
    /// Whether a limit was passed: what follows is left out, for the document is at fault anyway.
    stopped: bool,
    /// What went wrong.
    faults: Vec<Finding>,
    /// Where the filters note what they shorten.
    pub(super) cuts: CutLog,
    /// What the seller should know.
    notes: Vec<Finding>,
}

impl<'b, 'l> ParcelBinding<'b, 'l> {
    /// A binding that has done nothing yet; `taken` are the steps that other pages took.
    pub(super) fn new(
        binder: &'b Binder<'l>,
        context: &'b Context,
        taken: &'b Cell<u64>,
    ) -> ParcelBinding<'b, 'l> {
        let (faults, notes) = (Vec::new(), Vec::new());
        ParcelBinding {
            binder,
            context,
            taken,
            repeats: 0,
            blocks: 0,
            text: 0,
            stopped: false,
            faults,
            cuts: CutLog::default(),
            notes,
        }
    }

    /// What there is to say, if nothing went wrong.
    pub(super) fn finish(self) -> Result<Vec<Finding>, Vec<Finding>> {
        if self.faults.is_empty() { Ok(self.notes) } else { Err(self.faults) }
    }

    /// Reports a fault, once however often a loop repeats it.
    pub(super) fn fail(&mut self, fault: Finding) {
        let same = |known: &Finding| (known.span, &known.message) == (fault.span, &fault.message);
        if !self.faults.iter().any(same) {
            self.faults.push(fault);
        }
    }

    /// Reports that a limit was passed and leaves out all that follows.
    fn stop(&mut self, fault: Finding) {
        if !self.stopped {
            self.faults.push(fault);
        }
        self.stopped = true;
    }

    /// Counts a block or cell; `None` when there are too many.
    fn count_block(&mut self, span: Span) -> Option<()> {
        self.blocks += 1;
        if self.blocks > DOCUMENT_BLOCKS {
            let message =
                format!("this document has more than {DOCUMENT_BLOCKS} blocks and table cells");
            let hint = "repeat fewer blocks, or go over a shorter list";
            self.stop(Finding::new(&rules::LAYOUT_LIMIT, message).at(span).hint(hint));
        }
        (!self.stopped).then_some(())
    }

    /// Counts a text; `None` when it, or all together, is too long.
    fn count_text(&mut self, text: &str, span: Span) -> Option<()> {
        self.text += text.len();
        let (message, hint) = if text.len() > TEMPLATE_TEXT {
            let message = format!("this text has {} bytes, more than {TEMPLATE_TEXT}", text.len());
            (message, "no page holds so much: shorten it with `shorten`, or split it into blocks")
        } else if self.text > DOCUMENT_TEXT {
            let message = format!("the text of this document is longer than {DOCUMENT_TEXT} bytes");
            (message, "print less in each repeat, or go over a shorter list")
        } else {
            return Some(());
        };
        self.stop(Finding::new(&rules::LAYOUT_LIMIT, message).at(span).hint(hint));
        None
    }

    /// Runs a template or an expression with the variables; its steps are counted.
    ///
    /// How many steps one took that fails nobody says, so it counts as if it took all it may. With so
    /// many that the document's are used up, what follows is left out: there is enough to mend.
    fn run(
        &mut self,
        compiled: &Compiled<'l, 'l>,
        values: &Value,
        span: Span,
    ) -> Option<Result<Captured<'l>, Error>> {
        let result = compiled.render_captured(values.clone());
        self.note_cuts(span);
        let levels = result.as_ref().ok().and_then(|done| done.state().fuel_levels());
        let steps = levels.map_or(TEMPLATE_STEPS, |(steps, _)| steps);
        self.taken.set(self.taken.get() + steps);
        if self.taken.get() <= DOCUMENT_STEPS {
            return Some(result);
        }
        match result {
            Ok(_) => {
                let message =
                    format!("the templates of this document took more than {DOCUMENT_STEPS} steps");
                let hint = "make their loops and texts shorter, or go over a shorter list";
                self.stop(Finding::new(&rules::LAYOUT_LIMIT, message).at(span).hint(hint));
            }
            Err(error) => {
                self.fail(explain_failure(&error, compiled.source(), span));
                self.stopped = true;
            }
        }
        None
    }

    /// Turns what was shortened since the last time into notes.
    fn note_cuts(&mut self, span: Span) {
        let cuts = self.cuts.take_cuts();
        self.notes.extend(cuts.iter().map(|cut| cut.explain(span)));
    }

    /// Binds a block; `None` when it is left out or at fault.
    pub(super) fn bind_block(&mut self, block: &'l Block, values: &Value) -> Option<Bound<'l>> {
        self.count_block(block.span)?;
        let defined;
        let values = match &block.lets[..] {
            [] => values,
            lets => {
                defined = self.define(lets, values)?;
                &defined
            }
        };
        for when in &block.when {
            if !self.is_true(when, values)? {
                return None;
            }
        }
        let content = match &block.kind {
            BlockKind::Stack { direction, gap, children } => Content::Stack {
                direction: *direction,
                gap: *gap,
                children: self.bind_blocks(children, values),
            },
            BlockKind::Over(children) => Content::Over(self.bind_blocks(children, values)),
            BlockKind::Each { list, order, name, show, direction, gap, limit, between } => {
                let limit = limit.as_ref().map(|(most, more)| (*most as usize, &**more));
                let parts =
                    EachParts { list, order, name, show, limit, between: between.as_deref() };
                let children = self.bind_each(&parts, values)?;
                Content::Stack { direction: *direction, gap: *gap, children }
            }
            BlockKind::Table(table) => Content::Table(self.bind_table(table, values)?),
            BlockKind::Blank { form, label, style } => {
                let label = match label {
                    Some(label) => self.render(label, values)?,
                    None => Cow::Borrowed(""),
                };
                Content::Blank { form: *form, label, style }
            }
            BlockKind::CutLine(thickness) => Content::CutLine(*thickness),
            BlockKind::FoldLine(thickness) => Content::FoldLine(*thickness),
            BlockKind::Text { text, style, fit } => {
                let text = self.render(text, values)?;
                let keeps_room = block.height.is_some() || block.grow > 0.0;
                if text.trim().is_empty() && !keeps_room {
                    return None;
                }
                Content::Text { text, style, fit: *fit }
            }
            BlockKind::Address { who, style, fit } => {
                let lines = match who {
                    Who::ShipTo => self.context.ship_to.clone(),
                    Who::Seller => self.context.seller.clone(),
                };
                for line in lines.iter() {
                    self.count_text(line, block.span)?;
                }
                Content::Address { lines, style, fit: *fit }
            }
            BlockKind::Tag { text } => Content::Tag(self.render(text, values)?),
            BlockKind::Code128 { text, gs1, caption, caption_text, style, quiet_inside, most } => {
                Content::Code128 {
                    text: self.render(text, values)?,
                    gs1: *gs1,
                    caption: *caption,
                    caption_text: match caption_text {
                        Some(text) => Some(self.render(text, values)?),
                        None => None,
                    },
                    style,
                    quiet_inside: *quiet_inside,
                    most: *most,
                }
            }
            BlockKind::Qr { text, correction, quiet_inside, most } => Content::Qr {
                text: self.render(text, values)?,
                correction: *correction,
                quiet_inside: *quiet_inside,
                most: *most,
            },
            BlockKind::Ean { text, caption, quiet_inside, most } => Content::Ean {
                text: self.render(text, values)?,
                caption: *caption,
                quiet_inside: *quiet_inside,
                most: *most,
            },
            BlockKind::DataMatrix { text, gs1, quiet_inside, most } => Content::DataMatrix {
                text: self.render(text, values)?,
                gs1: *gs1,
                quiet_inside: *quiet_inside,
                most: *most,
            },
            BlockKind::Tally { cell } => {
                Content::Tally { cells: self.context.tally.clone(), cell: *cell }
            }
            BlockKind::Rule(thickness) => Content::Rule(*thickness),
            BlockKind::Outline(thickness) => Content::Outline(*thickness),
            BlockKind::Image { file, fit } => {
                Content::Image { file: self.render(file, values)?, fit: *fit }
            }
            BlockKind::PageOf(settings) => Content::PageOf(self.bind_page(settings, values)?),
        };
        Some(Bound { block, content })
    }

    /// The variables together with the layout's own; each of these may use the ones before it.
    fn define(&mut self, lets: &'l [Definition], values: &Value) -> Option<Value> {
        let mut values = values.clone();
        for definition in lets {
            let value = match &definition.value {
                DefinitionValue::Text(text) => Value::from(self.render(text, &values)?),
                DefinitionValue::Made(expression) => self.define_value(expression, &values)?,
                DefinitionValue::Flag(flag) => Value::from(*flag),
                DefinitionValue::Count(count) => Value::from(*count),
            };
            values = with_value(&definition.name, value, &values);
        }
        Some(values)
    }

    /// The value of an expression under a name of its own; a text counts as one that is printed,
    /// for names can double one another.
    fn define_value(&mut self, expression: &Expression, values: &Value) -> Option<Value> {
        let value = self.evaluate(expression, values)?;
        if value.is_undefined() {
            let source = self.binder.expressions[expression.id.0].compiled.source();
            let missing = minijinja::Error::from(minijinja::ErrorKind::UndefinedError);
            self.fail(explain_failure(&missing, source, expression.span));
            return None;
        }
        if let Some(text) = value.as_str() {
            self.count_text(text, expression.span)?;
        }
        Some(value)
    }

    /// Binds blocks, leaving out what is left out.
    fn bind_blocks(&mut self, blocks: &'l [Block], values: &Value) -> Vec<Bound<'l>> {
        blocks.iter().filter_map(|block| self.bind_block(block, values)).collect()
    }

    /// Binds a block once for every value of a list.
    fn bind_each(&mut self, parts: &EachParts<'l>, values: &Value) -> Option<Vec<Bound<'l>>> {
        let items = self.list_values(parts.list, parts.order, values)?;
        let total = items.len();
        // The text that tells the rest takes one of the places.
        let shown = match parts.limit {
            Some((most, _)) if total > most => most.saturating_sub(1),
            _ => total,
        };
        let mut children: Vec<Bound<'l>> = Vec::new();
        for (index, item) in items.into_iter().take(shown).enumerate() {
            let values = with_entry(parts.name, item, index + 1, values);
            let Some(child) = self.bind_block(parts.show, &values) else { continue };
            if let Some(between) = parts.between.filter(|_| !children.is_empty()) {
                children.extend(self.bind_block(between, &values));
            }
            children.push(child);
        }
        if let Some((_, more)) = parts.limit.filter(|_| shown < total) {
            let values = with_value("rest", Value::from(total - shown), values);
            children.extend(self.bind_block(more, &values));
        }
        Some(children)
    }

    /// Binds a table's cells.
    fn bind_table(&mut self, table: &'l Table, values: &Value) -> Option<BoundTable<'l>> {
        let items = self.list_values(&table.list, &table.order, values)?;
        let mut columns = Vec::with_capacity(table.columns.len());
        for column in &table.columns {
            if column.when.as_ref().map_or(Some(true), |when| self.is_true(when, values))? {
                columns.push(column);
            }
        }
        let mut rows = Vec::with_capacity(items.len());
        for (index, item) in items.into_iter().enumerate() {
            let values = with_entry(&table.name, item, index + 1, values);
            let cells = columns.iter().map(|column| {
                self.count_block(column.cell.span)?;
                self.render(&column.cell, &values)
            });
            rows.push(cells.collect::<Option<Vec<_>>>()?);
        }
        let head = self.bind_row(columns.iter().map(|column| column.head.as_ref()), values)?;
        let count = columns.iter().map(|column| column.totals.len()).max().unwrap_or(0);
        let mut totals = Vec::with_capacity(count);
        for row in 0..count {
            let cells = columns.iter().map(|column| column.totals.get(row));
            totals.push(self.bind_row(cells, values)?);
        }
        totals.retain(|row| !row.is_empty());
        let language = values.get_attr(LANGUAGE).ok();
        let language = language.as_ref().and_then(Value::as_str).unwrap_or_default();
        let reads_from_right = reads_from_right(language);
        Some(BoundTable { table, columns, head, rows, totals, reads_from_right })
    }

    /// Binds the cells of a head or of totals; none when no column has one, or all say nothing.
    fn bind_row(
        &mut self,
        cells: impl Iterator<Item = Option<&'l Template>> + Clone,
        values: &Value,
    ) -> Option<Vec<Cow<'l, str>>> {
        if cells.clone().all(|cell| cell.is_none()) {
            return Some(Vec::new());
        }
        let cells = cells.map(|cell| match cell {
            Some(cell) => self.render(cell, values),
            None => Some(Cow::Borrowed("")),
        });
        let cells: Vec<_> = cells.collect::<Option<_>>()?;
        let says_nothing = cells.iter().all(|cell| cell.trim().is_empty());
        Some(if says_nothing { Vec::new() } else { cells })
    }

    /// What is repeated: the list in the order asked for; none when it cannot be had, which is then
    /// reported.
    fn list_values(
        &mut self,
        list: &Expression,
        order: &ListOrder,
        values: &Value,
    ) -> Option<Vec<Value>> {
        let found = self.evaluate(list, values)?;
        let Ok(items) = found.try_iter() else {
            let message = format!("expected a list, found {}", found.kind());
            self.faults.push(
                Finding::new(&rules::NOT_A_LIST, message)
                    .at(list.span)
                    .hint("name a list, such as `items`, or a list inside one"),
            );
            return None;
        };
        let items: Vec<Value> = items.take(REPEATS + 1).collect();
        self.repeats += items.len();
        if self.repeats > REPEATS {
            let message = format!("blocks are repeated more than {REPEATS} times");
            let hint = "go over a shorter list, or set `most`";
            self.stop(Finding::new(&rules::LAYOUT_LIMIT, message).at(list.span).hint(hint));
            return None;
        }
        arrange_values(items, order).map_err(|fault| self.faults.push(fault)).ok()
    }

    /// Whether a condition holds.
    fn is_true(&mut self, when: &Expression, values: &Value) -> Option<bool> {
        Some(self.evaluate(when, values)?.is_true())
    }

    /// What an expression comes to; none when it fails, which is then reported.
    pub(super) fn evaluate(&mut self, expression: &Expression, values: &Value) -> Option<Value> {
        let prepared = &self.binder.expressions[expression.id.0];
        if let Some(value) = prepared.plain.as_ref().and_then(|plain| plain.value(values)) {
            return Some(value);
        }
        match self.run(&prepared.compiled, values, expression.span)? {
            Ok(done) => Some(done.state().lookup(VALUE).unwrap_or_default()),
            Err(error) => {
                self.fail(explain_failure(&error, prepared.compiled.source(), expression.span));
                None
            }
        }
    }

    /// A text with its variables put in.
    pub(super) fn render(
        &mut self,
        template: &'l Template,
        values: &Value,
    ) -> Option<Cow<'l, str>> {
        match &template.text {
            TemplateText::Fixed(text) => {
                self.count_text(text, template.span)?;
                Some(Cow::Borrowed(text))
            }
            TemplateText::Made(id) => {
                let prepared = &self.binder.templates[id.0];
                if let Some(text) = prepared.plain.as_ref().and_then(|plain| plain.put(values)) {
                    self.count_text(&text, template.span)?;
                    return Some(Cow::Owned(text));
                }
                let result = self.run(&prepared.compiled, values, template.span)?;
                let result =
                    result.map(Captured::into_output).and_then(|text| match find_unfilled(&text) {
                        Some(error) => Err(error),
                        None => Ok(text),
                    });
                match result {
                    Ok(text) => {
                        self.count_text(&text, template.span)?;
                        Some(Cow::Owned(text))
                    }
                    Err(error) => {
                        self.fail(explain_failure(
                            &error,
                            prepared.compiled.source(),
                            template.span,
                        ));
                        None
                    }
                }
            }
        }
    }
}

/// A page of an existing PDF, still by name.
#[derive(Debug)]
pub struct BoundPage<'l> {
    /// The name of its file; empty when the order has none.
    pub file: Cow<'l, str>,
    /// The number of the page, still as text.
    pub page: Cow<'l, str>,
    /// The rest.
    pub settings: &'l PageOf,
}

impl<'l> ParcelBinding<'_, 'l> {
    /// Binds a page of a PDF; `None` when it is at fault.
    pub(super) fn bind_page(
        &mut self,
        settings: &'l PageOf,
        values: &Value,
    ) -> Option<BoundPage<'l>> {
        let file = self.render(&settings.file, values)?;
        let page = match &settings.page {
            Some(page) => self.render(page, values)?,
            None => Cow::Borrowed("1"),
        };
        Some(BoundPage { file, page, settings })
    }
}
