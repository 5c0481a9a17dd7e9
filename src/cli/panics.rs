//! Panics that are not ours to show.
//!
//! In: a panic. Out: what is usually said of it, unless it is the renderer's about a page of another
//! PDF: that is caught, and told as a finding of that page. Not here: catching it (`images`).

use std::panic::{set_hook, take_hook};

use crate::images::is_drawing;

/// Keeps the renderer's panics off the screen from now on.
pub(super) fn hush_drawing() {
    let usual = take_hook();
    set_hook(Box::new(move |panic| {
        if !is_drawing() {
            usual(panic);
        }
    }));
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;
    use std::panic::catch_unwind;

    use super::*;
    use crate::images::contain;

    thread_local! {
        /// Panics of this thread that were shown.
        static SHOWN: Cell<u32> = const { Cell::new(0) };
    }

    #[test]
    fn the_renderers_panic_is_not_shown_and_any_other_is() {
        let before = take_hook();
        set_hook(Box::new(move |panic| {
            SHOWN.set(SHOWN.get() + 1);
            before(panic);
        }));
        hush_drawing();
        assert_eq!(contain(|| -> Option<()> { panic!("a picture of no size") }), None);
        assert_eq!(SHOWN.get(), 0);
        assert!(catch_unwind(|| panic!("shown by a test, on purpose")).is_err());
        assert_eq!(SHOWN.get(), 1);
        assert_eq!(contain(|| Some(7)), Some(7));
    }
}
