//! Marks that lie on top of a page: form fields, stamps, notes.
//!
//! In: a page's `Annots`. Out: what a viewer prints of them, as [`Stamp`]s to be drawn after the
//! page's content, and [`PageRemark`]s about what it shows on the screen only. A mark that is
//! printed but has no stored picture is an error, since each viewer would draw its own. Not
//! here: the drawing (`assemble`).

use std::rc::Rc;

use super::error::{PdfImportError, Result, broken};
use super::layers::Layers;
use super::object::{Dict, Object, ObjectId, string_bytes, text_value};
use super::page_box::{Bounds, IDENTITY, Matrix, PageBox, read_bounds, read_numbers};
use super::reader::{Loaded, ObjectReader};
use super::remark::PageRemark;

/// Bit 2 of an annotation's flags: never shown (ISO 32000-1 table 165).
const HIDDEN: i64 = 1 << 1;
/// Bit 3: printed.
const PRINT: i64 = 1 << 2;
/// Bit 5: stays upright when the page is turned.
const NO_ROTATE: i64 = 1 << 4;
/// Bit 6: not shown on the screen.
const NO_VIEW: i64 = 1 << 5;

/// How many parents of a form field are asked for what it inherits.
const FIELD_DEPTH: usize = 16;

/// A form to be drawn on top of the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stamp {
    /// What draws it, by its number in the source.
    pub(super) form: ObjectId,
    /// What brings it to its place, in the page's own units.
    pub(super) matrix: Matrix,
}

/// What lies on top of a page.
#[derive(Debug, Default)]
pub(super) struct Overlay {
    /// What is printed, in painting order.
    pub(super) stamps: Vec<Stamp>,
    /// What is not, or only perhaps as seen.
    pub(super) remarks: Vec<PageRemark>,
}

/// Reads a page's annotations; `stale_fields` says that viewers draw form fields anew.
pub(super) fn read_overlay(
    reader: &mut ObjectReader<'_>,
    layers: &Layers,
    page: &Dict,
    page_box: &PageBox,
    stale_fields: bool,
) -> Result<Overlay> {
    let mut overlay = Overlay::default();
    for value in reader.list(page, "Annots")? {
        let loaded = reader.resolve(&value)?;
        let Some(dict) = loaded.dict() else { continue };
        let annotation = Annotation::read(reader, dict)?;
        if !annotation.is_drawn(reader, layers)? {
            continue;
        }
        if annotation.flags & PRINT == 0 {
            overlay.remarks.push(PageRemark::ScreenOnly { kind: annotation.kind.clone() });
        } else if let Some(form) = annotation.appearance(reader)? {
            if stale_fields && annotation.is_filled_field(reader)? {
                overlay.remarks.push(PageRemark::StaleField { name: annotation.name(reader)? });
            }
            overlay.stamps.extend(annotation.stamp(reader, form, page_box)?);
        } else {
            annotation.check_undrawn(reader, &mut overlay.remarks)?;
        }
    }
    Ok(overlay)
}

/// What of a mark on top of a page decides whether it is printed.
struct Annotation<'d> {
    /// Its entries.
    dict: &'d Dict,
    /// Its subtype, such as `Widget`.
    kind: String,
    /// Bits of ISO 32000-1 table 165, such as hidden or to be printed.
    flags: i64,
    /// Where it is, in the page's own units; none when it says nothing usable.
    rect: Option<Bounds>,
}

impl<'d> Annotation<'d> {
    /// Reads what every annotation has.
    fn read(reader: &mut ObjectReader<'_>, dict: &'d Dict) -> Result<Annotation<'d>> {
        let kind = reader.get(dict, "Subtype")?.and_then(|kind| kind.object.name());
        let flags = reader.get(dict, "F")?.and_then(|flags| flags.object.integer());
        Ok(Annotation {
            dict,
            kind: kind.map_or_else(String::new, |kind| String::from_utf8_lossy(&kind).into_owned()),
            flags: flags.unwrap_or(0),
            rect: read_bounds(reader, dict, "Rect")?.filter(|rect| rect.has_area()),
        })
    }

    /// Whether a viewer draws it anywhere, on the screen or on paper. Links and pop-ups are for
    /// the reader's hand and are no part of what a page says.
    fn is_drawn(&self, reader: &mut ObjectReader<'_>, layers: &Layers) -> Result<bool> {
        let for_the_hand = matches!(self.kind.as_str(), "Link" | "Popup");
        let never = self.flags & HIDDEN != 0 || self.flags & (NO_VIEW | PRINT) == NO_VIEW;
        if never || self.rect.is_none() || (for_the_hand && self.dict.get("AP").is_none()) {
            return Ok(false);
        }
        match self.dict.get("OC") {
            Some(layer) => layers.is_seen(reader, layer),
            None => Ok(true),
        }
    }

    /// The form of its normal appearance (§12.5.5), in the state it is in.
    fn appearance(&self, reader: &mut ObjectReader<'_>) -> Result<Option<ObjectId>> {
        let Some(appearances) = reader.dict(self.dict, "AP")? else { return Ok(None) };
        let Some(normal) = appearances.dict().and_then(|dict| dict.get("N").cloned()) else {
            return Ok(None);
        };
        let loaded = reader.resolve(&normal)?;
        if loaded.data.is_some() {
            return form_id(reader, &normal);
        }
        let Some(states) = loaded.dict() else { return Ok(None) };
        let state = reader.get(self.dict, "AS")?.and_then(|state| state.object.name());
        match states.find(state.as_deref().unwrap_or(b"Off")) {
            Some(form) => form_id(reader, form),
            None => Ok(None),
        }
    }

    /// Whether its appearance is one of several states, so that none for the present one means
    /// an empty box.
    fn has_states(&self, reader: &mut ObjectReader<'_>) -> Result<bool> {
        let Some(appearances) = reader.dict(self.dict, "AP")? else { return Ok(false) };
        let Some(appearances) = appearances.dict() else { return Ok(false) };
        let normal = reader.dict(appearances, "N")?;
        Ok(normal.is_some_and(|normal| normal.data.is_none()))
    }

    /// The stamp that draws `form` in its place (§12.5.5, algorithm 8.1): the form's box, after
    /// its own matrix, is stretched onto the annotation's rectangle.
    fn stamp(
        &self,
        reader: &mut ObjectReader<'_>,
        form: ObjectId,
        page_box: &PageBox,
    ) -> Result<Option<Stamp>> {
        if self.dict.get("FixedPrint").is_some() {
            return Err(PdfImportError::NoAppearance {
                kind: "watermark tied to the paper's edges".into(),
            });
        }
        let (_, loaded) = reader.follow(form)?;
        let none = Dict::default();
        let dict = loaded.dict().unwrap_or(&none);
        let own = read_numbers::<6>(reader, dict, "Matrix")?.unwrap_or(IDENTITY);
        let bounds = read_bounds(reader, dict, "BBox")?;
        let bounds = bounds.ok_or_else(|| broken("a mark on the page has no box (`BBox`)"))?;
        let bounds = bounds.transformed(own);
        let (Some(rect), true) = (self.rect, bounds.has_area()) else { return Ok(None) };
        let (a, d) = (rect.width() / bounds.width(), rect.height() / bounds.height());
        let (e, f) = (rect.left - bounds.left * a, rect.bottom - bounds.bottom * d);
        let mut matrix = [a, 0.0, 0.0, d, e, f];
        if self.flags & NO_ROTATE != 0 {
            matrix = turn_about(matrix, page_box.turns, rect.left, rect.top);
        }
        let finite = matrix.iter().all(|number| number.is_finite());
        if finite { Ok(Some(Stamp { form, matrix })) } else { Err(broken("a mark has no place")) }
    }

    /// Checks that a printed annotation without an appearance leaves nothing out.
    fn check_undrawn(
        &self,
        reader: &mut ObjectReader<'_>,
        remarks: &mut Vec<PageRemark>,
    ) -> Result<()> {
        let kind = match self.kind.as_str() {
            // A box that is not ticked.
            _ if self.has_states(reader)? => return Ok(()),
            "Widget" if self.is_filled_field(reader)? => {
                format!("filled form field `{}`", self.name(reader)?)
            }
            "Widget" | "Link" | "Popup" | "PrinterMark" | "TrapNet" => return Ok(()),
            "Text" | "FileAttachment" | "Sound" | "Movie" | "Screen" | "3D" | "RichMedia" => {
                remarks.push(PageRemark::ScreenOnly { kind: self.kind.clone() });
                return Ok(());
            }
            other => format!("mark of the kind `{other}`"),
        };
        Err(PdfImportError::NoAppearance { kind })
    }

    /// Whether it is a form field with text or a choice in it.
    fn is_filled_field(&self, reader: &mut ObjectReader<'_>) -> Result<bool> {
        if self.kind != "Widget" {
            return Ok(false);
        }
        let kind = self.inherited(reader, "FT")?.and_then(|kind| kind.object.name());
        if !matches!(kind.as_deref(), Some(b"Tx" | b"Ch")) {
            return Ok(false);
        }
        Ok(self.inherited(reader, "V")?.is_some_and(|value| match &value.object {
            Object::Text(token) => !string_bytes(token).is_empty(),
            Object::Array(values) => !values.is_empty(),
            _ => true,
        }))
    }

    /// A form field's entry, its own or from the nearest parent that has it (§12.7.3.1).
    fn inherited(&self, reader: &mut ObjectReader<'_>, key: &str) -> Result<Option<Rc<Loaded>>> {
        if let Some(own) = reader.get(self.dict, key)? {
            return Ok(Some(own));
        }
        let mut next = reader.dict(self.dict, "Parent")?;
        for _ in 0..FIELD_DEPTH {
            let Some(parent) = next else { break };
            let Some(dict) = parent.dict() else { break };
            if let Some(value) = reader.get(dict, key)? {
                return Ok(Some(value));
            }
            next = reader.dict(dict, "Parent")?;
        }
        Ok(None)
    }

    /// A form field's name for messages.
    fn name(&self, reader: &mut ObjectReader<'_>) -> Result<String> {
        let name = self.inherited(reader, "T")?;
        Ok(match name.as_ref().map(|name| &name.object) {
            Some(Object::Text(token)) => text_value(token),
            _ => "without a name".into(),
        })
    }
}

/// The id of an appearance, which must be a form; none when it is missing.
fn form_id(reader: &mut ObjectReader<'_>, value: &Object) -> Result<Option<ObjectId>> {
    let Object::Ref(id) = value else { return Ok(None) };
    let (id, loaded) = reader.follow(*id)?;
    let subtype = loaded.dict().and_then(|dict| dict.get("Subtype"));
    if loaded.data.is_none() {
        return Ok(None);
    }
    match subtype {
        Some(kind) if !kind.is_name("Form") => Err(broken("a mark on the page is no form")),
        _ => Ok(Some(id)),
    }
}

/// `matrix` followed by quarter turns counterclockwise about a point.
fn turn_about(matrix: Matrix, turns: u8, x: f64, y: f64) -> Matrix {
    let (cos, sin) = match turns {
        0 => (1.0, 0.0),
        1 => (0.0, 1.0),
        2 => (-1.0, 0.0),
        _ => (0.0, -1.0),
    };
    let turn = |dx: f64, dy: f64| (cos * dx - sin * dy, sin * dx + cos * dy);
    let [a, b, c, d, e, f] = matrix;
    let ((a, b), (c, d), (e, f)) = (turn(a, b), turn(c, d), turn(e - x, f - y));
    [a, b, c, d, e + x, f + y]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_not_turn_stands_upright_on_a_turned_page() {
        let shown = Bounds::spanned([0.0, 0.0, 200.0, 300.0]);
        for turns in 0..4 {
            let page_box = PageBox { shown, turns, unit: 1.0 };
            let matrix = turn_about(IDENTITY, turns, 10.0, 60.0);
            let corner = Bounds::spanned([10.0, 60.0, 10.0, 60.0]);
            assert_eq!(corner.transformed(matrix), corner, "the upper left corner stays");
            // Drawn and then shown, the box goes right and down from that corner.
            let seen =
                |bounds: Bounds| bounds.transformed(matrix).transformed(page_box.to_upright());
            let (corner, mark) = (seen(corner), seen(Bounds::spanned([10.0, 20.0, 110.0, 60.0])));
            assert_eq!((mark.left, mark.top), (corner.left, corner.top), "{turns} turns");
            assert_eq!((mark.width(), mark.height()), (100.0, 40.0), "{turns} turns");
        }
    }
}
