//! Numbers, money and measures in the figures of a locale.
//!
//! In: exact decimal numbers. Out: text with the locale's digits, marks and groups, and where the
//! locale has it the currency's sign. Nothing is rounded. Not here: which decimals a currency has.

use rust_decimal::Decimal;

use super::Locale;
use super::locale::{Marks, usual_signs};

/// The space that lines are not broken at.
const NO_BREAK_SPACE: char = '\u{a0}';

/// The units whose patterns the table has, in its order.
const UNITS: [&str; 3] = ["g", "kg", "mm"];

impl Locale {
    /// A number in groups, with the decimals that it is written with.
    #[must_use]
    pub(crate) fn write_number(&self, number: Decimal) -> String {
        let figures = self.write_figures(number, number.scale() as usize, self.marks);
        self.with_minus(number, figures)
    }

    /// A whole number without groups, as a place or a page is counted.
    #[must_use]
    pub(crate) fn write_count(&self, count: i128) -> String {
        let minus = if count < 0 { self.minus } else { "" };
        format!("{minus}{}", self.own_digits(&count.unsigned_abs().to_string()))
    }

    /// An amount with at least so many decimals, and its currency by its sign, where the locale has
    /// one, or by its code.
    #[must_use]
    pub(crate) fn write_money(&self, amount: Decimal, currency: &str, decimals: u32) -> String {
        let scale = amount.normalize().scale().max(decimals) as usize;
        let figures = self.write_figures(amount, scale, self.money_marks);
        let name = self.currency_sign(currency).unwrap_or(currency);
        let is_below = amount.is_sign_negative() && !amount.is_zero();
        let pattern = if is_below { self.money_below } else { self.money };
        // A name of letters keeps a space from the figures (UTS #35, part 3, "Currency Spacing").
        let touches = |pattern: &str| pattern.contains("{c}{n}") || pattern.contains("{n}{c}");
        let edge = match pattern.find("{c}") < pattern.find("{n}") {
            true => name.chars().next_back(),
            false => name.chars().next(),
        };
        let is_spelt = edge.is_some_and(char::is_alphabetic);
        if is_spelt && touches(pattern) {
            // The minus stays with the figures: before a code it would read as a dash.
            let pattern = self.money.replace("}{", &format!("}}{NO_BREAK_SPACE}{{"));
            let figures = self.with_minus(amount, figures);
            return pattern.replace("{n}", &figures).replace("{c}", name);
        }
        pattern.replace("{n}", &figures).replace("{c}", name)
    }

    /// A measure such as `1.25 kg` or `220 × 110 × 40 mm` with this locale's figures and unit.
    #[must_use]
    pub(crate) fn write_measure(&self, measure: &str) -> String {
        if self.is_plain() {
            return measure.to_owned();
        }
        let Some((figures, unit)) = measure.rsplit_once(' ') else {
            return self.write_inside(measure);
        };
        let figures = self.write_inside(figures);
        let place = UNITS.iter().position(|known| *known == unit);
        match place.map(|place| self.units[place]).filter(|pattern| !pattern.is_empty()) {
            Some(pattern) => pattern.replace("{n}", &figures),
            None => format!("{figures} {unit}"),
        }
    }

    /// Whether it writes numbers as programs do.
    fn is_plain(&self) -> bool {
        self.zero == '0' && self.marks.decimal == "." && self.units.iter().all(|it| it.is_empty())
    }

    /// A text whose digits and points are this locale's.
    fn write_inside(&self, text: &str) -> String {
        self.own_digits(text).replace('.', self.marks.decimal)
    }

    /// ASCII digits as this locale's.
    fn own_digits(&self, text: &str) -> String {
        if self.zero == '0' {
            return text.to_owned();
        }
        let own = |c: char| match c.to_digit(10) {
            Some(digit) => char::from_u32(self.zero as u32 + digit).unwrap_or(c),
            None => c,
        };
        text.chars().map(own).collect()
    }

    /// Figures with the minus that their number has.
    fn with_minus(&self, number: Decimal, figures: String) -> String {
        match number.is_sign_negative() && !number.is_zero() {
            true => format!("{}{figures}", self.minus),
            false => figures,
        }
    }

    /// The digits of a number with so many decimals, in groups, without a sign; a number of too few
    /// digits for its locale stays in one piece.
    fn write_figures(&self, number: Decimal, decimals: usize, marks: Marks) -> String {
        let shortest = number.normalize();
        let scale = shortest.scale() as usize;
        let digits = format!("{:0>1$}", shortest.mantissa().unsigned_abs(), scale + 1);
        let (whole, fraction) = digits.split_at(digits.len() - scale);
        let is_grouped = whole.len() >= 3 + self.least_before_group;
        let ends_group = |left: usize| {
            left == 3 || (left > 3 && (left - 3).is_multiple_of(self.second_group.max(1)))
        };
        let mut figures = String::with_capacity(digits.len() + 8);
        for (place, digit) in whole.chars().enumerate() {
            if is_grouped && place > 0 && ends_group(whole.len() - place) {
                figures.push_str(marks.group);
            }
            figures.push(digit);
        }
        if decimals > 0 {
            figures.push_str(marks.decimal);
            figures.push_str(&format!("{fraction:0<decimals$}"));
        }
        self.own_digits(&figures)
    }

    /// The sign of a currency; none where it is written by its code.
    fn currency_sign(&self, currency: &str) -> Option<&'static str> {
        let find = |signs: &'static str| {
            let mut signs = signs.split(' ').filter_map(|sign| sign.split_once('='));
            signs.find(|(code, _)| *code == currency).map(|(_, sign)| sign)
        };
        find(self.signs).or_else(|| find(usual_signs())).filter(|sign| !sign.is_empty())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An amount of euros or another currency in a locale.
    fn money(tag: &str, amount: &str, currency: &str) -> String {
        Locale::find(tag).unwrap().write_money(amount.parse().unwrap(), currency, 2)
    }

    #[test]
    fn money_is_written_as_the_locale_does() {
        for (tag, amount, currency, expected) in [
            ("en", "1234.5", "EUR", "€1,234.50"),
            ("en", "-1", "EUR", "-€1.00"),
            ("en", "-12.5", "CHF", "CHF\u{a0}-12.50"),
            ("de", "1234.5", "EUR", "1.234,50\u{a0}€"),
            ("es", "1234.5", "EUR", "1234,50\u{a0}€"),
            ("es", "12345", "EUR", "12.345,00\u{a0}€"),
            ("nl", "-12.5", "EUR", "€\u{a0}-12,50"),
            ("pl", "12.5", "PLN", "12,50\u{a0}zł"),
            ("sv", "12.5", "SEK", "12,50\u{a0}kr"),
            ("en-IN", "1234567.5", "INR", "₹12,34,567.50"),
            ("fa", "1234.5", "EUR", "\u{200e}€۱٬۲۳۴٫۵۰"),
            ("en", "5", "XOF", "XOF\u{a0}5.00"),
        ] {
            assert_eq!(money(tag, amount, currency), expected, "{amount} {currency} in {tag}");
        }
    }

    #[test]
    fn measures_keep_their_unit_and_change_their_figures() {
        let write = |tag, text| Locale::find(tag).unwrap().write_measure(text);
        assert_eq!(write("en", "1.25 kg"), "1.25 kg");
        assert_eq!(write("de", "1.25 kg"), "1,25 kg");
        assert_eq!(write("de", "220 × 110 × 40.5 mm"), "220 × 110 × 40,5 mm");
        assert_eq!(write("fa", "430 g"), "۴۳۰ گرم");
        assert_eq!(write("de", "15.2 oz"), "15,2 oz");
    }

    #[test]
    fn counts_have_no_groups_and_numbers_do() {
        let en = Locale::usual();
        assert_eq!(en.write_count(12_345), "12345");
        assert_eq!(en.write_number("12345.60".parse().unwrap()), "12,345.60");
        assert_eq!(Locale::find("ar-EG").unwrap().write_count(17), "١٧");
    }
}
