//! A new kit in the place of an old one.
//!
//! In: the record of the kit that is there, and the batch that the new one is made of. Out: what the
//! seller has to know of what changes, because bags may be marked and parcels packed already. Not
//! here: the folders.

use std::collections::{HashMap, HashSet};

use super::old::OldKit;
use crate::batch::Batch;
use crate::cli::halt::Halt;
use crate::findings::{Finding, rules};
use crate::kit::KitRecord;
use crate::words::counted;

/// What differs from the kit that is replaced; `combine` says whether orders of one recipient share
/// a parcel now.
///
/// # Errors
/// When the new kit has none of the old one's orders: orders that were set aside are another
/// sitting, and the first one's papers would be lost.
pub(super) fn compare_kits(
    old: &OldKit,
    batch: &Batch,
    combine: bool,
) -> Result<Vec<Finding>, Halt> {
    let OldKit { record: old, reprints } = old;
    let orders = batch.parcels.iter().flat_map(|parcel| &parcel.orders);
    let ids: HashSet<&str> = orders.map(|order| order.id()).collect();
    let missing: Vec<&str> = old.order_ids().filter(|id| !ids.contains(id)).collect();
    if !missing.is_empty() && missing.len() == old.order_ids().count() {
        let parcels = counted(old.parcels.len(), "parcel");
        let message =
            format!("the kit that is there has {parcels}, and none of them is among these orders");
        return Err(
            Halt::usage(message).hint("name another folder, or take the old one away yourself")
        );
    }
    let mut found = find_renamed(old, batch);
    found.extend(describe_missing(&missing));
    found.extend(find_uncombined(old, combine));
    found.extend(tell_reprints(reprints));
    Ok(found)
}

/// Says which reprints go with the kit they were made from.
fn tell_reprints(reprints: &[String]) -> Option<Finding> {
    let verb = if reprints.len() == 1 { "goes" } else { "go" };
    let message = format!(
        "{} of the kit that is replaced {verb} with it: `{}`",
        counted(reprints.len(), "reprint"),
        reprints.join("`, `")
    );
    (!reprints.is_empty()).then(|| Finding::new(&rules::REPRINTS_REPLACED, message))
}

/// Parcels that had another tag: their bags may be marked already.
fn find_renamed(old: &KitRecord, batch: &Batch) -> Vec<Finding> {
    let tag_of: HashMap<&str, &str> =
        old.parcels.iter().filter_map(|it| Some((&**it.orders.first()?, &*it.tag))).collect();
    let renamed = batch.parcels.iter().filter_map(|parcel| {
        let first = &parcel.orders[0];
        let (before, now) = (*tag_of.get(first.id())?, &*parcel.tag.text);
        let ids = parcel.order_ids();
        let message = format!(
            "parcel `{ids}` is tagged `{now}`, and was `{before}` in the kit that is replaced"
        );
        let hint = format!("mark its bag anew, or give order `{}` the tag `{before}`", first.id());
        (before != now).then(|| {
            Finding::new(&rules::TAG_DIFFERS_FROM_KIT, message)
                .at(first.id_span())
                .subject(parcel.subject())
                .hint(hint)
        })
    });
    renamed.collect()
}

/// Orders of the old kit that are in no parcel any more.
fn describe_missing(missing: &[&str]) -> Option<Finding> {
    let verb = if missing.len() == 1 { "is" } else { "are" };
    let message = format!(
        "{} of the kit that is replaced {verb} not in this one: `{}`",
        counted(missing.len(), "order"),
        missing.join("`, `")
    );
    (!missing.is_empty()).then(|| {
        Finding::new(&rules::LEFT_OUT_OF_KIT, message)
            .hint("take what is packed for them off the bench, or give their orders too")
    })
}

/// Says that orders shared parcels in the old kit, and no longer do.
fn find_uncombined(old: &KitRecord, combine: bool) -> Option<Finding> {
    let shared = old.parcels.iter().any(|parcel| parcel.orders.len() > 1);
    (shared && !combine).then(|| {
        let message = "orders shared parcels in the kit that is replaced, and do not in this one";
        Finding::new(&rules::NO_LONGER_COMBINED, message).hint("give `--combine` again")
    })
}
