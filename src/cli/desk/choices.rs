//! What a seller can choose of at the bench: the shop file's packs and services, and printers that have a queue.
//!
//! Not here: which fits a parcel, and what it costs (`parcel`).

use std::path::Path;

use serde_json::{Value, json};

use super::super::inputs::{ReadShop, ShopPlace, read_shop};
use super::files::shop_in;
use crate::shop::Shop;
use crate::source::Sources;

/// The choices for a page; none of a shop file that is not there or has errors, which the ledger's verbs
/// tell.
pub(super) fn tell_choices(folder: &Path) -> Value {
    let beside = shop_in(folder);
    let place = ShopPlace { named: None, beside: &beside };
    match read_shop(place, &mut Sources::new(), &mut Vec::new()) {
        Ok(Some(ReadShop { shop, .. })) => describe(&shop),
        Ok(None) | Err(_) => json!({"name": "", "packs": [], "services": [], "printers": []}),
    }
}

/// The choices of a shop file.
fn describe(shop: &Shop) -> Value {
    let packs: Vec<&str> = shop.rules.packs.iter().map(|pack| &*pack.name).collect();
    let services = shop.rules.rates.iter().flat_map(|rates| &rates.services).map(|service| {
        let extras: Vec<&str> = service.extras.iter().map(|extra| &*extra.name).collect();
        json!({"name": service.name, "extras": extras})
    });
    let queued = shop.printers.list().iter().filter(|printer| printer.queue.is_some());
    json!({
        "name": shop.name,
        "packs": packs,
        "services": services.collect::<Vec<_>>(),
        "printers": queued.map(|printer| &*printer.name).collect::<Vec<&str>>(),
    })
}
