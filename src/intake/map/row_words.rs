//! The usual words by which rows of exports say that they are no parcels, in the languages of the
//! country names.
//!
//! In: a cell. Out: whether it says so. They are common practice in shops' exports, collected by us; a
//! word that is missing leaves nothing out by itself. Not here: leaving rows out, which only a rule of
//! the map does.

use std::collections::HashSet;
use std::sync::LazyLock;

use super::words::split_words;

/// Words for cancelled, refunded and returned, without accents.
const CANCELLED: &str = "cancelled canceled cancellation voided refunded refund returned reversed \
     chargeback storniert stornierung storno stornorechnung abgebrochen erstattet zuruckerstattet \
     erstattung ruckerstattung gutschrift widerrufen retourniert retoure annulliert \
     annule annulee annulation rembourse remboursee remboursement retourne retournee \
     cancelado cancelada cancelacion anulado anulada reembolsado reembolsada reembolso devuelto devuelta \
     annullato annullata annullamento rimborsato rimborsata rimborso stornato reso \
     cancelamento reembolsada devolvido devolvida estornado \
     geannuleerd annulering terugbetaald terugbetaling geretourneerd gecrediteerd \
     annulleret annullering refunderet tilbagebetalt krediteret returneret \
     annullerad avbruten avbestalld makulerad aterbetald krediterad returnerad \
     kansellert avbestilt refundert tilbakebetalt kreditert returnert annullert \
     peruttu peruutettu hyvitetty palautettu mitatoity \
     anulowane anulowano anulowany anulowana zwrocone zwrocono zwrot \
     zruseno zrusena zruseny stornovano stornovana vraceno vracena refundovano \
     torolve torolt lemondva lemondott visszateritve visszateritett sztorno sztornozva sztornozott \
     anulat anulata rambursat rambursata stornat stornata returnat returnata";

/// Words for a part of an order, which is then a parcel all the same.
const PARTLY: &str = "partially partly partial teilweise teil partiellement partiel parcialmente \
     parcial parzialmente parziale gedeeltelijk delvist delvis osittain czesciowo czesciowy castecne \
     reszben reszleges partial";

/// Words for a sum, without accents.
const TOTALS: &str = "sum sums summe gesamt gesamtsumme zwischensumme endsumme total totals grand \
     subtotal sous general suma totales totale totali subtotale totais totaal subtotaal eindtotaal \
     ialt mellemsum summa delsumma totalt delsum totalsum yhteensa valisumma razem lacznie \
     ogolem celkem soucet mezisoucet osszesen vegosszeg reszosszeg";

/// The longest cell that is looked at, in bytes: a state is said in a word or two.
const LONGEST: usize = 40;

/// The words of a short cell; none for one that is no state.
fn words_of(cell: &str) -> Vec<String> {
    let starts = cell.chars().next().is_some_and(char::is_alphabetic);
    if cell.len() > LONGEST || !starts { Vec::new() } else { split_words(cell) }
}

/// The words of a list, each looked up at once: a file has millions of cells.
type WordSet = LazyLock<HashSet<&'static str, foldhash::fast::FixedState>>;

/// Those for cancelled.
static CANCELLED_WORDS: WordSet = LazyLock::new(|| CANCELLED.split_whitespace().collect());

/// Those for a part.
static PARTLY_WORDS: WordSet = LazyLock::new(|| PARTLY.split_whitespace().collect());

/// Those for a sum.
static TOTAL_WORDS: WordSet = LazyLock::new(|| TOTALS.split_whitespace().collect());

/// Whether a cell says that its order is cancelled, refunded or returned, and not only a part of it.
pub(crate) fn is_cancelled(cell: &str) -> bool {
    let words = words_of(cell);
    words.len() <= 4
        && words.iter().any(|word| CANCELLED_WORDS.contains(&**word))
        && !words.iter().any(|word| PARTLY_WORDS.contains(&**word))
}

/// Whether a cell says that its row is a sum of others.
pub(crate) fn is_total(cell: &str) -> bool {
    let words = words_of(cell);
    !words.is_empty() && words.iter().all(|word| TOTAL_WORDS.contains(&**word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_that_say_it_are_known_in_fifteen_languages() {
        for cell in [
            "Cancelled",
            "refunded",
            "Storniert",
            "erstattet (Käufer)",
            "Annulé",
            "Remboursée",
            "Cancelado",
            "Anulado",
            "Annullato",
            "Rimborsato",
            "Devolvido",
            "Geannuleerd",
            "Terugbetaald",
            "Annulleret",
            "Återbetald",
            "Makulerad",
            "Kansellert",
            "Peruttu",
            "Anulowane",
            "Zwrócone",
            "Zrušeno",
            "Törölve",
            "Visszatérítve",
            "Anulată",
            "Rambursat",
        ] {
            assert!(is_cancelled(cell), "{cell}");
        }
        for cell in [
            "",
            "paid",
            "bezahlt",
            "partially refunded",
            "teilweise erstattet",
            "Return address",
            "Please send no refunds to the old address, thank you",
            "12.50",
        ] {
            assert!(!is_cancelled(cell), "{cell}");
        }
        for cell in ["Summe", "Gesamt:", "Grand total", "Totaal", "Razem", "Összesen", "Yhteensä"]
        {
            assert!(is_total(cell), "{cell}");
        }
        for cell in ["", "Total Pen Co", "Summer", "4711"] {
            assert!(!is_total(cell), "{cell}");
        }
    }
}
