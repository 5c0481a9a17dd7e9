//! Which of the shop's packs take some items, and which is the smallest.
//!
//! In: items with their sizes and weights, those that the order does not say taken from the goods
//! that the shop sells, and the packs. Out: for every pack whether it takes
//! them and why, the packs from the smallest to the largest. Size is decided by placing the items'
//! boxes (`placement`), weight by adding up. Not here: what carrying the pack costs (`quote`).

use super::billing::volume;
use super::placement::{
    FitVerdict, LooseBox, MOST_BOXES, Obstacle, PlacedBox, Placement, PlacementMemo, place_boxes,
};
use super::units::{Extent, Figure, Mass, Size3, Telling, Units, format_ratio};
use crate::source::Span;

/// One kind of packaging.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Pack {
    /// Its name, unique in the shop file.
    pub name: Box<str>,
    /// Length, width and height inside, as it stands.
    pub inside: Size3,
    /// Length, width and height outside; as inside when not given.
    pub outside: Option<Size3>,
    /// What stays free along each inner wall; nothing by default.
    pub padding: Extent,
    /// What the parcel may weigh when it is packed; no limit when not given.
    pub max_weight: Option<Mass>,
    /// What the pack itself weighs; counted as 0 when not given, which the reason then says.
    pub own_weight: Option<Mass>,
    /// How many are left; not counted when not given.
    pub left: Option<u32>,
    /// The service whose flat price it carries; without one it is paid by weight.
    pub flat_rate: Option<Box<str>>,
    /// Where that service's name stands in the shop file.
    pub flat_rate_span: Option<Span>,
    /// Where its name stands in the shop file.
    pub span: Option<Span>,
}

impl Pack {
    /// Length, width and height outside.
    #[must_use]
    pub fn outer(&self) -> Size3 {
        self.outside.unwrap_or(self.inside)
    }

    /// The room that items may take: inside without the padding.
    pub(super) fn room(&self) -> Size3 {
        self.inside.map(|side| {
            let padding = self.padding.micrometres().saturating_mul(2);
            Extent::from_micrometres(side.micrometres().saturating_sub(padding))
        })
    }
}

/// Some equal items of an order, as boxes.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct ItemBox {
    /// What messages call it.
    pub name: Box<str>,
    /// How many.
    pub count: u32,
    /// Length, width and height of one as it stands; not known when not given.
    pub size: Option<Size3>,
    /// The weight of one; not known when not given.
    pub weight: Option<Mass>,
    /// Whether it must stay upright.
    pub this_side_up: bool,
}

/// What wrapping adds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wrapping {
    /// The thickness around each item, on every side; nothing by default.
    pub thickness: Extent,
    /// The weight of all of it in one parcel, stuffing and cards included; nothing by default.
    pub weight: Mass,
}

/// What packs are tried with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Load<'a> {
    /// What is to go in, with counts.
    pub items: &'a [ItemBox],
    /// What is added around them.
    pub wrapping: Wrapping,
    /// What the packed parcel weighs on the scale, when it has been weighed.
    pub measured: Option<Mass>,
    /// The units that reasons are written in.
    pub units: Units,
    /// Whether reasons are written.
    pub telling: Telling,
    /// What placements came to before, where nobody asks for the place of each item.
    pub memo: Option<&'a PlacementMemo>,
}

/// What came of trying one pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackTrial {
    /// The pack's name.
    pub pack: Box<str>,
    /// Whether it takes the items.
    pub verdict: PackVerdict,
    /// Why, as a sentence without its subject.
    pub reason: String,
}

/// Whether a pack takes items.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PackVerdict {
    /// It does.
    Takes {
        /// Where each item stands, one entry for each piece.
        places: Vec<ItemPlace>,
        /// How much of the inside stays empty, in thousandths.
        void_permille: u32,
    },
    /// It was proven that the items do not go in.
    TooSmall,
    /// No arrangement was found, though there may be one.
    NoneFound,
    /// The parcel would weigh more than it may hold.
    TooWeak,
    /// None is left.
    UsedUp,
    /// The size of an item is not known, so nothing could be tried.
    Unknown,
}

impl PackVerdict {
    /// Whether the pack takes the items.
    #[must_use]
    pub fn takes(&self) -> bool {
        matches!(self, PackVerdict::Takes { .. })
    }

    /// The word for scripts.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            PackVerdict::Takes { .. } => "takes",
            PackVerdict::TooSmall => "too-small",
            PackVerdict::NoneFound => "none-found",
            PackVerdict::TooWeak => "too-weak",
            PackVerdict::UsedUp => "used-up",
            PackVerdict::Unknown => "unknown",
        }
    }
}

/// Where one piece of an item stands in its pack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ItemPlace {
    /// The item, by its index.
    pub item: usize,
    /// The corner of its wrapped box nearest to the pack's origin, from the inner walls.
    pub corner: Size3,
    /// The sides of its wrapped box along the pack's length, width and height.
    pub size: Size3,
}

/// What the items weigh without pack and wrapping.
///
/// # Errors
/// The name of an item whose weight is not known.
pub fn weigh_items(items: &[ItemBox]) -> Result<Mass, &str> {
    let one = |item: &'_ ItemBox| item.weight.map(|weight| weight.times(item.count));
    match items.iter().find(|item| item.weight.is_none()) {
        Some(unknown) => Err(&unknown.name),
        None => Ok(items.iter().filter_map(one).sum()),
    }
}

/// What a packed parcel weighs: on the scale, or added up; none when an item's weight is missing.
#[must_use]
pub fn weigh_packed(load: &Load<'_>, pack: Option<&Pack>) -> Option<Figure<Mass>> {
    if let Some(measured) = load.measured {
        return Some(load.telling.figure(measured, || "as it was weighed".to_owned()));
    }
    if load.items.is_empty() {
        return None;
    }
    let items = weigh_items(load.items).ok()?;
    let own = pack.map(|pack| pack.own_weight.unwrap_or_default()).unwrap_or_default();
    let total = items + own + load.wrapping.weight;
    Some(load.telling.figure(total, || explain_sum(load, items, pack)))
}

/// What a packed weight was added up from.
fn explain_sum(load: &Load<'_>, items: Mass, pack: Option<&Pack>) -> String {
    let units = load.units;
    let mut parts = vec![format!("{} of items", units.mass(items))];
    parts.extend(pack.map(|pack| match pack.own_weight {
        Some(own) => format!("{} of `{}`", units.mass(own), pack.name),
        None => format!("`{}`, whose weight is not known", pack.name),
    }));
    if load.wrapping.weight > Mass::ZERO {
        parts.push(format!("{} of wrapping", units.mass(load.wrapping.weight)));
    }
    parts.join(" and ")
}

/// The packs in the order in which they are tried: by volume inside, then by their own weight,
/// then as the shop file lists them; gives their indexes.
#[must_use]
pub fn order_packs(packs: &[Pack]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..packs.len()).collect();
    order.sort_by_key(|index| {
        let pack = &packs[*index];
        (volume(pack.inside), pack.own_weight, *index)
    });
    order
}

/// Whether a pack takes a load, and why or why not.
#[must_use]
pub fn try_pack(pack: &Pack, load: &Load<'_>) -> PackTrial {
    let (verdict, reason) = judge_pack(pack, load);
    PackTrial { pack: pack.name.clone(), verdict, reason }
}

/// Whether a pack takes the items, and why.
fn judge_pack(pack: &Pack, load: &Load<'_>) -> (PackVerdict, String) {
    // A pack that breaks does so whether or not there is one.
    if let Some(reason) = explain_overweight(pack, load) {
        return (PackVerdict::TooWeak, reason);
    }
    if pack.left == Some(0) {
        return (PackVerdict::UsedUp, load.telling.say(|| "none is left".to_owned()));
    }
    if let Some(unknown) = load.items.iter().find(|item| item.size.is_none()) {
        let reason = load.telling.say(|| format!("the size of `{}` is not known", unknown.name));
        return (PackVerdict::Unknown, reason);
    }
    let (owners, boxes) = wrap_items(load);
    if boxes.is_empty() {
        let reason = load.telling.say(|| "there are no items to try it with".to_owned());
        return (PackVerdict::Unknown, reason);
    }
    if let Some(memo) = load.memo {
        match (memo.judge(pack.room(), &boxes), load.telling) {
            (FitVerdict::Fits, _) => return accept(pack, load, &owners, &[]),
            (FitVerdict::TooSmall, Telling::Silent) => {
                return (PackVerdict::TooSmall, String::new());
            }
            (FitVerdict::NoneFound, Telling::Silent) => {
                return (PackVerdict::NoneFound, String::new());
            }
            // Why they do not go in is found out by trying.
            (FitVerdict::TooSmall | FitVerdict::NoneFound, Telling::InWords) => {}
        }
    }
    match place_boxes(pack.room(), &boxes) {
        Placement::Found(places) => accept(pack, load, &owners, &places),
        Placement::Impossible(obstacle) => {
            let explain = || explain_obstacle(&obstacle, pack, load, &owners);
            (PackVerdict::TooSmall, load.telling.say(explain))
        }
        Placement::NotFound => {
            let count = boxes.len();
            let explain = || {
                format!("no arrangement of its {count} items was found, though there may be one")
            };
            (PackVerdict::NoneFound, load.telling.say(explain))
        }
        Placement::TooMany => {
            let explain = || format!("more than {MOST_BOXES} items are not arranged");
            (PackVerdict::NoneFound, load.telling.say(explain))
        }
    }
}

/// By how much a parcel is over the pack's limit, if it is; items of unknown weight count nothing.
pub(super) fn explain_overweight(pack: &Pack, load: &Load<'_>) -> Option<String> {
    let limit = pack.max_weight?;
    let known = load.items.iter().filter_map(|item| Some(item.weight?.times(item.count)));
    let own = pack.own_weight.unwrap_or_default();
    let (weight, at_least) = match weigh_packed(load, Some(pack)) {
        Some(weight) => (weight.value, ""),
        None => (known.sum::<Mass>() + own + load.wrapping.weight, "at least "),
    };
    let units = load.units;
    let explain = || {
        let (over, limit) = (units.mass(weight.saturating_sub(limit)), units.mass(limit));
        format!("over its limit of {limit} by {at_least}{over}")
    };
    (weight > limit).then(|| load.telling.say(explain))
}

/// The items piece by piece in their wrapping, and the item that each piece is; no more pieces
/// than are needed to see that there are too many.
fn wrap_items(load: &Load<'_>) -> (Vec<usize>, Vec<LooseBox>) {
    let wrap = load.wrapping.thickness;
    let (mut owners, mut boxes) = (Vec::new(), Vec::new());
    for (index, item) in load.items.iter().enumerate() {
        let Some(size) = item.size else { continue };
        let size = size.map(|side| side + wrap + wrap);
        let room = MOST_BOXES + 1 - boxes.len();
        for _ in 0..(item.count as usize).min(room) {
            owners.push(index);
            boxes.push(LooseBox { size, this_side_up: item.this_side_up });
        }
    }
    (owners, boxes)
}

/// A pack that takes the items, and the volume that stays empty in it.
fn accept(
    pack: &Pack,
    load: &Load<'_>,
    owners: &[usize],
    places: &[PlacedBox],
) -> (PackVerdict, String) {
    let places = owners.iter().zip(places).map(|(item, place)| ItemPlace {
        item: *item,
        corner: place.corner.map(|side| side + pack.padding),
        size: place.size,
    });
    let taken: u128 = load
        .items
        .iter()
        .filter_map(|item| Some(volume(item.size?).saturating_mul(item.count.into())))
        .fold(0, u128::saturating_add);
    // Nothing larger than this is a pack, and below it nothing overflows.
    let whole = volume(pack.inside).clamp(1, u128::MAX / 4_000);
    let void = whole.saturating_sub(taken) * 1_000;
    let void_permille = u32::try_from((void + whole / 2) / whole).unwrap_or(1_000);
    let reason = load.telling.say(|| {
        let empty = format_ratio(void, whole * 10, 0);
        let pieces = match owners.len() {
            1 => "the one item".to_owned(),
            count => format!("all {count} items"),
        };
        format!("takes {pieces}, {empty} % of it stays empty")
    });
    (PackVerdict::Takes { places: places.collect(), void_permille }, reason)
}

/// An obstacle in words.
fn explain_obstacle(obstacle: &Obstacle, pack: &Pack, load: &Load<'_>, owners: &[usize]) -> String {
    let item = |piece: usize| {
        let item = &load.items[owners[piece]];
        let size = item.size.map(|size| load.units.sides(&size)).unwrap_or_default();
        format!("`{}` ({size})", item.name)
    };
    let upright = |pieces: &[usize]| pieces.iter().any(|it| load.items[owners[*it]].this_side_up);
    let mut reason = match obstacle {
        Obstacle::Box(piece) if upright(&[*piece]) => {
            format!("{} does not fit upright", item(*piece))
        }
        Obstacle::Box(piece) => format!("{} does not fit, however it is turned", item(*piece)),
        Obstacle::Volume(over) => {
            let litres = format_ratio(*over, 1_000_000_000_000_000, 2);
            let over = if litres == "0" { "a little".into() } else { format!("{litres} litres") };
            format!("the items have {over} more volume than it")
        }
        Obstacle::Pair(one, other) if owners[*one] == owners[*other] => {
            format!("two of {} do not fit together", item(*one))
        }
        Obstacle::Pair(one, other) => {
            format!("{} and {} do not fit together", item(*one), item(*other))
        }
        Obstacle::Arrangement(pieces) if pieces.len() == owners.len() => {
            format!("no arrangement of the {} items fits, all were tried", pieces.len())
        }
        Obstacle::Arrangement(pieces) => {
            format!("no arrangement of the {} largest items fits, all were tried", pieces.len())
        }
    };
    if pack.padding > Extent::ZERO || load.wrapping.thickness > Extent::ZERO {
        reason.push_str(" with the padding");
    }
    reason
}

/// An article as a box.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Good {
    /// Its stock-keeping number, unique in the shop file.
    pub sku: Box<str>,
    /// Length, width and height of one as it stands.
    pub size: Option<Size3>,
    /// What one weighs, where orders do not say; none when the shop file does not either.
    pub weight: Option<Mass>,
    /// Whether it must stay upright.
    pub this_side_up: bool,
}

/// Some of an order's article as a box, once it has been looked up among the goods.
#[must_use]
pub fn box_good(good: Option<&Good>, name: &str, count: u32, weight: Option<Mass>) -> ItemBox {
    ItemBox {
        name: name.into(),
        count,
        size: good.and_then(|good| good.size),
        weight: weight.or_else(|| good.and_then(|good| good.weight)),
        this_side_up: good.is_some_and(|good| good.this_side_up),
    }
}
