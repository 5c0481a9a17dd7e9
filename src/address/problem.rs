//! What can be wrong with an address, as values: no text of an error is built
//! here, and nothing is decided about what a problem stops.

use super::Part;

/// How much a problem weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ProblemSeverity {
    /// Worth knowing; the mail arrives all the same.
    Note,
    /// Probably not meant.
    Warning,
    /// The mail would not arrive.
    Error,
}

impl ProblemSeverity {
    /// The word shown to people and scripts.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ProblemSeverity::Note => "note",
            ProblemSeverity::Warning => "warning",
            ProblemSeverity::Error => "error",
        }
    }
}

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
        match self {
            ProblemCode::MissingName => "missing-name",
            ProblemCode::MissingPart => "missing-part",
            ProblemCode::MissingCountry => "missing-country",
            ProblemCode::UnknownCountry => "unknown-country",
            ProblemCode::MalformedPostcode => "malformed-postcode",
            ProblemCode::UnexpectedPostcode => "unexpected-postcode",
            ProblemCode::RegionName => "region-name",
            ProblemCode::UnknownRegion => "unknown-region",
            ProblemCode::UnknownLanguage => "unknown-language",
        }
    }
}

/// One thing wrong with an address.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The kind.
    pub code: ProblemCode,
    /// How much it weighs.
    pub severity: ProblemSeverity,
    /// The part it is about.
    pub part: Part,
    /// What is wrong, with the text that was given.
    pub message: String,
    /// The change to make.
    pub hint: String,
}
