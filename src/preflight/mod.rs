//! stub
use crate::diag::Diagnostic;
use crate::scene::Page;
/// x
#[derive(Clone, Default)]
pub struct Rules;
/// x
pub fn inspect(_: &Page, _: &Rules) -> Vec<Diagnostic> {
    vec![]
}
/// x
pub fn fold_repeats(v: Vec<Diagnostic>) -> Vec<Diagnostic> {
    v
}
