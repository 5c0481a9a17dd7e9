//! Decimal numbers as PDF and SVG write them: short, and the same on every machine.

/// A number in steps of 10^-`decimals`, rounded half away from zero; what is no number counts as
/// zero, what is beyond 10^12 steps stays there.
pub(super) fn to_fixed(value: f64, decimals: usize) -> i64 {
    let scaled = value * 10_u64.pow(decimals as u32) as f64;
    // A cast truncates and makes NaN zero; it is several times faster than a call of `round`.
    (scaled.clamp(-1e12, 1e12) + 0.5_f64.copysign(scaled)) as i64
}

/// The longest number: a sign, a point and the digits of 2^64.
const LONGEST: usize = 22;

/// Writes a number of steps of 10^-`decimals` as a decimal number without idle zeros: no zero ends
/// a fraction, none stands alone before the point.
#[inline]
pub(super) fn push_fixed(out: &mut Vec<u8>, steps: i64, decimals: usize) {
    if decimals == 0 && (0..100).contains(&steps) {
        // Places in a code are of this kind, and there are hundreds on a label.
        let both = [b'0' + (steps / 10) as u8, b'0' + (steps % 10) as u8];
        return out.extend_from_slice(if steps < 10 { &both[1..] } else { &both });
    }
    // Filled from its end, so that the vector grows once a number and not once a digit.
    let mut text = [0; LONGEST];
    let mut at = LONGEST;
    let mut put = |byte: u8| {
        at -= 1;
        text[at] = byte;
    };
    let mut rest = steps.unsigned_abs();
    let mut is_idle = true;
    for _ in 0..decimals {
        let digit = (rest % 10) as u8;
        rest /= 10;
        if digit != 0 || !is_idle {
            is_idle = false;
            put(b'0' + digit);
        }
    }
    if !is_idle {
        put(b'.');
    }
    if rest == 0 && is_idle {
        put(b'0');
    }
    while rest > 0 {
        put(b'0' + (rest % 10) as u8);
        rest /= 10;
    }
    if steps < 0 {
        put(b'-');
    }
    out.extend_from_slice(&text[at..]);
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
