//! The room that each block asks for when it may choose: heights for a width, widths for a height.

use super::code::ModuleWish;
use super::{Job, blank, code, frame, squares, tag, tally};
use crate::bind::{Bound, Content};
use crate::geom::Mm;
use crate::layout::Form;

impl Job<'_, '_> {
    /// The height a block asks for when it is `width` wide.
    pub(super) fn natural_height(&mut self, bound: &Bound<'_>, width: Mm) -> Mm {
        if let Some(height) = bound.block.height {
            return self.length(height);
        }
        let width = bound.block.width.map_or(width, |own| self.length(own));
        if bound.block.stance.is_lying() {
            // What runs down the page runs across the turned block.
            return self.upright_width(bound, self.paper.height, None, Some(width));
        }
        self.upright_height(bound, width)
    }

    /// The height that a block without a height of its own asks for, as if it were not turned.
    pub(super) fn upright_height(&mut self, bound: &Bound<'_>, width: Mm) -> Mm {
        let padding = self.padding(bound);
        let inner = (width - padding.across()).max(Mm::ZERO);
        let content = match &bound.content {
            Content::Stack { gap, children, .. } if bound.block.baseline => {
                let widths = self.share_width(children, *gap, inner, None);
                self.baseline_height(children, &widths)
            }
            Content::Stack { direction, gap, children } => {
                self.stack_height(*direction, *gap, children, inner)
            }
            Content::Over(children) => self.over_height(children, inner),
            Content::Text { text, style, fit } => self.text_height(text, style, *fit, inner),
            Content::Address { lines, style, .. } => self.address_height(lines, style, inner),
            Content::Table(table) => self.table_height(table, inner),
            Content::Blank { form, style, .. } => self.blank_height(*form, style),
            Content::CutLine(thickness) | Content::FoldLine(thickness) => {
                self.line_width(*thickness)
            }
            Content::Tag(_) => tag::USUAL_HEIGHT,
            Content::Code128 { caption, style, .. } => {
                code::USUAL_BAR_HEIGHT + self.caption_height(*caption, style)
            }
            Content::Ean { text, caption, quiet_inside, most } => {
                let wish = ModuleWish { quiet_inside: *quiet_inside, most: *most };
                self.ean_height(text, *caption, wish, inner)
            }
            Content::Qr { .. } => inner,
            Content::DataMatrix { .. } => inner.min(squares::USUAL_MATRIX_SIDE),
            Content::Tally { .. } => tally::USUAL_HEIGHT,
            Content::Rule(thickness) => self.line_width(*thickness),
            Content::Outline(_) => inner.min(frame::USUAL_BOX),
            Content::Image { file, fit } => self.picture_height(file, *fit, inner),
            Content::PageOf(page) => self.page_height(page, inner),
        };
        content + padding.down()
    }

    /// The width a block asks for when it may take up to `most` and will be `height` high.
    pub(super) fn natural_width(&mut self, bound: &Bound<'_>, most: Mm, height: Option<Mm>) -> Mm {
        if let Some(width) = bound.block.width {
            return self.length(width);
        }
        let own = bound.block.height.map(|own| self.length(own));
        if bound.block.stance.is_lying() {
            let long = own.or(height).unwrap_or(self.paper.height);
            return self.upright_height(bound, long).min(most.max(Mm::ZERO));
        }
        self.upright_width(bound, most, height, own)
    }

    /// The width that a block without a width of its own asks for, as if it were not turned; `own` is
    /// the height that it says itself.
    pub(super) fn upright_width(
        &mut self,
        bound: &Bound<'_>,
        most: Mm,
        height: Option<Mm>,
        own: Option<Mm>,
    ) -> Mm {
        let padding = self.padding(bound);
        let inner = (most - padding.across()).max(Mm::ZERO);
        let height = height.map(|height| (height - padding.down()).max(Mm::ZERO));
        let own = own.map(|own| (own - padding.down()).max(Mm::ZERO));
        let content = match &bound.content {
            Content::Stack { direction, gap, children } => {
                self.stack_width(*direction, *gap, children, inner)
            }
            Content::Over(children) => self.over_width(children, inner),
            Content::Text { text, style, .. } => self.text_width(text, style),
            Content::Address { lines, style, .. } => self.address_width(lines, style),
            Content::Rule(thickness)
            | Content::CutLine(thickness)
            | Content::FoldLine(thickness) => self.line_width(*thickness),
            Content::Blank { form: Form::Tick, label, style } => {
                self.text_width(label, style) + frame::USUAL_BOX + blank::LABEL_GAP
            }
            Content::Table(_) | Content::Blank { .. } => inner,
            Content::Outline(_) => height.unwrap_or(frame::USUAL_BOX),
            Content::Qr { .. } => height.unwrap_or(squares::USUAL_QR_SIDE),
            Content::DataMatrix { .. } => height.unwrap_or(squares::USUAL_MATRIX_SIDE),
            Content::Tag(_)
            | Content::Code128 { .. }
            | Content::Ean { .. }
            | Content::Tally { .. } => inner,
            Content::Image { file, fit } => self.picture_width(file, *fit, own.or(height), inner),
            Content::PageOf(page) => self.page_width(page, own.or(height), inner),
        };
        (content + padding.across()).min(most.max(Mm::ZERO))
    }
}
