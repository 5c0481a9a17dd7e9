//! What the marks of a page are to someone who reads it without eyes, in reading order.
//!
//! In: a [`Page`], whose marks stand in reading order. Out: operators around them that say what they
//! are (ISO 32000-1 §14.6), and a [`TagElement`] for each text, code and picture. A text is whatever
//! a block says without a break; lines, boxes and tallies are artifacts (§14.8.2.2), which a reader
//! passes over. Not here: the tree of the elements (`structure`).

use crate::scene::{
    BlockId, CodeMark, Mark, MarkKind, Outline, OutlineUse, Page, RunStart, Symbol, TextRun,
};

use super::content::ContentStream;

/// What an element is (ISO 32000-1 §14.8.4).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ElementRole {
    /// Text.
    Paragraph,
    /// The tag of a parcel, which all else on its page is about.
    Heading,
    /// A code or a picture.
    Figure,
}

impl ElementRole {
    /// Its name in the file.
    pub(super) fn name(self) -> &'static [u8] {
        match self {
            ElementRole::Paragraph => b"P",
            ElementRole::Heading => b"H1",
            ElementRole::Figure => b"Figure",
        }
    }
}

/// Something that is read by itself.
#[derive(Debug)]
pub(super) struct TagElement {
    /// A paragraph, a heading, a picture.
    pub(super) role: ElementRole,
    /// How many pieces of the page's content it has. Pieces are numbered through the page.
    pub(super) pieces: u32,
    /// What is said in its place, for what is no text.
    pub(super) alternative: Option<String>,
    /// What its text says, where the order of its glyphs is not that of its letters.
    pub(super) text: Option<String>,
}

/// The number of a page's first piece of content: 0, or behind those that pages of other PDFs on it
/// bring along.
pub(super) fn find_first_piece(page: &Page) -> u32 {
    let counts = page.marks.iter().map(|mark| match &mark.kind {
        MarkKind::Foreign(foreign) => foreign.page.piece_count(),
        _ => 0,
    });
    counts.max().unwrap_or(0)
}

/// What reaches from one change of tags to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum TaggedStretch {
    /// Text of a block.
    Text(BlockId),
    /// A picture, which may be of many marks of its block.
    Picture(BlockId),
    /// The mark at this place, a code or a page of another PDF.
    Mark(usize),
    /// What is only seen.
    Artifact,
}

/// Tags the marks of a page one after the other.
pub(super) struct Tagger<'p> {
    /// Whose marks are tagged.
    page: &'p Page,
    /// The elements so far.
    elements: Vec<TagElement>,
    /// Pieces of the content before the last element.
    pieces: u32,
    /// What the content is inside of.
    open: Option<TaggedStretch>,
    /// The runs of the last element.
    runs: Vec<&'p TextRun>,
}

impl<'p> Tagger<'p> {
    /// Before the first mark of a page whose pieces are numbered from `first`.
    pub(super) fn new(page: &'p Page, first: u32) -> Tagger<'p> {
        // A label has ten elements, and few blocks have more runs.
        let (elements, runs) = (Vec::with_capacity(12), Vec::with_capacity(12));
        Tagger { page, elements, pieces: first, open: None, runs }
    }

    /// Brings the content to where a mark can be painted, and tells whether a line follows that goes
    /// on with its text.
    pub(super) fn reach(
        &mut self,
        place: usize,
        mark: &'p Mark,
        content: &mut ContentStream,
    ) -> bool {
        let stretch = match &mark.kind {
            MarkKind::Text(_) => TaggedStretch::Text(mark.block),
            MarkKind::Code(_) | MarkKind::Foreign(_) => TaggedStretch::Mark(place),
            MarkKind::Outline(Outline { part_of: OutlineUse::Frame, .. }) => {
                TaggedStretch::Artifact
            }
            MarkKind::Outline(_) | MarkKind::Picture(_) => TaggedStretch::Picture(mark.block),
            MarkKind::Fill(..) | MarkKind::Tally(_) => TaggedStretch::Artifact,
        };
        if self.open != Some(stretch) || begins_row(mark) {
            content.end_tag();
            self.open = Some(stretch);
            self.enter(stretch, mark, content);
        }
        let MarkKind::Text(run) = &mark.kind else { return false };
        self.runs.push(run);
        let next = self.page.marks.get(place + 1).filter(|next| next.block == mark.block);
        next.is_some_and(|next| match &next.kind {
            MarkKind::Text(run) => matches!(run.begins, RunStart::Line | RunStart::Paragraph),
            _ => false,
        })
    }

    /// The elements, once all marks are painted.
    pub(super) fn finish(mut self, content: &mut ContentStream) -> Vec<TagElement> {
        content.end_tag();
        self.finish_element(content);
        self.elements
    }

    /// Begins something else.
    fn enter(&mut self, stretch: TaggedStretch, mark: &Mark, content: &mut ContentStream) {
        match stretch {
            TaggedStretch::Artifact => content.begin_artifact(),
            TaggedStretch::Text(block) => {
                let role = self.role_of(block);
                self.begin_element(role, None, content);
                content.begin_text_tag(role.name());
            }
            TaggedStretch::Mark(_) | TaggedStretch::Picture(_) => {
                if matches!(mark.kind, MarkKind::Foreign(_)) {
                    content.restore_fresh();
                }
                self.begin_element(ElementRole::Figure, Some(describe(&mark.kind)), content);
                content.begin_figure();
            }
        }
    }

    /// Adds an element that has no content yet.
    fn begin_element(
        &mut self,
        role: ElementRole,
        alternative: Option<String>,
        content: &ContentStream,
    ) {
        self.finish_element(content);
        self.elements.push(TagElement { role, pieces: 0, alternative, text: None });
    }

    /// Completes the last element, now that all of it is known.
    fn finish_element(&mut self, content: &ContentStream) {
        let before = std::mem::replace(&mut self.pieces, content.pieces());
        if let Some(element) = self.elements.last_mut() {
            element.pieces = content.pieces() - before;
            if self.runs.iter().any(|run| run.rtl) {
                element.text = Some(spell(&self.runs));
            }
            // A text without a glyph.
            if element.pieces == 0 {
                self.elements.pop();
            }
        }
        self.runs.clear();
    }

    /// What the text of a block is.
    fn role_of(&self, block: BlockId) -> ElementRole {
        match self.page.blocks.get(block.0 as usize) {
            Some(block) if block.name == "tag" => ElementRole::Heading,
            _ => ElementRole::Paragraph,
        }
    }
}

/// Whether a row of a table begins with a mark.
fn begins_row(mark: &Mark) -> bool {
    matches!(&mark.kind, MarkKind::Text(run) if run.begins == RunStart::Row)
}

/// What is said in the place of a mark that is no text.
fn describe(mark: &MarkKind) -> String {
    match mark {
        MarkKind::Code(CodeMark { symbol: Symbol::Qr(_), payload, .. }) => format!("QR: {payload}"),
        MarkKind::Code(code) => format!("{}: {}", code.symbol.kind(), code.payload),
        MarkKind::Foreign(_) => "page of another PDF".to_owned(),
        _ => "picture".to_owned(),
    }
}

/// The text of runs in the order it is read, a space between lines that have one.
fn spell(runs: &[&TextRun]) -> String {
    let mut text = String::new();
    for line in runs.chunk_by(|_, next| next.begins == RunStart::Nothing) {
        if !text.is_empty() && line[0].begins != RunStart::BrokenLine {
            text.push(' ');
        }
        let stands = (0_i64..).zip(line);
        let mut order: Vec<(i64, &str)> =
            stands.map(|(at, run)| (at + i64::from(run.reads_later), &*run.text)).collect();
        order.sort_unstable();
        order.iter().for_each(|(_, words)| text.push_str(words));
    }
    text
}
