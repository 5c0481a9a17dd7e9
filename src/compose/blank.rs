//! What is filled in by hand: lines, tick boxes, signatures, boxes for letters, and cut lines.

use super::frame::USUAL_BOX;
use super::{Job, Place};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::geom::{Mm, Rect};
use crate::layout::{Form, Length, TypeStyle};
use crate::scene::MarkKind;

/// White between a label and what it names.
pub(super) const LABEL_GAP: Mm = Mm(2.0);

/// The height of a line to write on: room for a hand.
const LINE_HEIGHT: Mm = Mm(7.0);

/// The room over a line to sign on.
const SIGNATURE_HEIGHT: Mm = Mm(12.0);

/// The thickness of lines to write on, in dots: lighter than the rules around them.
const LINE_DOTS: Length = Length::Dots(2.0);

/// A dash of a cut line, and the white after it.
const DASH: (Mm, Mm) = (Mm(3.0), Mm(2.0));

impl Job<'_, '_> {
    /// The height that something to fill in asks for.
    pub(super) fn blank_height(&self, form: Form, style: &TypeStyle) -> Mm {
        let label = self.type_size(style) * style.leading;
        match form {
            Form::Line => LINE_HEIGHT.max(label),
            Form::Tick => USUAL_BOX.max(label),
            Form::Signature => SIGNATURE_HEIGHT + label,
            Form::Boxes(_) => USUAL_BOX + label,
        }
    }

    /// Paints something to fill in, with its label.
    pub(super) fn place_blank(
        &mut self,
        bound: &Bound<'_>,
        form: Form,
        label: &str,
        style: &TypeStyle,
        place: Place,
    ) {
        let room = place.rect;
        let line_height = self.type_size(style) * style.leading;
        let label_width = if label.is_empty() { Mm::ZERO } else { self.text_width(label, style) };
        let mut words = Rect::new(room.x, room.y, label_width.min(room.width), line_height);
        match form {
            Form::Line => {
                words.y = room.bottom() - line_height;
                let start = if label.is_empty() { Mm::ZERO } else { words.width + LABEL_GAP };
                self.draw_line(room.x + start, room.right(), room.bottom(), place);
            }
            Form::Tick => {
                let side = USUAL_BOX.min(room.height);
                let square = Rect::new(room.x, room.y + (room.height - side) / 2.0, side, side);
                self.paint_tick(square, place);
                words.x = room.x + side + LABEL_GAP;
                words.width = (room.right() - words.x).max(Mm::ZERO);
                words.y = room.y + (room.height - line_height) / 2.0;
            }
            Form::Signature => {
                words.y = room.bottom() - line_height;
                self.draw_line(room.x, room.right(), words.y - Mm(0.5), place);
            }
            Form::Boxes(count) => self.draw_boxes(bound, count, line_height, place),
        }
        if !label.is_empty() {
            self.place_text(
                bound,
                label,
                style,
                crate::layout::Fit::Shrink,
                Place { rect: words, ..place },
            );
        }
    }

    /// Paints a row of boxes, one a letter, under their label.
    fn draw_boxes(&mut self, bound: &Bound<'_>, count: u32, label_height: Mm, place: Place) {
        let room = place.rect;
        let grid = self.frame.grid;
        let top = room.y + label_height;
        let side = USUAL_BOX.min(room.bottom() - top).min(room.width / f64::from(count));
        let dots = grid.whole_dots_within(side);
        if dots < 8 {
            let message =
                format!("{count} boxes do not fit into {} by {}", room.width, room.height);
            let hint =
                format!("make the block {} wide, or ask for fewer", USUAL_BOX * f64::from(count));
            return self.find(bound, Finding::new(&rules::OVERFLOW, message).hint(hint));
        }
        let width = self.line_width(LINE_DOTS);
        let side = grid.length(f64::from(dots));
        let (x, y) = (grid.snap(room.x), grid.snap(top));
        let total = side * f64::from(count);
        // Neighbours share a line: one frame around all, then the lines between.
        for (dx, dy, w, h) in
            [(Mm::ZERO, Mm::ZERO, total, width), (Mm::ZERO, side - width, total, width)]
        {
            self.mark(place.id, MarkKind::Fill(Rect::new(x + dx, y + dy, w, h), place.ink));
        }
        for index in 0..=count {
            let at = if index == count { total - width } else { side * f64::from(index) };
            let line = Rect::new(x + at, y + width, width, side - width * 2.0);
            self.mark(place.id, MarkKind::Fill(line, place.ink));
        }
    }

    /// Paints a line to write on, its lower edge at `bottom`.
    fn draw_line(&mut self, left: Mm, right: Mm, bottom: Mm, place: Place) {
        let width = self.line_width(LINE_DOTS);
        let rect = Rect::new(left, bottom - width, (right - left).max(Mm::ZERO), width);
        self.place_rule(LINE_DOTS, Place { rect, ..place });
    }

    /// Paints a dashed line along the longer side of its room.
    pub(super) fn place_cut_line(&mut self, thickness: Length, place: Place) {
        let room = place.rect;
        let level = room.width >= room.height;
        let length = if level { room.width } else { room.height };
        let mut at = Mm::ZERO;
        while at < length {
            let dash = DASH.0.min(length - at);
            let width = self.line_width(thickness);
            let rect = match level {
                true => Rect::new(room.x + at, room.y, dash, room.height.min(width)),
                false => Rect::new(room.x, room.y + at, room.width.min(width), dash),
            };
            let snapped = self.snap_rect(rect);
            at += DASH.0 + DASH.1;
            if snapped.width.max(snapped.height) < width {
                // The rest of the length is no dash that anyone would see.
                break;
            }
            let solid = match level {
                true => Rect::new(snapped.x, snapped.y, snapped.width, width),
                false => Rect::new(snapped.x, snapped.y, width, snapped.height),
            };
            self.mark(place.id, MarkKind::Fill(solid, place.ink));
        }
    }
}
