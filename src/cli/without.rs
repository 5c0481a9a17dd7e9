//! Orders that are left out of a batch by their ids: cancelled since the export, or sent already.
//!
//! In: the orders of a file and the ids. Out: the orders without them, and a note that names each, so
//! that nobody wonders where it is. Not here: rows of an export (`intake`).

use super::halt::Halt;
use crate::findings::{Finding, rules};
use crate::orders::Orders;
use crate::words::{did_you_mean, list_words};

/// Leaves orders out, good or not.
///
/// # Errors
/// When there is no such order, or none remains.
pub(super) fn leave_out(ids: &[String], orders: &mut Orders) -> Result<Option<Finding>, Halt> {
    if ids.is_empty() {
        return Ok(None);
    }
    let mut named: Vec<&str> = Vec::new();
    for id in ids.iter().map(|id| id.trim()) {
        if !orders.ids().any(|known| known == id) {
            let known: Vec<&str> = orders.ids().collect();
            let message = format!("`--without {id}`: there is no such order");
            return Err(Halt::usage(message).hint_if(did_you_mean(id, &known)));
        }
        if !named.contains(&id) {
            named.push(id);
        }
    }
    let ids: Vec<String> = named.iter().map(|id| (*id).to_owned()).collect();
    orders.leave_out(&ids);
    if orders.ids().next().is_none() {
        return Err(Halt::usage("`--without` leaves no order").hint("leave one of them in"));
    }
    let message = match &ids[..] {
        [id] => format!("order `{id}` is left out, as `--without` says"),
        ids => {
            let listed = list_words(ids.iter().map(String::as_str));
            format!("{} orders are left out, as `--without` says: {listed}", ids.len())
        }
    };
    Ok(Some(Finding::new(&rules::ORDER_LEFT_OUT, message)))
}
