//! The shop file that a verb of the ledger asks, read when there is one.

use std::path::{Path, PathBuf};

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

/// Where the shop file is looked for.
pub(super) fn place_of<'a>(named: &'a ShopOption, beside: &'a Path) -> ShopPlace<'a> {
    ShopPlace { named: named.shop.as_deref(), beside }
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
    let place = place_of(named, &beside);
    let (mut sources, mut findings) = (Sources::new(), Vec::new());
    let read = read_shop(place, &mut sources, &mut findings)?;
    terminal::show(&findings, &sources, how_shown(options));
    Ok(read.map(|ReadShop { shop, .. }| shop))
}
