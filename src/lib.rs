//! x
mod diag;
mod geom;
pub mod record;
mod source;
pub mod tree;
pub use diag::*;
pub use geom::*;
pub use source::*;
