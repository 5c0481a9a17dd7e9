//! From the tree of a layout file to a [`Layout`].
//!
//! The tables of `blocks` are checked first; what is read out afterwards can rely on them, except
//! where a block had a fault of its own and is left out.

mod checks;
mod kinds;
mod read;

use super::blocks::LAYOUT;
use super::template::Compiler;
use super::values::parse_number;
use super::{Align, Block, BlockRule, Layout, Length, Sit, Template, TypeStyle};
use crate::diag::{Diagnostic, Severity, did_you_mean};
use crate::record::{self, Check, Kind};
use crate::source::{FileId, Sources};
use crate::tree::{Node, yaml};

use read::{
    read_length, read_makes, read_page, read_pair, read_sheet, read_sides, read_type, usual_type,
    word,
};

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
