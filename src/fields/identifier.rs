//! Numbers that carry a check digit: tracking numbers after UPU S10 and SSCCs, and the GTINs of
//! goods.
//!
//! They are checked and never made: only a postal operator issues S10 numbers, and GS1 keys need
//! a prefix that GS1 gave out. Of a tracking number only what has the outer form of one of the two
//! is checked, because carriers number as they please; 18 digits alone may be an SSCC or not, so
//! they are doubted ([`doubt_tracking`]) and not refused.

use std::fmt;
use std::num::NonZeroU64;

use crate::codes::{CheckDigitError, S10, S10Error, verify_gtin, verify_sscc};
use crate::record::{Refusal, Scalar};
use crate::tree::{Node, Value};

use super::country::CountryCode;
use super::text::{accept_line, expect_text};
use crate::words::{is_cut_short, is_digits};

/// A tracking number: text of at most 100 characters, in quotes because zeros may lead it; the
/// check digit of an S10 number, or of an SSCC with its `00` in front, must be right.
pub(crate) static TRACKING: Scalar = Scalar {
    expected: "text",
    accepts: accept_tracking,
    schema: r#"{"type": "string", "maxLength": 100}"#,
};

/// A GTIN: 8, 12, 13 or 14 digits in quotes, because zeros may lead it; the last a check digit.
pub(crate) static GTIN: Scalar = Scalar {
    expected: "a GTIN of 8, 12, 13 or 14 digits in quotes",
    accepts: accept_gtin,
    schema: r#"{"type": "string", "pattern": "^([0-9]{8}|[0-9]{12,14})?$"}"#,
};

/// A GTIN whose check digit is right; shown, its digits with their zeros in front.
///
/// Eight bytes, because many orders are held at a time: its digits as a number behind a 1, which
/// keeps the zeros.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Gtin(NonZeroU64);

impl Gtin {
    /// The GTIN, if it is one.
    #[must_use]
    pub fn parse(text: &str) -> Option<Gtin> {
        verify_gtin(text).ok()?;
        NonZeroU64::new(format!("1{text}").parse().ok()?).map(Gtin)
    }

    /// The number that it is kept as; never zero.
    pub(crate) fn number(self) -> u64 {
        self.0.get()
    }

    /// What [`Gtin::number`] gave; none for zero.
    pub(crate) fn of_number(number: u64) -> Option<Gtin> {
        NonZeroU64::new(number).map(Gtin)
    }
}

impl fmt::Display for Gtin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.to_string()[1..])
    }
}

/// A field's GTIN, if it has one.
pub(crate) fn read_gtin(node: &Node, name: &str) -> Option<Gtin> {
    node.get(name).and_then(Node::literal).map(str::trim).and_then(Gtin::parse)
}

/// A number whose check digit does not follow from its other digits.
struct Wrong {
    /// What kind of number it is.
    kind: &'static str,
    /// The digit that would be right.
    expected: u8,
    /// The digit that stands there.
    found: u8,
    /// The number with the digit that would be right.
    right: String,
}

impl Wrong {
    /// What is wrong, about a number as it was given.
    fn message(&self, given: &str) -> String {
        let Wrong { kind, expected, found, .. } = self;
        format!("expected check digit {expected} in the {kind} `{given}`, found {found}")
    }

    /// The way out: no digit is known to be the one that was mistyped.
    fn hint(&self) -> String {
        format!("compare all digits; if only the check digit is wrong, write `{}`", self.right)
    }
}

/// Accepts a tracking number.
fn accept_tracking(value: &Value) -> Result<(), Refusal> {
    accept_line::<100>(value)?;
    let given = expect_text(value)?;
    refuse_cut_short(given)?;
    match check_tracking(&plain_number(given)) {
        Some(wrong) => Err(Refusal::new(wrong.message(given), wrong.hint())),
        None => Ok(()),
    }
}

/// Refuses a tracking number that a spreadsheet has cut short.
///
/// # Errors
/// When it has.
pub(crate) fn refuse_cut_short(given: &str) -> Result<(), Refusal> {
    if !is_cut_short(given.trim()) {
        return Ok(());
    }
    let message = format!("a spreadsheet has cut this number short: `{given}`");
    let hint = "take the table as the carrier made it, without saving it from a spreadsheet";
    Err(Refusal::new(message, hint))
}

/// What is wrong with a tracking number that surely has a check digit.
fn check_tracking(number: &str) -> Option<Wrong> {
    if is_s10(number) {
        let Err(S10Error::Wrong { expected, found, .. }) = S10::verify(number) else { return None };
        let right = format!("{}{expected}{}", &number[..10], &number[11..]);
        return Some(Wrong { kind: "S10 number", expected, found, right });
    }
    let sscc = number.strip_prefix("00").filter(|sscc| sscc.len() == 18)?;
    let wrong = check_sscc(sscc)?;
    Some(Wrong { right: format!("00{}", wrong.right), ..wrong })
}

/// What is the same of a tracking number however it is written: capitals without what parts them, and of an SSCC
/// its 18 digits, with or without the application identifier 00 that stands before them in a label's code (GS1
/// General Specifications R18, Fig. 5.4.2-1) and the mark `]C1` that scanners put before that.
pub(crate) fn tracking_key(given: &str) -> String {
    let number = plain_number(given.trim().trim_start_matches("]C1"));
    match number.strip_prefix("00").filter(|rest| rest.len() == 18 && is_digits(rest)) {
        Some(sscc) => sscc.to_owned(),
        None => number,
    }
}

/// What to think of a tracking number of 18 digits whose last would be wrong in an SSCC: a message
/// and a way out.
pub(crate) fn doubt_tracking(given: &str) -> Option<(String, String)> {
    let wrong = check_sscc(&plain_number(given))?;
    let message = format!(
        "if `{given}` is an SSCC, its check digit is {} and not {}",
        wrong.expected, wrong.found
    );
    Some((message, wrong.hint()))
}

/// What is wrong with an SSCC; nothing when these are no 18 digits.
fn check_sscc(number: &str) -> Option<Wrong> {
    let Err(CheckDigitError::Wrong { expected, found, .. }) = verify_sscc(number) else {
        return None;
    };
    Some(Wrong { kind: "SSCC", expected, found, right: correct_last(number, expected) })
}

/// A GTIN is 8, 12, 13 or 14 digits in quotes, the last of which checks the others.
fn accept_gtin(value: &Value) -> Result<(), Refusal> {
    let given = match value {
        Value::Number(digits) => {
            return Err(Refusal::hint(format!(
                "write `\"{digits}\"`, and put back the zeros in front if it had any"
            )));
        }
        value => expect_text(value)?,
    };
    if given.is_empty() {
        return Ok(());
    }
    match verify_gtin(given) {
        Ok(_) => Ok(()),
        Err(CheckDigitError::Wrong { expected, found, .. }) => {
            let right = correct_last(given, expected);
            let wrong = Wrong { kind: "GTIN", expected, found, right };
            Err(Refusal::new(wrong.message(given), wrong.hint()))
        }
        Err(_) => {
            let digits = plain_number(given);
            let is_gtin = matches!(digits.len(), 8 | 12..=14) && is_digits(&digits);
            Err(Refusal::hint(if is_gtin {
                format!("write the digits alone: `\"{digits}\"`")
            } else {
                "copy the digits below its barcode, or leave `gtin` out".to_owned()
            }))
        }
    }
}

/// A number without the spaces, hyphens and brackets that people write into it, in capitals.
fn plain_number(given: &str) -> String {
    let kept = given.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '(' | ')'));
    kept.flat_map(char::to_uppercase).collect()
}

/// Whether a number has the form of S10: two letters, nine digits, the letters of a country.
fn is_s10(number: &str) -> bool {
    number.is_ascii()
        && number.len() == 13
        && number[..2].bytes().all(|byte| byte.is_ascii_uppercase())
        && is_digits(&number[2..11])
        && CountryCode::parse(&number[11..]).is_some()
}

/// A number of ASCII digits with another last digit.
fn correct_last(number: &str, digit: u8) -> String {
    let front: String = number.chars().take(number.chars().count().saturating_sub(1)).collect();
    format!("{front}{digit}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(scalar: &Scalar, text: &str) -> Option<String> {
        let refused = (scalar.accepts)(&Value::Text(text.into())).err()?;
        Some(format!(
            "{}; {}",
            refused.message.unwrap_or_default(),
            refused.hint.unwrap_or_default()
        ))
    }

    /// 47312482→9 is the worked example of Wikipedia's article on UPU S10, 87654321→6 that of Annex A
    /// of S10-12 (2017); 12310000→0 and 00000000→5 have the two remainders that are special; the
    /// rest were reckoned by hand with the weights 8 6 4 2 3 5 9 7.
    #[test]
    fn every_wrong_s10_digit_is_refused_with_the_right_one() {
        let rows = [
            ("47312482", 9),
            ("87654321", 6),
            ("12310000", 0),
            ("00000000", 5),
            ("47110815", 1),
            ("76129403", 8),
            ("96633102", 0),
        ];
        for (serial, check) in rows {
            for digit in 0..10 {
                let number = format!("RR{serial}{digit}SE");
                let refused = refusal(&TRACKING, &number);
                assert_eq!(refused.is_none(), digit == check, "{number}");
                if let Some(refused) = refused {
                    assert!(refused.contains(&format!("`RR{serial}{check}SE`")), "{refused}");
                    assert!(refused.contains(&format!("digit {check} in")), "{refused}");
                }
            }
        }
    }

    /// GS1 General Specifications R18, Fig. 5.4.2-1 and 6.6.5-1.
    #[test]
    fn an_sscc_is_checked_where_it_says_that_it_is_one() {
        for right in ["(00)395123451234567895", "00 3951234512 34567895", "00006141411234567890"] {
            assert_eq!(refusal(&TRACKING, right), None);
        }
        assert_eq!(
            refusal(&TRACKING, "(00)395123451234567892").unwrap(),
            "expected check digit 5 in the SSCC `(00)395123451234567892`, found 2; compare all \
             digits; if only the check digit is wrong, write `00395123451234567895`"
        );
        // 18 digits alone may be anything.
        assert_eq!(refusal(&TRACKING, "395123451234567892"), None);
        assert!(doubt_tracking("395123451234567892").unwrap().0.contains("check digit is 5"));
        assert_eq!(doubt_tracking("395123451234567895"), None);
    }

    #[test]
    fn an_sscc_is_the_same_with_and_without_its_identifier() {
        for given in [
            "395123451234567895",
            "00395123451234567895",
            "(00) 395123451234567895",
            "]C100395123451234567895",
        ] {
            assert_eq!(tracking_key(given), "395123451234567895", "{given}");
        }
        assert_eq!(tracking_key("rr 473 124 829 gb"), "RR473124829GB");
        // Twenty figures that begin otherwise, and others' that begin with zeros.
        assert_eq!(tracking_key("10395123451234567895"), "10395123451234567895");
        assert_eq!(tracking_key("0012345"), "0012345");
    }

    #[test]
    fn numbers_of_other_carriers_are_let_be() {
        for number in [
            "",
            "TH-0001",
            // No country has these letters.
            "EE876543212QZ",
            "EE87654321CA",
            "1Z999",
            "٠١٢٣٤٥٦٧٨٩٠١٢٣٤٥٦٧",
            "é39512345123456789",
        ] {
            assert_eq!(refusal(&TRACKING, number), None, "{number}");
            assert_eq!(doubt_tracking(number), None, "{number}");
        }
    }

    /// The GS1 check-digit page (629104150021→3) and GS1 Sweden (730001100001→7); the 8 and 12
    /// digits are recomputed.
    #[test]
    fn gtins_are_right_or_refused() {
        for right in ["6291041500213", "7300011000017", "01234565", "614141000418", "", "  "] {
            assert_eq!(refusal(&GTIN, right), None, "{right}");
            let shown = Gtin::parse(right).map(|gtin| gtin.to_string());
            assert_eq!(shown.unwrap_or_default(), right.trim());
        }
        assert_eq!(
            refusal(&GTIN, "6291041500218").unwrap(),
            "expected check digit 3 in the GTIN `6291041500218`, found 8; compare all digits; if \
             only the check digit is wrong, write `6291041500213`"
        );
        assert_eq!(
            refusal(&GTIN, "6 291041 500213").unwrap(),
            "; write the digits alone: `\"6291041500213\"`"
        );
        assert_eq!(
            refusal(&GTIN, "62910").unwrap(),
            "; copy the digits below its barcode, or leave `gtin` out"
        );
    }
}
