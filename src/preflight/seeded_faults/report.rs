//! How many faults of each class were put in and found, as a table that is compared.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use super::chance::Chance;
use super::classes::CLASSES;
use crate::preflight::Rules;
use crate::preflight::batch::tests::seed;
use crate::preflight::sample::{good_page, inspect};

/// How often each class is put in.
const TRIES: usize = 500;

/// What became of the faults of one class.
#[derive(Default)]
struct ClassScore {
    /// Faults put in.
    injected: usize,
    /// Faults found.
    found: usize,
    /// How many each rule found; several may find the same.
    rules: BTreeMap<&'static str, usize>,
}

impl ClassScore {
    /// Takes in a fault and the rules that found it.
    fn add(&mut self, spoke: &[&'static str]) {
        self.injected += 1;
        self.found += usize::from(!spoke.is_empty());
        for rule in spoke {
            *self.rules.entry(rule).or_default() += 1;
        }
    }
}

/// Numbers from 0 to 1 that look like chance and are the same every time: xorshift with 64 bits
/// (Marsaglia, 2003).
struct Dice(u64);

impl Dice {
    /// The next number.
    fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Faults of a page.
fn score_pages(dice: &mut Dice) -> Vec<(&'static str, ClassScore)> {
    let mut scores = Vec::new();
    for class in CLASSES {
        let mut score = ClassScore::default();
        for _ in 0..TRIES {
            let [which, other, amount, along] = std::array::from_fn(|_| dice.roll());
            let mut page = good_page();
            (class.inject)(&mut page, Chance { which, other, amount, along });
            let found = inspect(&page, &Rules::default());
            let spoke = class.found_by.iter().copied();
            let spoke: Vec<_> =
                spoke.filter(|rule| found.iter().any(|it| it.rule == *rule)).collect();
            score.add(&spoke);
        }
        scores.push((class.name, score));
    }
    scores
}

/// Faults across the pages of batches of 2 to 39 parcels.
fn score_batches(dice: &mut Dice) -> Vec<(&'static str, ClassScore)> {
    let mut scores: Vec<(&'static str, ClassScore)> = Vec::new();
    for _ in 0..TRIES {
        let count = 2 + (dice.roll() * 38.0) as usize;
        let one = (dice.roll() * count as f64) as usize;
        let other = (one + 1 + (dice.roll() * (count - 1) as f64) as usize) % count;
        for (number, (name, spoke, _)) in seed(count, one, other).into_iter().enumerate() {
            if number == scores.len() {
                scores.push((name, ClassScore::default()));
            }
            scores[number].1.add(&spoke);
        }
    }
    scores
}

#[test]
fn every_fault_that_is_put_in_is_found() {
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let mut table = String::from("| fault | put in | found | by |\n|:---|---:|---:|:---|\n");
    for (name, score) in score_pages(&mut dice).into_iter().chain(score_batches(&mut dice)) {
        assert_eq!(score.found, score.injected, "{name}");
        let rules = score.rules.iter().map(|(rule, count)| format!("`{rule}` {count}"));
        let rules = rules.collect::<Vec<_>>().join(", ");
        let _ = writeln!(table, "| {name} | {} | {} | {rules} |", score.injected, score.found);
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/preflight/seeded-faults.md");
    if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
        std::fs::write(&path, &table).unwrap();
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap_or_default(), table);
}
