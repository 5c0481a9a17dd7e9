//! Fonts: text in, glyphs in their places out.
//!
//! Comes in: font files and text with its style. Goes out: paragraphs that
//! know their widths and break into [`Line`]s of [`GlyphRun`]s of [`Glyph`]s, and
//! for each face its measures, outlines and file. All lengths are in em, so
//! that one result serves every size. Sizes, places on the page, subsetting
//! and reading font folders are not its job.
//!
//! The way of a text: [`Shaper::paragraph`] cuts it at forced breaks
//! (`breaks`), into stretches of one face, script and direction (`itemise`),
//! shapes those or finds them among the words shaped before (`shaper`), and
//! finds where lines may end. [`Paragraph::break_lines`] (`paragraph`) then
//! chooses the ends for a width and puts each line into visual order (`line`).

mod book;
mod breaks;
mod cut;
mod emoji;
mod error;
mod face;
mod features;
mod itemise;
mod kept;
mod line;
mod line_class;
mod line_rules;
mod paragraph;
mod shaper;
mod spaces;
mod style;
#[cfg(test)]
mod tests;
mod token;

pub use book::{FamilyId, FontBook, FontId};
pub use cut::Cut;
pub use error::FontError;
pub use face::{Embedding, FaceLabel, FaceMetrics, GlyphBox, read_face_labels};
pub use itemise::spell_missing;
pub use line::{Cluster, GlyphRun, Line};
pub use paragraph::{GlyphReach, Paragraph};
pub use shaper::{Glyph, Shaper};
pub use style::{BaseDirection, MissingGlyph, MissingGlyphs, TextError, TextStyle};
