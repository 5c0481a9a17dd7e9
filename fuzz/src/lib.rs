//! What the fuzz targets share: their entry points, and the limit on memory.

pub mod entries;

/// The most memory that one input may hold, in bytes, beside what stays from input to input.
pub const MOST_MEMORY: usize = 256 << 20;

/// Lets the engine contain what panics in code that is not ours, as the command does: a page that another
/// renderer gives up on is that page's fault. What is not contained ends the door all the same, and a panic
/// of our own ends it at once, contained or not.
pub fn let_foreign_panics_be_contained() {
    let fatal = std::panic::take_hook();
    let ours = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).parent();
    std::panic::set_hook(Box::new(move |panic| {
        let file = panic.location().map(|location| std::path::Path::new(location.file()));
        let is_foreign = file
            .zip(ours)
            .is_some_and(|(file, ours)| file.is_absolute() && !file.starts_with(ours));
        if !is_foreign {
            fatal(panic);
        }
    }));
}

/// Makes an entry point the program, in an allocator that refuses more than [`MOST_MEMORY`].
///
/// The standard library seeds its hash maps with what the system's `getrandom` says. Here that is always
/// the same: else the ways through a map differ from run to run, what counts as new with them, and no
/// run could be done again.
#[macro_export]
macro_rules! fuzz_with {
    ($entry:ident) => {
        #[global_allocator]
        static ALLOCATOR: cap::Cap<std::alloc::System> =
            cap::Cap::new(std::alloc::System, $crate::MOST_MEMORY);

        /// Fills a buffer with one and the same byte, in place of the system's function of this name.
        ///
        /// # Safety
        /// The buffer has as many bytes as `length` says.
        #[unsafe(no_mangle)]
        pub unsafe extern "C" fn getrandom(buffer: *mut u8, length: usize, _flags: u32) -> isize {
            // SAFETY: the caller says so.
            unsafe { buffer.write_bytes(7, length) };
            length as isize
        }

        libfuzzer_sys::fuzz_target!(
            init: $crate::let_foreign_panics_be_contained(),
            |data: &[u8]| $crate::entries::$entry(data)
        );
    };
}
