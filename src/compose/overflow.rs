//! Text that does not fit: what it needs, what it has, and the way out.

use std::sync::Arc;

use super::Job;
use super::text::{break_all, limit};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::fonts::Paragraph;
use crate::geom::{Size, show_points};
use crate::layout::{Fit, TypeStyle};
use crate::words::{counted, shorten_to};

/// Characters that a message shows of a text to tell it from others; ours: about six words.
const FIRST_WORDS: usize = 32;

impl Job<'_, '_> {
    /// Reports text that does not fit, with what it needs.
    pub(super) fn report_overflow(
        &mut self,
        bound: &Bound<'_>,
        paragraphs: &[Arc<Paragraph>],
        style: &TypeStyle,
        fit: Fit,
        room: Size,
    ) {
        let full = self.type_size(style);
        let size = match fit {
            Fit::Shrink => self.length(style.smallest).min(full),
            Fit::Wrap | Fit::Fail => full,
        };
        let wraps = fit != Fit::Fail;
        let words = paragraphs.iter().map(|it| match wraps {
            true => it.min_width_em(),
            false => it.natural_width_em(),
        });
        let widest = size * words.fold(0.0, f64::max);
        let points = show_points(size);
        let name = bound.block.name;
        let begins = first_words(paragraphs);
        let finding = if widest.exceeds(room.width) {
            let what = match wraps {
                true => format!("the word `{}` of this `{name}`", self.widest_word(paragraphs)),
                false => format!("this `{name}`, `{begins}`,"),
            };
            let message = format!(
                "{what} needs {widest} in width at {points}, its box has {}: {} too many",
                room.width,
                widest - room.width
            );
            // No box is wider than the paper, so none is asked for.
            let larger = match widest.exceeds(self.paper.width) {
                true => "shorten the text".to_owned(),
                false => format!("make its box at least {widest} wide"),
            };
            Finding::new(&rules::OVERFLOW, message).hint(match fit {
                Fit::Fail => format!("{larger}, or set `fit: shrink`"),
                _ => format!("{larger}, or make its type smaller"),
            })
        } else {
            let limit = if wraps { limit(room.width, size) } else { f64::INFINITY };
            let lines = break_all(&mut self.composer.shaper, paragraphs, limit).len();
            let needed = size * style.leading * lines as f64;
            let lines = counted(lines, "line");
            let message = format!(
                "this `{name}`, `{begins}`, needs {needed} in height for {lines} at {points}, its \
                 box has {}: {} too many",
                room.height,
                needed - room.height
            );
            let larger = match needed.exceeds(self.paper.height) {
                true => "shorten the text".to_owned(),
                false => format!("make its box at least {needed} high"),
            };
            Finding::new(&rules::OVERFLOW, message).hint(match fit {
                Fit::Shrink => larger,
                _ => format!("{larger}, or set `fit: shrink`"),
            })
        };
        self.find(bound, finding);
    }

    /// The word of paragraphs that takes the most width: each stands on a line of its own where
    /// there is no room at all.
    fn widest_word(&mut self, paragraphs: &[Arc<Paragraph>]) -> String {
        let lines = break_all(&mut self.composer.shaper, paragraphs, 0.0);
        let widest = lines.iter().max_by(|one, other| one.1.width_em.total_cmp(&other.1.width_em));
        let word = widest.and_then(|(index, line)| {
            paragraphs.get(*index)?.text().get(line.text.clone()).map(str::trim)
        });
        shorten_to(word.unwrap_or_default(), FIRST_WORDS)
    }
}

/// The first words of paragraphs, to tell one block of text from another.
fn first_words(paragraphs: &[Arc<Paragraph>]) -> String {
    let text = paragraphs.iter().map(|it| it.text().trim()).find(|text| !text.is_empty());
    let line = text.and_then(|text| text.lines().next()).unwrap_or_default();
    shorten_to(line, FIRST_WORDS)
}
