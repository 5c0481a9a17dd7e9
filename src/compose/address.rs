//! Addresses: a paragraph a part, so that a part too long for its line is broken and never cut.

use std::sync::Arc;

use super::{Job, Place};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::fonts::Paragraph;
use crate::geom::Mm;
use crate::layout::{Fit, TypeStyle};

impl Job<'_, '_> {
    /// The height that an address asks for.
    pub(super) fn address_height(&mut self, lines: &[String], style: &TypeStyle, width: Mm) -> Mm {
        let heights = lines.iter().map(|line| self.text_height(line, style, Fit::Wrap, width));
        heights.sum()
    }

    /// The width that an address asks for, unbroken.
    pub(super) fn address_width(&mut self, lines: &[String], style: &TypeStyle) -> Mm {
        lines.iter().map(|line| self.text_width(line, style)).fold(Mm::ZERO, Mm::max)
    }

    /// Sets and paints an address.
    pub(super) fn place_address(
        &mut self,
        bound: &Bound<'_>,
        lines: &[String],
        style: &TypeStyle,
        fit: Fit,
        place: Place,
    ) {
        if lines.is_empty() {
            let finding = Finding::new(&rules::EMPTY_ADDRESS, "there is no address to print").hint(
                "give the shop file, `shop.yaml` beside the orders, an `address` (`slipwright \
                     schema shop`), or take the block out",
            );
            return self.find(bound, finding);
        }
        let shaped: Vec<Option<Arc<Paragraph>>> =
            lines.iter().map(|line| self.shape_or_report(bound, line, style)).collect();
        let Some(paragraphs) = shaped.into_iter().collect::<Option<Vec<_>>>() else { return };
        self.place_paragraphs(bound, &paragraphs, style, fit, place);
    }
}
