//! What can be wrong with an address, as values: no text of an error is built
//! here, and nothing is decided about what a problem stops.

use super::Part;
use crate::findings::{Rule, Severity, rules};

/// The kind of a problem, for scripts and tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ProblemCode {
    /// Neither a person nor a firm, or a firm without a person.
    MissingName,
    /// A part that the country's addresses need.
    MissingPart,
    /// No country at all.
    MissingCountry,
    /// Not a code of ISO 3166-1 alpha-2.
    UnknownCountry,
    /// A postcode of another shape than the country's.
    MalformedPostcode,
    /// A postcode for a country that has none in the data.
    UnexpectedPostcode,
    /// A region by its name where its short code is written.
    RegionName,
    /// A region that the country does not have.
    UnknownRegion,
    /// No names of countries in this language.
    UnknownLanguage,
}

impl ProblemCode {
    /// The kind's name for scripts.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.rule().name
    }

    /// The rule of its finding.
    pub(crate) fn rule(self) -> &'static Rule {
        match self {
            ProblemCode::MissingName => &rules::MISSING_NAME,
            ProblemCode::MissingPart => &rules::MISSING_PART,
            ProblemCode::MissingCountry => &rules::MISSING_COUNTRY,
            ProblemCode::UnknownCountry => &rules::UNKNOWN_COUNTRY,
            ProblemCode::MalformedPostcode => &rules::MALFORMED_POSTCODE,
            ProblemCode::UnexpectedPostcode => &rules::UNEXPECTED_POSTCODE,
            ProblemCode::RegionName => &rules::REGION_NAME,
            ProblemCode::UnknownRegion => &rules::UNKNOWN_REGION,
            ProblemCode::UnknownLanguage => &rules::UNKNOWN_LANGUAGE,
        }
    }
}

/// One thing wrong with an address.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The kind.
    pub code: ProblemCode,
    /// How much it weighs.
    pub severity: Severity,
    /// The part it is about.
    pub part: Part,
    /// What is wrong, with the text that was given.
    pub message: String,
    /// The change to make.
    pub hint: String,
}
