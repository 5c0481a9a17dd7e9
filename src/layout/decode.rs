//! From the tree of a layout file to a [`Layout`].
//!
//! The tables of `blocks` are checked first; what is read out afterwards can rely on them, except
//! where a block had a fault of its own and is left out.

use super::blocks::{BLOCKS, COMMON, LAYOUT, find_block};
use super::template::Compiler;
use super::values::{parse_length, parse_number};
use super::{
    Align, Block, BlockKind, BlockRule, Caption, Column, ColumnAlign, Correction, Direction, Fit,
    Form, Layout, Length, MAKES, Makes, PageSetup, Sheet, Sides, Sit, Table, Template, TypeStyle,
    Weight, Who,
};
use crate::diag::{Diagnostic, Severity, did_you_mean, nearest};
use crate::record::{self, Check, Field, Kind};
use crate::source::{FileId, Sources};
use crate::stock::Stock;
use crate::tree::{Node, Value, yaml};

/// How deeply blocks may nest.
const MAX_NESTING: usize = 24;

/// How many blocks a layout may have.
const MAX_BLOCKS: usize = 2000;

/// The type size of text that names no type.
const USUAL_SIZE: Length = Length::Mm(9.0 * crate::geom::MM_PER_PT);

/// How small text may be set unless its type says otherwise.
const USUAL_SMALLEST: Length = Length::Mm(6.0 * crate::geom::MM_PER_PT);

/// Unknown settings of a layout are errors: a misspelt one would change the page unseen.
const STRICT: Check = Check { unknown: Severity::Error };

/// Reads a layout file; `None` when anything in it is an error.
#[must_use]
pub fn read_layout(sources: &Sources, file: FileId) -> (Option<Layout>, Vec<Diagnostic>) {
    let source = sources.get(file).text();
    let mut out = Vec::new();
    let node = match yaml::read_document(source, file) {
        Ok(node) => node,
        Err(fault) => return (None, vec![fault]),
    };
    if node.is_null() {
        let fault = Diagnostic::error("empty-layout", "this layout is empty")
            .at(node.span)
            .hint("start from a shipped one: `slipwright layouts --copy label-4x6in`");
        return (None, vec![fault]);
    }
    record::check(&node, &LAYOUT, "", STRICT, &mut out);
    for fault in &mut out {
        // The place says it better than a path inside a file that people read themselves.
        fault.path = None;
    }
    let mut decoder = Decoder::new(&node, source, &mut out);
    let body = node.get("body").and_then(|body| decoder.block(body, 0));
    decoder.scope.extend(["page".to_owned(), "pages".to_owned()]);
    let mut furniture = |name| {
        let block = node.get(name).filter(|block| !block.is_null());
        block.and_then(|block| decoder.block(block, 0))
    };
    let (head, foot) = (furniture("head"), furniture("foot"));
    let (templates, expressions) = decoder.compiler.finish();
    let flow = node.get("flow").and_then(Node::literal) == Some("true");
    let sheet = node.get("sheet").filter(|sheet| !sheet.is_null());
    if let (true, Some(sheet)) = (flow, sheet) {
        let fault = "a layout with `flow` cannot go on a `sheet`: its pages are not one a parcel";
        out.push(
            Diagnostic::error("flow-on-sheet", fault)
                .at(sheet.span)
                .hint("take `flow: true` or `sheet` out"),
        );
    }
    let (Some(body), Some(makes), Some(page)) = (body, read_makes(&node), read_page(&node)) else {
        return (None, out);
    };
    if crate::diag::has_errors(&out) {
        return (None, out);
    }
    let sheet = sheet.and_then(read_sheet);
    let layout =
        Layout { file, makes, page, sheet, flow, head, foot, body, templates, expressions };
    (Some(layout), out)
}

/// What the layout makes.
fn read_makes(node: &Node) -> Option<Makes> {
    let word = node.get("makes")?.literal()?;
    MAKES.iter().find(|(known, _)| *known == word).map(|(_, makes)| *makes)
}

/// The page.
fn read_page(node: &Node) -> Option<PageSetup> {
    let page = node.get("page")?;
    let stock = page.get("stock")?;
    Some(PageSetup {
        stock: Stock::find(stock.literal()?).ok()?,
        span: stock.span,
        inset: page.get("inset").and_then(read_sides).unwrap_or_default(),
        clear_edge: page.get("clear_edge").and_then(read_length),
    })
}

/// The sheet.
fn read_sheet(node: &Node) -> Option<Sheet> {
    let count = |name| node.get(name).and_then(Node::literal).and_then(|text| text.parse().ok());
    let gutter = match node.get("gutter") {
        None => (Length::Mm(0.0), Length::Mm(0.0)),
        Some(both) => match read_pair(both) {
            Some(pair) => pair,
            None => read_length(both).map(|length| (length, length))?,
        },
    };
    let stock = Stock::find(node.get("stock")?.literal()?).ok()?;
    Some(Sheet {
        span: node.span,
        stock,
        columns: count("columns").unwrap_or(1),
        rows: count("rows").unwrap_or(1),
        gutter,
        margin: node.get("margin").and_then(read_pair),
        marks: node.get("marks").and_then(Node::literal) == Some("true"),
    })
}

/// A length.
fn read_length(node: &Node) -> Option<Length> {
    parse_length(node.literal()?.trim()).ok()
}

/// Two lengths.
fn read_pair(node: &Node) -> Option<(Length, Length)> {
    match node.items() {
        [first, second] => Some((read_length(first)?, read_length(second)?)),
        _ => None,
    }
}

/// Lengths for the sides.
fn read_sides(node: &Node) -> Option<Sides> {
    match node.items() {
        [] => Some(Sides::all(read_length(node)?)),
        [down, across] => {
            let (down, across) = (read_length(down)?, read_length(across)?);
            Some(Sides { top: down, bottom: down, left: across, right: across })
        }
        [top, right, bottom, left] => Some(Sides {
            top: read_length(top)?,
            right: read_length(right)?,
            bottom: read_length(bottom)?,
            left: read_length(left)?,
        }),
        _ => None,
    }
}

/// A type style.
fn read_type(node: &Node) -> TypeStyle {
    let length = |name| node.get(name).and_then(read_length);
    let number = |name| node.get(name).and_then(Node::literal).and_then(parse_number);
    let weight = match node.get("weight").and_then(Node::literal) {
        Some("bold") => Weight::Bold,
        Some("condensed") => Weight::Condensed,
        _ => Weight::Regular,
    };
    TypeStyle {
        size: length("size").unwrap_or(USUAL_SIZE),
        smallest: length("smallest").unwrap_or(USUAL_SMALLEST),
        cut: weight,
        spacing: number("spacing").unwrap_or(0.0),
        leading: number("leading").unwrap_or(1.25),
        capitals: node.get("case").and_then(Node::literal) == Some("capitals"),
    }
}

/// The style of text that names none.
fn usual_type() -> TypeStyle {
    TypeStyle {
        size: USUAL_SIZE,
        smallest: USUAL_SMALLEST,
        cut: Weight::Regular,
        spacing: 0.0,
        leading: 1.25,
        capitals: false,
    }
}

/// Reads blocks, gathering faults.
struct Decoder<'a> {
    /// The file's text.
    source: &'a str,
    /// The named type styles.
    types: Vec<(&'a str, TypeStyle)>,
    /// Takes in templates and expressions.
    compiler: Compiler,
    /// The names of the loops' variables around the block at hand.
    scope: Vec<String>,
    /// Blocks read so far.
    count: usize,
    /// Where faults go.
    out: &'a mut Vec<Diagnostic>,
}

impl<'a> Decoder<'a> {
    /// A decoder that knows the file's type styles.
    fn new(node: &'a Node, source: &'a str, out: &'a mut Vec<Diagnostic>) -> Decoder<'a> {
        let types = node.get("type").map(Node::entries).unwrap_or_default();
        let types = types.iter().map(|(key, node)| (key.name.as_str(), read_type(node))).collect();
        Decoder { source, types, compiler: Compiler::new(), scope: Vec::new(), count: 0, out }
    }

    /// Reports a fault.
    fn fault(&mut self, fault: Diagnostic) {
        self.out.push(fault);
    }

    /// Reads a block.
    fn block(&mut self, node: &Node, depth: usize) -> Option<Block> {
        self.count += 1;
        if depth > MAX_NESTING || self.count > MAX_BLOCKS {
            // One complaint is enough: the blocks below or behind would only repeat it.
            if self.count < MAX_BLOCKS + 2 {
                let message = format!(
                    "blocks nest deeper than {MAX_NESTING} levels, or there are more than \
                     {MAX_BLOCKS}"
                );
                self.fault(Diagnostic::error("layout-limit", message).at(node.span));
                self.count = MAX_BLOCKS + 2;
            }
            return None;
        }
        let rule = self.find_rule(node)?;
        let (key, content) = &node.entries()[0];
        let before = self.out.len();
        self.check_content(rule, key.span, content);
        self.check_settings(rule, node);
        if self.out[before..].iter().any(Diagnostic::is_error) {
            // The children are still read, for their own faults.
            self.visit_children(rule, node, content, depth);
            return None;
        }
        let kind = self.kind(rule, node, content, depth);
        let when = node.get("when").and_then(|when| {
            let scope = self.scope.clone();
            self.compiler.expression(when, &scope, self.source, self.out)
        });
        let code = matches!(rule.name, "code128" | "qr");
        Some(Block {
            width: node.get("width").and_then(read_length),
            height: node.get("height").and_then(read_length),
            grow: node.get("grow").and_then(Node::literal).and_then(parse_number).unwrap_or(0.0),
            inset: node.get("inset").and_then(read_sides).unwrap_or_default(),
            border: node.get("border").and_then(read_length),
            reversed: word(node, "ink") == Some("reversed"),
            at: node.get("at").and_then(read_pair),
            align: match word(node, "align") {
                Some("center") => Align::Center,
                Some("right") => Align::Right,
                None if code => Align::Center,
                _ => Align::Left,
            },
            sit: match word(node, "sit") {
                Some("middle") => Sit::Middle,
                Some("bottom") => Sit::Bottom,
                _ => Sit::Top,
            },
            when,
            ..Block::plain(key.span, rule.name, kind?)
        })
    }

    /// The rule of the block that a node's first key names.
    fn find_rule(&mut self, node: &Node) -> Option<&'static BlockRule> {
        let names: Vec<&str> = BLOCKS.iter().map(|rule| rule.name).collect();
        let Some((first, _)) = node.entries().first() else {
            let found = node.value.describe();
            let mut fault = Diagnostic::error("block", format!("expected a block, found {found}"))
                .at(node.span);
            fault = match (&node.value, node.literal().and_then(|text| nearest(text, names))) {
                (Value::List(_), _) => fault.hint("put the list into a container: `down:`"),
                (_, Some(near)) => fault.hint(format!("write `{near}:` with a colon and a value")),
                (Value::Bare(text) | Value::Text(text), None) => {
                    fault.hint(format!("for text, write `text: \"{text}\"`"))
                }
                _ => fault.hint("a block is a map whose first key names it: `text: \"{{ tag }}\"`"),
            };
            self.fault(fault);
            return None;
        };
        if let Some(rule) = find_block(&first.name) {
            return Some(rule);
        }
        let mut others = node.entries().iter().skip(1);
        let fault = match others.find(|(key, _)| find_block(&key.name).is_some()) {
            Some((key, _)) => Diagnostic::error(
                "block-order",
                format!("expected the block's name first, found the setting `{}`", first.name),
            )
            .at(first.span)
            .related(key.span, "this names the block")
            .hint(format!("put `{}:` above `{}:`", key.name, first.name)),
            None => {
                let fault = format!("there is no block `{}`", first.name);
                Diagnostic::error("unknown-block", fault)
                    .at(first.span)
                    .hint_if(did_you_mean(&first.name, &names))
            }
        };
        self.fault(fault);
        None
    }

    /// Checks what stands after a block's name.
    fn check_content(&mut self, rule: &BlockRule, key: crate::source::Span, content: &Node) {
        if content.is_null() && !matches!(rule.content, Kind::Other("blocks")) {
            let fault = format!("`{}` says nothing", rule.name);
            self.fault(
                Diagnostic::error("empty-block", fault)
                    .at(key)
                    .hint(format!("after the colon goes {}", rule.content_doc)),
            );
            return;
        }
        if matches!(rule.content, Kind::Other(_)) {
            if !matches!(content.value, Value::List(_)) {
                let found = content.value.describe();
                self.fault(
                    Diagnostic::error(
                        "wrong-type",
                        format!("expected a list of blocks, found {found}"),
                    )
                    .at(if content.is_null() { key } else { content.span })
                    .hint("start each block inside with `- `"),
                );
            }
            return;
        }
        let mut faults = Vec::new();
        record::check_kind(content, rule.content, "", STRICT, &mut faults);
        let hint_template = matches!(content.value, Value::Map(_));
        for mut fault in faults {
            fault.path = None;
            if hint_template && fault.hints.is_empty() {
                fault = fault.hint("put a template in quotes: `\"{{ tag }}\"`");
            }
            self.fault(fault);
        }
    }

    /// Checks a block's settings.
    fn check_settings(&mut self, rule: &BlockRule, node: &Node) {
        let known = || rule.settings.iter().chain(COMMON);
        for (key, value) in &node.entries()[1..] {
            let Some(field) = known().find(|field| field.name == key.name) else {
                self.unknown_setting(rule, &key.name, key.span);
                continue;
            };
            if value.is_null() {
                let fault = format!("`{}` says nothing", field.name);
                let hint = format!("write a value, or leave `{}` out: {}", field.name, field.doc);
                self.fault(Diagnostic::error("empty-setting", fault).at(key.span).hint(hint));
                continue;
            }
            let mut faults = Vec::new();
            record::check_kind(value, field.kind, "", STRICT, &mut faults);
            for mut fault in faults {
                fault.path = None;
                self.fault(fault);
            }
        }
        for field in rule.settings.iter().filter(|field| field.required) {
            if node.get(field.name).is_none() {
                self.missing_setting(rule, field, node);
            }
        }
    }

    /// Reports a setting that must be there.
    fn missing_setting(&mut self, rule: &BlockRule, field: &Field, node: &Node) {
        let fault = format!("this `{}` has no `{}`", rule.name, field.name);
        self.fault(
            Diagnostic::error("missing-setting", fault)
                .at(node.entries()[0].0.span)
                .hint(format!("add `{}`: {}", field.name, field.doc)),
        );
    }

    /// Reports a setting that the block does not have.
    fn unknown_setting(&mut self, rule: &BlockRule, name: &str, span: crate::source::Span) {
        let fault = format!("`{}` has no setting `{name}`", rule.name);
        let fault = Diagnostic::error("unknown-setting", fault).at(span);
        if find_block(name).is_some() {
            let hint =
                format!("`{name}` is a block of its own: put it on a line with `- ` before it");
            return self.fault(fault.hint(hint));
        }
        let all = rule.settings.iter().chain(COMMON).map(|field| field.name);
        let hint = match nearest(name, all.clone()) {
            Some(near) => Some(format!("did you mean `{near}`?")),
            None => match BLOCKS
                .iter()
                .find(|other| other.settings.iter().any(|field| field.name == name))
            {
                Some(other) => Some(format!("`{name}` is a setting of `{}`", other.name)),
                None => did_you_mean(name, &all.collect::<Vec<_>>()),
            },
        };
        self.fault(fault.hint_if(hint));
    }

    /// Reads the children of a faulty block for their faults.
    fn visit_children(&mut self, rule: &BlockRule, node: &Node, content: &Node, depth: usize) {
        if matches!(rule.content, Kind::Other(_)) {
            for child in content.items() {
                self.block(child, depth + 1);
            }
        }
        if let Some(show) = node.get("show") {
            let name = word(node, "as").unwrap_or("item").to_owned();
            self.scope.push(name);
            self.block(show, depth + 1);
            self.scope.pop();
        }
    }

    /// Reads what a block is.
    fn kind(
        &mut self,
        rule: &BlockRule,
        node: &Node,
        content: &Node,
        depth: usize,
    ) -> Option<BlockKind> {
        Some(match rule.name {
            "down" | "across" => BlockKind::Stack {
                direction: if rule.name == "down" { Direction::Down } else { Direction::Across },
                gap: node.get("gap").and_then(read_length).unwrap_or(Length::Mm(0.0)),
                children: self.children(content, depth)?,
            },
            "over" => BlockKind::Over(self.children(content, depth)?),
            "each" => self.each(node, content, depth)?,
            "text" => BlockKind::Text {
                text: self.template(content)?,
                style: self.style(node)?,
                fit: read_fit(node).unwrap_or(Fit::Wrap),
            },
            "address" => BlockKind::Address {
                who: if content.literal() == Some("seller") { Who::Seller } else { Who::ShipTo },
                style: self.style(node)?,
                fit: read_fit(node).unwrap_or(Fit::Shrink),
            },
            "tag" => BlockKind::Tag { text: self.template(content)? },
            "code128" => BlockKind::Code128 {
                text: self.template(content)?,
                gs1: word(node, "gs1") == Some("true"),
                caption: match word(node, "caption") {
                    Some("above") => Caption::Above,
                    Some("below") => Caption::Below,
                    _ => Caption::None,
                },
                style: self.style(node)?,
                most: read_count(node, "most"),
            },
            "qr" => BlockKind::Qr {
                text: self.template(content)?,
                correction: match word(node, "correction") {
                    Some("low") => Correction::Low,
                    Some("quartile") => Correction::Quartile,
                    Some("high") => Correction::High,
                    _ => Correction::Medium,
                },
                quiet_inside: word(node, "quiet") != Some("outside"),
                most: read_count(node, "most"),
            },
            "table" => self.table(node, content)?,
            "blank" => BlockKind::Blank {
                form: match content.literal() {
                    Some("tick") => Form::Tick,
                    Some("signature") => Form::Signature,
                    Some("boxes") => Form::Boxes(read_count(node, "count").unwrap_or(8)),
                    _ => Form::Line,
                },
                label: match node.get("label") {
                    Some(label) => Some(self.template(label)?),
                    None => None,
                },
                style: self.style(node)?,
            },
            "cut_line" => BlockKind::CutLine(read_length(content)?),
            "tally" => BlockKind::Tally {
                cell: node.get("cell").and_then(read_length).unwrap_or(Length::Mm(0.0)),
            },
            "rule" => BlockKind::Rule(read_length(content)?),
            "box" => BlockKind::Outline(read_length(content)?),
            "image" => BlockKind::Image { file: self.template(content)? },
            _ => return None,
        })
    }

    /// Reads the blocks of a container.
    fn children(&mut self, content: &Node, depth: usize) -> Option<Vec<Block>> {
        let blocks: Vec<_> =
            content.items().iter().map(|child| self.block(child, depth + 1)).collect();
        blocks.into_iter().collect()
    }

    /// Reads a loop.
    fn each(&mut self, node: &Node, content: &Node, depth: usize) -> Option<BlockKind> {
        let scope = self.scope.clone();
        let list = self.compiler.expression(content, &scope, self.source, self.out);
        let name = word(node, "as").unwrap_or("item").to_owned();
        self.scope.push(name.clone());
        let show = node.get("show").and_then(|show| self.block(show, depth + 1));
        self.scope.pop();
        self.scope.push("rest".into());
        let more = node.get("more").map(|more| (more.span, self.template(more)));
        self.scope.pop();
        let limit = match (read_count(node, "most"), more) {
            (None, None) => None,
            (Some(most), Some((span, text))) => {
                let kind =
                    BlockKind::Text { text: text?, style: self.style(node)?, fit: Fit::Wrap };
                Some((most, Box::new(Block::plain(span, "text", kind))))
            }
            (Some(_), None) => {
                let fault =
                    "an `each` with `most` needs `more`, so that nothing is left out unseen";
                self.fault(
                    Diagnostic::error("missing-setting", fault)
                        .at(node.entries()[0].0.span)
                        .hint("add `more: \"and {{ rest }} more\"`"),
                );
                return None;
            }
            (None, Some((span, _))) => {
                let fault = "`more` does nothing without `most`";
                self.fault(
                    Diagnostic::error("missing-setting", fault).at(span).hint("add `most: 6`"),
                );
                return None;
            }
        };
        let across = word(node, "direction") == Some("across");
        let between = match node.get("between") {
            Some(between) => Some(Box::new(self.block(between, depth + 1)?)),
            None => None,
        };
        Some(BlockKind::Each {
            list: list?,
            name,
            show: Box::new(show?),
            direction: if across { Direction::Across } else { Direction::Down },
            gap: node.get("gap").and_then(read_length).unwrap_or(Length::Mm(0.0)),
            limit,
            between,
        })
    }

    /// Reads a table.
    fn table(&mut self, node: &Node, content: &Node) -> Option<BlockKind> {
        let scope = self.scope.clone();
        let list = self.compiler.expression(content, &scope, self.source, self.out);
        let name = word(node, "as").unwrap_or("item").to_owned();
        let style = self.style(node);
        let head_style = match node.get("head_type") {
            Some(name) => self.named_style(name),
            None => style.clone(),
        };
        let (style, head_style) = (style?, head_style?);
        let columns = node.get("columns").map(Node::items).unwrap_or_default();
        if columns.is_empty() {
            let fault = Diagnostic::error("missing-setting", "this `table` has no columns");
            self.fault(
                fault
                    .at(node.entries()[0].0.span)
                    .hint("add one: `- {head: Item, cell: \"{{ item.title }}\", grow: 1}`"),
            );
            return None;
        }
        let columns: Vec<Option<Column>> =
            columns.iter().map(|column| self.column(column, &name, &style, &head_style)).collect();
        Some(BlockKind::Table(Box::new(Table {
            list: list?,
            name,
            columns: columns.into_iter().collect::<Option<_>>()?,
            gap: node.get("gap").and_then(read_length).unwrap_or(Length::Mm(3.0)),
            row_gap: node.get("row_gap").and_then(read_length).unwrap_or(Length::Mm(1.0)),
            line: node.get("line").and_then(read_length).unwrap_or(Length::Dots(3.0)),
            every: read_count(node, "every"),
        })))
    }

    /// Reads a table's column.
    fn column(
        &mut self,
        node: &Node,
        name: &str,
        style: &TypeStyle,
        head_style: &TypeStyle,
    ) -> Option<Column> {
        self.scope.push(name.to_owned());
        let cell = node.get("cell").and_then(|cell| self.template(cell));
        self.scope.pop();
        let own = match node.get("type") {
            Some(name) => Some(self.named_style(name)?),
            None => None,
        };
        let mut outside = |name| match node.get(name) {
            Some(text) => self.template(text).map(Some),
            None => Some(None),
        };
        Some(Column {
            head: outside("head")?,
            total: outside("total")?,
            cell: cell?,
            width: node.get("width").and_then(read_length),
            grow: word(node, "grow").and_then(parse_number).unwrap_or(0.0),
            align: match word(node, "align") {
                Some("center") => ColumnAlign::Center,
                Some("right") => ColumnAlign::Right,
                Some("decimal") => ColumnAlign::Decimal,
                _ => ColumnAlign::Left,
            },
            head_style: head_style.clone(),
            total_style: TypeStyle {
                cut: head_style.cut,
                ..own.clone().unwrap_or_else(|| style.clone())
            },
            style: own.unwrap_or_else(|| style.clone()),
        })
    }

    /// Takes in a text.
    fn template(&mut self, node: &Node) -> Option<Template> {
        let scope = self.scope.clone();
        self.compiler.template(node, &scope, self.source, self.out)
    }

    /// The type style of a name.
    fn named_style(&mut self, name: &Node) -> Option<TypeStyle> {
        let wanted = name.literal()?;
        if let Some((_, style)) = self.types.iter().find(|(known, _)| *known == wanted) {
            return Some(style.clone());
        }
        let known: Vec<_> = self.types.iter().map(|(known, _)| *known).collect();
        let hint = did_you_mean(wanted, &known)
            .unwrap_or_else(|| "name it under `type:` at the top first".into());
        self.fault(
            Diagnostic::error("unknown-type", format!("there is no type `{wanted}`"))
                .at(name.span)
                .hint(hint),
        );
        None
    }

    /// The type style that a block names, with its own size if it has one.
    fn style(&mut self, node: &Node) -> Option<TypeStyle> {
        let mut style = match node.get("type") {
            None => usual_type(),
            Some(name) => self.named_style(name)?,
        };
        if let Some(size) = node.get("size").and_then(read_length) {
            style.size = size;
        }
        Some(style)
    }
}

/// A setting's word.
fn word<'n>(node: &'n Node, name: &str) -> Option<&'n str> {
    node.get(name).and_then(Node::literal)
}

/// A setting's whole number.
fn read_count(node: &Node, name: &str) -> Option<u32> {
    word(node, name).and_then(|text| text.parse().ok())
}

/// What to do with text that does not fit.
fn read_fit(node: &Node) -> Option<Fit> {
    match word(node, "fit")? {
        "shrink" => Some(Fit::Shrink),
        "fail" => Some(Fit::Fail),
        _ => Some(Fit::Wrap),
    }
}
