//! Decimal numbers as PDF and SVG write them: short, and the same everywhere.

/// A number in steps of 10^-`decimals`; what is no number counts as zero.
pub(super) fn to_fixed(value: f64, decimals: usize) -> i64 {
    let scaled = value * 10_i64.pow(decimals as u32) as f64;
    if scaled.is_nan() { 0 } else { scaled.clamp(-1e12, 1e12).round() as i64 }
}

/// Writes a number of steps of 10^-`decimals` as a decimal number without idle zeros.
pub(super) fn push_fixed(out: &mut Vec<u8>, value: i64, decimals: usize) {
    let mut digits = [0; 20];
    let mut at = digits.len();
    let mut rest = value.unsigned_abs();
    let mut place = 0;
    // From the last digit: zeros at the end of the fraction are not written.
    let mut idle = true;
    while rest > 0 || place < decimals {
        let digit = (rest % 10) as u8;
        rest /= 10;
        idle &= digit == 0 && place < decimals;
        if !idle {
            at -= 1;
            digits[at] = b'0' + digit;
        }
        place += 1;
        if place == decimals && !idle {
            at -= 1;
            digits[at] = b'.';
        }
    }
    if value < 0 {
        out.push(b'-');
    }
    if at == digits.len() { out.push(b'0') } else { out.extend_from_slice(&digits[at..]) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A number as it is written.
    fn written(value: f64, decimals: usize) -> String {
        let mut out = Vec::new();
        push_fixed(&mut out, to_fixed(value, decimals), decimals);
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn numbers_are_short() {
        let cases = [
            (0.0, "0"),
            (1.0, "1"),
            (-1.0, "-1"),
            (0.5, ".5"),
            (-0.25, "-.25"),
            (12.3456, "12.346"),
            (100.0, "100"),
            (1200.1, "1200.1"),
            (0.0004, "0"),
            (f64::NAN, "0"),
        ];
        for (value, text) in cases {
            assert_eq!(written(value, 3), text);
        }
        assert_eq!(written(120.0, 0), "120");
        assert_eq!(written(0.0, 0), "0");
        assert_eq!(written(f64::INFINITY, 3), "1000000000");
        assert_eq!(written(1e300, 8), "10000");
    }
}
