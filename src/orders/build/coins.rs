//! Amounts that no coin of their currency can pay.
//!
//! In: an order. Out: an error for each amount with more decimals than its currency has: `1,249` of an
//! export with decimal commas is 1249 with a mark of thousands more often than it is thousandths.
//! Zeros at the end are no such thing (`12.5000`), unless they may be thousands (`1.250`).

use rust_decimal::Decimal;

use super::list;
use crate::fields::{CurrencyCode, read_currency, read_price};
use crate::findings::{Finding, rules};
use crate::orders::amounts::USUAL_DECIMALS;
use crate::record::join;
use crate::tree::Node;

/// The digits behind a mark that may part thousands.
const THOUSANDS: u32 = 3;

/// Reports the amounts of an order that are finer than the smallest coin of its currency.
pub(super) fn check_amounts(node: &Node, path: &str, out: &mut Vec<Finding>) {
    let currency = read_currency(node, "currency");
    for name in ["shipping", "discount", "paid"] {
        out.extend(check_amount(node, name, path, currency));
    }
    for (name, amounts) in [("items", &["price"][..]), ("tax", &["amount", "of"])] {
        for (index, entry) in list(node, name).iter().enumerate() {
            let path = format!("{}[{index}]", join(path, name));
            out.extend(amounts.iter().filter_map(|it| check_amount(entry, it, &path, currency)));
        }
    }
}

/// What is wrong with one amount; none when it is none, or no price at all, which its field tells.
fn check_amount(
    node: &Node,
    name: &str,
    path: &str,
    currency: Option<CurrencyCode>,
) -> Option<Finding> {
    let amount = read_price(node, name)?;
    let most = currency.map_or(USUAL_DECIMALS, |currency| currency.decimals());
    if !is_too_fine(amount, most) {
        return None;
    }
    let count = if most == 0 { "no decimals".into() } else { format!("at most {most} decimals") };
    let whose = currency.map_or_else(String::new, |currency| format!(" in `{currency}`"));
    let message = format!("expected {count}{whose}, found `{amount}`");
    let mut hints = Vec::new();
    if may_be_thousands(amount) {
        hints.push(format!("write `{}` if the mark parts thousands", amount.mantissa()));
    }
    if currency.is_none() && amount.scale() == THOUSANDS {
        hints.push("name the currency if it has three, such as `KWD`".to_owned());
    }
    hints.push(match most {
        0 => "round it to a whole number".to_owned(),
        most => format!("round it to {most} decimals"),
    });
    let finding = Finding::new(&rules::AMOUNT_TOO_FINE, message).at(node.get(name)?.span);
    Some(finding.path(join(path, name)).hint(hints.join(", or ")))
}

/// Whether an amount says more than so many decimals can, or may be meant as thousands.
fn is_too_fine(amount: Decimal, most: u32) -> bool {
    amount.scale() > most && (amount.normalize().scale() > most || may_be_thousands(amount))
}

/// Whether the mark of an amount may part thousands: three digits stand behind it, and one to three
/// that are not all zero before it.
fn may_be_thousands(amount: Decimal) -> bool {
    amount.scale() == THOUSANDS && amount >= Decimal::ONE && amount < Decimal::ONE_THOUSAND
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_is_as_fine_as_a_coin() {
        let is_wrong = |text: &str, most| is_too_fine(text.parse().unwrap(), most);
        for good in ["1249", "12.5", "12.50", "12.5000", "0.500", "0", "0.000", "1250.000"] {
            assert!(!is_wrong(good, 2), "{good}");
        }
        for bad in ["1.249", "1.250", "14.955", "0.005", "12.3456", "1249.001"] {
            assert!(is_wrong(bad, 2), "{bad}");
        }
        assert!(is_wrong("1.249", 0) && is_wrong("12.5", 0) && !is_wrong("12.00", 0));
        assert!(!is_wrong("1.249", 3) && is_wrong("1.2495", 3));
    }
}
