//! Reed-Solomon error correction of QR Code, and the order of codewords in the symbol.
//!
//! In: data codewords and a [`BlockPlan`]. Out: data and error correction codewords as they are
//! placed. Not here: where they are placed.
//!
//! The field is GF(2⁸) with x⁸+x⁴+x³+x²+1, the generator of degree n has the roots 2⁰ to 2ⁿ⁻¹
//! (7.5.2, Annex A). A division step takes the product of one byte with the whole generator from
//! tables: one for its low four bits, one for its high four bits, 32 bytes to an entry.

use super::tables::BlockPlan;

/// Codewords of a remainder, the leading one in the highest byte of the first word.
type Remainder = [u64; 4];

/// Products of a generator, its leading 1 left out, with every low and every high half of a byte.
type Products = [[Remainder; 16]; 2];

/// The degrees of generators that QR Code uses (7.5.1, Table 9).
const DEGREES: [usize; 13] = [7, 10, 13, 15, 16, 17, 18, 20, 22, 24, 26, 28, 30];

/// The products of all generators, in the order of [`DEGREES`].
static PRODUCTS: [Products; 13] = all_products();

/// The product of two elements of the field.
const fn multiply(a: u8, b: u8) -> u8 {
    let mut product: u8 = 0;
    let mut bit = 8;
    while bit > 0 {
        bit -= 1;
        let carry = product >> 7;
        product = (product << 1) ^ (carry * 0x1D);
        product ^= ((b >> bit) & 1) * a;
    }
    product
}

/// The coefficients of a generator behind its leading 1, highest power first.
const fn generator(degree: usize) -> [u8; 30] {
    let mut coefficients = [0; 30];
    coefficients[degree - 1] = 1;
    let mut root = 1;
    let mut round = 0;
    while round < degree {
        // Times (x - root): every coefficient takes root times itself and its lower neighbour.
        let mut place = 0;
        while place < degree {
            coefficients[place] = multiply(coefficients[place], root);
            if place + 1 < degree {
                coefficients[place] ^= coefficients[place + 1];
            }
            place += 1;
        }
        root = multiply(root, 2);
        round += 1;
    }
    coefficients
}

/// The products of one generator.
const fn products_of(degree: usize) -> Products {
    let coefficients = generator(degree);
    let mut products = [[[0; 4]; 16]; 2];
    let mut half = 0;
    while half < 2 {
        let mut value: u8 = 0;
        while value < 16 {
            let mut place = 0;
            while place < degree {
                let product = multiply(coefficients[place], value << (4 * half));
                let shift = 56 - 8 * (place % 8);
                products[half][value as usize][place / 8] |= (product as u64) << shift;
                place += 1;
            }
            value += 1;
        }
        half += 1;
    }
    products
}

/// The products of the generators of all [`DEGREES`].
const fn all_products() -> [Products; 13] {
    let mut all = [[[[0; 4]; 16]; 2]; 13];
    let mut place = 0;
    while place < DEGREES.len() {
        all[place] = products_of(DEGREES[place]);
        place += 1;
    }
    all
}

/// The remainder of data codewords divided by a generator.
fn divide(data: &[u8], products: &Products) -> Remainder {
    let mut rest: Remainder = [0; 4];
    for &codeword in data {
        let factor = (rest[0] >> 56) as u8 ^ codeword;
        let low = &products[0][usize::from(factor & 15)];
        let high = &products[1][usize::from(factor >> 4)];
        rest = [
            (rest[0] << 8 | rest[1] >> 56) ^ low[0] ^ high[0],
            (rest[1] << 8 | rest[2] >> 56) ^ low[1] ^ high[1],
            (rest[2] << 8 | rest[3] >> 56) ^ low[2] ^ high[2],
            (rest[3] << 8) ^ low[3] ^ high[3],
        ];
    }
    rest
}

/// Splits data into blocks, adds their error correction, and interleaves both (7.5.2, 7.6).
pub(super) fn add_error_correction(data: &[u8], plan: &BlockPlan) -> Vec<u8> {
    let mut codewords = vec![0; plan.codewords()];
    // The tables name no other degrees, which a test holds.
    let degree = DEGREES.iter().position(|&degree| degree == plan.ecc).unwrap_or(0);
    let products = &PRODUCTS[degree];
    let mut start = 0;
    for block in 0..plan.blocks {
        let is_long = block >= plan.short_blocks;
        let end = start + plan.short_data + usize::from(is_long);
        let block_data = &data[start..end];
        for (place, &codeword) in block_data.iter().enumerate() {
            // Only long blocks have a codeword in the last round.
            let skipped = if place == plan.short_data { plan.short_blocks } else { 0 };
            codewords[place * plan.blocks + block - skipped] = codeword;
        }
        let rest = divide(block_data, products);
        for place in 0..plan.ecc {
            let codeword = (rest[place / 8] >> (56 - 8 * (place % 8))) as u8;
            codewords[plan.data() + place * plan.blocks + block] = codeword;
        }
        start = end;
    }
    codewords
}
