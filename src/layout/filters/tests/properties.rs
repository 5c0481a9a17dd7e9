//! Sums, products, amounts and cuts of random input against the library's own figures.

use minijinja::Value;
use proptest::prelude::*;
use rust_decimal::Decimal;

use super::engine;
use crate::fields::{CURRENCY_CODES, CurrencyCode};
use crate::language::Locale;
use crate::layout::filters::shorten::split_clusters;
use crate::layout::filters::shorten::{CutLog, TextCut};

/// Decimal texts of up to 20 digits, a few of them empty.
fn amounts() -> impl Strategy<Value = Vec<Decimal>> {
    let amount = (-999_999_999_999_999_i64..=999_999_999_999_999, 0_u32..=6)
        .prop_map(|(units, scale)| Decimal::new(units, scale));
    prop::collection::vec(amount, 0..20)
}

/// A list of maps with one decimal each.
fn entries(amounts: &[Decimal]) -> Value {
    let entry = |amount: &Decimal| Value::from_pairs([("total", amount.to_string())]);
    Value::from_pairs([("items", amounts.iter().map(entry).collect::<Value>())])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn sums_are_those_of_the_library(amounts in amounts()) {
        let said = engine().render_str("{{ items | sum_of('total') }}", entries(&amounts)).unwrap();
        let sum: Decimal = amounts.iter().sum();
        prop_assert_eq!(said.parse::<Decimal>().unwrap(), sum);
    }

    #[test]
    fn reckoning_is_that_of_the_library(a in amounts(), b in amounts()) {
        let env = engine();
        for (a, b) in a.iter().zip(&b) {
            let template = format!(
                "{{{{ '{a}' | plus('{b}') }}}} {{{{ '{a}' | minus('{b}') }}}} \
                 {{{{ '{a}' | times('{}') }}}}",
                b.trunc(),
            );
            let said = env.render_str(&template, ()).ok();
            let product = a.mantissa().checked_mul(b.trunc().mantissa());
            let fits = product.is_some_and(|units| Decimal::try_from_i128_with_scale(units, a.scale()).is_ok());
            if !fits { continue; }
            let said = said.unwrap();
            let said: Vec<Decimal> = said.split(' ').map(|part| part.parse().unwrap()).collect();
            prop_assert_eq!(said, vec![a + b, a - b, a * b.trunc()]);
        }
    }

    #[test]
    fn money_reads_back_as_the_same_amount(
        amounts in amounts(), currency in 0..CURRENCY_CODES.len(), place in 0..Locale::tags().count(),
    ) {
        let (currency, tag) = (CURRENCY_CODES[currency], Locale::tags().nth(place).unwrap());
        let env = engine();
        let say = |amount: &str| {
            env.render_str(&format!("{{{{ '{amount}' | money('{currency}', '{tag}') }}}}"), ()).unwrap()
        };
        // The language's own digits, mark and minus, as it writes them itself.
        let zero = say("0").chars().find(|c| c.is_numeric()).unwrap() as u32;
        let digit = |c: char| (c as u32).checked_sub(zero).filter(|digit| *digit < 10);
        let mark = |text: &str| {
            let after = text.rfind(|c| digit(c) == Some(1)).unwrap();
            text[after..].chars().nth(1).unwrap()
        };
        let mark = mark(&say("1.2"));
        for amount in amounts {
            let said = say(&amount.to_string());
            let mut digits = String::new();
            let mut decimals = None;
            for c in said.chars().skip_while(|c| digit(*c).is_none()) {
                match digit(c) {
                    Some(value) => digits.push_str(&value.to_string()),
                    None if c == mark && decimals.is_none() => decimals = Some(digits.len()),
                    None => {}
                }
            }
            let scale = decimals.map_or(0, |at| (digits.len() - at) as u32);
            let read = Decimal::from_i128_with_scale(digits.parse().unwrap(), scale);
            prop_assert_eq!(read, amount.abs(), "{}", said);
            let is_below = said.contains(['-', '−']);
            prop_assert_eq!(is_below, amount.is_sign_negative() && !amount.is_zero(), "{}", said);
            let usual = CurrencyCode::parse(currency).unwrap().decimals();
            prop_assert!(scale >= usual, "{}", said);
            prop_assert!(scale <= amount.scale().max(usual), "{}", said);
        }
    }

    #[test]
    fn cuts_are_short_enough_and_begin_like_the_text(text in "\\PC{0,40}", most in 1_usize..20) {
        let log = CutLog::default();
        let values = log.attach(&Value::from_pairs([("text", &*text), ("unused", "")]));
        let template = format!("{{{{ text | shorten({most}) }}}}");
        let said = engine().render_str(&template, values).unwrap();
        let cuts = log.take_cuts();
        match said.strip_suffix('…') {
            Some(start) if !cuts.is_empty() => {
                prop_assert!(text.starts_with(start));
                prop_assert!(split_clusters(&said).len() <= most);
                prop_assert_eq!(&cuts, &[TextCut { whole: text, kept: said, most }]);
            }
            _ => prop_assert_eq!((said, cuts.len()), (text, 0)),
        }
    }
}
