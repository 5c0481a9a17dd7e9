//! The rules of UAX #14 by which lines may end.
//!
//! In: a text. Out: the byte offsets at which a line may end, by the rules of Unicode 17.0 without
//! tailoring; Thai, Lao, Khmer and Burmese, which need a dictionary, count as letters (LB1). The time is
//! linear in the text's length. Not here: the classes of characters (`line_class`), and what of a
//! section is shown (`breaks`).
//!
//! Each step below is a few rules that go before all later ones: it says that a break is forbidden or
//! allowed, or nothing.

use super::line_class::LineClass::{self, *};
use super::line_class::classify;

/// The byte offsets at which lines of a text may end, the last one its length.
pub(super) fn find_line_breaks(text: &str) -> Vec<usize> {
    let bases = split_bases(text);
    let mut breaks = Vec::with_capacity(text.len() / 6 + 1);
    for at in 1..bases.len() {
        let gap = Gap { bases: &bases, at };
        if gap.is_break() {
            breaks.push(bases[at].start);
        }
    }
    if !text.is_empty() {
        breaks.push(text.len());
    }
    breaks
}

/// A character with the marks that are one with it (LB9).
#[derive(Debug, Clone, Copy)]
struct Base {
    /// Its first byte.
    start: usize,
    /// The class of its first character.
    class: LineClass,
    /// Whether that one is wide (UAX #11), which is asked of quotation marks and brackets.
    wide: bool,
    /// Whether a zero width joiner ends it.
    joins: bool,
    /// Whether it is the second of a pair of regional indicators (LB30a).
    pairs: bool,
}

/// Cuts a text into characters with their marks (LB9, LB10).
fn split_bases(text: &str) -> Vec<Base> {
    let mut bases: Vec<Base> = Vec::with_capacity(text.len());
    for (start, c) in text.char_indices() {
        let (class, wide) = classify(c);
        let last = bases.last_mut();
        let is_mark = matches!(class, Cm | Zwj);
        match last {
            Some(last) if is_mark && !matches!(last.class, Bk | Cr | Lf | Nl | Sp | Zw) => {
                last.joins = class == Zwj;
            }
            last => {
                let pairs = class == Ri && last.is_some_and(|last| last.class == Ri && !last.pairs);
                let joins = class == Zwj;
                let (class, wide) = if is_mark { (Al, false) } else { (class, wide) };
                bases.push(Base { start, class, wide, joins, pairs });
            }
        }
    }
    bases
}

/// What a rule says of a break.
type Ruling = Option<bool>;

/// The verdict of a rule that forbids breaks where it holds.
fn forbid(holds: bool) -> Ruling {
    holds.then_some(false)
}

/// The verdict of a rule that allows breaks where it holds.
fn allow(holds: bool) -> Ruling {
    holds.then_some(true)
}

/// Whether a class is of letters.
fn is_letter(class: LineClass) -> bool {
    matches!(class, Al | Hl | Dc | Xp)
}

/// Whether a class is of quotation marks.
fn is_quote(class: LineClass) -> bool {
    matches!(class, Qu | Pi | Pf)
}

/// Whether a class is of ideographs or of what stands like one.
fn is_ideograph(class: LineClass) -> bool {
    matches!(class, Id | Ep | Eb | Em)
}

/// Whether a class is of Korean syllables or parts of them.
fn is_korean(class: LineClass) -> bool {
    matches!(class, Jl | Jv | Jt | H2 | H3)
}

/// Whether a class is of letters of Brahmic scripts, or what stands for one.
fn is_aksara(class: LineClass) -> bool {
    matches!(class, Ak | Dc | As)
}

/// The place before one base of a text, and after another.
#[derive(Clone, Copy)]
struct Gap<'a> {
    /// All of the text.
    bases: &'a [Base],
    /// The one after the gap; never the first.
    at: usize,
}

impl Gap<'_> {
    /// Whether a line may end here.
    fn is_break(self) -> bool {
        self.beside_forced_breaks()
            .or_else(|| self.beside_glue())
            .or_else(|| self.after_spaces())
            .or_else(|| self.beside_quotes())
            .or_else(|| self.beside_hyphens())
            .or_else(|| self.in_numbers())
            .or_else(|| self.in_korean())
            .or_else(|| self.in_words())
            .unwrap_or(true)
    }

    /// The base before the gap.
    fn last(self) -> Base {
        self.bases[self.at - 1]
    }

    /// The base after the gap.
    fn next(self) -> Base {
        self.bases[self.at]
    }

    /// The base that many before the last one.
    fn before(self, count: usize) -> Option<Base> {
        (self.at - 1).checked_sub(count).map(|at| self.bases[at])
    }

    /// The class behind the next one.
    fn following(self) -> Option<LineClass> {
        self.bases.get(self.at + 1).map(|base| base.class)
    }

    /// The last class before the gap that is no space, and the one before that.
    fn last_but_spaces(self) -> (Option<LineClass>, Option<LineClass>) {
        let before = &self.bases[..self.at];
        let mut classes =
            before.iter().rev().map(|base| base.class).skip_while(|class| *class == Sp);
        (classes.next(), classes.next())
    }

    /// Forced breaks, zero width spaces and joiners: LB4 to LB8a.
    fn beside_forced_breaks(self) -> Ruling {
        let (last, next) = (self.last(), self.next());
        forbid(last.class == Cr && next.class == Lf)
            .or_else(|| allow(matches!(last.class, Bk | Cr | Lf | Nl)))
            .or_else(|| forbid(matches!(next.class, Bk | Cr | Lf | Nl | Sp | Zw)))
            .or_else(|| allow(self.last_but_spaces().0 == Some(Zw)))
            .or_else(|| forbid(last.joins))
    }

    /// Word joiners and no-break spaces: LB11 to LB12a.
    fn beside_glue(self) -> Ruling {
        let (last, next) = (self.last().class, self.next().class);
        forbid(last == Wj || next == Wj)
            .or_else(|| forbid(last == Gl))
            .or_else(|| forbid(next == Gl && !matches!(last, Sp | Ba | Hy | Hh)))
    }

    /// What holds together even across spaces, and spaces: LB13 to LB18.
    fn after_spaces(self) -> Ruling {
        let (last, next) = (self.last().class, self.next().class);
        let (end, before_end) = self.last_but_spaces();
        forbid(matches!(next, Cl | Cp | Ex | Sy))
            .or_else(|| forbid(end == Some(Op)))
            .or_else(|| forbid(end == Some(Pi) && before_end.is_none_or(stands_before_initial)))
            .or_else(|| forbid(next == Pf && self.following().is_none_or(stands_after_final)))
            .or_else(|| allow(last == Sp && next == Is && self.following() == Some(Nu)))
            .or_else(|| forbid(next == Is))
            .or_else(|| forbid(matches!(end, Some(Cl | Cp)) && next == Ns))
            .or_else(|| forbid(end == Some(B2) && next == B2))
            .or_else(|| allow(last == Sp))
    }

    /// Quotation marks, which bind on both sides unless they stand among wide characters: LB19, LB19a.
    fn beside_quotes(self) -> Ruling {
        let (last, next) = (self.last(), self.next());
        let narrow = |base: Option<&Base>| base.is_none_or(|base| !base.wide);
        forbid(matches!(next.class, Qu | Pf))
            .or_else(|| forbid(matches!(last.class, Qu | Pi)))
            .or_else(|| {
                let around = !last.wide || narrow(self.bases.get(self.at + 1));
                forbid(is_quote(next.class) && around)
            })
            .or_else(|| {
                let around = !next.wide || narrow(self.before(1).as_ref());
                forbid(is_quote(last.class) && around)
            })
    }

    /// Objects and hyphens: LB20 to LB21b.
    fn beside_hyphens(self) -> Ruling {
        let (last, next) = (self.last().class, self.next().class);
        let before = self.before(1).map(|base| base.class);
        let is_hyphen = matches!(last, Hy | Hh);
        let begins_word =
            matches!(before, None | Some(Bk | Cr | Lf | Nl | Sp | Zw | Cb | Gl)) && is_letter(next);
        allow(last == Cb || next == Cb)
            .or_else(|| forbid(is_hyphen && begins_word))
            .or_else(|| forbid(matches!(next, Ba | Hh | Hy | Ns) || last == Bb))
            .or_else(|| forbid(is_hyphen && before == Some(Hl) && next != Hl))
            .or_else(|| forbid(last == Sy && next == Hl))
    }

    /// Leaders, figures, and what stands before and behind them: LB22 to LB25.
    fn in_numbers(self) -> Ruling {
        let (last, next) = (self.last().class, self.next().class);
        forbid(next == In)
            .or_else(|| forbid(is_letter(last) && next == Nu || last == Nu && is_letter(next)))
            .or_else(|| {
                forbid(last == Pr && is_ideograph(next) || is_ideograph(last) && next == Po)
            })
            .or_else(|| {
                let (before, behind) = (matches!(last, Pr | Po), matches!(next, Pr | Po));
                forbid(before && is_letter(next) || is_letter(last) && behind)
            })
            .or_else(|| forbid(self.is_in_number()))
    }

    /// Whether the gap is within a number (LB25).
    fn is_in_number(self) -> bool {
        let (last, next) = (self.last().class, self.next().class);
        match (last, next) {
            (Po | Pr | Hy | Is | Nu, Nu) => true,
            (Po | Pr, Op) => {
                let behind = self.following();
                let then = self.bases.get(self.at + 2).map(|base| base.class);
                behind == Some(Nu) || behind == Some(Is) && then == Some(Nu)
            }
            (Cl | Cp, Po | Pr) => ends_number(&self.bases[..self.at - 1]),
            (Nu | Sy | Is, Po | Pr) | (Sy, Nu) => ends_number(&self.bases[..self.at]),
            _ => false,
        }
    }

    /// Korean syllables: LB26, LB27.
    fn in_korean(self) -> Ruling {
        let (last, next) = (self.last().class, self.next().class);
        let in_syllable =
            matches!((last, next), (Jl, Jl | Jv | H2 | H3) | (Jv | H2, Jv | Jt) | (Jt | H3, Jt));
        forbid(in_syllable)
            .or_else(|| forbid(is_korean(last) && next == Po || last == Pr && is_korean(next)))
    }

    /// Letters, brackets, flags and emoji: LB28 to LB30b.
    fn in_words(self) -> Ruling {
        let (last, next) = (self.last(), self.next());
        forbid(is_letter(last.class) && is_letter(next.class))
            .or_else(|| forbid(self.is_in_aksara()))
            .or_else(|| forbid(last.class == Is && is_letter(next.class)))
            .or_else(|| {
                let in_word = |class| is_letter(class) || class == Nu;
                let opens = in_word(last.class) && next.class == Op && !next.wide;
                let closes = last.class == Cp && !last.wide && in_word(next.class);
                forbid(opens || closes)
            })
            .or_else(|| forbid(next.pairs))
            .or_else(|| forbid(matches!(last.class, Eb | Ep | Xp) && next.class == Em))
    }

    /// Whether the gap is within a syllable of a Brahmic script (LB28a).
    fn is_in_aksara(self) -> bool {
        let (last, next) = (self.last().class, self.next().class);
        let after_virama = self.before(1).is_some_and(|before| is_aksara(before.class));
        last == Ap && is_aksara(next)
            || is_aksara(last) && matches!(next, Vf | Vi)
            || after_virama && last == Vi && matches!(next, Ak | Dc)
            || is_aksara(last) && is_aksara(next) && self.following() == Some(Vf)
    }
}

/// Whether initial punctuation behind a class begins what is quoted (LB15a).
fn stands_before_initial(class: LineClass) -> bool {
    matches!(class, Bk | Cr | Lf | Nl | Op | Qu | Pi | Pf | Gl | Sp | Zw)
}

/// Whether final punctuation before a class ends what is quoted (LB15b).
fn stands_after_final(class: LineClass) -> bool {
    matches!(class, Sp | Gl | Wj | Cl | Qu | Pi | Pf | Cp | Ex | Is | Sy | Bk | Cr | Lf | Nl | Zw)
}

/// Whether bases end in a figure and signs within numbers behind it (LB25).
fn ends_number(bases: &[Base]) -> bool {
    let mut classes = bases.iter().rev().map(|base| base.class);
    classes.find(|class| !matches!(class, Sy | Is)) == Some(Nu)
}
