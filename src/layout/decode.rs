//! From the tree of a layout file to a [`Layout`].
//!
//! The tables of `blocks` are checked first; what is read out afterwards can rely on them, except
//! where a block had a fault of its own and is left out.

mod checks;
mod definitions;
mod include;
mod inks;
mod kinds;
mod meanings;
mod read;
mod types;

use std::path::Path;

use super::records::{LAYOUT, NEEDED};
use super::scope::Scope;
use super::template::Compiler;
use super::values::parse_number;
use super::variables::{BATCH_VARIABLES, VARIABLES};
use super::{
    Align, Block, BlockKind, BlockRule, ColourUse, FamilyUse, Keep, Layout, Length, Makes, PER,
    PagePer, Sit, Template,
};
use crate::findings::{Finding, has_errors, rules};
use crate::geom::QuarterTurn;
use crate::language::{WordTables, WordsOf, check_words, read_words};
use crate::limits::{BLOCK_DEPTH, COPIES, LAYOUT_BLOCKS};
use crate::record::{self, Kind, RecordCheck};
use crate::source::{Env, FileId, SharedText, Sources};
use crate::tree::{Node, yaml};

use include::Library;
use inks::Inks;
use kinds::loop_name;
use meanings::mean_in_type;
use read::{
    read_corner, read_count, read_length, read_makes, read_page, read_reader, read_sheet,
    read_sides, read_spot, read_stance, read_stroke, word,
};
use types::Types;

/// The type size of text that names no type.
const USUAL_SIZE: Length = Length::Mm(9.0 * crate::geom::MM_PER_PT);

/// How small text may be set unless its type says otherwise.
const USUAL_SMALLEST: Length = Length::Mm(6.0 * crate::geom::MM_PER_PT);

/// Unknown settings of a layout are errors: a misspelt one would change the page unseen.
const STRICT: RecordCheck = RecordCheck::STRICT;

/// Reads a layout file, and the files it includes from `folder` or from the shipped layouts;
/// `None` when anything in them is an error.
#[must_use]
pub fn read_layout(
    sources: &mut Sources,
    file: FileId,
    env: &dyn Env,
    folder: &Path,
) -> (Option<Layout>, Vec<Finding>) {
    let mut out = Vec::new();
    let source = sources.get(file).shared_text();
    let node = match read_tree(&source, file, &mut out) {
        Some(node) => node,
        None => return (None, out),
    };
    report_missing(&node, &mut out);
    let library = Library::new(sources, env, folder, file);
    let layout = Decoder::new(&node, source, library, &mut out).layout(&node, file);
    drop_repeats(&mut out);
    if has_errors(&out) { (None, out) } else { (layout, out) }
}

/// The tree of a layout file, its top checked.
fn read_tree(source: &str, file: FileId, out: &mut Vec<Finding>) -> Option<Node> {
    let node = yaml::read_or_report(source, file, out)?;
    if node.is_null() {
        let fault = Finding::new(&rules::EMPTY_LAYOUT, "this layout is empty")
            .at(node.span)
            .hint("start from a shipped one: `slipwright layouts --copy label-4x6in`");
        out.push(fault);
        return None;
    }
    let before = out.len();
    record::check(&node, &LAYOUT, "", STRICT, out);
    for fault in &mut out[before..] {
        let path = fault.path.as_deref().and_then(|path| path.strip_prefix("type."));
        let name = path.and_then(|path| path.rsplit_once('.')).map(|(_, name)| name);
        if let Some(hint) = name.filter(|_| fault.is(&rules::UNKNOWN_FIELD)).and_then(mean_in_type)
        {
            fault.hints = vec![hint];
        }
        // The place says it better than a path inside a file that people read themselves.
        fault.path = None;
    }
    Some(node)
}

/// Reports what a layout that is to be printed cannot do without.
fn report_missing(node: &Node, out: &mut Vec<Finding>) {
    if !matches!(node.value, crate::tree::Value::Map(_)) {
        return;
    }
    for name in NEEDED {
        if node.get(name).is_none_or(Node::is_null)
            && let Some(field) = LAYOUT.fields.iter().find(|field| field.name == *name)
        {
            let fault = Finding::new(&rules::MISSING_FIELD, format!("this layout has no `{name}`"));
            out.push(fault.at(node.span).hint(format!("add `{name}`: {}", field.doc)));
        }
    }
}

/// Drops faults that were found again because a file is included more than once.
fn drop_repeats(out: &mut Vec<Finding>) {
    let mut seen = std::collections::HashSet::new();
    out.retain(|fault| seen.insert((fault.rule, fault.message.clone(), fault.span)));
}

/// The file that blocks are being read from.
#[derive(Clone)]
struct LayoutFile {
    /// What its places are places in.
    source: SharedText,
    /// Its type styles, and behind them those of the file that includes it.
    types: Types,
    /// Its inks, and behind them those of the file that includes it.
    inks: Inks,
}

/// Reads blocks, gathering faults.
struct Decoder<'a> {
    /// The files that can be included.
    library: Library<'a>,
    /// The file at hand.
    file: LayoutFile,
    /// Takes in templates and expressions.
    compiler: Compiler,
    /// The names known at the block at hand.
    scope: Scope,
    /// What the layout makes.
    makes: Makes,
    /// The families that type styles name.
    families: Vec<FamilyUse>,
    /// The colours that blocks ask for.
    colours: Vec<ColourUse>,
    /// The layout's own words, and those of files it includes.
    words: WordTables,
    /// Blocks read so far.
    count: usize,
    /// Where faults go.
    out: &'a mut Vec<Finding>,
}

impl<'a> Decoder<'a> {
    /// A decoder that knows the file's type styles.
    fn new(
        node: &Node,
        source: SharedText,
        library: Library<'a>,
        out: &'a mut Vec<Finding>,
    ) -> Decoder<'a> {
        let mut families = Vec::new();
        let types = Types::read(node, &Types::default(), &mut families, out);
        let inks = Inks::read(node, &Inks::default(), out);
        let makes = read_makes(node).unwrap_or(Makes::Label);
        let roots = if makes == Makes::List { BATCH_VARIABLES } else { VARIABLES };
        Decoder {
            library,
            file: LayoutFile { source, types, inks },
            compiler: Compiler::new(),
            scope: Scope::new(roots),
            makes,
            families,
            colours: Vec::new(),
            words: WordTables::default(),
            count: 0,
            out,
        }
    }

    /// Reads the whole layout; `None` when a part of it cannot be used.
    fn layout(mut self, node: &Node, file: FileId) -> Option<Layout> {
        self.add_words(node);
        let (per, copies) = self.read_turns(node);
        let lets = self.definitions(node);
        let root = |name: &str, decoder: &mut Decoder<'_>| {
            let block = node.get(name).filter(|block| !block.is_null())?;
            let mut block = decoder.block(block, 0)?;
            block.lets.splice(0..0, lets.iter().cloned());
            Some(block)
        };
        let body = root("body", &mut self);
        let back = root("back", &mut self);
        self.scope.open("page");
        self.scope.open("pages");
        let (head, foot) = (root("head", &mut self), root("foot", &mut self));
        let flow = node.get("flow").and_then(Node::literal) == Some("true");
        let sheet = node.get("sheet").filter(|sheet| !sheet.is_null());
        if let (true, Some(sheet)) = (flow, sheet) {
            self.out.push(refuse_flow_on_sheet(sheet));
        }
        let has_back = node.get("back").is_some_and(|back| !back.is_null());
        self.out.extend(sheet.filter(|_| !has_back).and_then(refuse_idle_duplex));
        let speaks = self.compiler.speaks();
        let own_uses = self.compiler.take_own_uses();
        let (templates, expressions) = self.compiler.finish();
        let makes = read_makes(node)?;
        Some(Layout {
            file,
            makes,
            language: word(node, "language").map(str::to_owned),
            reader: read_reader(node).unwrap_or(makes.usual_reader()),
            words: self.words,
            speaks,
            page: read_page(node)?,
            sheet: sheet.and_then(read_sheet),
            per,
            copies,
            flow,
            head,
            foot,
            body: body?,
            back,
            families: self.families,
            colours: self.colours,
            templates,
            expressions,
            own_uses,
        })
    }

    /// Reads what there is a page of and how many times, and knows the names that this brings.
    fn read_turns(&mut self, node: &Node) -> (PagePer, u32) {
        let per = word(node, "per").and_then(|word| PER.iter().find(|(known, _)| *known == word));
        let per = per.map(|(_, per)| *per).unwrap_or_default();
        let copies = read_count(node, "copies").unwrap_or(1);
        if copies > COPIES {
            let place = node.get("copies").unwrap_or(node).span;
            let message = format!("expected at most {COPIES} copies, found {copies}");
            let hint = "print the document again for more";
            self.fault(Finding::new(&rules::LAYOUT_LIMIT, message).at(place).hint(hint));
        }
        if self.makes == Makes::List {
            if let Some(place) = node.get("per").filter(|_| per != PagePer::Parcel) {
                let message =
                    format!("a `list` is one for all parcels, not one for each {}", per.word());
                let hint = "take `per` out and loop: `each: items`; or let it make a `label` or an `insert`";
                self.fault(Finding::new(&rules::PER_OF_A_LIST, message).at(place.span).hint(hint));
            }
            return (PagePer::Parcel, copies);
        }
        if per != PagePer::Parcel {
            self.scope.open_entry("order", "orders");
        }
        if matches!(per, PagePer::Item | PagePer::Piece) {
            self.scope.open_entry("item", "items");
        }
        if per == PagePer::Piece {
            self.scope.open("piece");
            self.scope.open("pieces");
        }
        if copies > 1 {
            self.scope.open("copy");
        }
        (per, copies)
    }

    /// Takes in the words that a file gives; those of the file that includes it go before them.
    fn add_words(&mut self, node: &Node) {
        let Some(words) = node.get("words") else { return };
        check_words(words, WordsOf::Layout, self.out);
        let words = read_words(Some(words));
        self.scope.add_words(words.keys());
        self.words.add(words);
    }

    /// Reports a fault.
    fn fault(&mut self, fault: Finding) {
        self.out.push(fault);
    }

    /// Reads a block.
    fn block(&mut self, node: &Node, depth: usize) -> Option<Block> {
        self.count += 1;
        self.check_limits(node, depth)?;
        let rule = self.find_rule(node)?;
        let (key, content) = &node.entries()[0];
        let before = self.out.len();
        self.check_content(rule, key.span, content);
        self.check_settings(rule, node);
        if self.out[before..].iter().any(Finding::is_error) {
            // The children are still read, for their own faults.
            self.visit_children(rule, node, content, depth);
            return None;
        }
        let mut block = match rule.name {
            "include" => self.include(node, content, depth)?,
            _ => {
                let kind = self.kind(rule, node, content, depth);
                Block::plain(key.span, rule.name, kind?)
            }
        };
        self.read_common(node, &mut block)?;
        Some(block)
    }

    /// Reports a layout of too many blocks or levels, once: the blocks below or behind would only
    /// repeat it.
    fn check_limits(&mut self, node: &Node, depth: usize) -> Option<()> {
        let (message, hint) = if depth > BLOCK_DEPTH {
            let message = format!("blocks nest deeper than {BLOCK_DEPTH} levels");
            (message, "take out containers that hold a single block")
        } else if self.count > LAYOUT_BLOCKS {
            let message = format!("this layout has more than {LAYOUT_BLOCKS} blocks");
            (message, "put blocks that are alike into an `each` or a `table`")
        } else {
            return Some(());
        };
        if self.count < LAYOUT_BLOCKS + 2 {
            self.fault(Finding::new(&rules::LAYOUT_LIMIT, message).at(node.span).hint(hint));
            self.count = LAYOUT_BLOCKS + 2;
        }
        None
    }

    /// Reads the settings that every block may have; what an `include` does not say, the included
    /// block says.
    fn read_common(&mut self, node: &Node, block: &mut Block) -> Option<()> {
        let length = |name| node.get(name).and_then(read_length);
        block.width = length("width").or(block.width);
        block.height = length("height").or(block.height);
        block.border = length("border").or(block.border);
        if let Some(baseline) = word(node, "baseline") {
            block.baseline = baseline == "true";
        }
        block.round = length("round").unwrap_or(block.round);
        block.stroke = read_stroke(node).unwrap_or(block.stroke);
        block.at = node.get("at").and_then(read_spot).or(block.at);
        block.corner = read_corner(node).or(block.corner);
        if let Some(grow) = word(node, "grow").and_then(parse_number) {
            block.grow = grow;
        }
        if let Some(inset) = node.get("inset").and_then(read_sides) {
            block.inset = inset;
        }
        if node.get("turn").is_some() || node.get("mirror").is_some() {
            block.stance = read_stance(node);
            if matches!(block.kind, BlockKind::PageOf(_)) {
                // A page of another PDF is turned by itself, so that it fills its box as it then stands.
                block.stance.turn = QuarterTurn::None;
            }
        }
        self.read_inks_of(node, block)?;
        match word(node, "align") {
            Some("center") => block.align = Align::Center,
            Some("right") => block.align = Align::Right,
            Some(_) => block.align = Align::Left,
            None if matches!(block.name, "code128" | "ean" | "qr" | "data_matrix")
                && block.align == Align::Start =>
            {
                block.align = Align::Center;
            }
            None => {}
        }
        match word(node, "sit") {
            Some("middle") => block.sit = Sit::Middle,
            Some("bottom") => block.sit = Sit::Bottom,
            Some(_) => block.sit = Sit::Top,
            None => {}
        }
        match word(node, "keep") {
            Some("whole") => block.keep = Keep::Whole,
            Some("next") => block.keep = Keep::Next,
            _ => {}
        }
        if let Some(when) = node.get("when") {
            let source = &self.file.source;
            block.when.push(self.compiler.expression(when, &self.scope, source, self.out)?);
        }
        Some(())
    }

    /// Reads the children of a faulty block for their faults.
    fn visit_children(&mut self, rule: &BlockRule, node: &Node, content: &Node, depth: usize) {
        if matches!(rule.content, Kind::Other(_)) {
            for child in content.items() {
                self.block(child, depth + 1);
            }
        }
        if let Some(show) = node.get("show") {
            let outside = self.scope.depth();
            self.open_loop(node, content);
            self.block(show, depth + 1);
            self.scope.close(outside);
        }
    }

    /// Knows the names inside a loop.
    fn open_loop(&mut self, node: &Node, list: &Node) {
        let (name, list) = (loop_name(node), list.literal().unwrap_or_default());
        match node.get("group_by") {
            Some(_) => self.scope.open_group(name, list),
            None => self.scope.open_entry(name, list),
        }
        self.scope.open("row");
    }

    /// Takes in a text.
    fn template(&mut self, node: &Node) -> Option<Template> {
        self.compiler.template(node, &self.scope, &self.file.source, self.out)
    }
}

/// Reports a sheet that is to be turned over although nothing is printed on its back.
fn refuse_idle_duplex(sheet: &Node) -> Option<Finding> {
    let (key, _) = sheet.entries().iter().find(|(key, _)| key.name == "duplex")?;
    let fault = "`duplex` does nothing without a back to print";
    let hint = "add the block `back:` at the top, or take `duplex` out";
    Some(Finding::new(&rules::DUPLEX_WITHOUT_BACK, fault).at(key.span).hint(hint))
}

/// Reports a body that runs on over several pages in a layout that puts several pages on a sheet.
fn refuse_flow_on_sheet(sheet: &Node) -> Finding {
    let fault = "a layout with `flow` cannot go on a `sheet`: its pages are not one a parcel";
    Finding::new(&rules::FLOW_ON_SHEET, fault)
        .at(sheet.span)
        .hint("take `flow: true` or `sheet` out")
}
