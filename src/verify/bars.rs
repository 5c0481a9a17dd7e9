//! How safely bars decode from the widths that they and their spaces came out with.
//!
//! In: a symbol, and its print. Out: its decodability, 0 to 1. Not here: decoding it.
//!
//! The measure is the reference decode of Code 128 (GS1 General Specifications R18, p. 263, which
//! follows ISO/IEC 15417): a character is told by its four measures from an edge to the next
//! similar edge, and checked by the sum of its bars. Decodability is how far the worst measure
//! stays from being taken for another, as a part of how far it could stay: 1 is exact, 0 is unsafe.
//! ISO/IEC 15416 names the quantities (clause 4.2: K, the smallest distance of a measure from a
//! reference threshold; S, a character's width; n, its modules); that what could be lost is half a
//! module, S/2n, and 1.75 modules for the sum of the bars, follows from the reference decode.
//!
//! A digit of an EAN is told in the same way by two such measures, and 1 from 7 and 2 from 8, which
//! have the same two, by the sum of its bars: 3 modules or 5. What could be lost there is one module,
//! the way to the threshold between.

use super::dots::PagePart;
use crate::codes::BarRow;
use crate::export::Bitmap;
use crate::scene::{CodeMark, Symbol, SymbolForm};

/// Elements of a character of Code 128: three bars and three spaces in turn. The stop has one bar more.
const ELEMENTS: usize = 6;

/// Modules in a character of Code 128.
const MODULES: f64 = 11.0;

/// How far the sum of a character's bars may be off, in modules, in the reference decode.
const BAR_SUM_ALLOWANCE: f64 = 1.75;

/// Elements of a digit of an EAN: two bars and two spaces in turn.
const DIGIT_ELEMENTS: usize = 4;

/// How wide a digit of an EAN is.
const DIGIT_MODULES: f64 = 7.0;

/// Elements of the guards at the ends of an EAN, and of the one in its middle.
const GUARD_ELEMENTS: [usize; 2] = [3, 5];

/// Lines across the bars that are measured: ten, as ISO/IEC 15416 has it (keyence.com, "ISO/IEC 15416
/// Verification Method"). There they lie in the middle 80 % of the height and their grades are
/// averaged; ours lie all over it and the worst counts, since a drawing has no bad luck.
const LINES: u32 = 10;

/// The widest module that is thought of when a wider one is proposed, in dots.
const WIDEST_MODULE: u32 = 24;

/// The decodability of a symbol in its print, at the worst of ten lines spread over its height;
/// `part` is the symbol with the white before and behind it. 0 for a square.
pub(super) fn measure_bars(code: &CodeMark, printed: &Bitmap, part: PagePart) -> f64 {
    let (across, down) = (part.width, part.height);
    let [length, height] = if code.stance.is_lying() { [down, across] } else { [across, down] };
    let is_dark = |along: u32, line: u32| {
        let [x, y, ..] = code.stance.place_box([along, line, 1, 1], [length, height]);
        let place = |start: i64, at: u32| u32::try_from(start + i64::from(at)).ok();
        place(part.x, x).zip(place(part.y, y)).is_some_and(|(x, y)| printed.get(x, y))
    };
    let measure_line = |line: u32| {
        // In the middle of each tenth.
        let line = height * (2 * line + 1) / (2 * LINES);
        decodability(&code.symbol, &list_widths((0..length).map(|along| is_dark(along, line))))
    };
    (0..LINES).map(measure_line).fold(1.0, f64::min)
}

/// The widths of bars and spaces from the first dark dot to the last one.
fn list_widths(dots: impl Iterator<Item = bool>) -> Vec<f64> {
    let mut widths: Vec<f64> = Vec::new();
    let mut last = false;
    for dark in dots {
        match widths.last_mut() {
            Some(width) if dark == last => *width += 1.0,
            None if !dark => {}
            _ => widths.push(1.0),
        }
        last = dark;
    }
    // White behind the last bar is no space of the symbol.
    if !last {
        widths.pop();
    }
    widths
}

/// The fewest dots a module, more than `dots`, that give a symbol at least this decodability with
/// a gain; none when even wide modules do not.
pub(super) fn wider_module(symbol: &Symbol, dots: u32, gain: i32, least: f64) -> Option<u32> {
    let SymbolForm::Bars(row) = symbol.shape() else { return None };
    (dots + 1..=WIDEST_MODULE).find(|&dots| {
        let widths: Vec<f64> = row
            .widths()
            .enumerate()
            .map(|(place, width)| {
                let gain = if place % 2 == 0 { gain } else { -gain };
                f64::from(width) * f64::from(dots) + f64::from(gain)
            })
            .collect();
        widths.iter().all(|&width| width >= 1.0) && decodability(symbol, &widths) >= least
    })
}

/// The decodability of a symbol whose bars and spaces came out this wide, in any unit; 0 when
/// there are more or fewer of them than the symbol has.
pub(super) fn decodability(symbol: &Symbol, printed: &[f64]) -> f64 {
    let SymbolForm::Bars(row) = symbol.shape() else { return 0.0 };
    let wanted: Vec<u8> = row.widths().collect();
    if printed.len() != wanted.len() {
        return 0.0;
    }
    match symbol {
        Symbol::Ean(_) => measure_digits(row, &wanted, printed),
        _ => {
            // The stop's last bar belongs to no character of eleven modules, so it is not measured.
            let characters = wanted.chunks_exact(ELEMENTS).zip(printed.chunks_exact(ELEMENTS));
            let measured = characters.map(|(wanted, printed)| measure_character(wanted, printed));
            measured.fold(1.0, f64::min)
        }
    }
}

/// The decodability of an EAN: that of its worst digit.
fn measure_digits(row: &BarRow, wanted: &[u8], printed: &[f64]) -> f64 {
    let [end, middle] = GUARD_ELEMENTS;
    let half = (row.widths().count() - 2 * end - middle) / 2;
    let mut worst: f64 = 1.0;
    // The digits of the left half begin with a space, those of the right half with a bar.
    for (start, first_bar) in [(end, 1), (end + half + middle, 0)] {
        let digits = wanted[start..start + half].chunks_exact(DIGIT_ELEMENTS);
        let printed = printed[start..start + half].chunks_exact(DIGIT_ELEMENTS);
        for (wanted, printed) in digits.zip(printed) {
            worst = worst.min(measure_digit(wanted, printed, first_bar));
        }
    }
    worst
}

/// The decodability of one digit, at least 0; `first_bar` is the place of its first bar.
fn measure_digit(wanted: &[u8], printed: &[f64], first_bar: usize) -> f64 {
    let module = printed.iter().sum::<f64>() / DIGIT_MODULES;
    if module <= 0.0 {
        return 0.0;
    }
    let edges = measure_edges(wanted, printed, module, 2);
    // 1 and 7, and 2 and 8, have measures of 3 and 4 modules in either order, or 4 and 3.
    let measures = (wanted[0] + wanted[1], wanted[1] + wanted[2]);
    if !matches!(measures, (4, 4) | (3, 3)) {
        return edges.max(0.0);
    }
    let bars = |widths: &[f64]| -> f64 { widths.iter().skip(first_bar).step_by(2).sum() };
    let meant: Vec<f64> = wanted.iter().copied().map(f64::from).collect();
    let off = bars(printed) / module - bars(&meant);
    edges.min(1.0 - off.abs()).max(0.0)
}

/// How far the worst of the first measures from an edge to the next similar edge stays from being
/// taken for another: a measure is taken for n modules from n − ½ to n + ½, and half a module is all
/// there is.
fn measure_edges(wanted: &[u8], printed: &[f64], module: f64, count: usize) -> f64 {
    let edges = wanted.windows(2).zip(printed.windows(2)).take(count).map(|(wanted, printed)| {
        let modules = (printed[0] + printed[1]) / module;
        (0.5 - (modules - f64::from(wanted[0] + wanted[1])).abs()) / 0.5
    });
    edges.fold(1.0, f64::min)
}

/// The decodability of one character, at least 0.
fn measure_character(wanted: &[u8], printed: &[f64]) -> f64 {
    let module = printed.iter().sum::<f64>() / MODULES;
    if module <= 0.0 {
        return 0.0;
    }
    let edges = measure_edges(wanted, printed, module, 4);
    let dark: f64 = printed.iter().step_by(2).sum::<f64>() / module;
    let wanted_dark: u8 = wanted.iter().step_by(2).sum();
    let bars = (BAR_SUM_ALLOWANCE - (dark - f64::from(wanted_dark)).abs()) / BAR_SUM_ALLOWANCE;
    edges.min(bars).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    use crate::codes::{Code128, Ean, ElementStrings};

    /// The example symbol of ISO/IEC 15417.
    fn aim() -> Symbol {
        Symbol::Code128(Arc::new(Code128::encode_text("AIM").unwrap()))
    }

    /// A row of bars' widths.
    fn widths_of(symbol: &Symbol) -> Vec<u8> {
        match symbol.shape() {
            SymbolForm::Bars(row) => row.widths().collect(),
            SymbolForm::Square(_) => unreachable!(),
        }
    }

    /// The serial shipping container code of GS1 General Specifications, Fig. 5.4.2-1.
    fn sscc() -> Symbol {
        let elements = ElementStrings::parse("(00)395123451234567895").unwrap();
        Symbol::Code128(Arc::new(elements.to_code128().unwrap()))
    }

    /// The widths that elements get when modules of `dots` dots are put on whole dots.
    fn sampled(symbol: &Symbol, dots: f64) -> Vec<f64> {
        let mut modules = 0.0;
        let mut edge = 0.0;
        let widths = widths_of(symbol).into_iter().map(|width| {
            modules += f64::from(width);
            let next: f64 = (modules * dots).round();
            let printed = next - edge;
            edge = next;
            printed
        });
        widths.collect()
    }

    /// The widths when every bar gains this many dots from its neighbours.
    fn grown(symbol: &Symbol, dots: f64, gain: f64) -> Vec<f64> {
        let places = widths_of(symbol).into_iter().enumerate();
        places
            .map(|(place, width)| {
                let sign = if place % 2 == 0 { 1.0 } else { -1.0 };
                f64::from(width) * dots + sign * gain
            })
            .collect()
    }

    /// Two decimals, as the vectors are given.
    fn rounded(value: f64) -> f64 {
        (value * 100.0).round() / 100.0
    }

    #[test]
    fn whole_dots_lose_nothing() {
        for dots in 1..=12 {
            for symbol in [aim(), sscc()] {
                assert_eq!(decodability(&symbol, &sampled(&symbol, f64::from(dots))), 1.0);
            }
        }
    }

    /// Figures of a few lines of Python that have the formula of the module and nothing else of it.
    #[test]
    fn modules_of_no_whole_dots_lose_what_a_second_reckoning_says() {
        let vectors = [
            (2.25, 0.28, 0.20),
            (2.5, 0.41, 0.41),
            (2.64, 0.31, 0.20),
            (3.3, 0.44, 0.44),
            (3.5, 0.58, 0.58),
            (4.5, 0.67, 0.67),
        ];
        for (dots, of_aim, of_sscc) in vectors {
            let measure = |symbol| rounded(decodability(&symbol, &sampled(&symbol, dots)));
            assert_eq!((measure(aim()), measure(sscc())), (of_aim, of_sscc), "{dots} dots");
        }
    }

    #[test]
    fn a_dot_of_gain_costs_what_a_second_reckoning_says() {
        for (dots, left) in [(2.0, 0.14), (3.0, 0.43), (4.0, 0.57), (5.0, 0.66), (6.0, 0.71)] {
            for symbol in [aim(), sscc()] {
                let gain = |gain| rounded(decodability(&symbol, &grown(&symbol, dots, gain)));
                assert_eq!((gain(1.0), gain(-1.0)), (left, left), "{dots} dots");
            }
        }
    }

    #[test]
    fn a_wider_module_is_the_first_that_is_good_enough() {
        assert_eq!(wider_module(&aim(), 2, 1, 0.37), Some(3));
        assert_eq!(wider_module(&aim(), 2, 1, 0.62), Some(5));
        assert_eq!(wider_module(&sscc(), 4, 0, 0.37), Some(5));
        assert_eq!(wider_module(&sscc(), 2, 60, 0.37), None);
    }

    #[test]
    fn widths_are_counted_from_the_first_bar_to_the_last() {
        let dots = |picture: &str| list_widths(picture.chars().map(|dot| dot == '#'));
        assert_eq!(dots("..##.#...##.."), [2.0, 1.0, 1.0, 3.0, 2.0]);
        assert_eq!(dots("#"), [1.0]);
        assert!(dots("....").is_empty());
    }

    #[test]
    fn a_missing_edge_is_no_symbol_at_all() {
        let symbol = aim();
        let mut printed = sampled(&symbol, 4.0);
        printed.truncate(printed.len() - 2);
        assert_eq!(decodability(&symbol, &printed), 0.0);
        assert_eq!(decodability(&symbol, &vec![0.0; widths_of(&symbol).len()]), 0.0);
    }

    /// Ten digits of the standard's figures, both halves and both sets of the left one.
    fn ean() -> Symbol {
        Symbol::Ean(Arc::new(Ean::encode("4512345678906").unwrap()))
    }

    /// Digits of one parity are told apart by two measures, but for 1 and 7, and 2 and 8.
    #[test]
    fn only_two_pairs_of_digits_need_the_sum_of_their_bars() {
        // The second digit of an EAN-13 is always of set A: its widths stand behind the guard.
        let digit = |it: u32| {
            let stem = format!("4{it}1234567890");
            let check = crate::codes::gs1_check_digit(&stem).unwrap();
            let symbol = Symbol::Ean(Arc::new(Ean::encode(&format!("{stem}{check}")).unwrap()));
            let widths = widths_of(&symbol)[3..7].to_vec();
            ((widths[0] + widths[1], widths[1] + widths[2]), widths[1] + widths[3])
        };
        let mut same = Vec::new();
        for (one, other) in (0..10).flat_map(|one| (0..one).map(move |other| (other, one))) {
            let ((a, bars_a), (b, bars_b)) = (digit(one), digit(other));
            if a == b {
                assert!(matches!(a, (4, 4) | (3, 3)));
                assert_eq!((bars_a.min(bars_b), bars_a.max(bars_b)), (3, 5));
                same.push((one, other));
            }
        }
        assert_eq!(same, [(1, 7), (2, 8)]);
    }

    #[test]
    fn an_ean_loses_its_safety_to_gain_by_the_sum_of_two_bars() {
        for dots in 1..=8 {
            assert_eq!(decodability(&ean(), &sampled(&ean(), f64::from(dots))), 1.0);
        }
        // Two bars gain a dot each: 2 of 2, 3, 4 and 6 dots a module.
        for (dots, left) in [(2.0, 0.0), (3.0, 0.33), (4.0, 0.5), (6.0, 0.67)] {
            let value = rounded(decodability(&ean(), &grown(&ean(), dots, 1.0)));
            assert_eq!(value, left, "{dots} dots");
        }
        assert_eq!(wider_module(&ean(), 2, 1, 0.37), Some(4));
        assert_eq!(decodability(&ean(), &[1.0; 58]), 0.0);
    }
}
