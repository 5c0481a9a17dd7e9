//! The shop file that a verb of the ledger asks, read when there is one.

use std::path::PathBuf;

use super::super::arguments::ledger::{LedgerOptions, ShopOption};
use super::super::halt::Halt;
use super::super::inputs::{ReadShop, ShopPlace, read_shop};
use super::super::terminal;
use super::answer::how_shown;
use crate::shop::Shop;
use crate::source::Sources;

/// Where the shop file is when nobody names it.
pub(super) fn shop_beside(options: &LedgerOptions) -> PathBuf {
    options.ledger.with_file_name("shop.yaml")
}

/// Reads the shop file; what there is to say of it is shown.
///
/// # Errors
/// When it cannot be read or has errors.
pub(super) fn read_shop_file(
    options: &LedgerOptions,
    named: &ShopOption,
) -> Result<Option<Shop>, Halt> {
    let beside = shop_beside(options);
    let place = ShopPlace { named: named.shop.as_deref(), beside: &beside };
    let (mut sources, mut findings) = (Sources::new(), Vec::new());
    let read = read_shop(place, &mut sources, &mut findings)?;
    terminal::show(&findings, &sources, how_shown(options));
    Ok(read.map(|ReadShop { shop, .. }| shop))
}
