//! A content stream in the making.
//!
//! In: paths, text and pictures in the units of a [`Frame`]. Out: the operators of
//! ISO 32000-1 Annex A as short as they can be. Text objects and paths are opened and closed as
//! needed, so that neighbours share them, and a state is set only when it changes. Not here: which
//! glyphs and boxes (`text`, `code`, `page`).

use crate::fonts::FontId;
use crate::geom::{FillRule, Segment, Stance};
use crate::scene::Ink;

use super::super::decimal::{push_fixed, to_fixed};
use super::frame::{Frame, StreamBox};

/// Decimals of places on the page: a hundredth of a dot.
pub(super) const PLACE_DECIMALS: usize = 2;

/// Decimals of sizes and of places inside a code.
pub(super) const SIZE_DECIMALS: usize = 3;

/// Decimals of scales: over 10,000 dots the size of a dot in points stays within a hundredth.
const SCALE_DECIMALS: usize = 8;

/// What an unfinished stretch of the stream is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Open {
    /// The last operator stands by itself.
    Nothing,
    /// A text object.
    Text,
    /// A path of boxes still to be filled.
    Path,
}

/// A content stream and the graphics state at its end.
pub(super) struct ContentStream {
    /// The stream so far.
    out: Vec<u8>,
    /// Whether strings are written as hexadecimal digits, for people.
    readable: bool,
    /// What is unfinished.
    open: Open,
    /// The fill colour.
    ink: Ink,
    /// The font and its size in thousandths of a dot.
    font: Option<(FontId, i64)>,
    /// The letter spacing in thousandths of a dot.
    spacing: i64,
    /// Where the line of the open text object starts, in hundredths of a dot.
    line: (i64, i64),
    /// How that line stands.
    stance: Stance,
    /// Whether the fresh page's state is saved, to be gone back to.
    saved: bool,
    /// What the text at hand is tagged as.
    tag: Option<&'static [u8]>,
    /// Whether a piece of content or an artifact is open.
    is_tagged: bool,
    /// The number of the next piece of content.
    pieces: u32,
}

impl ContentStream {
    /// An empty stream in a page's coordinate system; `room` is written over.
    pub(super) fn new(frame: &Frame, readable: bool, mut room: Vec<u8>) -> ContentStream {
        room.clear();
        let mut content = ContentStream {
            out: room,
            readable,
            open: Open::Nothing,
            ink: Ink::Black,
            font: None,
            spacing: 0,
            line: (0, 0),
            stance: Stance::UPRIGHT,
            saved: false,
            tag: None,
            is_tagged: false,
            pieces: 0,
        };
        let scale = frame.points_per_dot();
        content.number(scale, SCALE_DECIMALS);
        content.raw(b"0 0 ");
        content.number(scale, SCALE_DECIMALS);
        content.raw(b"0 ");
        content.number(frame.height, 4);
        content.raw(b"cm\n");
        content
    }

    /// Saves the state of the fresh page, for [`ContentStream::begin_clipped`].
    pub(super) fn save_fresh(&mut self) {
        self.raw(b"q\n");
        self.saved = true;
    }

    /// Goes back to the saved state of the fresh page, for [`ContentStream::begin_clipped`].
    pub(super) fn restore_fresh(&mut self) {
        self.close();
        if self.saved {
            self.raw(b"Q q\n");
            (self.ink, self.font, self.spacing) = (Ink::Black, None, 0);
        }
    }

    /// What was written, with everything closed that was open.
    pub(super) fn finish(mut self) -> Vec<u8> {
        self.close();
        if self.saved {
            self.raw(b"Q\n");
        }
        self.out
    }

    /// Adds bytes as they are.
    pub(super) fn raw(&mut self, bytes: &[u8]) {
        self.out.extend_from_slice(bytes);
    }

    /// Adds a number and a space.
    pub(super) fn number(&mut self, value: f64, decimals: usize) {
        push_fixed(&mut self.out, to_fixed(value, decimals), decimals);
        self.out.push(b' ');
    }

    /// Adds a number of steps of 10^-`decimals`, without a space.
    pub(super) fn fixed(&mut self, steps: i64, decimals: usize) {
        push_fixed(&mut self.out, steps, decimals);
    }

    /// Begins a string of codes.
    pub(super) fn begin_string(&mut self) {
        self.out.push(if self.readable { b'<' } else { b'(' });
    }

    /// Ends a string of codes.
    pub(super) fn end_string(&mut self) {
        self.out.push(if self.readable { b'>' } else { b')' });
    }

    /// Adds a code to the open string (ISO 32000-1 §7.3.4).
    pub(super) fn string_code(&mut self, code: u16) {
        if self.readable {
            return self.raw(&hex(code));
        }
        for byte in code.to_be_bytes() {
            match byte {
                b'(' | b')' | b'\\' => self.raw(&[b'\\', byte]),
                // A bare carriage return would be read as a line feed.
                b'\r' => self.raw(b"\\r"),
                _ => self.out.push(byte),
            }
        }
    }

    /// Ends an open text object or fills an open path.
    pub(super) fn close(&mut self) {
        match std::mem::replace(&mut self.open, Open::Nothing) {
            Open::Nothing => {}
            Open::Text => self.raw(b"ET\n"),
            Open::Path => self.raw(b"f\n"),
        }
    }

    /// Sets the colour of what follows.
    fn set_ink(&mut self, ink: Ink) {
        if self.ink == ink {
            return;
        }
        if self.open == Open::Path {
            self.close();
        }
        self.ink = ink;
        match ink {
            Ink::Black => self.raw(b"0 g\n"),
            Ink::White => self.raw(b"1 g\n"),
            Ink::Colour(colour) => {
                for channel in colour.channels() {
                    self.number(f64::from(channel) / 255.0, 4);
                }
                self.raw(b"rg\n");
            }
        }
    }

    /// Numbers pieces of content from `first` on.
    pub(super) fn start_pieces(&mut self, first: u32) {
        self.pieces = first;
    }

    /// Begins text of an element; its pieces begin where glyphs are shown.
    pub(super) fn begin_text_tag(&mut self, name: &'static [u8]) {
        self.tag = Some(name);
    }

    /// Begins a piece of the text that is tagged, unless it is in one. Tags of text lie inside text
    /// objects, others around whatever they hold (ISO 32000-1 §14.6.1).
    pub(super) fn begin_text_piece(&mut self) {
        if let Some(name) = self.tag
            && !self.is_tagged
        {
            self.begin_piece(name);
            self.raw(b">>BDC\n");
        }
    }

    /// Begins a span that stands for a text. It is a piece of its own: poppler takes the end of a
    /// sequence inside a piece for the end of the piece.
    pub(super) fn begin_actual_text(&mut self, text: &str) {
        self.end_piece();
        match self.tag {
            Some(_) => self.begin_piece(b"Span"),
            None => self.raw(b"/Span<<"),
        }
        self.raw(b"/ActualText<FEFF");
        for unit in text.encode_utf16() {
            self.raw(&hex(unit));
        }
        self.raw(b">>>BDC\n");
        self.is_tagged = true;
    }

    /// Begins a picture or a code.
    pub(super) fn begin_figure(&mut self) {
        self.close();
        self.begin_piece(b"Figure");
        self.raw(b">>BDC\n");
    }

    /// Begins the page's next piece of content, all but the end of the operator.
    fn begin_piece(&mut self, name: &[u8]) {
        self.out.push(b'/');
        self.raw(name);
        self.raw(b"<</MCID ");
        push_fixed(&mut self.out, i64::from(self.pieces), 0);
        self.pieces += 1;
        self.is_tagged = true;
    }

    /// The number of the next piece of content.
    pub(super) fn pieces(&self) -> u32 {
        self.pieces
    }

    /// Begins what is no content.
    pub(super) fn begin_artifact(&mut self) {
        self.close();
        self.raw(b"/Artifact BMC\n");
        self.is_tagged = true;
    }

    /// Ends an open piece of content.
    pub(super) fn end_piece(&mut self) {
        if !self.is_tagged {
            return;
        }
        self.is_tagged = false;
        if self.open != Open::Text {
            self.close();
        }
        self.raw(b"EMC\n");
    }

    /// Ends what was tagged last.
    pub(super) fn end_tag(&mut self) {
        self.end_piece();
        self.tag = None;
    }

    /// Opens a text object, or goes on with the open one, with a font and the pen at a place.
    pub(super) fn begin_text(
        &mut self,
        font: FontId,
        size: f64,
        at: (f64, f64),
        ink: Ink,
        stance: Stance,
    ) {
        self.set_ink(ink);
        if self.open != Open::Text {
            self.close();
            self.raw(b"BT\n");
            self.open = Open::Text;
            self.line = (0, 0);
            self.stance = Stance::UPRIGHT;
        }
        let size = to_fixed(size, SIZE_DECIMALS);
        if self.font != Some((font, size)) {
            self.font = Some((font, size));
            self.out.extend_from_slice(b"/F");
            push_fixed(&mut self.out, font.index() as i64, 0);
            self.out.push(b' ');
            push_fixed(&mut self.out, size, SIZE_DECIMALS);
            self.raw(b" Tf\n");
        }
        let line = (to_fixed(at.0, PLACE_DECIMALS), to_fixed(at.1, PLACE_DECIMALS));
        if !(stance.is_upright() && self.stance.is_upright()) {
            // A line that is turned has a matrix of its own, and so has the first behind it.
            return self.begin_turned_line(line, stance);
        }
        push_fixed(&mut self.out, line.0 - self.line.0, PLACE_DECIMALS);
        self.out.push(b' ');
        push_fixed(&mut self.out, line.1 - self.line.1, PLACE_DECIMALS);
        self.raw(b" Td\n");
        self.line = line;
    }

    /// Begins a line that stands so.
    fn begin_turned_line(&mut self, line: (i64, i64), stance: Stance) {
        let [a, b, c, d] = stance.matrix();
        // The matrix has y growing downwards, text has it growing upwards.
        for value in [a, -b, -c, d] {
            push_fixed(&mut self.out, value as i64, 0);
            self.out.push(b' ');
        }
        push_fixed(&mut self.out, line.0, PLACE_DECIMALS);
        self.out.push(b' ');
        push_fixed(&mut self.out, line.1, PLACE_DECIMALS);
        self.raw(b" Tm\n");
        (self.line, self.stance) = (line, stance);
    }

    /// Sets the letter spacing in dots and tells it as it is after rounding.
    pub(super) fn set_spacing(&mut self, dots: f64) -> f64 {
        let spacing = to_fixed(dots, SIZE_DECIMALS);
        if spacing != self.spacing {
            self.spacing = spacing;
            push_fixed(&mut self.out, spacing, SIZE_DECIMALS);
            self.raw(b" Tc\n");
        }
        spacing as f64 / 1000.0
    }

    /// Adds a box to the path to be filled.
    pub(super) fn fill_box(&mut self, block: StreamBox, ink: Ink) {
        self.set_ink(ink);
        if self.open != Open::Path {
            self.close();
            self.open = Open::Path;
        }
        for value in [block.x, block.y, block.width, block.height] {
            self.number(value, PLACE_DECIMALS);
        }
        self.raw(b"re\n");
    }

    /// Begins a stretch with its own scale and origin, both given in the page's units.
    pub(super) fn begin_scaled(&mut self, scale: (f64, f64), origin: (f64, f64), ink: Ink) {
        self.close();
        self.set_ink(ink);
        self.raw(b"q ");
        self.number(scale.0, SCALE_DECIMALS);
        self.raw(b"0 0 ");
        self.number(scale.1, SCALE_DECIMALS);
        self.number(origin.0, SIZE_DECIMALS);
        self.number(origin.1, SIZE_DECIMALS);
        self.raw(b"cm\n");
    }

    /// Begins a stretch with its own scale and origin that stands so; its y grows upwards.
    pub(super) fn begin_turned(
        &mut self,
        scale: (f64, f64),
        stance: Stance,
        origin: (f64, f64),
        ink: Ink,
    ) {
        if stance.is_upright() {
            return self.begin_scaled(scale, origin, ink);
        }
        self.close();
        self.set_ink(ink);
        self.raw(b"q ");
        let [a, b, c, d] = stance.matrix();
        for value in [scale.0 * a, -scale.0 * b, -scale.1 * c, scale.1 * d] {
            self.number(value, SCALE_DECIMALS);
        }
        self.number(origin.0, SIZE_DECIMALS);
        self.number(origin.1, SIZE_DECIMALS);
        self.raw(b"cm\n");
    }

    /// Begins a stretch with its own coordinates that shows only inside a box of the page, for
    /// content that counts on the [state of a fresh page](Self::restore_fresh): forms inherit
    /// colour and letter spacing from where they are drawn (ISO 32000-1 §8.10.1). Setting them back
    /// is not enough: after a mere `0 g` ghostscript 10.0 applies a soft mask too weakly.
    pub(super) fn begin_clipped(&mut self, clip: StreamBox, matrix: [f64; 6]) {
        self.raw(b"q ");
        for value in [clip.x, clip.y, clip.width, clip.height] {
            self.number(value, SIZE_DECIMALS);
        }
        self.raw(b"re W n\n");
        let [a, b, c, d, x, y] = matrix;
        for value in [a, b, c, d] {
            self.number(value, SCALE_DECIMALS);
        }
        for value in [x, y] {
            self.number(value, SIZE_DECIMALS);
        }
        self.raw(b"cm\n");
    }

    /// Ends a stretch with its own scale.
    pub(super) fn end_scaled(&mut self) {
        self.raw(b"Q\n");
    }

    /// Adds a box to be filled by the caller: its lower left corner in units of the current stretch,
    /// and its extent as text, each behind a space, with the operator behind the last.
    pub(super) fn local_box(&mut self, corner: (i64, i64), across: &[u8], down: &[u8]) {
        push_fixed(&mut self.out, corner.0, 0);
        self.out.push(b' ');
        push_fixed(&mut self.out, corner.1, 0);
        self.out.extend_from_slice(across);
        self.out.extend_from_slice(down);
    }

    /// Adds and fills an outline in the units of the current stretch.
    pub(super) fn fill_outline(&mut self, segments: &[Segment], rule: FillRule, decimals: usize) {
        push_outline(&mut self.out, segments, rule, decimals);
    }
}

/// A 16-bit number as four hexadecimal digits.
pub(super) fn hex(value: u16) -> [u8; 4] {
    let digit = |shift: u16| b"0123456789ABCDEF"[usize::from(value >> shift & 15)];
    [digit(12), digit(8), digit(4), digit(0)]
}

/// Writes the operators that fill an outline.
pub(super) fn push_outline(
    out: &mut Vec<u8>,
    segments: &[Segment],
    rule: FillRule,
    decimals: usize,
) {
    let mut last = (0.0, 0.0);
    let mut add = |values: &[f64], operator: &[u8]| {
        for value in values {
            push_fixed(out, to_fixed(*value, decimals), decimals);
            out.push(b' ');
        }
        out.extend_from_slice(operator);
    };
    for segment in segments {
        match *segment {
            Segment::MoveTo(x, y) => add(&[x, y], b"m\n"),
            Segment::LineTo(x, y) => add(&[x, y], b"l\n"),
            Segment::QuadTo(cx, cy, x, y) => {
                // The same curve as a cubic one: its control points lie two thirds of the way.
                let near = |from: f64, control: f64| from + (control - from) * 2.0 / 3.0;
                let first = (near(last.0, cx), near(last.1, cy));
                add(&[first.0, first.1, near(x, cx), near(y, cy), x, y], b"c\n");
            }
            Segment::CubicTo(ax, ay, bx, by, x, y) => add(&[ax, ay, bx, by, x, y], b"c\n"),
            Segment::Close => add(&[], b"h\n"),
        }
        last = segment_end(segment).unwrap_or(last);
    }
    out.extend_from_slice(match rule {
        FillRule::NonZero => b"f\n",
        FillRule::EvenOdd => b"f*\n",
    });
}

/// Where a segment ends; none for one that closes its contour.
fn segment_end(segment: &Segment) -> Option<(f64, f64)> {
    match *segment {
        Segment::MoveTo(x, y)
        | Segment::LineTo(x, y)
        | Segment::QuadTo(_, _, x, y)
        | Segment::CubicTo(_, _, _, _, x, y) => Some((x, y)),
        Segment::Close => None,
    }
}
