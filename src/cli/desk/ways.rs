//! What helps, as a page has it: hints of commands name commands, and nobody on a page types one.
//!
//! In: a hint. Out: the page's own way to the same, or nothing where there is none on a page. Not here: what is
//! wrong.

/// What becomes of a hint that names a command or an option.
enum PageWay {
    /// These words in its place.
    Say(&'static str),
    /// The hint without the option's name.
    Strip,
    /// Nothing: a page has no such thing to do.
    Leave,
}

use PageWay::{Leave, Say, Strip};

/// Commands and options as hints name them, and what becomes of those hints; the first that a hint begins with.
#[rustfmt::skip]
const WAYS: &[(&str, PageWay)] = &[
    ("slipwright ledger take-in", Say("drop the shop's export or orders on the page Line up")),
    ("slipwright ledger line-up", Say("line up an order: that begins a sitting")),
    ("slipwright ledger list waiting", Say("see which wait: the field on the page Line up finds them")),
    ("slipwright ledger list line", Say("see which there are, on the page Line up")),
    ("slipwright ledger take-off", Say("take the parcel off on the page Line up: Delete on its slip")),
    ("slipwright ledger set-aside", Say("take its parcel off on the page Line up: Delete on its slip")),
    ("slipwright ledger part", Say("or open its slip on the page Line up, and part the order from the others")),
    ("slipwright ledger again", Say("if it is to go all the same, find it on the page Line up and say why")),
    ("slipwright ledger undo", Say("look at what the button Undo names now")),
    ("slipwright ledger close", Say("close the sitting first, on the page Hand over")),
    ("slipwright ledger match", Say("match cards and labels first, on the page Match")),
    ("slipwright ledger print --anew", Say("put the folder back, or make all its papers again: the button below")),
    ("slipwright ledger print", Say("the page Print prints what is out of date")),
    ("slipwright ledger join", Say("open the parcel's card: + puts the other orders into it")),
    ("slipwright ledger part", Say("take the order out of it: the button is above the page")),
    ("slipwright ledger track", Say("scan its number on the page Match, right after its match")),
    ("slipwright ledger note", Say("say it on the parcel's card: Enter on its slip opens it")),
    ("slipwright ledger tell-shop", Say("make the shop's table on the page Hand over")),
    ("slipwright ledger", Leave),
    ("slipwright intake", Say("drop the export on the page Line up: a first map is proposed there")),
    ("slipwright print --list", Say("compare the queue's name with those of the system")),
    ("slipwright print", Leave),
    ("slipwright layouts", Say("the page Layouts names those that there are")),
    ("slipwright render", Leave),
    ("--leave", Say("hand them over, take them off, or say why they stay")),
    ("--again", Leave),
    ("--anew", Leave),
    ("--to", Leave),
    ("--request", Leave),
    ("--elsewhere", Leave),
    ("--order", Leave),
    ("--json", Leave),
    ("--job", Leave),
    ("--cancel", Leave),
    ("--pages", Strip),
    ("--printer", Strip),
    ("--queue", Say("write its queue in the shop file: `queue: NAME`")),
    ("--shop", Say("put `shop.yaml` into the desk's folder")),
    ("--fonts", Say("put a font that has it into a folder, and name the folder in the shop file as `fonts`")),
    ("--replace", Say("move the folder of these papers elsewhere, and make them anew")),
];

/// A hint as a page says it; none when it is about something that no page does.
pub(super) fn say_on_page(hint: &str) -> Option<String> {
    let mut spans = hint.split('`').skip(1).step_by(2);
    let Some(named) = spans.find(|span| span.starts_with("slipwright ") || span.starts_with("--"))
    else {
        return Some(hint.to_owned());
    };
    // The program is begun again, and not on a page.
    if named.starts_with("slipwright desk") {
        return Some(hint.to_owned());
    }
    let (option, way) = WAYS.iter().find(|(begins, _)| named.starts_with(begins))?;
    match way {
        Say(words) => Some((*words).to_owned()),
        Strip => {
            let word = option.trim_start_matches('-').trim_end_matches('s');
            let bare =
                hint.replace(&format!("with `{option}`"), "").replace(&format!("`{option}`"), word);
            Some(
                bare.replace(&format!("{option} "), "")
                    .split_whitespace()
                    .collect::<Vec<_>>()
                    .join(" "),
            )
        }
        Leave => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_hint_on_a_page_names_a_command_or_an_option() {
        for (hint, said) in [
            ("correct it in the export", Some("correct it in the export")),
            (
                "write `rows: [{column: Status, is: x}]` into the map",
                Some("write `rows: [{column: Status, is: x}]` into the map"),
            ),
            (
                "close it first: `slipwright ledger close`",
                Some("close the sitting first, on the page Hand over"),
            ),
            (
                "take it: `slipwright ledger part 3 TH-1`",
                Some("or open its slip on the page Line up, and part the order from the others"),
            ),
            ("give `--pages` numbers from 1 to 5", Some("give page numbers from 1 to 5")),
            (
                "print the pages by themselves: `--pages 1-4`",
                Some("print the pages by themselves: `1-4`"),
            ),
            ("name one: `--printer bench`", Some("name one: `bench`")),
            ("leave `--request` out, or name two codes", None),
            ("`--unheard-of`", None),
            ("name one: `slipwright desk FOLDER`", Some("name one: `slipwright desk FOLDER`")),
        ] {
            assert_eq!(say_on_page(hint).as_deref(), said, "{hint}");
        }
        for (_, way) in WAYS {
            if let Say(words) = way {
                assert!(!words.contains("slipwright ") && !words.contains("`--"), "{words}");
            }
        }
    }
}
