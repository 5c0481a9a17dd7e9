//! What a seller's words name: a parcel of the line, or an order.
//!
//! In: a number, an id, the beginning of one, or words. Out: the one that is meant; where several could
//! be, all are named and nothing is done.

use super::super::halt::Halt;
use super::open::OpenLedger;
use super::order_words::OrderWords;
use super::shown::with_orders;
use crate::ledger::{BenchLine, LineParcel, OrderNow, OrderPlace};
use crate::pairs::PairCode;
use crate::words::{is_digits, shorten};

/// The most orders that are named where several are meant.
const NAMED: usize = 8;

/// The most orders that are looked through for words.
const LOOKED_AT: usize = 200;

/// The order that words name among those that `fits`: the one of this id, else the one whose id begins
/// so, else the one that has these words. Where none of them fits, the one that is named all the same,
/// so that it can be said where it is.
///
/// # Errors
/// When there is none, or there are several.
pub(super) fn find_one_order(
    open: &OpenLedger,
    words: &str,
    fits: impl Fn(&OrderPlace) -> bool,
) -> Result<OrderNow, Halt> {
    let words = words.trim();
    if let Some(order) = open.ledger.order(words)? {
        return Ok(order);
    }
    let found = open.ledger.find_orders(words, LOOKED_AT)?;
    let folded = words.to_lowercase();
    let begins = |order: &&OrderNow| order.id.to_lowercase().starts_with(&folded);
    let (mut begun, mut other): (Vec<&OrderNow>, Vec<&OrderNow>) = found.iter().partition(begins);
    let all = found.len();
    begun.retain(|order| fits(&order.place));
    other.retain(|order| fits(&order.place));
    match (&begun[..], &other[..]) {
        ([one], _) | ([], [one]) => Ok((*one).clone()),
        ([], []) if all == 1 => Ok(found[0].clone()),
        ([], []) if all == 0 => Err(nothing(words)),
        ([], []) => Err(several(open, words, &found.iter().collect::<Vec<_>>())?),
        ([], several_found) | (several_found, _) => Err(several(open, words, several_found)?),
    }
}

/// What stops a command whose words name nothing.
fn nothing(words: &str) -> Halt {
    Halt::usage(format!("the ledger has no order `{}`", shorten(words)))
        .hint("see which wait: `slipwright ledger list waiting`")
}

/// What stops a command whose words name several orders.
fn several(open: &OpenLedger, words: &str, orders: &[&OrderNow]) -> Result<Halt, Halt> {
    let message = format!("`{}` names {} orders", shorten(words), orders.len());
    let mut halt = Halt::usage(message);
    for order in orders.iter().take(NAMED) {
        let said = OrderWords::read(&open.text_of(order)?);
        let told = [&*order.id, &*said.name, &*said.place(), &*said.what()].map(str::to_owned);
        let told = told.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
        halt = halt.hint(format!("{told} ({})", order.place));
    }
    if orders.len() > NAMED {
        halt = halt.hint(format!("and {} more; name one by its id", orders.len() - NAMED));
    }
    Ok(halt)
}

/// The parcel of a line that a number or a pair code names, if one does.
pub(super) fn find_parcel<'a>(line: &'a BenchLine, words: &str) -> Option<&'a LineParcel> {
    let number = words.parse().ok().filter(|_| is_digits(words));
    let of_pair = || line.parcel_of_pair(PairCode::parse(words).ok()?);
    number.and_then(|number: u32| line.parcel(number)).or_else(of_pair)
}

/// Refuses words that name a parcel and an order that is not in it: one of the two is not meant, and which
/// one nobody can know.
///
/// # Errors
/// When they name both.
pub(super) fn refuse_two_meanings(
    words: &str,
    sitting: u32,
    parcel: &LineParcel,
    order: Option<&OrderNow>,
) -> Result<(), Halt> {
    let Some(order) = order else { return Ok(()) };
    let place = &order.place;
    let is_in_it = |of: u32, number: u32| (of, number) == (sitting, parcel.number);
    if let OrderPlace::InLine(of, number) | OrderPlace::HandedOver(of, number) = *place
        && is_in_it(of, number)
    {
        return Ok(());
    }
    let (named, pair) = (with_orders(parcel), &parcel.pair);
    let message = format!("`{words}` is parcel {named}, and an order: {place}");
    Err(Halt::usage(message)
        .hint(format!("for the parcel say its pair code, `{pair}`"))
        .hint(format!("for the order say `--order {words}`")))
}

/// The waiting orders that words name, each once, in the order in which they are named.
///
/// # Errors
/// As [`find_one_order`]; and when one is named twice.
pub(super) fn find_waiting(open: &OpenLedger, named: &[String]) -> Result<Vec<OrderNow>, Halt> {
    let mut orders: Vec<OrderNow> = Vec::new();
    for words in named {
        let order = find_one_order(open, words, |place| *place == OrderPlace::Waiting)?;
        if orders.iter().any(|other| other.id == order.id) {
            return Err(Halt::usage(format!("the order `{}` is named twice", order.id)));
        }
        orders.push(order);
    }
    Ok(orders)
}
