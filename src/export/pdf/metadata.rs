//! What a document says about itself: information, XMP metadata, and what its grey means.
//!
//! In: [`PdfOptions`]. Out: the objects that PDF/A-2b (ISO 19005-2) asks for. Information and XMP
//! are made from the same values, because §6.6.3 of that standard wants them equal. Nothing here
//! comes from a clock.

use std::fmt::Write as _;

use pdf_writer::types::OutputIntentSubtype;
use pdf_writer::writers::{Catalog, DocumentInfo};
use pdf_writer::{Chunk, Date, Ref, TextStr};

use super::{PdfDate, PdfOptions};

/// What the document was made by.
const PRODUCER: &str = concat!("Slipwright ", env!("CARGO_PKG_VERSION"));

/// What a document says about itself.
pub(super) struct Metadata<'a> {
    /// Its title.
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

/// Says in the catalog what the grey of the pages means (ISO 19005-2 §6.2.3).
pub(super) fn write_output_intent(catalog: &mut Catalog<'_>, profile: Ref) {
    let mut intents = catalog.output_intents();
    let mut intent = intents.push();
    intent.subtype(OutputIntentSubtype::PDFA);
    intent.output_condition_identifier(TextStr("Custom"));
    intent.info(TextStr("Grey, gamma 2.2; in truth only black and the paper's white"));
    intent.dest_output_profile(profile);
}

/// A grey ICC profile (ICC.1:2001-04, version 2.1): gamma 2.2 under D50. It is written here number
/// by number, so it carries nobody's licence.
pub(super) fn make_grey_profile() -> Vec<u8> {
    let tags = [
        (*b"desc", describe("Grey, gamma 2.2")),
        (*b"cprt", [b"text\0\0\0\0", &b"No copyright, use freely\0"[..]].concat()),
        // The D50 white of the profile connection space, in 1/65536.
        (*b"wtpt", [&b"XYZ \0\0\0\0"[..], &words(&[0xF6D6, 0x1_0000, 0xD32D])].concat()),
        // A curve of one number is a gamma, here 2.2 in 1/256.
        (*b"kTRC", [&b"curv\0\0\0\0"[..], &words(&[1]), &0x0233_u16.to_be_bytes()].concat()),
    ];
    let mut table = words(&[tags.len() as u32]);
    let mut body = Vec::new();
    let start = 128 + 4 + 12 * tags.len();
    for (name, data) in &tags {
        table.extend_from_slice(name);
        table.extend(words(&[(start + body.len()) as u32, data.len() as u32]));
        body.extend_from_slice(data);
        body.resize(body.len().next_multiple_of(4), 0);
    }
    let mut profile = profile_header((start + body.len()) as u32);
    profile.extend(table);
    profile.extend(body);
    profile
}

/// The 128 bytes that begin a profile of a grey display.
fn profile_header(size: u32) -> Vec<u8> {
    let mut header = words(&[size, 0, 0x0210_0000]);
    header.extend_from_slice(b"mntrGRAYXYZ ");
    // A fixed date, 1 January 2000: the profile never changes.
    header.extend([2000_u16, 1, 1, 0, 0, 0].iter().flat_map(|part| part.to_be_bytes()));
    header.extend_from_slice(b"acsp");
    // No platform, flags, device, attributes; perceptual intent; then the D50 illuminant.
    header.resize(68, 0);
    header.extend(words(&[0xF6D6, 0x1_0000, 0xD32D]));
    header.resize(128, 0);
    header
}

/// A textual description: ASCII, no Unicode part and an empty Macintosh part of 67 bytes.
fn describe(text: &str) -> Vec<u8> {
    let mut tag = b"desc\0\0\0\0".to_vec();
    tag.extend(words(&[text.len() as u32 + 1]));
    tag.extend_from_slice(text.as_bytes());
    tag.push(0);
    tag.resize(tag.len() + 8 + 3 + 67, 0);
    tag
}

/// Numbers as 32 bits each, highest byte first.
fn words(values: &[u32]) -> Vec<u8> {
    values.iter().flat_map(|value| value.to_be_bytes()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_profile_is_as_long_as_it_says_and_its_tags_lie_inside() {
        let profile = make_grey_profile();
        let word = |at: usize| u32::from_be_bytes(profile[at..at + 4].try_into().unwrap()) as usize;
        assert_eq!(word(0), profile.len());
        assert_eq!(&profile[12..24], b"mntrGRAYXYZ ");
        assert_eq!(&profile[36..40], b"acsp");
        for tag in 0..word(128) {
            let (start, len) = (word(136 + 12 * tag), word(140 + 12 * tag));
            assert!(start >= 128 + 4 + 12 * 4 && start % 4 == 0 && start + len <= profile.len());
        }
    }

    #[test]
    fn metadata_escapes_what_xml_cannot_hold() {
        let options = PdfOptions { author: Some("A & B <c>\u{1}".into()), ..PdfOptions::default() };
        let xmp = Metadata { title: "3 · Marlow", options: &options, archival: true }.to_xmp();
        assert!(xmp.contains("<rdf:li>A &amp; B &lt;c&gt;\u{FFFD}</rdf:li>"));
        assert!(xmp.contains("3 · Marlow"));
    }
}
