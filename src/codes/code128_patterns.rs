//! The bars and spaces of every Code 128 symbol character.
//!
//! In: a symbol character's value. Out: its element widths in modules. Not here: which value
//! stands for which character (`code128`).

/// The stop character's value.
pub(super) const STOP: u8 = 106;

/// Modules in every symbol character but the stop.
pub(super) const CHARACTER_MODULES: usize = 11;

/// Modules in the stop character, its final bar included.
pub(super) const STOP_MODULES: usize = 13;

/// Element widths in modules of the values 0 to 105, first element a bar, in tens of values
/// (ISO/IEC 15417 Table 1).
#[rustfmt::skip]
const WIDTHS: [u32; 106] = [
    212222, 222122, 222221, 121223, 121322, 131222, 122213, 122312, 132212, 221213,
    221312, 231212, 112232, 122132, 122231, 113222, 123122, 123221, 223211, 221132,
    221231, 213212, 223112, 312131, 311222, 321122, 321221, 312212, 322112, 322211,
    212123, 212321, 232121, 111323, 131123, 131321, 112313, 132113, 132311, 211313,
    231113, 231311, 112133, 112331, 132131, 113123, 113321, 133121, 313121, 211331,
    231131, 213113, 213311, 213131, 311123, 311321, 331121, 312113, 312311, 332111,
    314111, 221411, 431111, 111224, 111422, 121124, 121421, 141122, 141221, 112214,
    112412, 122114, 122411, 142112, 142211, 241211, 221114, 413111, 241112, 134111,
    111242, 121142, 121241, 114212, 124112, 124211, 411212, 421112, 421211, 212141,
    214121, 412121, 111143, 111341, 131141, 114113, 114311, 411113, 411311, 113141,
    114131, 311141, 411131, 211412, 211214, 211232,
];

/// [`WIDTHS`] taken apart into single elements.
const ELEMENTS: [[u8; 6]; 106] = split_widths();

/// The stop character's element widths in modules: four bars, three spaces.
const STOP_ELEMENTS: [u8; 7] = [2, 3, 3, 1, 1, 1, 2];

/// Takes each number of [`WIDTHS`] apart into its six decimal digits.
const fn split_widths() -> [[u8; 6]; 106] {
    let mut elements = [[0; 6]; 106];
    let mut value = 0;
    while value < 106 {
        let mut rest = WIDTHS[value];
        let mut place = 6;
        while place > 0 {
            place -= 1;
            elements[value][place] = (rest % 10) as u8;
            rest /= 10;
        }
        value += 1;
    }
    elements
}

/// The element widths in modules of a symbol character, first element a bar. `value` is one our
/// encoder made, so at most [`STOP`].
pub(super) fn elements_of(value: u8) -> &'static [u8] {
    if value == STOP { &STOP_ELEMENTS } else { &ELEMENTS[usize::from(value)] }
}
