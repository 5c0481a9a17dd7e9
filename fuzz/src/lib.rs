//! What the fuzz targets share: their entry points, and the limit on memory.

pub mod entries;

/// The most memory that one input may hold, in bytes, beside what stays from input to input.
pub const MOST_MEMORY: usize = 256 << 20;

/// Makes an entry point the program, in an allocator that refuses more than [`MOST_MEMORY`].
#[macro_export]
macro_rules! fuzz_with {
    ($entry:ident) => {
        #[global_allocator]
        static ALLOCATOR: cap::Cap<std::alloc::System> =
            cap::Cap::new(std::alloc::System, $crate::MOST_MEMORY);

        libfuzzer_sys::fuzz_target!(|data: &[u8]| $crate::entries::$entry(data));
    };
}
