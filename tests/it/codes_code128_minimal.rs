//! Nobody can encode anything in fewer Code 128 characters: exhaustive search over all symbol
//! characters, with a decoder that is written apart from the encoder.
//!
//! The decoder follows ISO/IEC 15417 and is strict where the standard's wording leaves room (the
//! rules in the encoder's module doc). The search walks, breadth first, through every state that
//! the decoder can be in and all 103 characters that may follow, so the first way that ends at
//! the data is a shortest one.

use std::collections::BTreeSet;

use proptest::prelude::*;
use slipwright::codes::{Code128, Data};

/// What a decoder remembers between two symbol characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Decoder {
    /// The code set, `A`, `B` or `C`.
    set: char,
    /// FNC4 is latched.
    latched: bool,
    /// A single FNC4 waits for its character.
    fnc4: bool,
    /// A shift waits for its character.
    shift: bool,
    /// How many data units came out so far.
    done: usize,
}

/// The decoder behind a start character; the set is `A`, `B` or `C`.
fn start(set: char) -> Decoder {
    Decoder { set, latched: false, fnc4: false, shift: false, done: 0 }
}

/// Takes one symbol character; `None` when it is no legal continuation or does not yield the next
/// units of `data`.
fn step(decoder: Decoder, value: u8, data: &[Data]) -> Option<Decoder> {
    let waiting = decoder.fnc4 || decoder.shift;
    let take = |count: usize, units: &[Data]| {
        let expected = data.get(decoder.done..decoder.done + count)?;
        let done = decoder.done + count;
        (expected == units).then_some(Decoder { fnc4: false, shift: false, done, ..decoder })
    };
    match (decoder.set, value) {
        (_, 102) => (!waiting).then(|| take(1, &[Data::Fnc1])).flatten(),
        ('C', 0..=99) => take(2, &[Data::Char(b'0' + value / 10), Data::Char(b'0' + value % 10)]),
        ('C', 100) => Some(Decoder { set: 'B', ..decoder }),
        ('C', 101) => Some(Decoder { set: 'A', ..decoder }),
        ('A' | 'B', 0..=95) => {
            let low = character_of(decoder.set, decoder.shift, value);
            let high = decoder.latched != decoder.fnc4;
            take(1, &[Data::Char(low + if high { 128 } else { 0 })])
        }
        ('A' | 'B', 98) => (!decoder.shift).then_some(Decoder { shift: true, ..decoder }),
        // Set C while latched is what decoders may disagree on.
        ('A' | 'B', 99) => {
            (!waiting && !decoder.latched).then_some(Decoder { set: 'C', ..decoder })
        }
        ('A', 101) | ('B', 100) => (!decoder.shift).then_some(match decoder.fnc4 {
            true => Decoder { latched: !decoder.latched, fnc4: false, ..decoder },
            false => Decoder { fnc4: true, ..decoder },
        }),
        ('A', 100) => (!waiting).then_some(Decoder { set: 'B', ..decoder }),
        ('B', 101) => (!waiting).then_some(Decoder { set: 'A', ..decoder }),
        // FNC2 and FNC3 carry no data of ours.
        _ => None,
    }
}

/// The seven-bit character of a value in set A or B, the other one under a shift.
fn character_of(set: char, shift: bool, value: u8) -> u8 {
    match ((set == 'A') != shift, value) {
        (true, 64..) => value - 64,
        _ => value + 32,
    }
}

/// The fewest symbol characters, start and data only, that decode to `data`.
fn search_least(data: &[Data]) -> usize {
    let mut front: BTreeSet<Decoder> = ['A', 'B', 'C'].map(start).into_iter().collect();
    let mut seen = front.clone();
    for characters in 1.. {
        if front.iter().any(|d| d.done == data.len() && !d.fnc4 && !d.shift) {
            return characters;
        }
        front = front
            .iter()
            .flat_map(|&decoder| (0..=102).filter_map(move |value| step(decoder, value, data)))
            .filter(|decoder| seen.insert(*decoder))
            .collect();
        assert!(!front.is_empty(), "no encoding of {data:?}");
    }
    unreachable!("the loop has no end")
}

/// Checks that a symbol of ours decodes to its data and has the least number of characters.
fn assert_minimal(data: &[Data]) {
    let symbol = Code128::encode(data).unwrap();
    let codewords = symbol.codewords();
    let body = &codewords[..codewords.len() - 2];
    let mut decoder = start(char::from(b'A' + (body[0] - 103)));
    for &value in &body[1..] {
        decoder = step(decoder, value, data)
            .unwrap_or_else(|| panic!("{data:?}: {codewords:?} stops decoding at {value}"));
    }
    assert_eq!(decoder.done, data.len(), "{data:?}: {codewords:?}");
    assert!(!decoder.fnc4 && !decoder.shift, "{data:?}: {codewords:?}");
    assert_eq!(body.len(), search_least(data), "{data:?}: {codewords:?}");
}

/// All sequences of `length` units of an alphabet.
fn sequences(alphabet: &[Data], length: usize) -> Vec<Vec<Data>> {
    (0..length).fold(vec![Vec::new()], |shorter, _| {
        let longer = |sequence: &Vec<Data>| -> Vec<Vec<Data>> {
            alphabet.iter().map(|&unit| [sequence.as_slice(), &[unit]].concat()).collect()
        };
        shorter.iter().flat_map(longer).collect()
    })
}

/// One unit of every kind: a digit, a capital (both sets), a small letter (B), a control (A),
/// their high halves, FNC1.
const KINDS: [Data; 8] = [
    Data::Char(b'7'),
    Data::Char(b'K'),
    Data::Char(b'k'),
    Data::Char(0x01),
    Data::Char(0xC0),
    Data::Char(0xE0),
    Data::Char(0x81),
    Data::Fnc1,
];

#[test]
fn every_short_sequence_of_all_kinds_is_minimal() {
    for length in 1..=4 {
        sequences(&KINDS, length).iter().for_each(|data| assert_minimal(data));
    }
}

#[test]
fn every_longer_sequence_of_digits_and_letters_is_minimal() {
    let alphabet = [Data::Char(b'7'), Data::Char(b'k'), Data::Char(0x01)];
    for length in 5..=7 {
        sequences(&alphabet, length).iter().for_each(|data| assert_minimal(data));
    }
}

#[test]
fn every_longer_sequence_of_plain_and_high_letters_is_minimal() {
    let alphabet = [Data::Char(b'k'), Data::Char(0xE0)];
    for length in 5..=10 {
        sequences(&alphabet, length).iter().for_each(|data| assert_minimal(data));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_data_is_minimal(kinds in prop::collection::vec(0_usize..KINDS.len(), 1..24)) {
        let data: Vec<Data> = kinds.iter().map(|&kind| KINDS[kind]).collect();
        assert_minimal(&data);
    }

    #[test]
    fn digits_with_few_others_are_minimal(
        digits in prop::collection::vec(prop::sample::select(vec![0_usize, 0, 0, 0, 0, 2, 3, 5, 7]), 1..24),
    ) {
        let data: Vec<Data> = digits.iter().map(|&kind| KINDS[kind]).collect();
        assert_minimal(&data);
    }
}
