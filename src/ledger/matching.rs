//! Matching: what a scan is, and whether a label and a bench card belong together.
//!
//! In: texts as a scanner sends them, one after another, and the line. Out: for each what it means,
//! with a sentence for the seller. Nothing is recorded here; who calls appends what is right. Not
//! here: reading codes from pictures. Long, as each mistake of a bench has its verdict and its sentence.

use std::fmt;

use super::line::{BenchLine, LineParcel};
use super::parcel_state::ParcelState;
use crate::codes::{S10, S10Error, verify_sscc};
use crate::pairs::{PairScan, ScanFault};
use crate::sides::PairSide;

/// The fewest characters of a carrier's own number that is neither S10 nor SSCC. Common practice:
/// parcel carriers' numbers have ten and more.
const SHORTEST_TRACKING: usize = 10;
/// The most characters of a tracking number, as orders have it.
const LONGEST_TRACKING: usize = 50;
/// How long a code of ours is in signs, from `SW/C/23DF/1-9/4ZKQ` to one of 1,000 parcels; a letter more
/// or less where a key makes none.
const KEYED_CODE: std::ops::RangeInclusive<usize> = 17..=26;

/// What a single scan is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scan {
    /// A label or bench card of ours.
    Ours(PairScan),
    /// A code of ours that was misread; why.
    Misread(ScanFault),
    /// A carrier's tracking number.
    Tracking(Tracking),
    /// A code of ours that a scanner typed for another keyboard than the computer's.
    OtherKeyboard,
    /// Something else.
    Foreign,
}

/// A carrier's tracking number as it was scanned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tracking {
    /// The number in capitals and without white space.
    pub number: Box<str>,
    /// After what it is checked.
    pub kind: TrackingKind,
    /// Whether its check digit is right.
    pub is_right: bool,
}

/// What kind of tracking number it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TrackingKind {
    /// Of a postal operator, after UPU S10.
    S10,
    /// A serial shipping container code, after the GS1 General Specifications.
    Sscc,
    /// Another carrier's, which nobody outside can check.
    Plain,
}

impl Scan {
    /// What a text is that a scanner sent or somebody typed.
    #[must_use]
    pub fn read(text: &str) -> Scan {
        let text = text.trim();
        match PairScan::parse(text) {
            Ok(scan) => return Scan::Ours(scan),
            Err(ScanFault::NotOurs) => {}
            Err(fault) => return Scan::Misread(fault),
        }
        match read_tracking(text) {
            Some(tracking) => Scan::Tracking(tracking),
            None if is_of_other_keyboard(text) => Scan::OtherKeyboard,
            None => Scan::Foreign,
        }
    }
}

/// Whether a text is as long as a code of ours, begins like one and has other signs where the strokes of
/// one stand: a scanner sends keys, and which sign a key makes is up to the computer. The `W` is where
/// others have a `Z`.
fn is_of_other_keyboard(text: &str) -> bool {
    let signs: Vec<char> = text.chars().collect();
    let stroke = |at: usize| signs.get(at).copied().filter(|c| !c.is_alphanumeric() && *c != ' ');
    let is_side = signs.get(3).is_some_and(|c| matches!(c.to_ascii_uppercase(), 'L' | 'C'));
    KEYED_CODE.contains(&signs.len())
        && signs[0].eq_ignore_ascii_case(&'S')
        && matches!(signs[1].to_ascii_uppercase(), 'W' | 'Z')
        && is_side
        && stroke(2).is_some()
        && stroke(2) == stroke(4)
}

/// The tracking number that a text is: an S10 number, an SSCC alone or in GS1-128 element strings
/// with or without brackets, or a carrier's own of figures and capitals.
fn read_tracking(text: &str) -> Option<Tracking> {
    let compact: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let of = |number: &str, kind, is_right| {
        Some(Tracking { number: number.to_ascii_uppercase().into(), kind, is_right })
    };
    match S10::verify(&compact.to_ascii_uppercase()) {
        Ok(_) => return of(&compact, TrackingKind::S10, true),
        Err(S10Error::Wrong { .. }) => return of(&compact, TrackingKind::S10, false),
        Err(_) => {}
    }
    if let Some(sscc) = find_sscc(&compact) {
        // The shop's page of the carrier wants all that stands below the bars.
        return of(&format!("00{sscc}"), TrackingKind::Sscc, verify_sscc(sscc).is_ok());
    }
    let fits = (SHORTEST_TRACKING..=LONGEST_TRACKING).contains(&compact.len())
        && compact.bytes().all(|byte| byte.is_ascii_alphanumeric())
        && compact.bytes().filter(u8::is_ascii_digit).count() * 2 >= compact.len();
    if fits { of(&compact, TrackingKind::Plain, true) } else { None }
}

/// The SSCC in a scanned text: `(00)…`, or `00…` with 20 figures; behind the symbology identifier
/// `]C1` other element strings may follow it, as they may behind brackets.
fn find_sscc(text: &str) -> Option<&str> {
    let marked = text.strip_prefix("]C1");
    let rest = marked.unwrap_or(text);
    let (rest, may_go_on) = match rest.strip_prefix("(00)") {
        Some(rest) => (rest, rest.get(18..).is_some_and(|behind| behind.starts_with('('))),
        None => (rest.strip_prefix("00")?, marked.is_some()),
    };
    let number = rest.get(..18).filter(|it| it.bytes().all(|byte| byte.is_ascii_digit()))?;
    (rest.len() == 18 || may_go_on).then_some(number)
}

/// Scans one after another: a card and its label, either first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Matcher {
    /// The half of a pair that was scanned last.
    held: Option<PairScan>,
    /// The parcel that was matched last, for the tracking number that may follow.
    last: Option<u32>,
}

/// What a scan came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MatchVerdict {
    /// Label and card belong together.
    Right {
        /// Whose they are.
        parcel: Named,
    },
    /// One half; the other is waited for.
    Half {
        /// Whose half it is.
        parcel: Named,
        /// The half that was scanned.
        side: PairSide,
    },
    /// Label and card of different parcels.
    Wrong {
        /// Whose label it is.
        label: Named,
        /// Whose card it is.
        card: Named,
    },
    /// The same side twice, of two parcels or of one.
    SameSide {
        /// The side that was scanned twice.
        side: PairSide,
        /// The one scanned first.
        first: Named,
        /// The one scanned now, which is waited with from now on.
        second: Named,
    },
    /// A code of another sitting.
    OtherSitting {
        /// That sitting's key, as the code has it.
        key: Box<str>,
    },
    /// A code of this sitting's key that no parcel of the line has.
    NoSuchParcel {
        /// The pair code.
        code: Box<str>,
    },
    /// The parcel was matched before, or has gone.
    Already {
        /// Whose code it is.
        parcel: Named,
        /// Matched, or whatever came after.
        state: ParcelState,
    },
    /// The parcel is taken off or set aside.
    Out {
        /// Whose code it is.
        parcel: Named,
        /// Taken off or set aside.
        state: ParcelState,
        /// Why.
        reason: Box<str>,
    },
    /// The paper is of another printing than the parcel's last one, and may say what is no longer so.
    OtherPrinting {
        /// Whose paper it is.
        parcel: Named,
        /// Whether it is a label or a card.
        side: PairSide,
    },
    /// The parcel's papers are not printed, so that this one is of an earlier printing.
    NotPrinted {
        /// Whose paper it is.
        parcel: Named,
    },
    /// A tracking number for the parcel that was matched last.
    Tracking {
        /// Whose it becomes.
        parcel: Named,
        /// The number.
        tracking: Tracking,
    },
    /// A tracking number whose check digit is wrong.
    WrongCheckDigit {
        /// The number.
        tracking: Tracking,
    },
    /// A tracking number, and no parcel was matched before it.
    TrackingFirst {
        /// The number.
        tracking: Tracking,
    },
    /// The order's own bar code, which label and slip may share.
    OrderCode {
        /// Which has the order.
        parcel: Named,
    },
    /// A code of ours that was misread.
    Misread {
        /// Why.
        fault: ScanFault,
    },
    /// A code of ours that a scanner typed for another keyboard than the computer's.
    OtherKeyboard,
    /// Something that is no code of ours.
    Foreign,
}

/// A parcel by what the seller knows of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Its number in the sitting, from 1.
    pub number: u32,
    /// Its tag, for whoever looks at the bench and not at numbers.
    pub tag: Box<str>,
}

impl Named {
    /// What the seller knows of a parcel.
    fn of(parcel: &LineParcel) -> Named {
        Named { number: parcel.number, tag: parcel.tag.clone() }
    }
}

impl fmt::Display for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.number, self.tag)
    }
}

impl Matcher {
    /// A matcher that goes on where another one was: with the half of a pair that it held, as it was
    /// scanned, and the parcel that it matched last.
    #[must_use]
    pub fn resume(held: Option<&str>, last: Option<u32>) -> Matcher {
        Matcher { held: held.and_then(|text| PairScan::parse(text).ok()), last }
    }

    /// The half of a pair that was scanned last.
    #[must_use]
    pub fn held(&self) -> Option<PairScan> {
        self.held
    }

    /// The parcel that was matched last, if a tracking number may follow.
    #[must_use]
    pub fn last(&self) -> Option<u32> {
        self.last
    }

    /// What a scan comes to. Only [`MatchVerdict::Right`] and [`MatchVerdict::Tracking`] are to be recorded; any
    /// fault lets go of the half that was held, but for two of one side: the second is held.
    pub fn scan(&mut self, line: &BenchLine, text: &str) -> MatchVerdict {
        let scan = Scan::read(text);
        if matches!(scan, Scan::Tracking(_) | Scan::Foreign) {
            // Ids may be long and all figures, and then look like tracking numbers.
            let has_order =
                |parcel: &&LineParcel| parcel.orders.iter().any(|id| **id == *text.trim());
            if let Some(parcel) = line.parcels().find(has_order) {
                return MatchVerdict::OrderCode { parcel: Named::of(parcel) };
            }
        }
        match scan {
            Scan::Ours(scan) => self.scan_ours(line, scan),
            Scan::Tracking(tracking) => self.scan_tracking(line, tracking),
            // Nothing is known of it, and a scanner that reads the next box is no reason to begin
            // anew.
            Scan::Misread(fault) => MatchVerdict::Misread { fault },
            Scan::OtherKeyboard => MatchVerdict::OtherKeyboard,
            Scan::Foreign => MatchVerdict::Foreign,
        }
    }

    /// A code of ours.
    fn scan_ours(&mut self, line: &BenchLine, scan: PairScan) -> MatchVerdict {
        self.last = None;
        let parcel = match find_parcel(line, &scan) {
            Ok(parcel) => parcel,
            Err(verdict) => {
                self.held = None;
                return verdict;
            }
        };
        let held = self.held.take().and_then(|held| Some((held, find_parcel(line, &held).ok()?)));
        let (parcel, held) = (Named::of(parcel), held.map(|(held, of)| (held, Named::of(of))));
        match held {
            None => {
                self.held = Some(scan);
                MatchVerdict::Half { parcel, side: scan.side }
            }
            Some((held, first)) if held.side == scan.side => {
                self.held = Some(scan);
                MatchVerdict::SameSide { side: scan.side, first, second: parcel }
            }
            Some((held, _)) if held.code == scan.code => {
                self.last = Some(parcel.number);
                MatchVerdict::Right { parcel }
            }
            Some((_, other)) => match scan.side {
                PairSide::Label => MatchVerdict::Wrong { label: parcel, card: other },
                PairSide::Card => MatchVerdict::Wrong { label: other, card: parcel },
            },
        }
    }

    /// A tracking number.
    fn scan_tracking(&mut self, line: &BenchLine, tracking: Tracking) -> MatchVerdict {
        if !tracking.is_right {
            return MatchVerdict::WrongCheckDigit { tracking };
        }
        match self.last.and_then(|number| line.parcel(number)) {
            Some(parcel) => MatchVerdict::Tracking { parcel: Named::of(parcel), tracking },
            None => MatchVerdict::TrackingFirst { tracking },
        }
    }
}

/// The parcel whose papers were scanned, if it waits to be matched.
fn find_parcel<'l>(line: &'l BenchLine, scan: &PairScan) -> Result<&'l LineParcel, MatchVerdict> {
    if scan.key != line.key {
        return Err(MatchVerdict::OtherSitting { key: scan.key.as_str().into() });
    }
    let Some(parcel) = line.parcel_of_pair(scan.code) else {
        return Err(MatchVerdict::NoSuchParcel { code: scan.code.as_str().into() });
    };
    // The number is part of the code too: a code that says another was not printed by us.
    if parcel.number != scan.position {
        return Err(MatchVerdict::NoSuchParcel { code: scan.code.as_str().into() });
    }
    let named = Named::of(parcel);
    match parcel.state {
        ParcelState::Printed if !is_last_printing(parcel, scan) => {
            Err(MatchVerdict::OtherPrinting { parcel: named, side: scan.side })
        }
        ParcelState::Printed => Ok(parcel),
        ParcelState::LinedUp => Err(MatchVerdict::NotPrinted { parcel: named }),
        ParcelState::Matched | ParcelState::HandedOver => {
            Err(MatchVerdict::Already { parcel: named, state: parcel.state })
        }
        ParcelState::TakenOff | ParcelState::SetAside => Err(MatchVerdict::Out {
            parcel: named,
            state: parcel.state,
            reason: parcel.reason.clone(),
        }),
    }
}

/// The documents that labels and bench cards are, by their names.
const LABELS: &str = "labels";
/// See [`LABELS`].
const CARDS: &str = "bench-cards";

/// Whether a paper is of the printing that the parcel's last one was. Where a shop has a document of its own
/// in place of labels or cards, any document's will do.
fn is_last_printing(parcel: &LineParcel, scan: &PairScan) -> bool {
    let document = match scan.side {
        PairSide::Label => LABELS,
        PairSide::Card => CARDS,
    };
    let is_known = parcel.papers.iter().any(|paper| *paper.document == *document);
    let mut papers = parcel.papers.iter().filter(|it| !is_known || *it.document == *document);
    parcel.papers.is_empty() || papers.any(|paper| parcel.printing_of(paper) == scan.printing)
}

impl MatchVerdict {
    /// Whether all is well with it.
    #[must_use]
    pub fn is_good(&self) -> bool {
        matches!(
            self,
            MatchVerdict::Right { .. } | MatchVerdict::Half { .. } | MatchVerdict::Tracking { .. }
        )
    }

    /// A word for scripts.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            MatchVerdict::Right { .. } => "right",
            MatchVerdict::Half { .. } => "half",
            MatchVerdict::Wrong { .. } => "wrong",
            MatchVerdict::SameSide { side: PairSide::Label, .. } => "two-labels",
            MatchVerdict::SameSide { side: PairSide::Card, .. } => "two-cards",
            MatchVerdict::OtherSitting { .. } => "other-sitting",
            MatchVerdict::NoSuchParcel { .. } => "no-such-parcel",
            MatchVerdict::Already { .. } => "already",
            MatchVerdict::Out { .. } => "out",
            MatchVerdict::OtherPrinting { .. } => "other-printing",
            MatchVerdict::NotPrinted { .. } => "not-printed",
            MatchVerdict::Tracking { .. } => "tracking",
            MatchVerdict::WrongCheckDigit { .. } => "wrong-check-digit",
            MatchVerdict::TrackingFirst { .. } => "tracking-first",
            MatchVerdict::OrderCode { .. } => "order-code",
            MatchVerdict::Misread { .. } => "misread",
            MatchVerdict::OtherKeyboard => "other-keyboard",
            MatchVerdict::Foreign => "foreign",
        }
    }
}

impl fmt::Display for MatchVerdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MatchVerdict::Right { parcel } => write!(f, "right: {parcel}"),
            MatchVerdict::Half { parcel, side: PairSide::Label } => {
                write!(f, "the label of {parcel}: now its bench card")
            }
            MatchVerdict::Half { parcel, side: PairSide::Card } => {
                write!(f, "the bench card of {parcel}: now its label")
            }
            MatchVerdict::Wrong { label, card } => write!(
                f,
                "wrong: the label is {label}, the bench card is {card}; put both back and find the \
                 other half of one"
            ),
            MatchVerdict::SameSide { side: PairSide::Label, first, second } if first == second => {
                write!(f, "the same label twice, {second}: now its bench card")
            }
            MatchVerdict::SameSide { side: PairSide::Card, first, second } if first == second => {
                write!(f, "the same bench card twice, {second}: now its label")
            }
            MatchVerdict::SameSide { side: PairSide::Label, first, second } => write!(
                f,
                "two labels, {first} and {second}: now the bench card that lies with {second}"
            ),
            MatchVerdict::SameSide { side: PairSide::Card, first, second } => {
                write!(f, "two bench cards, {first} and {second}: now the label for {second}")
            }
            MatchVerdict::OtherSitting { key } => {
                write!(f, "this was printed for another sitting (`{key}`): do not use it tonight")
            }
            MatchVerdict::NoSuchParcel { code } => write!(
                f,
                "no parcel of this line has the pair code `{code}`: do not use this paper"
            ),
            MatchVerdict::Already { parcel, state } => {
                write!(f, "{parcel} is {} already", state.word())
            }
            MatchVerdict::Out { parcel, state, reason } if reason.is_empty() => {
                write!(f, "{parcel} is {}: do not send it", state.word())
            }
            MatchVerdict::Out { parcel, state, reason } => {
                write!(f, "{parcel} is {} ({reason}): do not send it", state.word())
            }
            MatchVerdict::OtherPrinting { parcel, side: PairSide::Label } => write!(
                f,
                "this label of {parcel} is not the one that was printed last: throw it away and take that \
                 one"
            ),
            MatchVerdict::OtherPrinting { parcel, side: PairSide::Card } => write!(
                f,
                "this bench card of {parcel} is not the one that was printed last: throw it away and take \
                 that one"
            ),
            MatchVerdict::NotPrinted { parcel } => {
                write!(f, "nothing is printed for {parcel} yet: this paper is not of tonight's")
            }
            MatchVerdict::Tracking { parcel, tracking } => {
                write!(f, "{parcel} has the tracking number {}", tracking.number)
            }
            MatchVerdict::WrongCheckDigit { tracking } => write!(
                f,
                "the check digit of the tracking number {} is wrong: scan it again",
                tracking.number
            ),
            MatchVerdict::TrackingFirst { tracking } => write!(
                f,
                "{} is a tracking number: match the parcel first, then scan it",
                tracking.number
            ),
            MatchVerdict::OrderCode { parcel } => {
                write!(f, "this is the bar code of {parcel}: scan the square code beside it")
            }
            MatchVerdict::Misread { fault } => write!(f, "{fault}: scan it again"),
            MatchVerdict::OtherKeyboard => f.write_str(
                "the scanner types for another keyboard than this computer's: set it to the same \
                 language, by the page for that in its manual",
            ),
            MatchVerdict::Foreign => f.write_str("this is no code of ours"),
        }
    }
}
