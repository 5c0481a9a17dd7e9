//! Pages of existing PDFs: which file and page an order asks for, in words.

use std::borrow::Cow;

use minijinja::Value;

use super::run::ParcelBinding;
use crate::layout::PageOf;

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
