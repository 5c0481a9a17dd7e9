//! Reed-Solomon error correction of Data Matrix.
//!
//! In: data codewords and a size. Out: data and error correction codewords as they stand in the
//! symbol. Not here: where modules are placed.
//!
//! The field is GF(2⁸) with x⁸+x⁵+x³+x²+1, a generator of degree n has the roots 2¹ to 2ⁿ (ISO/IEC
//! 16022:2006, Annex E); the worked example of the standard holds both.

use super::sizes::SymbolSize;

/// The product of two elements of the field.
fn multiply(a: u8, b: u8) -> u8 {
    (0..8).rev().fold(0, |product: u8, bit| {
        let doubled = (product << 1) ^ ((product >> 7) * 0x2D);
        doubled ^ ((b >> bit & 1) * a)
    })
}

/// The coefficients of a generator behind its leading 1, highest power first.
fn generator(degree: usize) -> Vec<u8> {
    // Lowest power first while it grows, the leading 1 included.
    let mut coefficients = vec![1];
    let mut root = 1;
    for _ in 0..degree {
        root = multiply(root, 2);
        let lowest = coefficients.iter().map(|&it| multiply(it, root)).chain([0]);
        let shifted = [0].into_iter().chain(coefficients.iter().copied());
        coefficients = lowest.zip(shifted).map(|(a, b)| a ^ b).collect();
    }
    coefficients.pop();
    coefficients.reverse();
    coefficients
}

/// The remainder of data codewords divided by a generator.
fn divide(data: impl Iterator<Item = u8>, generator: &[u8]) -> Vec<u8> {
    let mut rest = vec![0; generator.len()];
    for codeword in data {
        let factor = rest[0] ^ codeword;
        rest.rotate_left(1);
        if let Some(last) = rest.last_mut() {
            *last = 0;
        }
        for (value, coefficient) in rest.iter_mut().zip(generator) {
            *value ^= multiply(*coefficient, factor);
        }
    }
    rest
}

/// Adds the error correction of every block behind the data; codewords of the blocks take turns.
pub(super) fn add_error_correction(data: &[u8], size: &SymbolSize) -> Vec<u8> {
    let generator = generator(size.correction);
    let mut codewords = data.to_vec();
    codewords.resize(size.codewords(), 0);
    for block in 0..size.blocks {
        let of_block = data.iter().skip(block).step_by(size.blocks).copied();
        let rest = divide(of_block, &generator);
        let places = (size.data..size.codewords()).filter(|&place| size.block_of(place) == block);
        for (place, codeword) in places.zip(rest) {
            codewords[place] = codeword;
        }
    }
    codewords
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::codes::data_matrix::sizes::SIZES;

    /// The value of a polynomial, highest power first.
    fn evaluate(polynomial: &[u8], at: u8) -> u8 {
        polynomial.iter().fold(0, |value, &coefficient| multiply(value, at) ^ coefficient)
    }

    #[test]
    fn every_block_of_every_size_has_the_roots_of_its_generator() {
        for size in &SIZES {
            let data: Vec<u8> = (0..size.data).map(|at| (at * 37 + 11) as u8).collect();
            let codewords = add_error_correction(&data, size);
            for block in 0..size.blocks {
                let of_block: Vec<u8> = (0..codewords.len())
                    .filter(|&place| size.block_of(place) == block)
                    .map(|place| codewords[place])
                    .collect();
                let mut root = 1;
                for _ in 0..size.correction {
                    root = multiply(root, 2);
                    assert_eq!(evaluate(&of_block, root), 0, "{size:?}, block {block}");
                }
            }
        }
    }
}
