//! Parcels of a kit that is there, printed once more.
//!
//! In: the kit's record, and the orders it was made from. Out: the orders that the kit has, put
//! together as they were then, so that numbers, tags and pair codes are the same; anything that
//! differs is an error. Orders that came later, or were set aside, are left out.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use super::folder::{ORDERS, SHOP, read_parcels};
use super::old::read_record;
use crate::batch::{Batch, BatchOptions};
use crate::cli::arguments::OrdersArguments;
use crate::cli::disk::read_text;
use crate::cli::halt::Halt;
use crate::cli::inputs::{Inputs, ShopPlace};
use crate::cli::output::show_path;
use crate::cli::positions::PositionList;
use crate::findings::{Finding, has_errors, rules};
use crate::kit::{KitPaper, KitRecord, ParcelList};
use crate::words::join_and;

/// What is printed once more.
pub(super) struct Again {
    /// What the kit's folder says of itself.
    record: KitRecord,
    /// What was known of its parcels.
    parcels: ParcelList,
    /// The shop file that it was made with.
    shop: Option<String>,
    /// Places in its batch, from 0.
    places: Vec<usize>,
    /// The kit's folder, for messages.
    kit: String,
}

impl Again {
    /// Reads the record of a kit, and leaves only its orders among those that were read.
    ///
    /// # Errors
    /// When the kit has no such parcels, or its orders are not among those that were read.
    pub(super) fn open(
        folder: &Path,
        list: &PositionList,
        inputs: &mut Inputs,
    ) -> Result<Again, Halt> {
        let record = read_record(folder, folder)?;
        if record.is_of_a_line() {
            let message = format!("the ledger made the kit in {}", show_path(folder));
            return Err(Halt::usage(message).hint(
                "`slipwright ledger print` prints what has changed of it, and `slipwright ledger print \
                 --anew` all of it once more",
            ));
        }
        let parcels = read_parcels(folder)?;
        let shop = match parcels.origin.shop_folder {
            Some(_) => Some(read_text(&folder.join(SHOP))?),
            None => None,
        };
        let kit = show_path(folder);
        let places = list.places("kit", record.parcels.len()).map_err(|halt| {
            let known: HashSet<&str> = record.order_ids().collect();
            let have_come_in = inputs.orders.orders.iter().any(|order| !known.contains(order.id()));
            let hint = "orders have come in since; make the kit anew with `--replace`";
            halt.hint_if(have_come_in.then(|| hint.to_owned()))
        })?;
        keep_orders(&record, inputs, &kit)?;
        Ok(Again { record, parcels, shop, places, kit })
    }

    /// How the orders became parcels.
    pub(super) fn options(&self) -> &BatchOptions {
        &self.record.options
    }

    /// How many parcels are printed.
    pub(super) fn count(&self) -> usize {
        self.places.len()
    }

    /// The numbers of the parcels that are printed.
    pub(super) fn numbers(&self) -> Vec<usize> {
        self.places.iter().map(|place| place + 1).collect()
    }

    /// Whether the parcel at a place in the batch, from 0, is printed.
    pub(super) fn prints(&self, place: usize) -> bool {
        self.places.binary_search(&place).is_ok()
    }

    /// Refuses a batch in which a parcel to be printed is another than in the kit.
    ///
    /// # Errors
    /// When something differs.
    pub(super) fn refuse_others(&self, batch: &Batch) -> Result<(), Halt> {
        let differs = self.places.iter().find_map(|&place| self.record.differs(batch, place));
        match differs {
            None if batch.parcels.len() == self.record.parcels.len() => Ok(()),
            None => Err(self.refuse(&format!(
                "these orders make {} parcels, the kit in {} has {}",
                batch.parcels.len(),
                self.kit,
                self.record.parcels.len()
            ))),
            Some(differs) => Err(self.refuse(&differs)),
        }
    }

    /// Parcels to be printed that go elsewhere than in the kit: told, because a corrected address is
    /// a good reason to print once more, and a wrong file of orders is not.
    pub(super) fn find_moved(&self, batch: &Batch) -> Vec<Finding> {
        let moved = self.places.iter().filter_map(|&place| {
            let (before, now) = self.record.moved(batch, place)?;
            let parcel = &batch.parcels[place];
            let message = format!("the address of parcel `{}` has changed", parcel.order_ids());
            Some(
                Finding::new(&rules::ADDRESS_DIFFERS_FROM_KIT, message)
                    .at(parcel.orders[0].span())
                    .subject(parcel.subject())
                    .details([format!("in the kit: {before}"), format!("now: {now}")])
                    .hint(
                        "throw the first label away; the other papers of the kit are as they were",
                    ),
            )
        });
        moved.collect()
    }

    /// Parcels to be printed of which more than the address has changed, and a shop file that has:
    /// their other papers, and the other parcels', say what was true when the kit was made.
    pub(super) fn find_changed(&self, inputs: &Inputs, batch: &Batch) -> Vec<Finding> {
        let changed = self.places.iter().filter_map(|&place| {
            let lines = self.parcels.differences(batch, place);
            let parcel = batch.parcels.get(place).filter(|_| !lines.is_empty())?;
            let message = format!("parcel `{}` is not as it was in the kit", parcel.order_ids());
            Some(
                Finding::new(&rules::PARCEL_DIFFERS_FROM_KIT, message)
                    .at(parcel.orders[0].span())
                    .subject(parcel.subject())
                    .details(lines)
                    .hint("throw away what was printed of it; lists of the kit are as they were"),
            )
        });
        let shop = inputs.shop_file.map(|file| inputs.sources.get(file).text());
        let changed: Vec<Finding> = changed.collect();
        if shop == self.shop.as_deref() {
            return changed;
        }
        let message =
            format!("the shop file is another than the kit in {} was made with", self.kit);
        let finding = Finding::new(&rules::SHOP_DIFFERS_FROM_KIT, message)
            .hint("leave orders and shop file out to print with those that the kit keeps");
        changed.into_iter().chain([finding]).collect()
    }

    /// Parcels to be printed of which nothing known has changed and whose pages have all the same: the
    /// layout is another, or what it takes in.
    pub(super) fn find_reprinted_otherwise(
        &self,
        batch: &Batch,
        papers: &[KitPaper],
    ) -> Vec<Finding> {
        let as_it_was = |place: &usize| {
            self.record.moved(batch, *place).is_none()
                && self.parcels.differences(batch, *place).is_empty()
        };
        let found = self.places.iter().copied().filter(as_it_was).filter_map(|place| {
            let parcel = batch.parcels.get(place)?;
            let is_its = |paper: &&KitPaper| paper.position == parcel.position;
            let now: Vec<&KitPaper> = papers.iter().filter(is_its).collect();
            let changed = self.parcels.changed_papers(place, &now);
            if changed.is_empty() {
                return None;
            }
            let (changed, ids) = (join_and(&changed), parcel.order_ids());
            let message =
                format!("the {changed} of parcel `{ids}` are not as they were in the kit");
            let hint = "the layout, the shop file or a picture has changed; throw away what was \
                        printed of it, or make the kit anew with `--replace` so that all are alike";
            let finding = Finding::new(&rules::PAPERS_DIFFER_FROM_KIT, message);
            Some(finding.at(parcel.orders[0].span()).subject(parcel.subject()).hint(hint))
        });
        found.collect()
    }

    /// What stops it when the orders are not those of the kit.
    fn refuse(&self, message: &str) -> Halt {
        Halt::usage(message).hint("give the orders and the shop file that the kit was made from")
    }
}

/// Reads what a kit is printed from again: the orders that the user names, or else those that the kit
/// keeps, with its shop file unless another is named.
///
/// # Errors
/// When they cannot be read.
pub(super) fn read_inputs(folder: &Path, from: &OrdersArguments) -> Result<Inputs, Halt> {
    if from.orders.is_some() {
        return Inputs::read(from);
    }
    let origin = read_parcels(folder)?.origin;
    // The kept one counts only where the kit was made with one.
    let kept = match origin.shop_folder {
        Some(_) => folder.join(SHOP),
        None => PathBuf::new(),
    };
    let place = ShopPlace { named: from.shop.as_deref(), beside: &kept };
    let mut inputs = Inputs::read_files(&folder.join(ORDERS), place, &[])?;
    // Carriers' labels, own layouts and pictures stay where they are.
    inputs.folder = origin.orders_folder.into();
    let beside = from.shop.as_deref().and_then(Path::parent).map(Path::to_owned);
    inputs.shop_folder = beside.or(origin.shop_folder.map(PathBuf::from)).unwrap_or_default();
    Ok(inputs)
}

/// Leaves only the orders that a kit has among those that were read, with what was found in them.
fn keep_orders(record: &KitRecord, inputs: &mut Inputs, kit: &str) -> Result<(), Halt> {
    let orders = &mut inputs.orders;
    let wanted: HashSet<&str> = record.order_ids().collect();
    orders.orders.retain(|order| wanted.contains(order.id()));
    // Orders that cannot be read are not in the kit; those that are have to be read.
    let bad = std::mem::take(&mut orders.bad);
    let is_out = |finding: &Finding| {
        finding.span.is_some_and(|at| bad.iter().any(|bad| bad.span.contains(at)))
    };
    let unread: Vec<&str> =
        bad.iter().filter_map(|bad| bad.id.as_deref()).filter(|id| wanted.contains(id)).collect();
    if unread.is_empty() {
        inputs.findings.retain(|finding| !is_out(finding));
    }
    if has_errors(&inputs.findings) {
        return Err(Halt::unusable(std::mem::take(&mut inputs.findings), &inputs.sources));
    }
    let found: HashSet<&str> = orders.orders.iter().map(|order| order.id()).collect();
    match record.order_ids().find(|id| !found.contains(id)) {
        None => Ok(()),
        Some(id) => {
            let message = format!("the order `{id}` of the kit in {kit} is not among these orders");
            Err(Halt::usage(message).hint("give the orders that the kit was made from"))
        }
    }
}
