//! GS1 element strings: read from brackets, verified, and put into a GS1-128 or a Digital Link.
//!
//! In: `(01)09501101530003(10)ABC`; inside a value, `\(` stands for an opening bracket. Out:
//! [`ElementStrings`], whose every value has the length, characters, dates and check digits that
//! its application identifier asks for, in the order given. Not here: which identifiers must go
//! together, because that is judged over all codes on an item (GS1 Barcode Syntax Dictionary),
//! and making up any number.

mod ai_table;
mod digital_link;
mod element_check;
#[cfg(test)]
mod tests;

use std::error::Error;
use std::fmt;

use super::check_digit::CheckDigitError;
use super::code128::{Code128, Data};
use ai_table::{Ai, find_ai};
use element_check::check_value;

/// The most data characters in one GS1-128, identifiers and separators counted (GS1 General
/// Specifications R18 §5.4.4.3).
pub const MAX_GS1_CHARACTERS: usize = 48;

/// One application identifier with its value.
#[derive(Clone, Debug)]
pub struct Element {
    /// The identifier's row in the table.
    row: &'static Ai,
    /// The identifier, 2 to 4 digits.
    ai: String,
    /// The value, verified.
    value: String,
}

/// Verified element strings, at least one, in the order given.
#[derive(Clone, Debug)]
pub struct ElementStrings {
    /// The element strings.
    elements: Vec<Element>,
}

/// What is wrong with element strings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Gs1Error {
    /// The text does not begin with an identifier in brackets.
    NoIdentifier,
    /// An opening bracket has no closing one.
    OpenBracket {
        /// What follows the bracket.
        rest: String,
    },
    /// There is no such identifier.
    UnknownIdentifier {
        /// What stands in the brackets.
        ai: String,
    },
    /// The identifier stands there twice.
    Repeated {
        /// The identifier.
        ai: String,
    },
    /// The value has the wrong length.
    Length {
        /// The identifier.
        ai: String,
        /// The allowed numbers of characters, in words.
        expected: String,
        /// How many characters there are.
        found: usize,
    },
    /// A character may not stand where it stands.
    Character {
        /// The identifier.
        ai: String,
        /// What may stand there, in words.
        expected: String,
        /// What stands there.
        found: char,
        /// How many characters of the value stand before it.
        index: usize,
    },
    /// The check digit does not follow from the digits before it.
    CheckDigit {
        /// The identifier.
        ai: String,
        /// The digits with their check digit.
        number: String,
        /// The digit that would be right.
        expected: u8,
        /// The digit that stands there.
        found: u8,
    },
    /// The two check characters do not follow from the characters before them.
    CheckPair {
        /// The identifier.
        ai: String,
        /// What stands behind the identifier.
        value: String,
        /// The pair that would be right.
        expected: String,
    },
    /// Digits that should be a date are not one.
    Date {
        /// The identifier.
        ai: String,
        /// How a date is written here.
        expected: &'static str,
        /// What stands there.
        found: String,
    },
    /// A GS1-128 cannot hold this many characters.
    TooLong {
        /// How many data characters there are, separators counted.
        found: usize,
    },
    /// No element is a key that a Digital Link can begin with.
    NoLinkKey,
    /// An element has no place in a Digital Link of this key.
    NotInLink {
        /// The identifier.
        ai: String,
        /// The identifier of the key.
        key: String,
    },
    /// The domain of a Digital Link holds something that a domain and path cannot.
    Domain {
        /// The domain as given.
        domain: String,
    },
}

impl fmt::Display for Gs1Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Gs1Error::NoIdentifier => f.write_str(
                "expected an application identifier in brackets such as `(01)` at the start",
            ),
            Gs1Error::OpenBracket { rest } => write!(
                f,
                "expected `)` behind an application identifier, found `({rest}`; a bracket inside a value is written `\\(`"
            ),
            Gs1Error::UnknownIdentifier { ai } => write!(
                f,
                "expected a GS1 application identifier, found `({ai})`; a bracket inside a value is written `\\(`"
            ),
            Gs1Error::Repeated { ai } => {
                write!(f, "expected each application identifier once, found `({ai})` again")
            }
            Gs1Error::Length { ai, expected, found } => {
                write!(f, "expected {expected} behind `({ai})`, found {found}")
            }
            Gs1Error::Character { ai, expected, found, index } => write!(
                f,
                "expected {expected} as character {} behind `({ai})`, found `{found}`",
                index + 1
            ),
            Gs1Error::CheckDigit { ai, number, expected, found } => write!(
                f,
                "expected check digit {expected} in `{number}` behind `({ai})`, found {found}"
            ),
            Gs1Error::CheckPair { ai, value, expected } => {
                write!(f, "expected check characters `{expected}` behind `({ai})`, found `{value}`")
            }
            Gs1Error::Date { ai, expected, found } => {
                write!(f, "expected a date {expected} behind `({ai})`, found `{found}`")
            }
            Gs1Error::TooLong { found } => write!(
                f,
                "expected at most {MAX_GS1_CHARACTERS} characters in a GS1-128, found {found}, identifiers and separators counted"
            ),
            Gs1Error::NoLinkKey => f.write_str(
                "expected a key such as `(01)` or `(00)` for a GS1 Digital Link, found none",
            ),
            Gs1Error::NotInLink { ai, key } => {
                write!(f, "expected no `({ai})` in a GS1 Digital Link that begins with `({key})`")
            }
            Gs1Error::Domain { domain } => write!(
                f,
                "expected a domain such as `example.com` for the GS1 Digital Link, found `{domain}`"
            ),
        }
    }
}

impl Error for Gs1Error {}

impl Element {
    /// The application identifier, 2 to 4 digits.
    #[must_use]
    pub fn ai(&self) -> &str {
        &self.ai
    }

    /// The value without brackets.
    #[must_use]
    pub fn value(&self) -> &str {
        &self.value
    }
}

impl ElementStrings {
    /// Reads and verifies bracketed element strings.
    ///
    /// # Errors
    /// The first fault of the text, as [`Gs1Error`] says.
    pub fn parse(text: &str) -> Result<ElementStrings, Gs1Error> {
        let mut rest = text.strip_prefix('(').ok_or(Gs1Error::NoIdentifier)?;
        let mut elements: Vec<Element> = Vec::new();
        loop {
            let (ai, tail) = rest
                .split_once(')')
                .ok_or_else(|| Gs1Error::OpenBracket { rest: rest.to_owned() })?;
            let (value, next) = take_value(tail);
            let element = verify_element(ai, value)?;
            if elements.iter().any(|earlier| earlier.ai == element.ai) {
                return Err(Gs1Error::Repeated { ai: element.ai });
            }
            elements.push(element);
            match next {
                Some(after_bracket) => rest = after_bracket,
                None => return Ok(ElementStrings { elements }),
            }
        }
    }

    /// The element strings in the order given.
    #[must_use]
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// The data of a GS1-128: FNC1, then each element, with FNC1 behind a value that has no
    /// predefined length unless it is the last (GS1 General Specifications R18 §7.8.4).
    #[must_use]
    pub fn to_data(&self) -> Vec<Data> {
        let mut data = vec![Data::Fnc1];
        for (place, element) in self.elements.iter().enumerate() {
            data.extend(element.ai.bytes().chain(element.value.bytes()).map(Data::Char));
            if !element.row.predefined && place + 1 < self.elements.len() {
                data.push(Data::Fnc1);
            }
        }
        data
    }

    /// The GS1-128 of these element strings.
    ///
    /// # Errors
    /// [`Gs1Error::TooLong`] above [`MAX_GS1_CHARACTERS`].
    pub fn to_code128(&self) -> Result<Code128, Gs1Error> {
        let data = self.to_data();
        // The FNC1 at the front belongs to the start pattern and is not counted.
        let found = data.len() - 1;
        if found > MAX_GS1_CHARACTERS {
            return Err(Gs1Error::TooLong { found });
        }
        Ok(Code128::from_data(data))
    }

    /// The GS1 Digital Link of these element strings: `https://`, the domain, the first key among
    /// them with its qualifiers in the path, the others behind `?` in the order given. `domain`
    /// may have a path and may begin with `https://`.
    ///
    /// # Errors
    /// [`Gs1Error::Domain`], [`Gs1Error::NoLinkKey`] or [`Gs1Error::NotInLink`].
    pub fn to_digital_link(&self, domain: &str) -> Result<String, Gs1Error> {
        digital_link::write_link(&self.elements, domain)
    }
}

/// The text for people: every identifier in brackets, values as they are.
impl fmt::Display for ElementStrings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.elements.iter().try_for_each(|e| write!(f, "({}){}", e.ai, e.value))
    }
}

/// Splits the text after an identifier into its value, with `\(` resolved, and the rest behind
/// the opening bracket of the next identifier, if there is one.
fn take_value(tail: &str) -> (String, Option<&str>) {
    let mut value = String::new();
    let mut characters = tail.char_indices().peekable();
    while let Some((at, character)) = characters.next() {
        match character {
            '(' => return (value, Some(&tail[at + 1..])),
            '\\' if characters.next_if(|(_, next)| *next == '(').is_some() => value.push('('),
            other => value.push(other),
        }
    }
    (value, None)
}

/// Looks the identifier up and checks its value.
fn verify_element(ai: &str, value: String) -> Result<Element, Gs1Error> {
    let ai = ai.to_owned();
    let Some(row) = find_ai(&ai) else {
        return Err(Gs1Error::UnknownIdentifier { ai });
    };
    check_value(&ai, row, &value)?;
    Ok(Element { row, ai, value })
}

/// A fault of a check digit, said of the identifier it belongs to.
fn name_check_digit(ai: &str, error: CheckDigitError) -> Gs1Error {
    let ai = ai.to_owned();
    match error {
        CheckDigitError::Wrong { number, expected, found } => {
            Gs1Error::CheckDigit { ai, number, expected, found }
        }
        CheckDigitError::NotDigit { character, index } => {
            Gs1Error::Character { ai, expected: "a digit".to_owned(), found: character, index }
        }
        CheckDigitError::Length { expected, found } => {
            Gs1Error::Length { ai, expected: format!("{expected} digits"), found }
        }
    }
}
