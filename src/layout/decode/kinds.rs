//! What a block is, with the settings of its own.

use super::super::values::{parse_number, read_page_number};
use super::super::{
    Block, BlockKind, BlockRule, Caption, Column, ColumnAlign, Correction, Direction, Expression,
    FileHome, Fit, Form, Length, ListOrder, Makes, NamedField, PageOf, Table, Template,
    TemplateText, TypeStyle, Who,
};
use super::Decoder;
use super::read::{read_count, read_fit, read_length, read_row, read_scaling, read_turn, word};
use crate::findings::{Finding, rules};
use crate::tree::Node;
use crate::words::did_you_mean;

/// What a list's value is called while the fields that it is sorted by are looked at.
const ENTRY: &str = "entry";

/// What a loop calls its values.
pub(super) fn loop_name(node: &Node) -> &str {
    let usual = if node.get("group_by").is_some() { "group" } else { "item" };
    word(node, "as").unwrap_or(usual)
}

impl Decoder<'_> {
    /// Reads what a block is.
    pub(super) fn kind(
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
                who: if content.literal() == Some("seller") {
                    Who::Seller
                } else {
                    self.need_parcel(content, "write `{{ item.ship_to.name }}` and the like")?;
                    Who::ShipTo
                },
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
                caption_text: match node.get("caption_text") {
                    Some(text) => Some(self.template(text)?),
                    None => None,
                },
                style: self.style(node)?,
                quiet_inside: word(node, "quiet") != Some("outside"),
                most: read_count(node, "most"),
            },
            "ean" => BlockKind::Ean {
                text: self.template(content)?,
                caption: match word(node, "digits") {
                    Some("none") => Caption::None,
                    _ => Caption::Below,
                },
                quiet_inside: word(node, "quiet") != Some("outside"),
                most: read_count(node, "most"),
            },
            "data_matrix" => BlockKind::DataMatrix {
                text: self.template(content)?,
                gs1: word(node, "gs1") == Some("true"),
                quiet_inside: word(node, "quiet") != Some("outside"),
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
            "fold_line" => BlockKind::FoldLine(read_length(content)?),
            "tally" => {
                self.need_parcel(content, "a tally belongs on a label and its bench card")?;
                let cell = node.get("cell").and_then(read_length).unwrap_or(Length::Mm(0.0));
                BlockKind::Tally { cell }
            }
            "rule" => BlockKind::Rule(read_length(content)?),
            "box" => BlockKind::Outline(read_length(content)?),
            "image" => BlockKind::Image { file: self.template(content)?, fit: read_scaling(node) },
            "page_of" => self.page_of(node, content)?,
            _ => return None,
        })
    }

    /// Reports a block that needs a parcel in a document about the whole batch.
    fn need_parcel(&mut self, content: &Node, hint: &str) -> Option<()> {
        if self.makes != Makes::List {
            return Some(());
        }
        let what = content.literal().unwrap_or_default();
        let message = format!("a list is about the whole batch: it has no `{what}` of its own");
        self.fault(Finding::new(&rules::LIST_BLOCK, message).at(content.span).hint(hint));
        None
    }

    /// Reads a page of an existing PDF.
    fn page_of(&mut self, node: &Node, content: &Node) -> Option<BlockKind> {
        let file = self.template(content);
        let page = match node.get("page") {
            None => None,
            Some(page) => {
                let read = self.template(page)?;
                if let TemplateText::Fixed(text) = &read.text
                    && read_page_number(text).is_none()
                {
                    let message = format!("expected the number of a page, found `{text}`");
                    let fault = Finding::new(&rules::WRONG_VALUE, message).at(page.span);
                    self.fault(fault.hint("the first page is 1; leave `page` out for that one"));
                    return None;
                }
                Some(read)
            }
        };
        let layout = word(node, "from") == Some("layout");
        Some(BlockKind::PageOf(Box::new(PageOf {
            file: file?,
            page,
            home: if layout { FileHome::Layout } else { FileHome::Orders },
            part: node.get("part").and_then(read_row),
            turn: read_turn(node),
            fit: read_scaling(node),
        })))
    }

    /// Reads the blocks of a container.
    pub(super) fn children(&mut self, content: &Node, depth: usize) -> Option<Vec<Block>> {
        let blocks: Vec<_> =
            content.items().iter().map(|child| self.block(child, depth + 1)).collect();
        blocks.into_iter().collect()
    }

    /// Takes in the list of a loop or table.
    fn list(&mut self, content: &Node) -> Option<Expression> {
        self.compiler.expression(content, &self.scope, &self.file.source, self.out)
    }

    /// Reads a loop.
    pub(super) fn each(&mut self, node: &Node, content: &Node, depth: usize) -> Option<BlockKind> {
        let list = self.list(content);
        let order = self.list_order(node, content);
        let name = loop_name(node).to_owned();
        let outside = self.scope.depth();
        self.open_loop(node, content);
        let show = node.get("show").and_then(|show| self.block(show, depth + 1));
        self.scope.close(outside);
        self.scope.open("rest");
        let more = node.get("more").map(|more| (more.span, self.template(more)));
        self.scope.close(outside);
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
                    Finding::new(&rules::MISSING_SETTING, fault)
                        .at(node.entries()[0].0.span)
                        .hint("add `more: \"and {{ rest }} more\"`"),
                );
                return None;
            }
            (None, Some((span, _))) => {
                let fault = "`more` does nothing without `most`";
                self.fault(
                    Finding::new(&rules::MISSING_SETTING, fault).at(span).hint("add `most: 6`"),
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
            order: order?,
            name,
            show: Box::new(show?),
            direction: if across { Direction::Across } else { Direction::Down },
            gap: node.get("gap").and_then(read_length).unwrap_or(Length::Mm(0.0)),
            limit,
            between,
        })
    }

    /// Reads the order and the groups of a list's values, whose fields must be known.
    fn list_order(&mut self, node: &Node, list: &Node) -> Option<ListOrder> {
        let outside = self.scope.depth();
        self.scope.open_entry(ENTRY, list.literal().unwrap_or_default());
        let sort_by = node.get("sort_by").map(|fields| match fields.items() {
            [] => std::slice::from_ref(fields),
            fields => fields,
        });
        let sort_by: Vec<Option<NamedField>> =
            sort_by.unwrap_or_default().iter().map(|field| self.named_field(field)).collect();
        let group_by = node.get("group_by").map(|field| self.named_field(field));
        self.scope.close(outside);
        Some(ListOrder {
            sort_by: sort_by.into_iter().collect::<Option<_>>()?,
            group_by: group_by.map_or(Some(None), |field| field.map(Some))?,
        })
    }

    /// Reads the name of a field of a list's values.
    fn named_field(&mut self, node: &Node) -> Option<NamedField> {
        let name = node.literal()?.trim();
        if let Some(unknown) = self.scope.find_unknown(&format!("{ENTRY}.{name}")) {
            let message = format!("the values of this list have no `{name}`");
            let known =
                unknown.known.iter().map(|it| it.trim_start_matches(ENTRY).trim_start_matches('.'));
            let hint = did_you_mean(name, &known.collect::<Vec<_>>());
            self.fault(Finding::new(&rules::UNKNOWN_VARIABLE, message).at(node.span).hint_if(hint));
            return None;
        }
        Some(NamedField { name: name.into(), span: node.span })
    }

    /// Reads a table.
    pub(super) fn table(&mut self, node: &Node, content: &Node) -> Option<BlockKind> {
        let list = self.list(content);
        let order = self.list_order(node, content);
        let name = loop_name(node).to_owned();
        let style = self.style(node);
        let head_style = match node.get("head_type") {
            Some(name) => self.named_style(name),
            None => style.clone(),
        };
        let (style, head_style) = (style?, head_style?);
        let columns = node.get("columns").map(Node::items).unwrap_or_default();
        if columns.is_empty() {
            let fault = Finding::new(&rules::MISSING_SETTING, "this `table` has no columns");
            self.fault(
                fault
                    .at(node.entries()[0].0.span)
                    .hint("add one: `- {head: Item, cell: \"{{ item.title }}\", grow: 1}`"),
            );
            return None;
        }
        let columns: Vec<Option<Column>> =
            columns.iter().map(|it| self.column(it, node, content, &style, &head_style)).collect();
        Some(BlockKind::Table(Box::new(Table {
            list: list?,
            order: order?,
            name,
            columns: columns.into_iter().collect::<Option<_>>()?,
            gap: node.get("gap").and_then(read_length).unwrap_or(Length::Mm(3.0)),
            row_gap: node.get("row_gap").and_then(read_length).unwrap_or(Length::Mm(1.0)),
            line: node.get("line").and_then(read_length).unwrap_or(Length::Dots(3.0)),
            every: read_count(node, "every"),
        })))
    }

    /// Reads a table's column.
    pub(super) fn column(
        &mut self,
        node: &Node,
        table: &Node,
        list: &Node,
        style: &TypeStyle,
        head_style: &TypeStyle,
    ) -> Option<Column> {
        let outside = self.scope.depth();
        self.open_loop(table, list);
        let cell = node.get("cell").and_then(|cell| self.template(cell));
        self.scope.close(outside);
        let own = match node.get("type") {
            Some(name) => Some(self.named_style(name)?),
            None => None,
        };
        let when = match node.get("when") {
            Some(when) => {
                Some(self.compiler.expression(when, &self.scope, &self.file.source, self.out)?)
            }
            None => None,
        };
        let totals = node.get("total").map_or(&[][..], |total| match total.items() {
            [] => std::slice::from_ref(total),
            rows => rows,
        });
        let totals: Vec<_> = totals.iter().map(|total| self.template(total)).collect();
        let totals: Vec<Template> = totals.into_iter().collect::<Option<_>>()?;
        let mut outside = |name| match node.get(name) {
            Some(text) => self.template(text).map(Some),
            None => Some(None),
        };
        Some(Column {
            when,
            head: outside("head")?,
            totals,
            cell: cell?,
            width: node.get("width").and_then(read_length),
            grow: word(node, "grow").and_then(parse_number).unwrap_or(0.0),
            align: match word(node, "align") {
                Some("center") => ColumnAlign::Center,
                Some("right") => ColumnAlign::Right,
                Some("decimal") => ColumnAlign::Decimal,
                Some("left") => ColumnAlign::Left,
                _ => ColumnAlign::Start,
            },
            head_style: head_style.clone(),
            total_style: TypeStyle {
                cut: head_style.cut,
                ..own.clone().unwrap_or_else(|| style.clone())
            },
            style: own.unwrap_or_else(|| style.clone()),
        })
    }
}
