//! What each parcel of a batch weighs, measures, fits into and costs, by the shop's rules.
//!
//! In: parcels as their orders make them, and the shop. Out: [`ParcelFigures`] on each, the pack and
//! the service it chose where nobody named one, and findings. Parcels are weighed in bench order,
//! because packs with a count are used up. A batch whose shop has no rules costs nothing here, but
//! for parcels that are heavy by what their orders say. Not here: the arithmetic (`parcel`).

use std::collections::HashMap;
use std::sync::Arc;

use foldhash::fast::FixedState;

use super::{Parcel, distinct};
use crate::fields::CountryCode;
use crate::findings::{Finding, Likeness, RepeatFold, Rule, Severity, rules};
use crate::geom::Mm;
use crate::orders::{Item, Order};
use crate::parcel::{
    Extent, Good, ItemBox, Mass, ParcelFacts, ParcelFigures, ParcelRules, PlacementMemo, Price,
    Size3, Weighing, Wishes, box_good, weigh, weigh_silently,
};
use crate::shop::Shop;
use crate::source::SharedText;

/// The weighings kept for parcels that hold the same; more are forgotten, so that a large batch
/// does not hold every parcel twice.
const MOST_KEPT: usize = 1024;

/// The sizes and the prices that are known for further parcels: a shop has a few packs, and its rates a
/// few prices each.
const MOST_SHARED: usize = 64;

/// Nanograms in a gram.
const NANOGRAMS: u64 = 1_000_000_000;

/// Findings that ask for one figure after another, of parcel after parcel: told once, whatever
/// figure it is.
const ASKING: [&Rule; 3] = [&rules::MISSING_WEIGHT, &rules::MISSING_SIZE, &rules::UNCHECKED_LIMITS];

/// Rules about the pack that an order names.
const OF_PACKS: [&Rule; 4] =
    [&rules::UNKNOWN_PACK, &rules::OVER_PACK_LIMIT, &rules::PACK_TOO_SMALL, &rules::PACK_USED_UP];

/// Rules about the weight that an order gives.
const OF_WEIGHTS: [&Rule; 4] =
    [&rules::LIGHTER_THAN_ITEMS, &rules::WEIGHT_DIFFERS, &rules::HEAVY_PARCEL, &rules::TEAM_LIFT];

/// Rules about the service that an order names.
const OF_SERVICES: [&Rule; 4] =
    [&rules::OVER_LIMIT, &rules::NO_SERVICE, &rules::UNKNOWN_SERVICE, &rules::UNCHECKED_LIMITS];

/// What becomes of what a weighing tried and refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum WeighReasons {
    /// Every parcel is weighed and keeps it.
    Kept,
    /// It is forgotten, and a parcel of which there is nothing to tell is not weighed.
    Forgotten,
}

/// Weighs the parcels of a batch and puts the pack and service that were chosen into them. What is
/// found is told of those parcels that are told of.
pub(super) fn weigh_parcels<'p>(
    parcels: impl IntoIterator<Item = &'p mut Parcel>,
    shop: Option<&Shop>,
    reasons: WeighReasons,
    is_told: impl Fn(&Parcel) -> bool,
) -> Vec<Finding> {
    let mut scale = Scale::new(shop, reasons);
    let mut fold = RepeatFold::default();
    for parcel in parcels {
        if !scale.weighs(parcel) {
            continue;
        }
        let weighed = scale.weigh(parcel);
        scale.settle(parcel, &weighed);
        for finding in weighed.findings.iter().filter(|_| is_told(parcel)).cloned() {
            let likeness = likeness_of(&finding);
            fold.push(place_finding(finding, parcel), likeness);
        }
    }
    fold.finish()
}

/// One load's weighing and what is to say of it.
#[derive(Clone)]
struct Weighed {
    /// The figures that are kept of it.
    figures: Arc<ParcelFigures>,
    /// The weighing without its findings, when reasons are kept.
    weighing: Option<Arc<Weighing>>,
    /// The pack that was chosen or named.
    pack: Option<SharedText>,
    /// The service that carries it.
    service: Option<SharedText>,
    /// The findings, without a place.
    findings: Arc<[Finding]>,
}

/// Weighs parcel after parcel.
struct Scale<'a> {
    /// The shop's rules, with the packs that are left.
    rules: ParcelRules,
    /// The goods by their stock-keeping number.
    goods: HashMap<&'a str, &'a Good, FixedState>,
    /// The service that holds where orders name none: its absence from the rates has been told
    /// when the shop file was read.
    usual_service: &'a str,
    /// What becomes of what was tried and refused.
    reasons: WeighReasons,
    /// The weighings of loads that may come again.
    kept: HashMap<ParcelFacts, Weighed, FixedState>,
    /// What placements of items in packs came to.
    placements: PlacementMemo,
    /// The names of packs and services that were chosen so far, each held once.
    names: Vec<SharedText>,
    /// The last sizes of parcels, each held once.
    sizes: Vec<Arc<Size3>>,
    /// The last prices, each held once.
    prices: Vec<Arc<Price>>,
}

impl<'a> Scale<'a> {
    /// A scale for one batch.
    fn new(shop: Option<&'a Shop>, reasons: WeighReasons) -> Scale<'a> {
        let goods = shop.map(|shop| &shop.rules.goods[..]).unwrap_or_default();
        Scale {
            rules: shop.map(|shop| shop.rules.clone()).unwrap_or_default(),
            goods: goods.iter().map(|good| (&*good.sku, good)).collect(),
            usual_service: shop.map_or("", |shop| &shop.defaults.service),
            reasons,
            kept: HashMap::default(),
            placements: PlacementMemo::default(),
            names: Vec::new(),
            sizes: Vec::new(),
            prices: Vec::new(),
        }
    }

    /// Whether there is something to tell of a parcel: by the shop's rules, or because it is heavy, or
    /// lighter than what is in it.
    fn weighs(&self, parcel: &Parcel) -> bool {
        let is_lighter = parcel
            .weight_g
            .zip(parcel.items_weight_g())
            .is_some_and(|(measured, items)| u64::from(measured) < items);
        let grams = parcel.weight_g.map(u64::from).or_else(|| parcel.items_weight_g());
        let mass = grams.map(|grams| Mass::from_nanograms(grams.saturating_mul(NANOGRAMS)));
        self.reasons == WeighReasons::Kept
            || is_lighter
            || !self.rules.is_empty()
            || mass.is_some_and(|mass| mass >= self.rules.weights.heavy.caution_from)
    }

    /// What a parcel weighs and costs; what is kept of one that holds the same is taken again.
    fn weigh(&mut self, parcel: &Parcel) -> Weighed {
        let facts = self.gather(parcel);
        if let Some(kept) = self.kept.get(&facts) {
            return kept.clone();
        }
        let mut weighing = match self.reasons {
            WeighReasons::Kept => weigh(&facts, &self.rules),
            WeighReasons::Forgotten => weigh_silently(&facts, &self.rules, &self.placements),
        };
        let mut findings = std::mem::take(&mut weighing.findings);
        findings.retain(|finding| {
            !finding.is(&rules::UNKNOWN_SERVICE) || *parcel.service != *self.usual_service
        });
        let mut figures = weighing.figures();
        share_equal(&mut self.sizes, &mut figures.expected_size);
        share_equal(&mut self.prices, &mut figures.price);
        let weighed = Weighed {
            figures: Arc::new(figures),
            pack: weighing.pack.as_ref().map(|pack| self.name(&pack.value)),
            service: weighing.offer().map(|offer| self.name(&offer.service)),
            weighing: (self.reasons == WeighReasons::Kept).then(|| Arc::new(weighing)),
            findings: findings.into(),
        };
        if self.kept.len() >= MOST_KEPT {
            self.kept.clear();
        }
        self.kept.insert(facts, weighed.clone());
        weighed
    }

    /// The one copy of a pack's or service's name.
    fn name(&mut self, name: &str) -> SharedText {
        if let Some(known) = self.names.iter().find(|known| ***known == *name) {
            return known.clone();
        }
        let name: SharedText = name.into();
        self.names.push(name.clone());
        name
    }

    /// What is known of a parcel.
    fn gather(&self, parcel: &Parcel) -> ParcelFacts {
        let named = distinct(parcel.orders.iter().map(Order::pack));
        let pack = match named[..] {
            [pack] => pack,
            _ => "",
        };
        let given = |text: &str| (!text.is_empty()).then(|| text.into());
        ParcelFacts {
            items: self.box_items(parcel),
            pack: pack.into(),
            usual_pack: if pack.is_empty() { (&*parcel.pack).into() } else { "".into() },
            weight: parcel.weight_g.map(Mass::from_grams),
            size: parcel.size.as_deref().copied().and_then(measure),
            country: country_of(parcel),
            wishes: Wishes {
                service: given(&parcel.service),
                extras: parcel.extras.iter().map(|extra| (&**extra).into()).collect(),
                ..Wishes::default()
            },
        }
    }

    /// A parcel's items as boxes; equal ones of several orders are one entry.
    fn box_items(&self, parcel: &Parcel) -> Vec<ItemBox> {
        let mut boxes: Vec<ItemBox> = Vec::new();
        for (_, item) in parcel.items() {
            let good = self.goods.get(item.sku).copied().filter(|_| !item.sku.is_empty());
            let new = box_good(good, item.label(), item.qty, item.weight_g.map(Mass::from_grams));
            match boxes.iter_mut().find(|known| is_same_kind(known, &new)) {
                Some(known) => known.count = known.count.saturating_add(new.count),
                None => boxes.push(new),
            }
        }
        boxes
    }

    /// Puts the shop's weight of an article where its order leaves it out, so that customs sheets say
    /// it; a fraction of a gram, which orders cannot say, is left to the arithmetic.
    fn fill_weights(&self, parcel: &mut Parcel) {
        let known = |item: &Item<'_>| {
            let lacks_weight = item.weight_g.is_none() && !item.sku.is_empty();
            let good = self.goods.get(item.sku).filter(|_| lacks_weight)?;
            whole_grams(good.weight?)
        };
        for order in parcel.orders.iter_mut() {
            if order.items().any(|item| known(&item).is_some()) {
                let fill = |item: &mut Item<'_>| item.weight_g = item.weight_g.or(known(item));
                *order = order.changed(|order| order.items.iter_mut().for_each(fill));
            }
        }
    }

    /// Puts into a parcel what was chosen for it, and takes its pack off those that are left.
    fn settle(&mut self, parcel: &mut Parcel, weighed: &Weighed) {
        let named = parcel.orders.iter().any(|order| *order.pack() == *parcel.pack);
        match &weighed.pack {
            Some(pack) if *pack != parcel.pack => parcel.pack = pack.clone(),
            // The usual pack does not take it, and a wrong one on the card is worse than none.
            None if !self.rules.packs.is_empty() && !named => parcel.pack = SharedText::default(),
            _ => {}
        }
        if parcel.service.is_empty()
            && let Some(service) = &weighed.service
        {
            parcel.service = service.clone();
        }
        self.fill_weights(parcel);
        parcel.figures = Some(Arc::clone(&weighed.figures));
        parcel.weighing = weighed.weighing.clone();
        if self.rules.use_pack(&parcel.pack) == Some(0) {
            // What has been weighed so far could still choose it.
            self.kept.clear();
        }
    }
}

/// Puts the one copy of a value in the place of an equal one.
fn share_equal<T: PartialEq>(known: &mut Vec<Arc<T>>, value: &mut Option<Arc<T>>) {
    let Some(value) = value else { return };
    if let Some(equal) = known.iter().find(|known| ***known == **value) {
        *value = Arc::clone(equal);
        return;
    }
    if known.len() >= MOST_SHARED {
        known.clear();
    }
    known.push(Arc::clone(value));
}

/// A weight in grams when it is a whole number of them.
fn whole_grams(mass: Mass) -> Option<u32> {
    let nanograms = mass.nanograms();
    nanograms.is_multiple_of(NANOGRAMS).then(|| u32::try_from(nanograms / NANOGRAMS).ok())?
}

/// Whether two entries are of one kind, so that only their counts differ.
fn is_same_kind(one: &ItemBox, other: &ItemBox) -> bool {
    let kind = |it: &ItemBox| (it.size, it.weight, it.this_side_up);
    kind(one) == kind(other) && one.name == other.name
}

/// A parcel's sides as the arithmetic has them.
fn measure(sides: [Mm; 3]) -> Option<[Extent; 3]> {
    let [length, width, height] = sides.map(Extent::from_mm);
    Some([length?, width?, height?])
}

/// The country that a parcel goes to.
fn country_of(parcel: &Parcel) -> CountryCode {
    parcel.orders[0].country()
}

/// A finding with its parcel, and its place in the orders: the field that the seller gave, or else
/// the items. The span is the order's; who has the sources finds the field by the path.
fn place_finding(finding: Finding, parcel: &Parcel) -> Finding {
    let given = |has: fn(&Order) -> bool| parcel.orders.iter().find(|it| has(it));
    let by_pack = || Some((given(|order| !order.pack().is_empty())?, "parcel.pack"));
    let weighed = |order: &Order| order.weight_g().is_some();
    let by_weight =
        || Some((given(weighed).filter(|_| parcel.weight_g.is_some())?, "parcel.weight_g"));
    let by_service = || Some((given(|order| !order.service().is_empty())?, "service"));
    let of_any = |rules: &[&Rule]| rules.iter().any(|rule| finding.is(rule));
    let place = match () {
        () if of_any(&OF_PACKS) => by_pack(),
        () if of_any(&OF_WEIGHTS) => by_weight(),
        () if of_any(&OF_SERVICES) => by_service(),
        () => None,
    };
    let (order, path) = place.unwrap_or((&parcel.orders[0], "items"));
    finding.at(order.span()).path(path).subject(parcel.subject())
}

/// What makes a finding the same for a later parcel: every parcel with an error is named by it, and
/// findings that ask for one missing figure after another become one.
fn likeness_of(finding: &Finding) -> Likeness {
    match finding.severity {
        Severity::Error => Likeness::Nothing,
        _ if ASKING.iter().any(|rule| finding.is(rule)) => Likeness::Rule,
        _ => Likeness::Words,
    }
}
