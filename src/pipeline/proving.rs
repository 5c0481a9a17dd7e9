//! Codes read back while their pages are made.
//!
//! In: a composed page, and how it is proven. Out: its proven codes and what is wrong with them,
//! beside the page. The feature `proof` leaves it out.
//! Not here: reading and measuring (`verify`).

use super::{MadePages, Run};
use crate::correct::correct_page;
use crate::scene::Page;
use crate::sides::LeafSide;
use crate::stock::Printer;
use crate::verify::{ProofTally, Proofing, ProvenPage, count_unseen, prove_page};

/// Adds proven pages to the tally of their batch.
pub(super) fn tally(tally: &mut ProofTally, pages: Vec<ProvenPage>, how: Option<Proofing>) {
    let keep = how.is_some_and(|proof| proof.every_code);
    pages.into_iter().for_each(|page| tally.take(page, keep));
}

impl Run<'_> {
    /// Reads a page's codes back as they will stand on the paper, if that is wanted: their bars
    /// with what they lose and gain. Offset and scale are left out, because the printer takes back
    /// what is corrected for it; a sheet moves pages by whole dots, so each is proven by itself.
    pub(super) fn prove<T>(
        &self,
        page: &Page,
        number: usize,
        side: LeafSide,
        made: &mut MadePages<T>,
    ) {
        let Some(proofing) = self.document.proof else { return };
        let gain = proofing.gain.unwrap_or(self.printer.gain);
        let bar_reduction = self.printer.bar_reduction;
        let (codes, findings) = match bar_reduction {
            0 => prove_page(page, self.document.book, gain),
            _ => {
                let bars = Printer { bar_reduction, ..Printer::default() };
                prove_page(&correct_page(page, &bars), self.document.book, gain)
            }
        };
        made.findings.extend(findings);
        let document = self.document.layout.makes.word();
        let subject = page.subject.clone();
        let unseen = count_unseen(page);
        made.proven.push(ProvenPage { document, subject, page: number, side, codes, unseen });
    }
}
