//! Code 128 (ISO/IEC 15417) with the fewest symbol characters.
//!
//! In: [`Data`], or text of Latin-1 characters. Out: a [`Code128`] with its symbol characters from
//! start to stop, and its modules. Not here: GS1 element strings (`gs1`), lengths in millimetres,
//! the caption.
//!
//! The shortest encoding is found by dynamic programming from the last character back. What the
//! encoder may do between two characters is a move between five [`State`]s; what a character
//! costs in a state is [`cost_in`]. Three rules keep every decoder in agreement where the
//! standard's wording leaves room: digit pairs of set C never stand inside an FNC4 latch; a
//! single FNC4 stands directly before its character, or before the shift of that character; a
//! shift stands directly before its character.

use std::error::Error;
use std::fmt;

use super::bars::BarRow;
use super::quiet::QuietZone;

/// Light modules needed before and after the bars (ISO/IEC 15417; GS1 General Specifications R18
/// §5.4.4.2).
pub const QUIET_ZONE: QuietZone = QuietZone::at_ends(10);

/// Shift: the next character is read in the other of sets A and B.
const SHIFT: u8 = 98;
/// From set A or B to set C.
const CODE_C: u8 = 99;
/// From set A or C to set B.
const CODE_B: u8 = 100;
/// From set B or C to set A.
const CODE_A: u8 = 101;
/// FNC1, the same in every set.
const FNC1: u8 = 102;
/// FNC4 in set A, where the value means no change of set.
const FNC4_A: u8 = 101;
/// FNC4 in set B, where the value means no change of set.
const FNC4_B: u8 = 100;
/// Starts in set A; sets B and C follow.
const START_A: u8 = 103;
/// The modulus of the check character.
const CHECK_MODULUS: u64 = 103;

/// One unit of what a Code 128 carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Data {
    /// A character by its Latin-1 (ISO/IEC 8859-1) number, control characters included.
    Char(u8),
    /// Function 1, which GS1 uses as its mark and separator.
    Fnc1,
}

/// What the encoder stands in between two characters: the set, and whether FNC4 is latched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// Set A, plain.
    A,
    /// Set B, plain.
    B,
    /// Set C, never latched.
    C,
    /// Set A, FNC4 latched.
    HighA,
    /// Set B, FNC4 latched.
    HighB,
}

/// How many [`State`]s there are.
const STATES: usize = 5;

/// Larger than any real cost, and safe to add to.
const NEVER: u32 = u32::MAX / 4;

/// Among equally short encodings the earlier state here is taken, after the one the encoder is
/// in: digits go into set C as soon as that costs nothing, text into set B before A.
const PREFERENCE: [State; STATES] = [State::C, State::B, State::A, State::HighB, State::HighA];

/// A finished symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code128 {
    /// Symbol character values: start, data and code set characters, check, stop.
    codewords: Vec<u8>,
    /// What the symbol carries.
    data: Vec<Data>,
    /// Its bars and the gaps between them, in modules, without the quiet zone.
    row: BarRow,
}

/// Why something cannot be a Code 128.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Code128Error {
    /// There is nothing to encode.
    Empty,
    /// A character has no place in Latin-1.
    NotLatin1 {
        /// The first character that has no place there.
        character: char,
        /// How many characters stand before it.
        index: usize,
    },
}

impl fmt::Display for Code128Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Code128Error::Empty => {
                f.write_str("expected at least one character for the Code 128, found none")
            }
            Code128Error::NotLatin1 { character, index } => write!(
                f,
                "expected Latin-1 characters for the Code 128, found `{character}` (U+{:04X}) as character {}",
                u32::from(*character),
                index + 1
            ),
        }
    }
}

impl Error for Code128Error {}

impl Code128 {
    /// Encodes data with the fewest symbol characters.
    ///
    /// # Errors
    /// [`Code128Error::Empty`] when there is no data.
    pub fn encode(data: &[Data]) -> Result<Code128, Code128Error> {
        if data.is_empty() {
            return Err(Code128Error::Empty);
        }
        Ok(Code128::from_data(data.to_vec()))
    }

    /// Encodes data that is known to be there.
    pub(super) fn from_data(data: Vec<Data>) -> Code128 {
        let costs = compute_costs(&data);
        let mut codewords = emit_characters(&data, &costs);
        codewords.push(compute_check(&codewords));
        codewords.push(STOP);
        let widths = codewords.iter().flat_map(|&value| elements_of(value).iter().copied());
        let row = BarRow::new(widths.collect());
        Code128 { codewords, data, row }
    }

    /// Encodes text, each character by its Latin-1 number.
    ///
    /// # Errors
    /// [`Code128Error::Empty`] for no text, [`Code128Error::NotLatin1`] for the first character
    /// above U+00FF.
    pub fn encode_text(text: &str) -> Result<Code128, Code128Error> {
        let data: Result<Vec<Data>, Code128Error> = text
            .chars()
            .enumerate()
            .map(|(index, character)| {
                u8::try_from(character)
                    .map(Data::Char)
                    .map_err(|_| Code128Error::NotLatin1 { character, index })
            })
            .collect();
        Code128::encode(&data?)
    }

    /// The symbol character values, from start to stop.
    #[must_use]
    pub fn codewords(&self) -> &[u8] {
        &self.codewords
    }

    /// What the symbol carries.
    #[must_use]
    pub fn data(&self) -> &[Data] {
        &self.data
    }

    /// The characters that the symbol carries, without any FNC1.
    #[must_use]
    pub fn text(&self) -> String {
        let character = |datum: &Data| match datum {
            Data::Char(value) => Some(char::from(*value)),
            Data::Fnc1 => None,
        };
        self.data.iter().filter_map(character).collect()
    }

    /// Its bars and spaces.
    #[must_use]
    pub fn row(&self) -> &BarRow {
        &self.row
    }
}

impl State {
    /// Its place in tables of costs.
    fn index(self) -> usize {
        self as usize
    }

    /// Whether FNC4 is latched.
    fn is_high(self) -> bool {
        matches!(self, State::HighA | State::HighB)
    }

    /// The plain state of the same set.
    fn set(self) -> State {
        match self {
            State::HighA => State::A,
            State::HighB => State::B,
            plain => plain,
        }
    }

    /// Symbol characters needed to come from here to `other`: one for another set, two for the
    /// latch.
    fn distance(self, other: State) -> u32 {
        u32::from(self.set() != other.set()) + 2 * u32::from(self.is_high() != other.is_high())
    }
}

/// Whether set A (or else B) holds the lower seven bits of a character itself.
fn holds(set: State, low: u8) -> bool {
    match set {
        State::A => low < 0x60,
        _ => low >= 0x20,
    }
}

/// Symbol characters that the data at the front of `rest` costs in a state, and how many data
/// units that takes; `None` where the state cannot carry it.
fn cost_in(state: State, rest: &[Data]) -> Option<(u32, usize)> {
    match (state, rest) {
        (_, [Data::Fnc1, ..]) => Some((1, 1)),
        (State::C, [Data::Char(b'0'..=b'9'), Data::Char(b'0'..=b'9'), ..]) => Some((1, 2)),
        (State::C, _) | (_, []) => None,
        (_, [Data::Char(value), ..]) => {
            let fnc4 = u32::from((*value >= 0x80) != state.is_high());
            let shift = u32::from(!holds(state.set(), value & 0x7F));
            Some((1 + fnc4 + shift, 1))
        }
    }
}

/// For every place in the data and every state there, the symbol characters still needed up to
/// the end of the data.
fn compute_costs(data: &[Data]) -> Vec<[u32; STATES]> {
    let mut costs = vec![[0; STATES]; data.len() + 1];
    for place in (0..data.len()).rev() {
        let staying = PREFERENCE.map(|state| cost_staying(data, place, state, &costs));
        for from in PREFERENCE {
            let best = PREFERENCE.iter().zip(staying).map(|(to, cost)| from.distance(*to) + cost);
            costs[place][from.index()] = best.min().unwrap_or(NEVER);
        }
    }
    costs
}

/// The symbol characters needed to the end when the data at `place` is encoded in exactly this
/// state; [`NEVER`] where that is impossible.
fn cost_staying(data: &[Data], place: usize, state: State, costs: &[[u32; STATES]]) -> u32 {
    cost_in(state, &data[place..])
        .map_or(NEVER, |(cost, taken)| cost + costs[place + taken][state.index()])
}

/// The start character, and the data along the cheapest way.
fn emit_characters(data: &[Data], costs: &[[u32; STATES]]) -> Vec<u8> {
    let starts = [State::C, State::B, State::A];
    // `min_by_key` takes the first of equals, which makes the preference hold.
    let mut state = starts.into_iter().min_by_key(|s| costs[0][s.index()]).unwrap_or(State::B);
    let mut out = vec![START_A + state as u8];
    let mut place = 0;
    while place < data.len() {
        let next = choose_state(data, place, state, costs);
        emit_move(state, next, &mut out);
        state = next;
        place += emit_data(state, &data[place..], &mut out);
    }
    out
}

/// The state in which the data at `place` is best encoded, coming from `from`.
fn choose_state(data: &[Data], place: usize, from: State, costs: &[[u32; STATES]]) -> State {
    let goal = costs[place][from.index()];
    let is_best = |to: &State| from.distance(*to) + cost_staying(data, place, *to, costs) == goal;
    let order = [State::C, from].into_iter().chain(PREFERENCE);
    order.into_iter().find(is_best).unwrap_or(from)
}

/// Writes the set changes and latches from one state to another.
fn emit_move(from: State, to: State, out: &mut Vec<u8>) {
    let latches = from.is_high() != to.is_high();
    // Set C has no FNC4, so the latch is opened before C is entered, and closed after C is left.
    if latches && to == State::C {
        out.extend([fnc4(from); 2]);
    }
    if from.set() != to.set() {
        out.push(match to.set() {
            State::A => CODE_A,
            State::C => CODE_C,
            _ => CODE_B,
        });
    }
    if latches && to != State::C {
        out.extend([fnc4(to); 2]);
    }
}

/// Writes the data at the front of `rest` in a state that can carry it, and tells how many units
/// that took.
fn emit_data(state: State, rest: &[Data], out: &mut Vec<u8>) -> usize {
    match (state, rest) {
        (_, [Data::Fnc1, ..]) => out.push(FNC1),
        (State::C, [Data::Char(tens), Data::Char(ones), ..]) => {
            out.push((tens - b'0') * 10 + (ones - b'0'));
            return 2;
        }
        (_, [Data::Char(value), ..]) => emit_character(state, *value, out),
        (_, []) => {}
    }
    1
}

/// Writes one character in set A or B, with FNC4 and shift where it needs them.
fn emit_character(state: State, value: u8, out: &mut Vec<u8>) {
    let low = value & 0x7F;
    if (value >= 0x80) != state.is_high() {
        out.push(fnc4(state));
    }
    if !holds(state.set(), low) {
        out.push(SHIFT);
    }
    // Control characters stand behind the others in set A; all else is at its number less 32.
    out.push(if low < 0x20 { low + 64 } else { low - 32 });
}

/// FNC4 in the set of a state.
fn fnc4(state: State) -> u8 {
    if state.set() == State::A { FNC4_A } else { FNC4_B }
}

/// The check character: the start's value and each further value times its place, modulo 103
/// (GS1 General Specifications R18 §5.4.3).
fn compute_check(codewords: &[u8]) -> u8 {
    let weighted = |(place, &value): (usize, &u8)| u64::from(value) * place.max(1) as u64;
    let sum: u64 = codewords.iter().enumerate().map(weighted).sum();
    (sum % CHECK_MODULUS) as u8
}

/// The stop character's value.
const STOP: u8 = 106;

/// Element widths in modules of the values 0 to 105, first element a bar, in tens of values
/// (ISO/IEC 15417 Table 1).
#[rustfmt::skip]
const WIDTHS: [u32; 106] = [
    212222, 222122, 222221, 121223, 121322, 131222, 122213, 122312, 132212, 221213,
    221312, 231212, 112232, 122132, 122231, 113222, 123122, 123221, 223211, 221132,
    221231, 213212, 223112, 312131, 311222, 321122, 321221, 312212, 322112, 322211,
    212123, 212321, 232121, 111323, 131123, 131321, 112313, 132113, 132311, 211313,
    231113, 231311, 112133, 112331, 132131, 113123, 113321, 133121, 313121, 211331,
    231131, 213113, 213311, 213131, 311123, 311321, 331121, 312113, 312311, 332111,
    314111, 221411, 431111, 111224, 111422, 121124, 121421, 141122, 141221, 112214,
    112412, 122114, 122411, 142112, 142211, 241211, 221114, 413111, 241112, 134111,
    111242, 121142, 121241, 114212, 124112, 124211, 411212, 421112, 421211, 212141,
    214121, 412121, 111143, 111341, 131141, 114113, 114311, 411113, 411311, 113141,
    114131, 311141, 411131, 211412, 211214, 211232,
];

/// [`WIDTHS`] taken apart into single elements.
const ELEMENTS: [[u8; 6]; 106] = split_widths();

/// The stop character's element widths in modules: four bars, three spaces.
const STOP_ELEMENTS: [u8; 7] = [2, 3, 3, 1, 1, 1, 2];

/// Takes each number of [`WIDTHS`] apart into its six decimal digits.
const fn split_widths() -> [[u8; 6]; 106] {
    let mut elements = [[0; 6]; 106];
    let mut value = 0;
    while value < 106 {
        let mut rest = WIDTHS[value];
        let mut place = 6;
        while place > 0 {
            place -= 1;
            elements[value][place] = (rest % 10) as u8;
            rest /= 10;
        }
        value += 1;
    }
    elements
}

/// The element widths in modules of a symbol character, first element a bar. `value` is one our
/// encoder made, so at most [`STOP`].
fn elements_of(value: u8) -> &'static [u8] {
    if value == STOP { &STOP_ELEMENTS } else { &ELEMENTS[usize::from(value)] }
}
