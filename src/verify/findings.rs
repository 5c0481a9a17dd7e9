//! What there is to say about codes that read wrong, not at all, or barely.
//!
//! In: the proven codes of a page. Out: findings with their parcel, block and way out.

use super::bars::wider_module;
use super::{Grade, ProvenCode, Reading, codes_of};
use crate::findings::{Finding, rules};
use crate::scene::{CodeMark, Page};
use crate::words::{counted, shorten};

/// The least grade that is taken without a remark: the symbol specification tables of the GS1
/// General Specifications (R18, p. 321) ask for 1.5, which is a C, and so do we.
const LEAST_GRADE: Grade = Grade::C;

/// The decodability of the least grade.
const LEAST_VALUE: f64 = 0.37;

/// Reports the codes of a page that are not good; `codes` are all codes of the page in order, and
/// `found` tells which of them a scanner finds on the whole page.
pub(super) fn report(page: &Page, codes: &[ProvenCode], found: &[bool], gain: i32) -> Vec<Finding> {
    let marks = codes_of(page).map(|(_, mark)| mark);
    let judged = marks.zip(codes).zip(found).filter_map(|((mark, code), found)| {
        // What the bars lose on purpose they gain on the paper.
        let gain = gain - i32::try_from(mark.reduction).unwrap_or(0);
        let finding = judge(page, mark, code, gain).or_else(|| miss(code, *found))?;
        let mut finding = finding.block(code.name);
        finding.span = page.blocks.get(code.block.0 as usize).map(|block| block.span);
        finding.subject = page.subject.clone();
        Some(finding)
    });
    judged.collect()
}

/// Reports a code that does not read, or barely.
fn judge(page: &Page, mark: &CodeMark, code: &ProvenCode, gain: i32) -> Option<Finding> {
    let name = code.name;
    let dots = describe_dots(code.module_dots, gain);
    let finding = match &code.reading {
        Reading::Nothing => {
            let message = format!("this `{name}` cannot be read back from {dots}");
            Finding::new(&rules::UNREADABLE_CODE, message)
        }
        Reading::Other(text) => {
            let (read, meant) = (shorten(text), shorten(&code.payload));
            let message =
                format!("this `{name}` reads back as `{read}` from {dots}, expected `{meant}`");
            Finding::new(&rules::MISREAD_CODE, message)
        }
        Reading::Same if code.grade() > LEAST_GRADE => {
            let (measure, value, grade) = (code.measure.word(), code.value, code.grade().letter());
            let message = format!(
                "this `{name}` reads back from {dots}, but barely: its {measure} is {value:.2} \
                 ({grade}), expected {LEAST_VALUE} (C) or more"
            );
            Finding::new(&rules::WEAK_CODE, message)
        }
        Reading::Same => return None,
    };
    Some(finding.hint(way_out(page, mark, name, gain)))
}

/// Reports a code that reads in its place but is not found on the page.
fn miss(code: &ProvenCode, found: bool) -> Option<Finding> {
    let name = code.name;
    let message = format!(
        "this `{name}` reads back in its place, but not when a scanner looks at the whole page"
    );
    (!found).then(|| {
        Finding::new(&rules::LOST_CODE, message)
            .hint(format!("keep pictures, bars and other codes further away from this `{name}`"))
    })
}

/// What a code was read from, in words.
fn describe_dots(module: u32, gain: i32) -> String {
    let base = format!("{} a module", counted(module, "dot"));
    let by = counted(gain.unsigned_abs(), "dot");
    match gain {
        0 => base,
        1.. => format!("{base} with {by} of gain"),
        _ => format!("{base} with {by} of loss"),
    }
}

/// What to change: a wider module against the printer's gain, else whatever lies over the code.
fn way_out(page: &Page, mark: &CodeMark, name: &str, gain: i32) -> String {
    let modules = mark.symbol.modules() + mark.symbol.quiet_zone().ends();
    let wider = match mark.symbol.is_bars() {
        true => wider_module(&mark.symbol, mark.module_dots, gain, LEAST_VALUE),
        false => Some(mark.module_dots.saturating_add(1)),
    };
    let printer = match u32::try_from(gain) {
        Ok(gain) => format!(
            "set the printer lighter, or `bar_reduction: {}` for it in the shop file",
            mark.reduction.saturating_add(gain)
        ),
        Err(_) => "set the printer darker".to_owned(),
    };
    let room = match mark.stance.is_lying() {
        false => page.size.width,
        true => page.size.height,
    };
    match (gain, wider) {
        (0, _) => format!("take away what lies over this `{name}` or in the white around it"),
        (_, None) => printer,
        (_, Some(dots)) => match page.grid.length(modules as f64 * f64::from(dots)) {
            wide if wide.exceeds(room) => format!(
                "{printer}, or make what this `{name}` says shorter, so that there is room for \
                 {dots} dots a module"
            ),
            wide => format!(
                "{printer}, or make the box of this `{name}` {wide} wide, for {dots} dots a module"
            ),
        },
    }
}
