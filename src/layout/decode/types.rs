//! Type styles by name, built on one another.

use std::sync::Arc;

use super::super::settings::{Slant, Weight};
use super::super::values::parse_number;
use super::super::{FamilyUse, TypeStyle};
use super::Decoder;
use super::definitions::within;
use super::read::{read_length, usual_type, word};
use crate::findings::{Finding, rules};
use crate::limits::TYPES;
use crate::tree::{Key, Node};
use crate::words::did_you_mean;

/// The type styles that blocks of one file may name.
#[derive(Clone, Default)]
pub(super) struct Types {
    /// Styles by name, those of the file itself first.
    styles: Vec<(String, TypeStyle)>,
}

impl Types {
    /// The styles of a file, and behind them those of the file that includes it.
    pub(super) fn read(
        node: &Node,
        outer: &Types,
        families: &mut Vec<FamilyUse>,
        out: &mut Vec<Finding>,
    ) -> Types {
        let entries = node.get("type").map(Node::entries).unwrap_or_default();
        let entries = within("type", entries, TYPES, out);
        families.extend(entries.iter().filter_map(|(_, style)| {
            let family = style.get("family")?;
            let name = Some(family.literal()?.into());
            Some(FamilyUse { name, span: family.span, slant: Slant::Upright })
        }));
        let mut reading = StyleReading { entries, outer, open: Vec::new(), out };
        let own = entries.iter().map(|(key, node)| (key.name.clone(), reading.style(key, node)));
        let mut styles: Vec<_> = own.collect();
        families.extend(styles.iter().zip(entries).filter_map(|((_, style), (key, _))| {
            let (name, slant) = (style.family.clone(), style.slant);
            (slant == Slant::Italic).then_some(FamilyUse { name, span: key.span, slant })
        }));
        styles.extend(outer.styles.iter().cloned());
        Types { styles }
    }

    /// What stands under a name in this file, or in one that includes it.
    fn find(&self, name: &str) -> Option<&TypeStyle> {
        self.styles.iter().find(|(known, _)| known == name).map(|(_, style)| style)
    }

    /// What the file defines, for hints.
    fn names(&self) -> Vec<&str> {
        self.styles.iter().map(|(name, _)| name.as_str()).collect()
    }
}

/// The reading of a file's styles.
struct StyleReading<'n> {
    /// The file's own styles as they are written.
    entries: &'n [(Key, Node)],
    /// The styles of the file that includes it.
    outer: &'n Types,
    /// The styles being read, outermost first: each builds on the next.
    open: Vec<&'n str>,
    /// Where faults go.
    out: &'n mut Vec<Finding>,
}

impl<'n> StyleReading<'n> {
    /// A style, built on the one it names.
    fn style(&mut self, key: &'n Key, node: &'n Node) -> TypeStyle {
        let base = match node.get("like").filter(|like| !like.is_null()) {
            Some(like) => self.base(key, like).unwrap_or_else(usual_type),
            None => usual_type(),
        };
        build_style(base, node)
    }

    /// The style that another one builds on.
    fn base(&mut self, key: &'n Key, like: &'n Node) -> Option<TypeStyle> {
        let wanted = like.literal()?;
        self.open.push(&key.name);
        let circle = self.open.contains(&wanted);
        let own = self.entries.iter().find(|(known, _)| known.name == wanted);
        let found = match own {
            _ if circle => {
                // Told once, and not again from each of its members.
                if self.out.iter().any(|fault| fault.is(&rules::TYPE_CIRCLE)) {
                    return None;
                }
                let chain = self.open.join("`, then `");
                let message = format!("the type `{wanted}` builds on itself: `{chain}`");
                let fault = Finding::new(&rules::TYPE_CIRCLE, message).at(like.span);
                self.out.push(fault.hint("take one `like` out"));
                None
            }
            Some((key, node)) => Some(self.style(key, node)),
            None => self.outer.find(wanted).cloned().or_else(|| {
                let known: Vec<_> = self.entries.iter().map(|(key, _)| &*key.name).collect();
                self.out.push(unknown_type(wanted, like, &known));
                None
            }),
        };
        self.open.pop();
        found
    }
}

/// The complaint about a type that is not there.
fn unknown_type(wanted: &str, place: &Node, known: &[&str]) -> Finding {
    let hint = did_you_mean(wanted, known)
        .unwrap_or_else(|| "name it under `type:` at the top first".into());
    Finding::new(&rules::UNKNOWN_TYPE, format!("there is no type `{wanted}`"))
        .at(place.span)
        .hint(hint)
}

/// A style with what its map says in place of its base's.
fn build_style(base: TypeStyle, node: &Node) -> TypeStyle {
    let length = |name| node.get(name).and_then(read_length);
    let number = |name| word(node, name).and_then(parse_number);
    TypeStyle {
        family: word(node, "family").map(Arc::from).or(base.family),
        size: length("size").unwrap_or(base.size),
        smallest: length("smallest").unwrap_or(base.smallest),
        cut: match word(node, "weight") {
            Some("bold") => Weight::Bold,
            Some("condensed") => Weight::Condensed,
            Some(_) => Weight::Regular,
            None => base.cut,
        },
        slant: match word(node, "slant") {
            Some("italic") => Slant::Italic,
            Some(_) => Slant::Upright,
            None => base.slant,
        },
        spacing: number("spacing").unwrap_or(base.spacing),
        leading: number("leading").unwrap_or(base.leading),
        capitals: word(node, "case").map_or(base.capitals, |case| case == "capitals"),
    }
}

impl Decoder<'_> {
    /// What `type: NAME` asks for; a name that nobody defines is reported.
    pub(super) fn named_style(&mut self, name: &Node) -> Option<TypeStyle> {
        let wanted = name.literal()?;
        if let Some(style) = self.file.types.find(wanted) {
            return Some(style.clone());
        }
        let fault = unknown_type(wanted, name, &self.file.types.names());
        self.fault(fault);
        None
    }

    /// The type style that a block names, with its own size if it has one.
    pub(super) fn style(&mut self, node: &Node) -> Option<TypeStyle> {
        let mut style = match node.get("type") {
            None => usual_type(),
            Some(name) => self.named_style(name)?,
        };
        if let Some(size) = node.get("size").and_then(read_length) {
            style.size = size;
        }
        Some(style)
    }
}
