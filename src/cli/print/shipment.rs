//! What is sent to a printer: as its own dots where it takes them, else as a PDF that was composed for its
//! queue's filters; never on a paper that it does not have, never scaled.
//!
//! In: a document, what the printer says of itself, and its profile. Out: a [`Shipment`], or what stops
//! it. Not here: sending it (`queue`).

use std::ops::RangeInclusive;

use super::document::PrintDocument;
use crate::cli::halt::Halt;
use crate::export::{PwgBacks, PwgLay, PwgPixels, PwgSending};
use crate::geom::{DotGrid, Mm, Size};
use crate::ipp::{JobTicket, PaperSize, PrinterFacts, SizeRange};
use crate::sides::TurnEdge;
use crate::stock::{Press, Printer, QueueFormat, Stock};
use crate::words::join_and;

/// PDF as documents' formats name it (RFC 8118).
const PDF: &str = "application/pdf";

/// What PWG 5102.4 §1 calls its format.
const RASTER: &str = "image/pwg-raster";

/// How many papers a message lists.
const PAPERS_SHOWN: usize = 6;

/// What is wanted of a document.
pub(super) struct ShipmentWish<'a> {
    /// The pages, counted from 0, in order.
    pub(super) pages: &'a [usize],
    /// How often.
    pub(super) copies: u32,
    /// Who prints.
    pub(super) user: &'a str,
    /// What messages call the printer.
    pub(super) printer: &'a str,
    /// The printer's profile; none when it is in no shop file.
    pub(super) profile: Option<&'a Printer>,
}

/// What is sent.
pub(super) struct Shipment {
    /// How it is printed.
    pub(super) ticket: JobTicket,
    /// What is sent behind the request.
    pub(super) bytes: Vec<u8>,
    /// As a PDF or as dots.
    pub(super) form: QueueFormat,
    /// The dots an inch of what is sent as dots.
    pub(super) dpi: Option<u32>,
    /// What is worth a warning.
    pub(super) remarks: Vec<String>,
}

/// A document on its way to one printer.
pub(super) struct Packing<'a> {
    /// What is packed.
    pub(super) document: &'a PrintDocument,
    /// What the printer says of itself.
    pub(super) facts: &'a PrinterFacts,
    /// What is wanted.
    pub(super) wish: &'a ShipmentWish<'a>,
}

impl Packing<'_> {
    /// What is sent.
    ///
    /// # Errors
    /// When the printer cannot print it as it is.
    pub(super) fn pack(&self) -> Result<Shipment, Halt> {
        let (media, lay) = self.choose_paper()?;
        let mut remarks = self.remark_paper(media);
        let mut ticket = self.write_ticket(media, self.choose_sides(lay)?);
        let (mut pixels, document) = (self.choose_pixels()?, self.document);
        if self.hides_backs(ticket.sides) {
            // A queue's filters know how its printer takes them, and turn those of a PDF.
            match self.document.pdf.is_some() && self.remark_pdf().is_ok() {
                true => pixels = None,
                false => remarks.push(self.remark_backs()),
            }
        }
        match (pixels, &document.dots, &document.pdf) {
            (Some(pixels), Some(dots), _) => {
                // Which pages, how often and which way round is ours: queues hand dots on as they are.
                let once = self.wish.pages;
                let pages: Vec<usize> = (0..self.wish.copies).flat_map(|_| once).copied().collect();
                let backs = self.choose_backs(ticket.sides);
                let bytes = dots.write(&pages, PwgSending { pixels, lay, backs });
                Ok(Shipment {
                    ticket,
                    bytes,
                    form: QueueFormat::Dots,
                    dpi: document.dpi(),
                    remarks,
                })
            }
            (_, _, Some(pdf)) => {
                remarks.extend(self.remark_pdf()?);
                remarks.extend(self.remark_turn(media, lay));
                ticket.format = PDF;
                ticket.pages = self.choose_ranges()?;
                ticket.copies = self.choose_copies()?;
                let bytes = pdf.clone();
                Ok(Shipment { ticket, bytes, form: QueueFormat::Pdf, dpi: None, remarks })
            }
            _ => Err(self.refuse_format()),
        }
    }

    /// The ticket of dots, all pages once.
    fn write_ticket(&self, media: PaperSize, sides: Option<&'static str>) -> JobTicket {
        let title = self.document.path.file_name().unwrap_or_default();
        JobTicket {
            title: title.to_string_lossy().into_owned(),
            user: self.wish.user.to_owned(),
            format: RASTER,
            media,
            sides,
            pages: Vec::new(),
            copies: None,
            unscaled: self.facts.keeps_scale,
        }
    }

    /// The paper to ask for, and how the pages lie on it.
    fn choose_paper(&self) -> Result<(PaperSize, PwgLay), Halt> {
        let (paper, sizes) = (self.document.paper, &self.facts.sizes);
        let own = |size: PaperSize| {
            let taken = sizes.iter().filter(|range| range.takes(size)).map(|range| range.own(size));
            // Of 4×6 in and 102×152 mm it may have both.
            taken.min_by_key(|own| own.distance(size))
        };
        if sizes.is_empty() {
            return Ok((paper, PwgLay::Upright));
        }
        if let Some(size) = own(paper) {
            return Ok((size, PwgLay::Upright));
        }
        // A card that lies across a roll: the roll is as wide as the card is high.
        if let Some(size) = own(paper.across()) {
            return Ok((size, PwgLay::Turned));
        }
        let (name, mut shown) = (self.wish.printer, list_papers(sizes));
        if sizes.len() > PAPERS_SHOWN {
            shown += &format!(" (and {} more)", sizes.len() - PAPERS_SHOWN);
        }
        Err(Halt::unprinted(format!("{name} takes no paper of {paper}")).hint(format!(
            "it takes {shown}; choose a layout for one of these, or another printer"
        )))
    }

    /// What is to be said of the paper that lies in the printer.
    fn remark_paper(&self, media: PaperSize) -> Vec<String> {
        let ready = &self.facts.ready;
        if ready.is_empty() || ready.iter().any(|size| media.is_about(*size)) {
            return Vec::new();
        }
        let loaded: Vec<SizeRange> =
            ready.iter().map(|&size| SizeRange { least: size, most: size }).collect();
        let (name, loaded) = (self.wish.printer, list_papers(&loaded));
        vec![format!("{name} says that paper of {media} is not in it, but {loaded}")]
    }

    /// The sides to ask for.
    fn choose_sides(&self, lay: PwgLay) -> Result<Option<&'static str>, Halt> {
        let wanted = match (self.document.turn, lay) {
            (None, _) => "one-sided",
            // Turned paper is turned over the other edge to be the same.
            (Some(TurnEdge::Long), PwgLay::Upright) | (Some(TurnEdge::Short), PwgLay::Turned) => {
                "two-sided-long-edge"
            }
            (Some(_), _) => "two-sided-short-edge",
        };
        let known = &self.facts.sides;
        if known.iter().any(|sides| **sides == *wanted) {
            return Ok(Some(wanted));
        }
        if wanted == "one-sided" {
            return Ok(None);
        }
        Err(Halt::unprinted(format!(
            "the document has backs, and {} prints one side only",
            self.wish.printer
        ))
        .hint("name another printer with `--printer`, or take the back out of the layout"))
    }

    /// How this printer takes the backs of sheets; PWG 5102.4 tells it by the origin of a back's dots. One
    /// that says nothing takes them as they are seen.
    fn choose_backs(&self, sides: Option<&str>) -> PwgBacks {
        match (&*self.facts.sheet_back, sides) {
            ("rotated", Some("two-sided-long-edge"))
            | ("manual-tumble", Some("two-sided-short-edge")) => PwgBacks::HeadDown,
            ("flipped", Some("two-sided-long-edge")) => PwgBacks::Along,
            ("flipped", Some("two-sided-short-edge")) => PwgBacks::Across,
            _ => PwgBacks::AsSeen,
        }
    }

    /// Whether sheets are to have backs, and how their dots are to lie is not told.
    fn hides_backs(&self, sides: Option<&str>) -> bool {
        sides.is_some_and(|sides| sides != "one-sided") && self.facts.sheet_back.is_empty()
    }

    /// What is to be said of backs that go as dots and may lie on their heads.
    fn remark_backs(&self) -> String {
        format!(
            "{} does not say how it takes the backs of sheets: print one sheet first and look at its back, and \
             if that stands on its head, name the printer by its address or print the PDF",
            self.wish.printer
        )
    }

    /// The pixels to send dots in; none when a PDF goes.
    fn choose_pixels(&self) -> Result<Option<PwgPixels>, Halt> {
        let Some(dpi) = self.document.dpi() else { return Ok(None) };
        let facts = self.facts;
        let wants_pdf = self.wish.profile.is_some_and(|it| it.sends == QueueFormat::Pdf);
        if wants_pdf && self.document.pdf.is_some() {
            return Ok(None);
        }
        let takes = |kind: &str| facts.raster_types.iter().any(|it| **it == *kind);
        let takes_raster = facts.formats.iter().any(|it| **it == *RASTER);
        let says_nothing = facts.raster_types.is_empty();
        let pixels = match (takes("black_1"), takes("sgray_8")) {
            (true, _) => Some(PwgPixels::Bits),
            (_, true) => Some(PwgPixels::Gray),
            _ if says_nothing => Some(PwgPixels::Bits),
            _ => None,
        };
        let fits = facts.raster_dpi.is_empty() || facts.raster_dpi.contains(&dpi);
        match (takes_raster, pixels, fits) {
            (true, Some(pixels), true) => Ok(Some(pixels)),
            // The queue's filters draw these dots whole where it prints a multiple of them.
            _ if self.document.pdf.is_some() && facts.takes(PDF) && self.is_multiple(dpi) => {
                Ok(None)
            }
            (true, Some(_), false) => Err(self.refuse_dots(dpi)),
            _ if self.document.pdf.is_some() && facts.takes(PDF) => Ok(None),
            _ => Err(self.refuse_format()),
        }
    }

    /// Whether the printer prints some whole number of dots for each of the document's.
    fn is_multiple(&self, dpi: u32) -> bool {
        let more = |own: &u32| *own > dpi && own.is_multiple_of(dpi);
        self.facts.dpi.iter().chain(&self.facts.raster_dpi).any(more)
    }

    /// What stops dots that are not the printer's.
    fn refuse_dots(&self, dpi: u32) -> Halt {
        let own: Vec<String> = self.facts.raster_dpi.iter().map(u32::to_string).collect();
        let own: Vec<&str> = own.iter().map(|it| &**it).collect();
        let (name, shown) = (self.wish.printer, join_and(&own));
        let first = own.first().copied().unwrap_or_default();
        Halt::unprinted(format!("the document has {dpi} dots an inch, and {name} prints {shown}"))
            .hint(format!(
                "write `dpi: {first}` for the printer in the shop file, and make the document again"
            ))
    }

    /// What stops a document that the printer cannot read.
    fn refuse_format(&self) -> Halt {
        let name = self.wish.printer;
        match self.document.pdf {
            Some(_) => Halt::unprinted(format!("{name} takes no PDF")).hint(
                "give it its dots: `slipwright render … -o FILE.pwg`, or a kit made with `queue` in the \
                 shop file",
            ),
            None => Halt::unprinted(format!("{name} takes no dots (PWG Raster)"))
                .hint("print the PDF, with `sends: pdf` for the printer in the shop file"),
        }
    }

    /// What is to be said of a PDF that the queue's filters draw anew.
    ///
    /// # Errors
    /// When they would draw its bars on other dots than it was composed on.
    fn remark_pdf(&self) -> Result<Option<String>, Halt> {
        let name = self.wish.printer;
        if !self.facts.takes(PDF) {
            return Err(self.refuse_format());
        }
        let Some(profile) = self.wish.profile else {
            let is_label = Stock::of_size(self.to_size()).press == Press::Thermal;
            let remark = format!(
                "{name} is in no shop file: whether the bars were composed on its dots is not known"
            );
            return Ok(is_label.then_some(remark));
        };
        let usual = || Stock::of_size(self.to_size()).usual_grid();
        let grid = profile.grid.unwrap_or_else(usual);
        match is_whole_per_inch(grid) {
            true => Ok(None),
            false => {
                let (dpi, said) = (grid.dpi().round(), profile.name.as_ref());
                let place = if said.is_empty() { String::new() } else { format!(" for `{said}`") };
                Err(Halt::unprinted(format!(
                    "{name} draws PDFs on {dpi} dots an inch, and the document is composed on {:.1}: \
                     bars would come out a dot wider",
                    grid.dpi()
                ))
                .hint(format!("write `sends: pdf` and `dpi: {dpi}`{place} in the shop file, and make the document again")))
            }
        }
    }

    /// What is to be said of a PDF that the queue turns: a paper is hardly ever a whole number of dots long,
    /// and seen from its other end no bar begins where a dot does.
    fn remark_turn(&self, media: PaperSize, lay: PwgLay) -> Option<String> {
        let remark = format!(
            "{} turns pages that lie across its paper, and bars may come out a dot wider: let the layout turn \
             them, with `turn: quarter` on a page of {media}",
            self.wish.printer
        );
        (lay == PwgLay::Turned).then_some(remark)
    }

    /// The paper as lengths.
    fn to_size(&self) -> Size {
        let side = |hundredths: i32| Mm(f64::from(hundredths) / 100.0);
        Size::new(side(self.document.paper.width), side(self.document.paper.length))
    }

    /// The pages to ask for; none for all.
    fn choose_ranges(&self) -> Result<Vec<RangeInclusive<u32>>, Halt> {
        let pages = self.wish.pages;
        if pages.len() == self.document.pages {
            return Ok(Vec::new());
        }
        if !self.facts.takes_ranges {
            return Err(Halt::unprinted(format!("{} prints whole PDFs only", self.wish.printer))
                .hint("leave `--pages` out, or print its dots"));
        }
        let mut ranges: Vec<RangeInclusive<u32>> = Vec::new();
        for &page in pages {
            let page = u32::try_from(page + 1).unwrap_or(u32::MAX);
            match ranges.last_mut() {
                Some(last) if *last.end() + 1 == page => *last = *last.start()..=page,
                _ => ranges.push(page..=page),
            }
        }
        Ok(ranges)
    }

    /// The copies to ask for.
    fn choose_copies(&self) -> Result<Option<u32>, Halt> {
        let copies = self.wish.copies;
        if copies > self.facts.most_copies.max(1) {
            let most = self.facts.most_copies.max(1);
            let message =
                format!("{} makes no more than {most} of a PDF at once", self.wish.printer);
            return Err(Halt::unprinted(message).hint("print it several times instead"));
        }
        Ok((copies > 1).then_some(copies))
    }
}

/// Whether a head has a whole number of dots in an inch, as queues count them.
fn is_whole_per_inch(grid: DotGrid) -> bool {
    (grid.dpi() - grid.dpi().round()).abs() < 0.01
}

/// Some papers in words.
fn list_papers(sizes: &[SizeRange]) -> String {
    let shown: Vec<String> = sizes.iter().take(PAPERS_SHOWN).map(SizeRange::to_string).collect();
    join_and(&shown.iter().map(|it| &**it).collect::<Vec<_>>())
}
