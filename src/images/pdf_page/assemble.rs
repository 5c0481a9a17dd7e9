//! The form that stands for a page.
//!
//! In: a page's parts. Out: objects made in a [`Carrier`]: one form with the page's content, or,
//! when something lies on top of it, a form that draws the page's form and then the marks. The
//! page's own resource names stay untouched that way. Not here: what those parts are.

use super::annotations::Stamp;
use super::carry::{Body, Carrier, ObjectKey, show_number};
use super::content::{PageContent, packing};
use super::error::Result;
use super::object::{Dict, Object, name_is};
use super::page_box::PageBox;

/// The form that stands for the page with this number.
pub(super) fn page_form(page: usize) -> ObjectKey {
    ObjectKey::Made { page, part: 0 }
}

/// The form with that page's content, when marks lie on top of it.
fn content_form(page: usize) -> ObjectKey {
    ObjectKey::Made { page, part: 1 }
}

/// That page's transparency group, if it has one.
pub(super) fn page_group(page: usize) -> ObjectKey {
    ObjectKey::Made { page, part: 2 }
}

/// What a page is made into a form of.
pub(super) struct PageParts<'p> {
    /// Its number in its file.
    pub(super) number: usize,
    /// Its entries, inherited ones included.
    pub(super) page: &'p Dict,
    /// What is shown of it.
    pub(super) page_box: PageBox,
    /// What it draws.
    pub(super) content: &'p PageContent,
    /// What is drawn on top.
    pub(super) stamps: &'p [Stamp],
}

/// Makes the forms and carries all that they need.
pub(super) fn assemble(carrier: &mut Carrier<'_, '_>, parts: &PageParts<'_>) -> Result<()> {
    let mut body = start_form(parts);
    body.raw(b"/Matrix");
    body.numbers(&parts.page_box.to_upright());
    let group = make_group(carrier, parts.page)?;
    if group.is_some() {
        body.raw(b"/Group");
        body.reference(page_group(parts.number));
    }
    if parts.stamps.is_empty() {
        write_content(carrier, &mut body, parts)?;
        carrier.add(page_form(parts.number), body)?;
    } else {
        write_stamps(carrier, &mut body, parts)?;
        carrier.add(page_form(parts.number), body)?;
        let mut body = start_form(parts);
        write_content(carrier, &mut body, parts)?;
        carrier.add(content_form(parts.number), body)?;
    }
    if let Some(group) = group {
        carrier.add(page_group(parts.number), group)?;
    }
    carrier.carry_all()
}

/// The start of a form as large as the part of the page that is shown.
fn start_form(parts: &PageParts<'_>) -> Body {
    let mut body = Body::default();
    body.raw(b"<</Type/XObject/Subtype/Form/BBox");
    body.numbers(&parts.page_box.shown.corners());
    body
}

/// The page's transparency group. A page is blended apart from what lies under it, which a form
/// must say of itself (ISO 32000-1 §11.6.6, §11.4.7).
fn make_group(carrier: &mut Carrier<'_, '_>, page: &Dict) -> Result<Option<Body>> {
    let Some(group) = carrier.reader.dict(page, "Group")? else { return Ok(None) };
    let Some(group) = group.dict().filter(|group| group.has_name("S", "Transparency")) else {
        return Ok(None);
    };
    let mut body = Body::default();
    body.raw(b"<<");
    for (key, value) in group.entries.iter().filter(|(key, _)| !name_is(key, b"I")) {
        body.name(key);
        carrier.write_value(&mut body, value)?;
    }
    body.raw(b"/I true>>");
    Ok(Some(body))
}

/// Writes the page's resources and content, and ends the form.
fn write_content(
    carrier: &mut Carrier<'_, '_>,
    body: &mut Body,
    parts: &PageParts<'_>,
) -> Result<()> {
    body.raw(b"/Resources");
    match parts.page.get("Resources") {
        Some(resources) => carrier.write_value(body, resources)?,
        None => body.raw(b"<<>>"),
    }
    match &parts.content.kept {
        Some(stream) => {
            for (key, value) in packing(stream) {
                body.name(key.as_bytes());
                carrier.write_value(body, value)?;
            }
            let packed = carrier.reader.packed(stream.data.as_ref().unwrap_or(&(0..0)));
            end_form(body, packed);
        }
        None => {
            let packed = parts.content.pack()?;
            body.raw(b"/Filter/FlateDecode");
            end_form(body, &packed);
        }
    }
    Ok(())
}

/// Writes what draws the page's content and then the marks, and ends the form.
fn write_stamps(
    carrier: &mut Carrier<'_, '_>,
    body: &mut Body,
    parts: &PageParts<'_>,
) -> Result<()> {
    body.raw(b"/Resources<</XObject<</Page");
    body.reference(content_form(parts.number));
    let mut content = String::from("/Page Do");
    for (index, stamp) in parts.stamps.iter().enumerate() {
        let name = format!("Mark{index}");
        body.name(name.as_bytes());
        carrier.write_reference(body, stamp.form)?;
        let numbers: Vec<String> = stamp.matrix.iter().map(|number| show_number(*number)).collect();
        content.push_str(&format!("\nq {} cm /{name} Do Q", numbers.join(" ")));
    }
    body.raw(b">>>>");
    end_form(body, content.as_bytes());
    Ok(())
}

/// Closes a form's dictionary, and appends its data as they are.
fn end_form(body: &mut Body, data: &[u8]) {
    body.raw(b"/Length");
    body.token(format!(" {}", data.len()).as_bytes());
    body.raw(b">>");
    body.stream(data);
}

/// The resources of a page, for those who look names up in them.
pub(super) fn resources(page: &Dict) -> Object {
    page.get("Resources").cloned().unwrap_or(Object::Dict(Dict::default()))
}
