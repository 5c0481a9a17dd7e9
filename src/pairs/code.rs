//! Pair codes: four characters shared by a label and its bench card and by nothing else in the
//! batch, the last of them a check character.
//!
//! In: the batch's name and each parcel's order ids. Out: a code for each, the same every time.
//! Not here: what the QR codes say around it (`scan`).

use std::collections::HashSet;
use std::fmt;

use crate::hash::StableHash;

/// The characters of pair codes: of each set of look-alikes at most one is here (D of 0 O D Q;
/// none of 1 I; 2 of 2 Z; 5 of 5 S; 6 of 6 G; 8 of 8 B; V of U V; N of M N, which also sound
/// alike, so that W has no M upside down either), and no vowel, so that no code is a word. QR
/// codes write them in their alphanumeric mode. Their number is a prime, which the check character
/// needs; that is why V and Y, the least alike of the pairs with something in common, are both
/// here.
pub const PAIR_ALPHABET: &[u8; 23] = b"23456789CDFHJKLNPRTVWXY";

/// How many characters the alphabet has.
const BASE: u64 = PAIR_ALPHABET.len() as u64;

/// The fewest characters of a code that carry it, without the check character.
const FEWEST_DATA: usize = 3;

/// The most characters of a code, with the check character.
const LONGEST: usize = 8;

/// A code of four characters, or of more in a batch that needs them.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PairCode {
    /// Its characters; those past its length are zero.
    characters: [u8; LONGEST],
    /// How many there are.
    length: u8,
}

/// Why text is no pair code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PairFault {
    /// It has too few or too many characters.
    Length(usize),
    /// It has a character that no code has.
    Character(char),
    /// Its check character is not the one that the others give.
    Check,
}

impl std::error::Error for PairFault {}

impl fmt::Display for PairFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PairFault::Length(length) => {
                write!(f, "expected a pair code of {} characters, found {length}", FEWEST_DATA + 1)
            }
            PairFault::Character(c) => write!(f, "no pair code has the character `{c}`"),
            PairFault::Check => f.write_str("a character of this pair code was misread"),
        }
    }
}

impl PairCode {
    /// The code that stands for a number in `data` characters; `number` is below 23 to that power.
    fn from_number(number: u64, data: usize) -> PairCode {
        let mut digits = [0; LONGEST];
        let mut rest = number;
        for digit in digits[..data].iter_mut().rev() {
            *digit = (rest % BASE) as u8;
            rest /= BASE;
        }
        digits[data] = check_digit(&digits[..data]);
        let mut characters = [0; LONGEST];
        for (character, digit) in characters.iter_mut().zip(&digits[..=data]) {
            *character = PAIR_ALPHABET[usize::from(*digit)];
        }
        PairCode { characters, length: data as u8 + 1 }
    }

    /// The code of a place in a line: of the line's key and the place, so that it does not depend on
    /// any order, and other than the `count` that are used.
    #[must_use]
    pub fn of_place(
        key: BatchKey,
        place: u32,
        count: usize,
        is_used: impl Fn(&PairCode) -> bool,
    ) -> PairCode {
        let mut data = FEWEST_DATA;
        // At half its room a code is still found at the second try.
        while BASE.pow(data as u32) / 2 < count as u64 {
            data += 1;
        }
        let hash = StableHash::new().field(key.as_str()).number(u64::from(place)).finish();
        let walk = CodeWalk::new(hash, BASE.pow(data as u32));
        let mut codes = walk.map(|number| PairCode::from_number(number, data));
        // The walk leads through all numbers, and half of them are free.
        codes.find(|code| !is_used(code)).unwrap_or(PairCode::from_number(1, data))
    }

    /// Reads a code as a person or a scanner gives it: small letters and white space around it
    /// are forgiven.
    ///
    /// # Errors
    /// When it is no code, or one of its characters was misread.
    pub fn parse(text: &str) -> Result<PairCode, PairFault> {
        let text = text.trim();
        let length = text.chars().count();
        if !(FEWEST_DATA + 1..=LONGEST).contains(&length) {
            return Err(PairFault::Length(length));
        }
        let mut characters = [0; LONGEST];
        let mut digits = [0; LONGEST];
        for (index, c) in text.chars().enumerate() {
            let upper = c.to_ascii_uppercase();
            let digit = PAIR_ALPHABET.iter().position(|&known| char::from(known) == upper);
            digits[index] = digit.ok_or(PairFault::Character(c))? as u8;
            characters[index] = upper as u8;
        }
        if check_digit(&digits[..length - 1]) != digits[length - 1] {
            return Err(PairFault::Check);
        }
        Ok(PairCode { characters, length: length as u8 })
    }

    /// Whether text is a code with its right check character.
    #[must_use]
    pub fn verify(text: &str) -> bool {
        PairCode::parse(text).is_ok()
    }

    /// The code's characters.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.characters[..usize::from(self.length)]).unwrap_or_default()
    }
}

impl fmt::Display for PairCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl fmt::Debug for PairCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// The check digit of some data digits: their sum with weights 2, 3, 4 and so on, modulo 23.
///
/// Every weight, and every difference between neighbouring weights (the check digit's own is -1),
/// has an inverse modulo the prime 23; so no change of one digit and no swap of two unequal
/// neighbours leaves the sum as it was. A test goes through all of them.
fn check_digit(data: &[u8]) -> u8 {
    let sum: u64 = data.iter().zip(2..).map(|(&digit, weight)| u64::from(digit) * weight).sum();
    (sum % BASE) as u8
}

/// The numbers of codes in the order in which they are tried: all but 0, whose code is one character
/// four times.
struct CodeWalk {
    /// The next number.
    number: u64,
    /// How far the one after it is.
    step: u64,
    /// How many numbers there are.
    space: u64,
    /// How many are still to come.
    left: u64,
}

impl CodeWalk {
    /// The walk that a hash begins, through a power of 23.
    fn new(hash: u64, space: u64) -> CodeWalk {
        // A step that 23 does not divide leads through all numbers before it meets itself.
        let step = 1 + (hash >> 32) % (space - 1);
        let step = if step.is_multiple_of(BASE) { step + 1 } else { step };
        CodeWalk { number: hash % space, step, space, left: space }
    }
}

impl Iterator for CodeWalk {
    type Item = u64;

    fn next(&mut self) -> Option<u64> {
        loop {
            self.left = self.left.checked_sub(1)?;
            let number = self.number;
            self.number = (number + self.step) % self.space;
            if number != 0 {
                return Some(number);
            }
        }
    }
}

/// A code for each parcel, given the ids of its orders, unique in the batch; a parcel keeps its
/// code when parcels are added behind it, unless the batch outgrows the codes of four characters.
pub(crate) fn assign_codes(batch: &str, parcels: &[Vec<&str>]) -> Vec<PairCode> {
    let mut data = FEWEST_DATA;
    // The number 0 is left out: its code is one character four times.
    while BASE.pow(data as u32) - 1 < parcels.len() as u64 {
        data += 1;
    }
    let space = BASE.pow(data as u32);
    let mut used = HashSet::with_capacity(parcels.len());
    let mut codes = Vec::with_capacity(parcels.len());
    for ids in parcels {
        let seed = ids.iter().fold(StableHash::new().field(batch), |hash, id| hash.field(id));
        // There is room for one more, and the walk leads through all numbers.
        let number = CodeWalk::new(seed.finish(), space).find(|&number| used.insert(number));
        codes.push(PairCode::from_number(number.unwrap_or(1), data));
    }
    codes
}

/// Four characters that tell one batch from another.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct BatchKey([u8; 4]);

impl BatchKey {
    /// The key of a batch: from its name and the order ids of each parcel in bench order, so that
    /// labels printed before an order was added do not pass for those printed after.
    pub(crate) fn new(batch: &str, parcels: &[Vec<&str>]) -> BatchKey {
        let mut hash = StableHash::new().field(batch);
        for ids in parcels {
            hash = ids.iter().fold(hash, |hash, id| hash.field(id)).field("");
        }
        BatchKey::from_number(hash.finish())
    }

    /// The key of a sitting: of its name, its number, the second it began and a mark of its ledger, because two
    /// may begin in one second; other than all that are `used`.
    #[must_use]
    pub fn of_sitting(
        name: &str,
        sitting: u32,
        began: i64,
        ledger: u64,
        mut used: impl FnMut(BatchKey) -> bool,
    ) -> BatchKey {
        let hash = StableHash::new().field(name).number(u64::from(sitting));
        let hash = hash.number(began.cast_unsigned()).number(ledger).finish();
        let keys = CodeWalk::new(hash, BASE.pow(4)).map(BatchKey::from_number);
        let mut keys = keys.filter(|&key| !used(key));
        keys.next().unwrap_or(BatchKey::from_number(hash))
    }

    /// The key that stands for the last four digits of a number to the base 23.
    fn from_number(number: u64) -> BatchKey {
        let mut rest = number;
        BatchKey([0; 4].map(|_: u8| {
            let digit = rest % BASE;
            rest /= BASE;
            PAIR_ALPHABET[digit as usize]
        }))
    }

    /// Reads a key; small letters are forgiven.
    #[must_use]
    pub fn parse(text: &str) -> Option<BatchKey> {
        let key: [u8; 4] = text.to_ascii_uppercase().as_bytes().try_into().ok()?;
        key.iter().all(|byte| PAIR_ALPHABET.contains(byte)).then_some(BatchKey(key))
    }

    /// The key's characters.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }
}

impl fmt::Display for BatchKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl fmt::Debug for BatchKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_alphabet_has_no_look_alikes() {
        for alikes in ["0ODQ", "1IL", "2Z", "5S", "6G", "8B", "UV", "MN", "MW", "CG"] {
            let kept = PAIR_ALPHABET.iter().filter(|&&c| alikes.contains(char::from(c))).count();
            assert!(kept <= 1, "{alikes}");
        }
        assert!(!PAIR_ALPHABET.iter().any(|c| b"AEIOU".contains(c)));
        let sorted: HashSet<_> = PAIR_ALPHABET.iter().collect();
        assert_eq!(sorted.len(), 23);
    }

    /// Every code of four characters, every wrong character at every place, every swap of two
    /// neighbours: none passes.
    #[test]
    fn one_wrong_character_or_a_swap_is_always_found() {
        let space = BASE.pow(FEWEST_DATA as u32);
        for number in 0..space {
            let code = PairCode::from_number(number, FEWEST_DATA);
            let text = code.as_str().as_bytes();
            assert_eq!(PairCode::parse(code.as_str()), Ok(code));
            for place in 0..4 {
                for &wrong in PAIR_ALPHABET.iter().filter(|&&wrong| wrong != text[place]) {
                    let mut changed = text.to_vec();
                    changed[place] = wrong;
                    assert!(!PairCode::verify(std::str::from_utf8(&changed).unwrap()));
                }
            }
            for place in (0..3).filter(|&place| text[place] != text[place + 1]) {
                let mut changed = text.to_vec();
                changed.swap(place, place + 1);
                assert!(!PairCode::verify(std::str::from_utf8(&changed).unwrap()));
            }
        }
    }

    /// Codes that are on labels already must be read as codes for ever: the weights are 2, 3, 4 from
    /// the first character on, by hand.
    #[test]
    fn the_check_has_the_weights_that_printed_codes_have() {
        for (data, check) in
            [([1, 0, 0], 2), ([0, 1, 0], 3), ([0, 0, 1], 4), ([1, 1, 1], 9), ([5, 6, 7], 10)]
        {
            assert_eq!(check_digit(&data), check, "{data:?}");
        }
        assert_eq!(check_digit(&[0, 0, 0, 0, 0, 0, 1]), 8);
        assert!(PairCode::verify("3224") && PairCode::verify("2325") && PairCode::verify("2236"));
        assert!(!PairCode::verify("3223"));
    }

    /// For longer codes the weights say it: each, and each difference of neighbours, is prime to
    /// 23.
    #[test]
    fn longer_codes_have_good_weights_too() {
        let weights: Vec<i64> = (2..2 + LONGEST as i64 - 1).chain([-1]).collect();
        for pair in weights.windows(2) {
            assert_ne!(pair[0].rem_euclid(23), 0);
            assert_ne!((pair[0] - pair[1]).rem_euclid(23), 0);
        }
        // The check digit stands behind the last data digit, whatever the length.
        for weight in 2..2 + LONGEST as i64 - 1 {
            assert_ne!((weight + 1).rem_euclid(23), 0);
        }
    }

    #[test]
    fn a_code_space_can_be_filled_to_the_last() {
        let ids: Vec<String> = (0..12_166).map(|id| id.to_string()).collect();
        let parcels: Vec<Vec<&str>> = ids.iter().map(|id| vec![id.as_str()]).collect();
        let codes = assign_codes("b", &parcels);
        assert_eq!(codes.iter().collect::<HashSet<_>>().len(), 12_166);
        assert!(codes.iter().all(|code| code.as_str().len() == 4));
        let more: Vec<Vec<&str>> = parcels.iter().cloned().chain([vec!["x"]]).collect();
        let longer = assign_codes("b", &more);
        assert!(longer.iter().all(|code| code.as_str().len() == 5));
        assert_eq!(longer.iter().collect::<HashSet<_>>().len(), 12_167);
    }

    #[test]
    fn an_added_parcel_changes_no_code_before_it() {
        let before = assign_codes("evening", &[vec!["a"], vec!["b", "c"]]);
        let after = assign_codes("evening", &[vec!["a"], vec!["b", "c"], vec!["d"]]);
        assert_eq!(before, after[..2]);
        assert_ne!(before, assign_codes("morning", &[vec!["a"], vec!["b", "c"]]));
    }

    #[test]
    fn misread_codes_say_why() {
        assert_eq!(PairCode::parse("ABC"), Err(PairFault::Length(3)));
        assert_eq!(PairCode::parse("7KO3"), Err(PairFault::Character('O')));
        assert_eq!(PairCode::parse("ééééé"), Err(PairFault::Character('é')));
        let code = PairCode::from_number(5_000, 3);
        assert_eq!(PairCode::parse(&format!(" {} ", code.as_str().to_lowercase())), Ok(code));
    }

    #[test]
    fn keys_are_read_back() {
        let key = BatchKey::new("evening", &[vec!["a"], vec!["b"]]);
        assert_eq!(BatchKey::parse(key.as_str()), Some(key));
        assert_ne!(key, BatchKey::new("evening", &[vec!["a", "b"]]));
        assert_eq!(BatchKey::parse("AAAA"), None);
        assert_eq!(BatchKey::parse("é2"), None);
    }
}
