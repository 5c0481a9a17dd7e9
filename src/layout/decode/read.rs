//! Single settings of a checked layout: lengths, sides, words, styles, page and sheet.

use super::super::values::parse_length;
use super::super::{
    Corner, FillOrder, Fit, Length, MAKES, Makes, PageSetup, Reader, Scaling, Sheet, Sides, Slant,
    Spot, Stroke, TypeStyle, Weight,
};
use super::{USUAL_SIZE, USUAL_SMALLEST};
use crate::geom::{QuarterTurn, Stance};
use crate::sides::TurnEdge;
use crate::stock::{LetterWindow, Stock};
use crate::tree::Node;

/// What the layout makes.
pub(super) fn read_makes(node: &Node) -> Option<Makes> {
    let word = node.get("makes")?.literal()?;
    MAKES.iter().find(|(known, _)| *known == word).map(|(_, makes)| *makes)
}

/// Who reads it, if it says so.
pub(super) fn read_reader(node: &Node) -> Option<Reader> {
    match word(node, "reader")? {
        "buyer" => Some(Reader::Buyer),
        _ => Some(Reader::Seller),
    }
}

/// What pages are printed on; none where `page` is missing or wrong, which has been told.
pub(super) fn read_page(node: &Node) -> Option<PageSetup> {
    let page = node.get("page")?;
    let stock = page.get("stock")?;
    Some(PageSetup {
        stock: Stock::find(stock.literal()?).ok()?,
        span: stock.span,
        inset: page.get("inset").and_then(read_sides).unwrap_or_default(),
        clear_edge: page.get("clear_edge").and_then(read_length),
        stance: read_stance(page),
    })
}

/// How several pages share a sheet; none where that is not asked for.
pub(super) fn read_sheet(node: &Node) -> Option<Sheet> {
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
        fill: match word(node, "fill") {
            Some("down") => FillOrder::Down,
            _ => FillOrder::Across,
        },
        marks: node.get("marks").and_then(Node::literal) == Some("true"),
        duplex: match word(node, "duplex") {
            Some("short-edge") => TurnEdge::Short,
            _ => TurnEdge::Long,
        },
    })
}

/// A length of a node that has passed its check.
pub(super) fn read_length(node: &Node) -> Option<Length> {
    parse_length(node.literal()?.trim()).ok()
}

/// Two lengths.
pub(super) fn read_pair(node: &Node) -> Option<(Length, Length)> {
    match node.items() {
        [first, second] => Some((read_length(first)?, read_length(second)?)),
        _ => None,
    }
}

/// Where a block lies inside an `over`.
pub(super) fn read_spot(node: &Node) -> Option<Spot> {
    match node.literal() {
        Some(name) => LetterWindow::find(name).map(Spot::Window),
        None => read_pair(node).map(|(across, down)| Spot::Inwards { across, down }),
    }
}

/// The corner that a block stands in.
pub(super) fn read_corner(node: &Node) -> Option<Corner> {
    match word(node, "corner")? {
        "top-right" => Some(Corner::TopRight),
        "bottom-left" => Some(Corner::BottomLeft),
        "bottom-right" => Some(Corner::BottomRight),
        _ => Some(Corner::TopLeft),
    }
}

/// How the line of a frame is drawn.
pub(super) fn read_stroke(node: &Node) -> Option<Stroke> {
    match word(node, "stroke")? {
        "dashed" => Some(Stroke::Dashed),
        "dotted" => Some(Stroke::Dotted),
        _ => Some(Stroke::Solid),
    }
}

/// Lengths for the sides.
pub(super) fn read_sides(node: &Node) -> Option<Sides> {
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

/// The style of text that names none.
pub(super) fn usual_type() -> TypeStyle {
    TypeStyle {
        family: None,
        size: USUAL_SIZE,
        smallest: USUAL_SMALLEST,
        cut: Weight::Regular,
        slant: Slant::Upright,
        spacing: 0.0,
        leading: 1.25,
        capitals: false,
    }
}

/// A setting's word.
pub(super) fn word<'n>(node: &'n Node, name: &str) -> Option<&'n str> {
    node.get(name).and_then(Node::literal)
}

/// A setting's whole number.
pub(super) fn read_count(node: &Node, name: &str) -> Option<u32> {
    word(node, name).and_then(|text| text.parse().ok())
}

/// Four lengths.
pub(super) fn read_row(node: &Node) -> Option<[Length; 4]> {
    let lengths: Option<Vec<Length>> = node.items().iter().map(read_length).collect();
    lengths?.try_into().ok()
}

/// How large a picture or page becomes.
pub(super) fn read_scaling(node: &Node) -> Scaling {
    match word(node, "fit") {
        Some("cover") => Scaling::Cover,
        Some("actual") => Scaling::Actual,
        _ => Scaling::Contain,
    }
}

/// How something is turned, and whether it is mirrored.
pub(super) fn read_stance(node: &Node) -> Stance {
    Stance { turn: read_turn(node), mirrored: word(node, "mirror") == Some("true") }
}

/// How far something is turned.
pub(super) fn read_turn(node: &Node) -> QuarterTurn {
    match word(node, "turn") {
        Some("quarter") => QuarterTurn::Quarter,
        Some("half") => QuarterTurn::Half,
        Some("three-quarter") => QuarterTurn::ThreeQuarter,
        _ => QuarterTurn::None,
    }
}

/// What to do with text that does not fit.
pub(super) fn read_fit(node: &Node) -> Option<Fit> {
    match word(node, "fit")? {
        "shrink" => Some(Fit::Shrink),
        "fail" => Some(Fit::Fail),
        _ => Some(Fit::Wrap),
    }
}
