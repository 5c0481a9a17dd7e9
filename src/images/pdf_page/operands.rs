//! What stands before an operator of a content stream, as far as dashes and paths need it.
//!
//! In: operands in their order. Out: the last numbers, and the array before them as a round of
//! dashes. Where it cannot be said what a renderer makes of an operand, the answer is the one that
//! takes most. Not here: operators.

/// The most numbers that an operator of a path asks for.
const PATH_NUMBERS: usize = 6;

/// What a renderer may make of a dash of no length at all, in the units of the path.
const LEAST_DASH: f64 = 0.01;

/// One round of dashes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct DashRound {
    /// How long the round is; none where a length in it is no length.
    length: f64,
    /// How many lengths are in it.
    count: u64,
    /// Whether a length in it is no length.
    is_unclear: bool,
}

impl DashRound {
    /// Takes in a length.
    pub(super) fn add(&mut self, length: f64) {
        self.count += 1;
        // Lengths below nothing are forbidden: ISO 32000-1, 8.4.3.6.
        self.is_unclear |= length.is_nan() || length < 0.0;
        self.length += if length == 0.0 { LEAST_DASH } else { length };
    }

    /// The round, if there is a length in it.
    pub(super) fn if_any(self) -> Option<DashRound> {
        (self.count > 0).then_some(self)
    }

    /// The most dashes that a path of a length is drawn with.
    pub(super) fn dashes_of(self, path: f64) -> u64 {
        if self.is_unclear {
            return u64::MAX;
        }
        let rounds = (path / self.length).ceil().max(0.0) as u64;
        rounds.saturating_mul(self.count)
    }
}

/// The operands before an operator.
#[derive(Clone, Debug, Default)]
pub(super) struct Operands {
    /// The last numbers, with nothing else between.
    pub(super) numbers: Vec<f64>,
    /// The array that stands right before the numbers.
    pub(super) array: Option<DashRound>,
    /// The array that is being read, and how deep in arrays it is.
    open: DashRound,
    /// How many arrays are open.
    depth: usize,
}

impl Operands {
    /// Takes in a number.
    pub(super) fn number(&mut self, number: f64) {
        if self.depth > 0 {
            return self.open.add(number);
        }
        if self.numbers.len() == PATH_NUMBERS {
            self.numbers.remove(0);
        }
        self.numbers.push(number);
    }

    /// Takes in the beginning of an array.
    pub(super) fn open_array(&mut self) {
        if self.depth > 0 {
            self.open.add(f64::NAN);
        } else {
            self.open = DashRound::default();
        }
        self.depth += 1;
    }

    /// Takes in the end of an array; one that never began had something in it that we took for an
    /// operator.
    pub(super) fn close_array(&mut self) {
        if self.depth == 0 {
            self.open = DashRound::default();
            self.open.add(f64::NAN);
        }
        self.depth = self.depth.saturating_sub(1);
        if self.depth == 0 {
            self.array = Some(self.open);
            self.numbers.clear();
        }
    }

    /// Takes in anything else.
    pub(super) fn other(&mut self) {
        if self.depth > 0 {
            return self.open.add(f64::NAN);
        }
        self.array = None;
        self.numbers.clear();
    }
}
