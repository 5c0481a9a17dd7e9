//! What a document says about itself: information, XMP metadata, and what its grey means.
//!
//! In: [`PdfOptions`]. Out: the objects that PDF/A-2b (ISO 19005-2) asks for. Information and XMP
//! are made from the same values, because §6.6.3 of that standard wants them equal. Nothing here
//! comes from a clock.

use std::fmt::Write as _;

use super::profile::PageColours;
use pdf_writer::types::OutputIntentSubtype;
use pdf_writer::writers::{Catalog, DocumentInfo};
use pdf_writer::{Chunk, Date, Ref, TextStr};

use super::{PdfDate, PdfOptions};

/// What the document was made by.
const PRODUCER: &str = concat!("Slipwright ", env!("CARGO_PKG_VERSION"));

/// What a document says about itself.
pub(super) struct Metadata<'a> {
    /// What the document is called; empty when nobody says.
    pub(super) title: &'a str,
    /// The rest.
    pub(super) options: &'a PdfOptions,
    /// Whether it may claim to be PDF/A-2b: all but what pages of other PDFs bring along is.
    pub(super) archival: bool,
}

impl Metadata<'_> {
    /// Writes the document information.
    pub(super) fn put_info(&self, chunk: &mut Chunk, id: Ref) {
        let mut info = chunk.indirect(id).start::<DocumentInfo<'_>>();
        if !self.title.is_empty() {
            info.title(TextStr(self.title));
        }
        if let Some(author) = &self.options.author {
            info.author(TextStr(author));
        }
        info.producer(TextStr(PRODUCER));
        if let Some(date) = self.options.created {
            info.creation_date(to_pdf_date(date));
            info.modified_date(to_pdf_date(date));
        }
    }

    /// The XMP packet with the same values.
    pub(super) fn to_xmp(&self) -> String {
        let mut xmp = String::from(XMP_HEAD);
        if self.archival {
            xmp.push_str(XMP_CLAIM);
        }
        let mut add = |text: std::fmt::Arguments<'_>| {
            let _ = xmp.write_fmt(text);
        };
        if !self.title.is_empty() {
            let title = escape(self.title);
            add(format_args!(
                "<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\n"
            ));
        }
        if let Some(author) = &self.options.author {
            let author = escape(author);
            add(format_args!(
                "<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>\n"
            ));
        }
        add(format_args!("<pdf:Producer>{}</pdf:Producer>\n", escape(PRODUCER)));
        if let Some(date) = self.options.created {
            let date = to_xmp_date(date);
            add(format_args!(
                "<xmp:CreateDate>{date}</xmp:CreateDate>\n<xmp:ModifyDate>{date}</xmp:ModifyDate>\n"
            ));
        }
        xmp.push_str(XMP_TAIL);
        xmp
    }
}

/// The conformance that ISO 19005-2 §6.6.4 has a document state.
const XMP_CLAIM: &str = "<pdfaid:part>2</pdfaid:part>
<pdfaid:conformance>B</pdfaid:conformance>
";

/// The start of an XMP packet, up to the properties (ISO 16684-1).
const XMP_HEAD: &str = "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>
<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">
<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">
<rdf:Description rdf:about=\"\"
 xmlns:dc=\"http://purl.org/dc/elements/1.1/\"
 xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\"
 xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"
 xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\">
<dc:format>application/pdf</dc:format>
";

/// The end of an XMP packet.
const XMP_TAIL: &str = "</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end=\"r\"?>";

/// Text for XML; what XML cannot hold becomes a replacement character.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..'\x20' | '\u{FFFE}' | '\u{FFFF}' => out.push('\u{FFFD}'),
            _ => out.push(character),
        }
    }
    out
}

/// A date as PDF writes it.
fn to_pdf_date(date: PdfDate) -> Date {
    Date::new(date.year)
        .month(date.month)
        .day(date.day)
        .hour(date.hour)
        .minute(date.minute)
        .second(date.second)
        .utc_offset_hour(0)
        .utc_offset_minute(0)
}

/// The same date as XMP writes it.
fn to_xmp_date(date: PdfDate) -> String {
    let PdfDate { year, month, day, hour, minute, second } = date;
    format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
}

/// Says in the catalog what the grey or the colours of the pages mean (ISO 19005-2 §6.2.3).
pub(super) fn write_output_intent(catalog: &mut Catalog<'_>, profile: Ref, colours: PageColours) {
    let mut intents = catalog.output_intents();
    let mut intent = intents.push();
    intent.subtype(OutputIntentSubtype::PDFA);
    match colours {
        PageColours::Grey => {
            intent.output_condition_identifier(TextStr("Custom"));
            intent.info(TextStr("Grey, gamma 2.2; in truth only black and the paper's white"));
        }
        PageColours::Srgb => {
            intent.output_condition_identifier(TextStr("sRGB"));
            intent.info(TextStr("sRGB (IEC 61966-2-1); black is grey 0, for the black ink alone"));
        }
    }
    intent.dest_output_profile(profile);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metadata_escapes_what_xml_cannot_hold() {
        let options = PdfOptions { author: Some("A & B <c>\u{1}".into()), ..PdfOptions::default() };
        let xmp = Metadata { title: "3 · Marlow", options: &options, archival: true }.to_xmp();
        assert!(xmp.contains("<rdf:li>A &amp; B &lt;c&gt;\u{FFFD}</rdf:li>"));
        assert!(xmp.contains("3 · Marlow"));
    }
}
