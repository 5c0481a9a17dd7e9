//! Finds out whether a face's layout rules reach across a word space.
//!
//! Comes in: a face. Goes out: yes or no. If no rule that looks at three or
//! more glyphs can contain a space, then a word shaped between two spaces
//! comes out as it would in any sentence, so words can be shaped and kept one
//! by one. Rules about a pair (word end and space) are not its job: they show
//! in the shaped word itself.
//!
//! Tables and formats: OpenType specification, chapters GSUB, GPOS and
//! "OpenType layout common table formats".

use read_fonts::model::Font;
use read_fonts::tables::gpos::PositionSubtables;
use read_fonts::tables::gsub::{LigatureSubst, ReverseChainSingleSubst, SubstitutionSubtables};
use read_fonts::tables::layout::{
    ChainedSequenceContext, ChainedSequenceContextFormat1, ChainedSequenceContextFormat2, ClassDef,
    CoverageTable, SequenceContext,
};
use read_fonts::types::{BigEndian, GlyphId, GlyphId16, Tag};
use read_fonts::{ReadError, TableProvider};

/// Says whether a word space may take part in a rule about three or more glyphs.
///
/// Anything unreadable or of an unknown format counts as yes.
pub(super) fn reaches_across_spaces(font: &Font) -> bool {
    let Some(space) = font.charmap().map_unicode(' ') else {
        return false;
    };
    // State machines of AAT (morx, mort, kerx) are not looked into.
    let state_machines = [b"morx", b"mort", b"kerx"]
        .iter()
        .any(|tag| font.tables().data_for_tag(Tag::new(tag)).is_some());
    state_machines
        || substitutions_use(font, space).unwrap_or(true)
        || positions_use(font, space).unwrap_or(true)
}

/// Looks for the space in the context and ligature rules of GSUB.
fn substitutions_use(font: &Font, space: GlyphId) -> Result<bool, ReadError> {
    let Ok(table) = font.tables().gsub() else {
        return Ok(false);
    };
    for lookup in table.lookup_list()?.lookups().iter() {
        let used = match lookup?.subtables()? {
            SubstitutionSubtables::Ligature(subtables) => {
                any(subtables.iter(), |table| ligature_uses(&table, space))?
            }
            SubstitutionSubtables::Contextual(subtables) => {
                any(subtables.iter(), |table| context_uses(&table, space))?
            }
            SubstitutionSubtables::ChainContextual(subtables) => {
                any(subtables.iter(), |table| chain_uses(&table, space))?
            }
            SubstitutionSubtables::Reverse(subtables) => {
                any(subtables.iter(), |table| reverse_uses(&table, space))?
            }
            _ => false,
        };
        if used {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Looks for the space in the context rules of GPOS.
fn positions_use(font: &Font, space: GlyphId) -> Result<bool, ReadError> {
    let Ok(table) = font.tables().gpos() else {
        return Ok(false);
    };
    for lookup in table.lookup_list()?.lookups().iter() {
        let used = match lookup?.subtables()? {
            PositionSubtables::Contextual(subtables) => {
                any(subtables.iter(), |table| context_uses(&table, space))?
            }
            PositionSubtables::ChainContextual(subtables) => {
                any(subtables.iter(), |table| chain_uses(&table, space))?
            }
            _ => false,
        };
        if used {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Says whether `test` holds for any of the readable `items`.
fn any<T>(
    items: impl Iterator<Item = Result<T, ReadError>>,
    test: impl Fn(T) -> Result<bool, ReadError>,
) -> Result<bool, ReadError> {
    for item in items {
        if test(item?)? {
            return Ok(true);
        }
    }
    Ok(false)
}

/// As [`any`], for arrays in which an offset may be null.
fn any_set<T>(
    items: impl Iterator<Item = Option<Result<T, ReadError>>>,
    test: impl Fn(T) -> Result<bool, ReadError>,
) -> Result<bool, ReadError> {
    any(items.flatten(), test)
}

/// Says whether any of the coverages holds the space.
fn covers<'a>(
    coverages: impl Iterator<Item = Result<CoverageTable<'a>, ReadError>>,
    space: GlyphId,
) -> Result<bool, ReadError> {
    any(coverages, |coverage| Ok(coverage.get(space).is_some()))
}

/// Says whether a list of glyphs holds the space.
fn lists(glyphs: &[BigEndian<GlyphId16>], space: GlyphId) -> bool {
    glyphs.iter().any(|glyph| GlyphId::from(glyph.get()) == space)
}

/// Says whether a list of classes holds the class of the space.
fn lists_class(classes: &[BigEndian<u16>], of: &ClassDef<'_>, space: GlyphId) -> bool {
    let class = of.get(space);
    classes.iter().any(|listed| u32::from(listed.get()) == class)
}

/// Says whether a ligature has the space as one of its parts.
fn ligature_uses(table: &LigatureSubst<'_>, space: GlyphId) -> Result<bool, ReadError> {
    let LigatureSubst::Format1(table) = table else {
        return Ok(true);
    };
    if table.coverage()?.get(space).is_some() {
        return Ok(true);
    }
    any(table.ligature_sets().iter(), |set| {
        any(set.ligatures().iter(), |ligature| Ok(lists(ligature.component_glyph_ids(), space)))
    })
}

/// Says whether a reverse chaining rule looks at the space.
fn reverse_uses(table: &ReverseChainSingleSubst<'_>, space: GlyphId) -> Result<bool, ReadError> {
    let ReverseChainSingleSubst::Format1(table) = table else {
        return Ok(true);
    };
    Ok(table.coverage()?.get(space).is_some()
        || covers(table.backtrack_coverages().iter(), space)?
        || covers(table.lookahead_coverages().iter(), space)?)
}

/// Says whether a context rule looks at the space.
fn context_uses(table: &SequenceContext<'_>, space: GlyphId) -> Result<bool, ReadError> {
    match table {
        SequenceContext::Format1(table) => {
            if table.coverage()?.get(space).is_some() {
                return Ok(true);
            }
            any_set(table.seq_rule_sets().iter(), |set| {
                any(set.seq_rules().iter(), |rule| Ok(lists(rule.input_sequence(), space)))
            })
        }
        SequenceContext::Format2(table) => {
            if table.coverage()?.get(space).is_some() {
                return Ok(true);
            }
            let classes = table.class_def()?;
            any_set(table.class_seq_rule_sets().iter(), |set| {
                any(set.class_seq_rules().iter(), |rule| {
                    Ok(lists_class(rule.input_sequence(), &classes, space))
                })
            })
        }
        SequenceContext::Format3(table) => covers(table.coverages().iter(), space),
        _ => Ok(true),
    }
}

/// Says whether a chaining context rule looks at the space.
fn chain_uses(table: &ChainedSequenceContext<'_>, space: GlyphId) -> Result<bool, ReadError> {
    match table {
        ChainedSequenceContext::Format1(table) => chain_glyphs_use(table, space),
        ChainedSequenceContext::Format2(table) => chain_classes_use(table, space),
        ChainedSequenceContext::Format3(table) => {
            Ok(covers(table.backtrack_coverages().iter(), space)?
                || covers(table.input_coverages().iter(), space)?
                || covers(table.lookahead_coverages().iter(), space)?)
        }
        _ => Ok(true),
    }
}

/// Says whether a chaining rule that lists glyphs looks at the space.
fn chain_glyphs_use(
    table: &ChainedSequenceContextFormat1<'_>,
    space: GlyphId,
) -> Result<bool, ReadError> {
    if table.coverage()?.get(space).is_some() {
        return Ok(true);
    }
    any_set(table.chained_seq_rule_sets().iter(), |set| {
        any(set.chained_seq_rules().iter(), |rule| {
            Ok(lists(rule.backtrack_sequence(), space)
                || lists(rule.input_sequence(), space)
                || lists(rule.lookahead_sequence(), space))
        })
    })
}

/// Says whether a chaining rule that lists classes looks at the space.
fn chain_classes_use(
    table: &ChainedSequenceContextFormat2<'_>,
    space: GlyphId,
) -> Result<bool, ReadError> {
    if table.coverage()?.get(space).is_some() {
        return Ok(true);
    }
    let before = table.backtrack_class_def()?;
    let input = table.input_class_def()?;
    let after = table.lookahead_class_def()?;
    any_set(table.chained_class_seq_rule_sets().iter(), |set| {
        any(set.chained_class_seq_rules().iter(), |rule| {
            Ok(lists_class(rule.backtrack_sequence(), &before, space)
                || lists_class(rule.input_sequence(), &input, space)
                || lists_class(rule.lookahead_sequence(), &after, space))
        })
    })
}
