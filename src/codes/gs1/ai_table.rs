//! The GS1 application identifiers: how long their values are, of which characters, and what can
//! be checked inside them.
//!
//! In: an identifier as digits. Out: its [`Ai`] row. Not here: reading element strings and
//! checking values (the parent module).
//!
//! The facts are those of the GS1 General Specifications §3, in the machine-readable form of the
//! GS1 Barcode Syntax Dictionary (January 2026); which identifiers have a predefined length also stands
//! in GS1 General Specifications R18 Fig. 7.8.4-2.

/// One identifier, or a row of identifiers that share everything.
#[derive(Debug)]
pub(super) struct Ai {
    /// How many digits the identifier itself has, 2 to 4.
    pub(super) digits: u8,
    /// The first identifier of the row, as a number.
    pub(super) first: u16,
    /// The last identifier of the row, as a number.
    pub(super) last: u16,
    /// The largest last digit within the row: 5 where it counts decimal places, otherwise 9.
    pub(super) last_digit: u16,
    /// No FNC1 is needed behind the value, because its length is predefined.
    pub(super) predefined: bool,
    /// It may stand as `?ai=value` in a Digital Link.
    pub(super) attribute: bool,
    /// What the value consists of, in order; only the last part may vary in length.
    pub(super) parts: &'static [ValuePart],
}

/// A stretch of an identifier's value.
#[derive(Clone, Copy, Debug)]
pub(super) struct ValuePart {
    /// The characters allowed in it.
    pub(super) set: Set,
    /// The least number of characters.
    pub(super) min: usize,
    /// The greatest number of characters.
    pub(super) max: usize,
    /// The value may end before this part.
    pub(super) optional: bool,
    /// What else must hold.
    pub(super) check: ValueCheck,
}

/// The character sets of GS1 (General Specifications §7.11).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Set {
    /// The ten digits.
    Digits,
    /// 82 characters of ISO/IEC 646, of which only letters, digits and punctuation.
    Cset82,
    /// 39 characters: digits, capitals, `#`, `-`, `/`.
    Cset39,
    /// 64 characters of URL-safe base 64, and `=`.
    Cset64,
}

/// What must hold inside a part besides its characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ValueCheck {
    /// The characters alone decide.
    Nothing,
    /// The last digit is a modulo-10 check digit.
    Mod10,
    /// The last two characters are a check pair (General Specifications §7.9.5).
    Pair,
    /// A date YYMMDD.
    Day,
    /// A date YYMMDD, where day 00 stands for the whole month.
    DayOrMonth,
    /// A date YYYYMMDD.
    LongDay,
    /// One of these characters.
    OneOf(&'static str),
}

impl ValuePart {
    /// This part, with something that must hold inside it.
    const fn with(self, check: ValueCheck) -> ValuePart {
        ValuePart { check, ..self }
    }

    /// This part, but the value may end before it.
    const fn or_end(self) -> ValuePart {
        ValuePart { optional: true, ..self }
    }
}

impl Ai {
    /// Whether the row holds this identifier.
    fn holds(&self, digits: usize, number: u16) -> bool {
        usize::from(self.digits) == digits
            && (self.first..=self.last).contains(&number)
            && number % 10 <= self.last_digit
    }
}

/// The row of an identifier; `None` when there is no such identifier.
pub(super) fn find_ai(ai: &str) -> Option<&'static Ai> {
    if !ai.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let number = ai.parse().ok()?;
    TABLE.iter().find(|row| row.holds(ai.len(), number))
}

/// A part of any set, with a least and a greatest length.
const fn part(set: Set, min: usize, max: usize) -> ValuePart {
    ValuePart { set, min, max, optional: false, check: ValueCheck::Nothing }
}

/// Exactly this many digits.
const fn n(length: usize) -> ValuePart {
    part(Set::Digits, length, length)
}

/// One to this many digits.
const fn n_to(max: usize) -> ValuePart {
    part(Set::Digits, 1, max)
}

/// Exactly this many characters of set 82.
const fn x(length: usize) -> ValuePart {
    part(Set::Cset82, length, length)
}

/// One to this many characters of set 82.
const fn x_to(max: usize) -> ValuePart {
    part(Set::Cset82, 1, max)
}

/// This many digits, the last a check digit.
const fn key(length: usize) -> ValuePart {
    n(length).with(ValueCheck::Mod10)
}

/// A date YYMMDD.
const DAY: ValuePart = n(6).with(ValueCheck::Day);

/// A date YYMMDD with an optional day.
const DAY_OR_MONTH: ValuePart = n(6).with(ValueCheck::DayOrMonth);

/// Three digits that may be left out.
const N3_OR_END: ValuePart = n(3).or_end();

/// The value of a measure.
const SIX_DIGITS: &[ValuePart] = &[n(6)];

/// Predefined length, and an attribute in a Digital Link.
const PRE: [bool; 2] = [true, true];

/// Separated by FNC1, and an attribute in a Digital Link.
const SEP: [bool; 2] = [false, true];

/// Separated by FNC1, and no attribute in a Digital Link.
const KEYED: [bool; 2] = [false, false];

/// A row of identifiers `digits` long, from `first` to `last`.
const fn ai(
    digits: u8,
    [first, last]: [u16; 2],
    [predefined, attribute]: [bool; 2],
    parts: &'static [ValuePart],
) -> Ai {
    Ai { digits, first, last, last_digit: 9, predefined, attribute, parts }
}

/// A row of measures, whose last digit says how many decimal places the six digits have.
const fn measures(first: u16, last: u16) -> Ai {
    Ai { last_digit: 5, ..ai(4, [first, last], PRE, SIX_DIGITS) }
}

/// All identifiers, in the order of their digits.
#[rustfmt::skip]
pub(super) static TABLE: &[Ai] = &[
    ai(2, [0, 0], PRE, &[key(18)]),
    ai(2, [1, 2], PRE, &[key(14)]),
    ai(2, [3, 3], [true, false], &[key(14)]),
    ai(2, [10, 10], SEP, &[x_to(20)]),
    ai(2, [11, 13], PRE, &[DAY_OR_MONTH]),
    ai(2, [15, 17], PRE, &[DAY_OR_MONTH]),
    ai(2, [20, 20], PRE, &[n(2)]),
    ai(2, [21, 22], KEYED, &[x_to(20)]),
    ai(3, [235, 235], KEYED, &[x_to(28)]),
    ai(3, [240, 241], SEP, &[x_to(30)]),
    ai(3, [242, 242], SEP, &[n_to(6)]),
    ai(3, [243, 243], SEP, &[x_to(20)]),
    ai(3, [250, 251], SEP, &[x_to(30)]),
    ai(3, [253, 253], SEP, &[key(13), x_to(17).or_end()]),
    ai(3, [254, 254], KEYED, &[x_to(20)]),
    ai(3, [255, 255], SEP, &[key(13), n_to(12).or_end()]),
    ai(2, [30, 30], SEP, &[n_to(8)]),
    measures(3100, 3169),
    measures(3200, 3379),
    measures(3400, 3579),
    measures(3600, 3699),
    ai(2, [37, 37], SEP, &[n_to(8)]),
    ai(4, [3900, 3909], SEP, &[n_to(15)]),
    ai(4, [3910, 3919], SEP, &[n(3), n_to(15)]),
    ai(4, [3920, 3929], SEP, &[n_to(15)]),
    ai(4, [3930, 3939], SEP, &[n(3), n_to(15)]),
    ai(4, [3940, 3943], SEP, &[n(4)]),
    ai(4, [3950, 3955], SEP, &[n(6)]),
    ai(3, [400, 401], SEP, &[x_to(30)]),
    ai(3, [402, 402], SEP, &[key(17)]),
    ai(3, [403, 403], SEP, &[x_to(30)]),
    ai(3, [410, 417], PRE, &[key(13)]),
    ai(3, [420, 420], SEP, &[x_to(20)]),
    ai(3, [421, 421], SEP, &[n(3), x_to(9)]),
    ai(3, [422, 422], SEP, &[n(3)]),
    ai(3, [423, 423], SEP, &[n(3), N3_OR_END, N3_OR_END, N3_OR_END, N3_OR_END]),
    ai(3, [424, 424], SEP, &[n(3)]),
    ai(3, [425, 425], SEP, &[n(3), N3_OR_END, N3_OR_END, N3_OR_END, N3_OR_END]),
    ai(3, [426, 426], SEP, &[n(3)]),
    ai(3, [427, 427], SEP, &[x_to(3)]),
    ai(4, [4300, 4301], SEP, &[x_to(35)]),
    ai(4, [4302, 4306], SEP, &[x_to(70)]),
    ai(4, [4307, 4307], SEP, &[x(2)]),
    ai(4, [4308, 4308], SEP, &[x_to(30)]),
    ai(4, [4309, 4309], SEP, &[n(20)]),
    ai(4, [4310, 4311], SEP, &[x_to(35)]),
    ai(4, [4312, 4316], SEP, &[x_to(70)]),
    ai(4, [4317, 4317], SEP, &[x(2)]),
    ai(4, [4318, 4318], SEP, &[x_to(20)]),
    ai(4, [4319, 4319], SEP, &[x_to(30)]),
    ai(4, [4320, 4320], SEP, &[x_to(35)]),
    ai(4, [4321, 4323], SEP, &[n(1).with(ValueCheck::OneOf("01"))]),
    ai(4, [4324, 4325], SEP, &[DAY_OR_MONTH, n(4)]),
    ai(4, [4326, 4326], SEP, &[DAY]),
    ai(4, [4330, 4333], SEP, &[n(6), x(1).with(ValueCheck::OneOf("-")).or_end()]),
    ai(4, [7001, 7001], SEP, &[n(13)]),
    ai(4, [7002, 7002], SEP, &[x_to(30)]),
    ai(4, [7003, 7003], SEP, &[DAY, n(4)]),
    ai(4, [7004, 7004], SEP, &[n_to(4)]),
    ai(4, [7005, 7005], SEP, &[x_to(12)]),
    ai(4, [7006, 7006], SEP, &[DAY]),
    ai(4, [7007, 7007], SEP, &[DAY, DAY.or_end()]),
    ai(4, [7008, 7008], SEP, &[x_to(3)]),
    ai(4, [7009, 7009], SEP, &[x_to(10)]),
    ai(4, [7010, 7010], SEP, &[x_to(2)]),
    ai(4, [7011, 7011], SEP, &[DAY, n(4).or_end()]),
    ai(4, [7020, 7022], SEP, &[x_to(20)]),
    ai(4, [7023, 7023], SEP, &[x_to(30)]),
    ai(4, [7030, 7039], SEP, &[n(3), x_to(27)]),
    ai(4, [7040, 7040], KEYED, &[n(1), x(3)]),
    ai(4, [7041, 7041], KEYED, &[x_to(4)]),
    ai(3, [710, 717], SEP, &[x_to(20)]),
    ai(4, [7230, 7239], SEP, &[x(2), x_to(28)]),
    ai(4, [7240, 7240], SEP, &[x_to(20)]),
    ai(4, [7241, 7241], SEP, &[n(2)]),
    ai(4, [7242, 7242], SEP, &[x_to(25)]),
    ai(4, [7250, 7250], SEP, &[n(8).with(ValueCheck::LongDay)]),
    ai(4, [7251, 7251], SEP, &[n(8).with(ValueCheck::LongDay), n(4)]),
    ai(4, [7252, 7252], SEP, &[n(1)]),
    ai(4, [7253, 7254], SEP, &[x_to(40)]),
    ai(4, [7255, 7255], SEP, &[x_to(10)]),
    ai(4, [7256, 7256], SEP, &[x_to(90)]),
    ai(4, [7257, 7257], SEP, &[x_to(70)]),
    ai(4, [7258, 7258], SEP, &[n(1), x(1).with(ValueCheck::OneOf("/")), n(1)]),
    ai(4, [7259, 7259], SEP, &[x_to(40)]),
    ai(4, [8001, 8001], SEP, &[n(14)]),
    ai(4, [8002, 8002], SEP, &[x_to(20)]),
    ai(4, [8003, 8003], SEP, &[n(1).with(ValueCheck::OneOf("0")), key(13), x_to(16).or_end()]),
    ai(4, [8004, 8004], SEP, &[x_to(30)]),
    ai(4, [8005, 8005], SEP, &[n(6)]),
    ai(4, [8006, 8006], SEP, &[key(14), n(4)]),
    ai(4, [8007, 8007], SEP, &[x_to(34)]),
    ai(4, [8008, 8008], SEP, &[DAY, n(2), n(2).or_end(), n(2).or_end()]),
    ai(4, [8009, 8009], SEP, &[x_to(50)]),
    ai(4, [8010, 8010], SEP, &[part(Set::Cset39, 1, 30)]),
    ai(4, [8011, 8011], KEYED, &[n_to(12)]),
    ai(4, [8012, 8012], SEP, &[x_to(20)]),
    ai(4, [8013, 8013], SEP, &[x_to(25).with(ValueCheck::Pair)]),
    ai(4, [8014, 8014], KEYED, &[x_to(25).with(ValueCheck::Pair)]),
    ai(4, [8017, 8018], SEP, &[key(18)]),
    ai(4, [8019, 8019], KEYED, &[n_to(10)]),
    ai(4, [8020, 8020], KEYED, &[x_to(25)]),
    ai(4, [8026, 8026], SEP, &[key(14), n(4)]),
    ai(4, [8030, 8030], SEP, &[part(Set::Cset64, 1, 90)]),
    ai(4, [8040, 8041], KEYED, &[n(15)]),
    ai(4, [8042, 8042], KEYED, &[n(32)]),
    ai(4, [8043, 8043], KEYED, &[n(18), n_to(2).or_end()]),
    ai(4, [8110, 8110], SEP, &[x_to(70)]),
    ai(4, [8111, 8111], SEP, &[n(4)]),
    ai(4, [8112, 8112], SEP, &[x_to(70)]),
    ai(4, [8200, 8200], KEYED, &[x_to(70)]),
    ai(2, [90, 90], SEP, &[x_to(30)]),
    ai(2, [91, 99], SEP, &[x_to(90)]),
];
