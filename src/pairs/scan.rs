//! What the QR codes of a label and of its bench card say, and reading it back.
//!
//! `SW/L/7K3F/3-12/K4D9`: ours, the side (`L`abel or `C`ard), the pair code, the place on the
//! bench and how many there are, the batch's key. A paper that was printed again because it had to
//! say something else has the number of its printing behind the side: `SW/L2/…`. All of it is written in a QR code's
//! alphanumeric mode, so that the symbol stays small.

use std::fmt;

use super::code::{BatchKey, PairCode, PairFault};
use crate::sides::PairSide;

/// A side's letter in a QR code.
fn letter_of(side: PairSide) -> &'static str {
    match side {
        PairSide::Label => "L",
        PairSide::Card => "C",
    }
}

/// What a QR code of ours says; shown, it is the text in the code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PairScan {
    /// Whether it is a label's or a bench card's.
    pub side: PairSide,
    /// The parcel's pair code.
    pub code: PairCode,
    /// The parcel's place on the bench, from 1.
    pub position: u32,
    /// How many parcels the batch has.
    pub count: u32,
    /// What tells the batch from other evenings' batches.
    pub key: BatchKey,
    /// Which printing of the paper it is, from 1: one more each time that it says something else.
    pub printing: u32,
}

/// Why a scan says nothing to us.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScanFault {
    /// It is another maker's code.
    NotOurs,
    /// It starts like ours and goes on otherwise; the name of the part that is wrong.
    Broken(&'static str),
    /// Its pair code is not valid.
    Pair(PairFault),
}

impl std::error::Error for ScanFault {}

impl fmt::Display for ScanFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ScanFault::NotOurs => f.write_str("this code is on no label or bench card of ours"),
            ScanFault::Broken(part) => write!(f, "the {part} in this code cannot be read"),
            ScanFault::Pair(fault) => fault.fmt(f),
        }
    }
}

impl PairScan {
    /// Reads what a scanner sent: small letters and white space around it are forgiven.
    ///
    /// # Errors
    /// When it is not a code of ours, or a part of it is not as it must be.
    pub fn parse(text: &str) -> Result<PairScan, ScanFault> {
        let text = text.trim().to_ascii_uppercase();
        let parts: Vec<_> = text.split('/').collect();
        let [maker, side, code, place, key] = parts[..] else {
            let is_ours = text.starts_with("SW/");
            return Err(if is_ours { ScanFault::Broken("text") } else { ScanFault::NotOurs });
        };
        if maker != "SW" {
            return Err(ScanFault::NotOurs);
        }
        let (side, printing) = parse_side(side).ok_or(ScanFault::Broken("side"))?;
        let (position, count) = parse_place(place).ok_or(ScanFault::Broken("position"))?;
        Ok(PairScan {
            side,
            code: PairCode::parse(code).map_err(ScanFault::Pair)?,
            position,
            count,
            key: BatchKey::parse(key).ok_or(ScanFault::Broken("batch key"))?,
            printing,
        })
    }
}

/// Side and printing of `L` or `L2`, as they are written by us and no other way.
fn parse_side(text: &str) -> Option<(PairSide, u32)> {
    let sides = [PairSide::Label, PairSide::Card];
    let side = sides.into_iter().find(|side| text.starts_with(letter_of(*side)))?;
    let printing = match text.get(1..)? {
        "" => 1,
        number => number.parse().ok().filter(|it: &u32| *it > 1 && it.to_string() == number)?,
    };
    Some((side, printing))
}

/// Position and count of `3-12`, as they are written by us and no other way.
fn parse_place(text: &str) -> Option<(u32, u32)> {
    let number = |text: &str| {
        let number: u32 = text.parse().ok()?;
        (number > 0 && number.to_string() == text).then_some(number)
    };
    let (position, count) = text.split_once('-')?;
    let (position, count) = (number(position)?, number(count)?);
    (position <= count).then_some((position, count))
}

impl fmt::Display for PairScan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let PairScan { side, code, position, count, key, printing } = self;
        write!(f, "SW/{}", letter_of(*side))?;
        if *printing > 1 {
            write!(f, "{printing}")?;
        }
        write!(f, "/{code}/{position}-{count}/{key}")
    }
}

#[cfg(test)]
mod tests {
    use super::super::code::assign_codes;
    use super::*;

    fn sample(side: PairSide) -> PairScan {
        let parcels = [vec!["TH-1041"]];
        PairScan {
            side,
            code: assign_codes("evening", &parcels)[0],
            position: 3,
            count: 12,
            key: BatchKey::new("evening", &parcels),
            printing: 1,
        }
    }

    #[test]
    fn a_later_printing_is_another_code() {
        let first = sample(PairSide::Label);
        let again = PairScan { printing: 2, ..first };
        assert_eq!(again.to_string(), first.to_string().replace("/L/", "/L2/"));
        assert_eq!(PairScan::parse(&again.to_string()), Ok(again));
        for side in ["L0", "L1", "L02", "L-2", "2", "L2X", ""] {
            let text = first.to_string().replace("/L/", &format!("/{side}/"));
            assert_eq!(PairScan::parse(&text), Err(ScanFault::Broken("side")), "{side}");
        }
    }

    #[test]
    fn what_is_written_is_read_back() {
        for side in [PairSide::Label, PairSide::Card] {
            let scan = sample(side);
            assert_eq!(PairScan::parse(&scan.to_string()), Ok(scan));
            assert_eq!(
                PairScan::parse(&format!("{}\r\n", scan.to_string().to_lowercase())),
                Ok(scan)
            );
        }
        assert_ne!(sample(PairSide::Label).to_string(), sample(PairSide::Card).to_string());
    }

    #[test]
    fn every_character_suits_the_alphanumeric_mode() {
        // The 45 characters of ISO/IEC 18004, alphanumeric mode.
        let set = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";
        assert!(sample(PairSide::Label).to_string().chars().all(|c| set.contains(c)));
    }

    #[test]
    fn other_scans_say_what_is_wrong() {
        let good = sample(PairSide::Label).to_string();
        let fault = |text: &str| PairScan::parse(text).unwrap_err();
        assert_eq!(fault(""), ScanFault::NotOurs);
        assert_eq!(fault("https://example.org/a/b"), ScanFault::NotOurs);
        assert_eq!(fault("SW/L"), ScanFault::Broken("text"));
        assert_eq!(fault(&good.replace("/L/", "/X/")), ScanFault::Broken("side"));
        for place in ["0-12", "13-12", "3", "3-", "03-12", "+3-12", "3-99999999999"] {
            assert_eq!(fault(&good.replace("3-12", place)), ScanFault::Broken("position"));
        }
        assert_eq!(fault(&good[..good.len() - 1]), ScanFault::Broken("batch key"));
        assert!(matches!(fault("SW/L/2223/3-12/2222"), ScanFault::Pair(PairFault::Check)));
    }

    /// One wrong letter anywhere never gives another parcel's code.
    #[test]
    fn one_wrong_letter_in_the_code_is_no_other_code() {
        let good = sample(PairSide::Label).to_string();
        for place in 5..9 {
            for wrong in (b'0'..=b'9').chain(b'A'..=b'Z') {
                let mut text = good.clone().into_bytes();
                if text[place] == wrong {
                    continue;
                }
                text[place] = wrong;
                assert!(PairScan::parse(std::str::from_utf8(&text).unwrap()).is_err());
            }
        }
    }
}
