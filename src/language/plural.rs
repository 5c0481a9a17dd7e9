//! Which form of a word goes with a count.
//!
//! In: a count and the rules of a locale, as the Unicode CLDR writes them (Unicode Technical Standard
//! #35, part 3, "Language Plural Rules"). Out: the form. Rules that a compact number decides (`e`,
//! `c`) never hold: no layout prints one.

use rust_decimal::Decimal;

use super::Locale;

/// The forms that languages have for counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum PluralForm {
    /// For nothing, and what goes like it.
    Zero,
    /// For one, and what goes like it.
    One,
    /// For two, and what goes like it.
    Two,
    /// For some, as 2 to 4 in Czech.
    Few,
    /// For more than some, as 5 in Polish.
    Many,
    /// For all other counts.
    Other,
}

/// The words for [`PluralForm`].
pub(crate) const FORMS: &[(&str, PluralForm)] = &[
    ("zero", PluralForm::Zero),
    ("one", PluralForm::One),
    ("two", PluralForm::Two),
    ("few", PluralForm::Few),
    ("many", PluralForm::Many),
    ("other", PluralForm::Other),
];

impl PluralForm {
    /// The form of a word such as `few`.
    #[must_use]
    pub(crate) fn parse(word: &str) -> Option<PluralForm> {
        FORMS.iter().find(|(known, _)| *known == word).map(|(_, form)| *form)
    }
}

/// A form and when it is used.
#[derive(Debug)]
pub(super) struct PluralRule {
    /// What is used where the condition holds.
    form: PluralForm,
    /// Its condition: `v = 0 and i % 10 = 2..4 and i % 100 != 12..14`.
    condition: &'static str,
}

impl PluralRule {
    /// Reads `few: i = 2..4 and v = 0`.
    pub(super) fn read(text: &'static str) -> Option<PluralRule> {
        let (form, condition) = text.split_once(": ")?;
        Some(PluralRule { form: PluralForm::parse(form)?, condition })
    }
}

impl Locale {
    /// The form of a count, whose decimals count as they are written: `1.0` is not `1`.
    #[must_use]
    pub(crate) fn plural_form(&self, count: Decimal) -> PluralForm {
        let found = self.plurals.iter().find(|rule| holds(rule.condition, count));
        found.map_or(PluralForm::Other, |rule| rule.form)
    }

    /// The forms that whole counts can take.
    #[cfg(test)]
    pub(crate) fn whole_forms(&self) -> impl Iterator<Item = PluralForm> {
        let takes = |form: PluralForm| {
            (0..=200).any(|count: u32| self.plural_form(Decimal::from(count)) == form)
        };
        FORMS.iter().map(|(_, form)| *form).filter(move |form| takes(*form))
    }
}

/// Whether a count is among those that a condition of the CLDR names.
fn holds(condition: &str, count: Decimal) -> bool {
    condition.split(" or ").any(|all| all.split(" and ").all(|one| holds_alone(one, count)))
}

/// Whether a relation such as `i % 10 = 2..4` holds.
fn holds_alone(relation: &str, count: Decimal) -> bool {
    let (left, right, wanted) = match relation.split_once(" != ") {
        Some((left, right)) => (left, right, false),
        None => match relation.split_once(" = ") {
            Some((left, right)) => (left, right, true),
            None => return false,
        },
    };
    let (operand, modulus) = match left.split_once(" % ") {
        Some((operand, modulus)) => (operand, modulus.parse().ok()),
        None => (left, None),
    };
    let Some(value) = operand_value(operand.trim(), count) else { return false };
    let value = modulus.map_or(value, |modulus: Decimal| value % modulus);
    right.split(',').any(|range| is_in(value, range.trim())) == wanted
}

/// Whether a value is a whole number of a range such as `2..4`, or the one number.
fn is_in(value: Decimal, range: &str) -> bool {
    let (first, last) = range.split_once("..").unwrap_or((range, range));
    let parse = |text: &str| text.parse::<Decimal>().ok();
    let within = parse(first).zip(parse(last)).is_some_and(|(a, b)| (a..=b).contains(&value));
    within && value.fract().is_zero()
}

/// An operand of a count: `n` itself, `i` its whole part, `v` how many decimals are written, `f` those
/// decimals, `t` those without the zeros at their end; `e`, its power of ten, is never written.
fn operand_value(operand: &str, count: Decimal) -> Option<Decimal> {
    let count = count.abs();
    let decimals = |number: Decimal| {
        let fraction = number.fract();
        Decimal::from_i128_with_scale(fraction.mantissa(), 0)
    };
    Some(match operand {
        "n" => count,
        "i" => count.trunc(),
        "v" => Decimal::from(count.scale()),
        "f" => decimals(count),
        "t" => decimals(count.normalize()),
        "e" | "c" => Decimal::ZERO,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The form of a count in a language.
    fn form(tag: &str, count: &str) -> PluralForm {
        Locale::find(tag).unwrap().plural_form(count.parse().unwrap())
    }

    /// Counts and forms of the samples in the CLDR's `plurals.json`.
    #[test]
    fn counts_take_the_forms_that_the_cldr_samples_have() {
        use PluralForm::{Few, Many, One, Other, Two, Zero};
        for (tag, count, expected) in [
            ("en", "1", One),
            ("en", "0", Other),
            ("en", "1.0", Other),
            ("fr", "0", One),
            ("fr", "1.5", One),
            ("fr", "2", Other),
            ("fr", "1000000", Many),
            ("da", "1.6", One),
            ("da", "1.0", One),
            ("pl", "1", One),
            ("pl", "2", Few),
            ("pl", "12", Many),
            ("pl", "22", Few),
            ("pl", "25", Many),
            ("pl", "1.5", Other),
            ("ru", "21", One),
            ("ru", "11", Many),
            ("ar", "0", Zero),
            ("ar", "2", Two),
            ("ar", "103", Few),
            ("ar", "111", Many),
            ("ar", "100", Other),
            ("lv", "10", Zero),
            ("cs", "1.5", Many),
            ("ja", "1", Other),
            ("pt", "0", One),
            ("pt-PT", "0", Other),
            ("es", "1000000", Many),
            ("es", "2", Other),
        ] {
            assert_eq!(form(tag, count), expected, "{count} in {tag}");
        }
    }

    #[test]
    fn a_language_tells_which_forms_its_whole_counts_take() {
        let forms = |tag| Locale::find(tag).unwrap().whole_forms().collect::<Vec<_>>();
        assert_eq!(forms("ja"), [PluralForm::Other]);
        assert_eq!(forms("en"), [PluralForm::One, PluralForm::Other]);
        assert_eq!(forms("pl"), [PluralForm::One, PluralForm::Few, PluralForm::Many]);
    }
}
