//! The colours of a layout by their names, and who asks for them.

use super::super::{Block, BlockInk, ColourUse};
use super::Decoder;
use super::definitions::within;
use crate::colour::Rgb;
use crate::findings::{Finding, rules};
use crate::limits::INKS;
use crate::tree::Node;
use crate::words::did_you_mean;

/// What `ink` says without any colour.
const PLAIN_INKS: [&str; 2] = ["black", "reversed"];

/// Colours by name.
#[derive(Clone, Default)]
pub(super) struct Inks {
    /// The file's own, then those of the file that includes it.
    list: Vec<(Box<str>, Rgb)>,
}

impl Inks {
    /// The inks of a file, and behind them those of the file that includes it.
    pub(super) fn read(node: &Node, outer: &Inks, out: &mut Vec<Finding>) -> Inks {
        let entries = node.get("inks").map(Node::entries).unwrap_or_default();
        let entries = within("inks", entries, INKS, out);
        let mut list = Vec::with_capacity(entries.len() + outer.list.len());
        for (key, value) in entries {
            if PLAIN_INKS.contains(&key.name.as_str()) || key.name == "white" {
                let fault = format!("`{}` means something already", key.name);
                let hint = format!("choose another name, such as `my_{}`", key.name);
                out.push(Finding::new(&rules::INK_NAME, fault).at(key.span).hint(hint));
                continue;
            }
            // What is no colour was reported by the file's check.
            if let Some(colour) = value.literal().and_then(|text| Rgb::parse(text.trim())) {
                list.push((key.name.as_str().into(), colour));
            }
        }
        list.extend(outer.list.iter().cloned());
        Inks { list }
    }
}

impl Decoder<'_> {
    /// Reads what a block is printed in and on.
    pub(super) fn read_inks_of(&mut self, node: &Node, block: &mut Block) -> Option<()> {
        if let Some(ink) = node.get("ink") {
            block.ink = match ink.literal()? {
                "black" => BlockInk::Usual,
                "reversed" => BlockInk::Reversed,
                name => BlockInk::Colour(self.named_ink(name, ink, &PLAIN_INKS)?),
            };
        }
        if let Some(ground) = node.get("ground") {
            block.ground = Some(self.named_ink(ground.literal()?, ground, &[])?);
        }
        Some(())
    }

    /// The colour of a name; one that is not there is reported with what else could be said.
    fn named_ink(&mut self, name: &str, place: &Node, others: &[&str]) -> Option<Rgb> {
        let known = self.file.inks.list.iter().find(|(known, _)| **known == *name);
        if let Some(&(_, colour)) = known {
            self.colours.push(ColourUse { name: name.into(), span: place.span });
            return Some(colour);
        }
        let names = self.file.inks.list.iter().map(|(name, _)| &**name);
        let all: Vec<&str> = others.iter().copied().chain(names).collect();
        let hint = match all.is_empty() {
            true => Some("name it under `inks:` at the top first".to_owned()),
            false => did_you_mean(name, &all),
        };
        let message = format!("there is no ink `{name}`");
        self.fault(Finding::new(&rules::UNKNOWN_INK, message).at(place.span).hint_if(hint));
        None
    }
}
