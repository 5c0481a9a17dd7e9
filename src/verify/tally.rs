//! The result of a proof: the grades of all codes of a batch together.
//!
//! In: proven codes, page by page. Out: how many read back, the weakest of them, and on demand
//! every code's grade for scripts. Not here: findings.

use serde_json::{Value, json};

use super::{Grade, Measure, ProvenCode, Reading};
use crate::findings::{Subject, rules};
use crate::sides::LeafSide;

/// The proven codes of one page.
#[derive(Clone, Debug, PartialEq)]
pub struct ProvenPage {
    /// What the document makes, such as `label`.
    pub document: &'static str,
    /// The parcel it is for.
    pub subject: Option<Subject>,
    /// Which of the parcel's pages it is, from 1.
    pub page: usize,
    /// Its side: a back stands behind that page, and behind all others.
    pub side: LeafSide,
    /// What was read of each, in painting order.
    pub codes: Vec<ProvenCode>,
    /// Pages of other PDFs on it that could not be drawn, and so were left out.
    pub unseen: usize,
}

/// The grades of all proven codes together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProofTally {
    /// Codes that read back as what was meant.
    read: usize,
    /// Codes that do not.
    failed: usize,
    /// Pages of other PDFs that were left out.
    unseen: usize,
    /// The weakest of each measure.
    weakest: [Option<f64>; 2],
    /// Every code's page, if they are kept.
    pages: Vec<ProvenPage>,
}

impl ProofTally {
    /// Takes in a page; `keep` says whether its codes are wanted one by one.
    pub fn take(&mut self, page: ProvenPage, keep: bool) {
        self.unseen += page.unseen;
        for code in &page.codes {
            match code.reading {
                Reading::Same => self.read += 1,
                Reading::Other(_) | Reading::Nothing => self.failed += 1,
            }
            let weakest = &mut self.weakest[code.measure as usize];
            *weakest = Some(weakest.map_or(code.value, |least| least.min(code.value)));
        }
        if keep && !page.codes.is_empty() {
            self.pages.push(page);
        }
    }

    /// Adds the grades of another document's codes.
    pub fn add(&mut self, other: ProofTally) {
        self.read += other.read;
        self.unseen += other.unseen;
        self.failed += other.failed;
        for (weakest, value) in self.weakest.iter_mut().zip(other.weakest) {
            *weakest = match (*weakest, value) {
                (Some(one), Some(two)) => Some(one.min(two)),
                (one, two) => one.or(two),
            };
        }
        self.pages.extend(other.pages);
    }

    /// Codes that read back as what was meant.
    #[must_use]
    pub fn read(&self) -> usize {
        self.read
    }

    /// The lowest value of a measure.
    #[must_use]
    pub fn weakest(&self, measure: Measure) -> Option<f64> {
        self.weakest[measure as usize]
    }

    /// One line for people: how many codes read back, and the weakest.
    #[must_use]
    pub fn summary(&self) -> String {
        let all = self.read + self.failed;
        let mut line = match (all, self.failed) {
            (0, _) => return "no codes to read back".to_owned(),
            (1, 0) => "1 code read back".to_owned(),
            (_, 0) => format!("{all} codes read back"),
            (_, _) => format!("{} of {all} codes read back", self.read),
        };
        let words = [
            (Measure::Decodability, "the weakest decodability"),
            (Measure::UnusedCorrection, "the least unused error correction"),
        ];
        for (measure, words) in words {
            if let Some(value) = self.weakest(measure) {
                line += &format!(", {words} {value:.2} ({})", Grade::of(value).letter());
            }
        }
        match self.unseen {
            0 => line,
            1 => line + "; the page of another PDF was left out",
            count => line + &format!("; {count} pages of other PDFs were left out"),
        }
    }

    /// Every code that was kept, as scripts see it: notes of the rule `proof`, beside findings.
    pub fn to_json(&self) -> impl Iterator<Item = Value> + '_ {
        self.pages.iter().flat_map(|page| page.codes.iter().map(|code| describe_code(page, code)))
    }
}

/// One code as scripts see it.
fn describe_code(page: &ProvenPage, code: &ProvenCode) -> Value {
    let name = code.name;
    // Two decimals are what a grade can tell; a float's tail would only look exact.
    let value = (code.value * 100.0).round() / 100.0;
    let (grade, measure) = (code.grade().letter(), code.measure.word());
    let verdict = match &code.reading {
        Reading::Same => "reads back",
        Reading::Other(_) => "reads back as something else",
        Reading::Nothing => "cannot be read back",
    };
    let mut entry = json!({
        "severity": rules::PROOF.severity.word(),
        "rule": rules::PROOF.name,
        "message": format!("this `{name}` {verdict}; its {measure} is {value:.2} ({grade})"),
        "hints": [],
        "block": name,
        "document": page.document,
        "page": page.page,
        "payload": code.payload,
        "read": code.reading == Reading::Same,
        "module_dots": code.module_dots,
        "measure": measure,
        "value": value,
        "grade": grade.to_string(),
    });
    if let Some(text) = &code.read_without_fnc4 {
        entry["read_without_fnc4"] = text.clone().into();
    }
    if page.side == LeafSide::Back {
        entry["side"] = "back".into();
    }
    if let Some(subject) = &page.subject {
        entry["order"] = subject.order.clone().into();
        if let Some(position) = subject.position {
            entry["position"] = position.into();
        }
    }
    entry
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::BlockId;

    /// A code that was read so.
    fn code(reading: Reading) -> ProvenCode {
        ProvenCode {
            block: BlockId(0),
            name: "code128",
            payload: "TH-1041".to_owned(),
            module_dots: 4,
            reading,
            read_without_fnc4: None,
            measure: Measure::Decodability,
            value: 1.0,
        }
    }

    #[test]
    fn what_reads_as_something_else_has_not_been_read() {
        let other = Reading::Other("TH-1042".to_owned());
        let codes = vec![code(Reading::Same), code(other), code(Reading::Nothing)];
        let page = ProvenPage {
            document: "label",
            subject: None,
            page: 1,
            side: LeafSide::Front,
            codes,
            unseen: 0,
        };
        let mut tally = ProofTally::default();
        tally.take(page, true);
        assert_eq!(tally.read(), 1);
        assert!(tally.summary().starts_with("1 of 3 codes read back, "), "{}", tally.summary());
        let read: Vec<_> = tally.to_json().map(|entry| entry["read"].clone()).collect();
        assert_eq!(read, [Value::Bool(true), Value::Bool(false), Value::Bool(false)]);
    }
}
