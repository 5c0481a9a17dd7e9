//! Decimal numbers as PDF and SVG write them: short, and the same on every machine.

/// A number in steps of 10^-`decimals`, rounded half away from zero; what is no number counts as
/// zero, what is beyond 10^12 steps stays there.
pub(super) fn to_fixed(value: f64, decimals: usize) -> i64 {
    let scaled = value * 10_u64.pow(decimals as u32) as f64;
    // A cast truncates and makes NaN zero; it is several times faster than a call of `round`.
    (scaled.clamp(-1e12, 1e12) + 0.5_f64.copysign(scaled)) as i64
}

/// Writes a number of steps of 10^-`decimals` as a decimal number without idle zeros: no zero ends
/// a fraction, none stands alone before the point.
pub(super) fn push_fixed(out: &mut Vec<u8>, steps: i64, decimals: usize) {
    if steps < 0 {
        out.push(b'-');
    }
    let steps = steps.unsigned_abs();
    // Dividing by a number known when compiling is several times faster.
    let (whole, fraction) = match decimals {
        0 => (steps, 0),
        2 => (steps / 100, steps % 100),
        3 => (steps / 1000, steps % 1000),
        _ => {
            let unit = 10_u64.pow(decimals as u32);
            (steps / unit, steps % unit)
        }
    };
    if whole > 0 || fraction == 0 {
        push_digits(out, whole, 1);
    }
    if fraction > 0 {
        let (mut fraction, mut places) = (fraction, decimals);
        while fraction % 10 == 0 {
            fraction /= 10;
            places -= 1;
        }
        out.push(b'.');
        push_digits(out, fraction, places);
    }
}

/// Writes the digits of a number, at least `least` of them.
fn push_digits(out: &mut Vec<u8>, mut value: u64, least: usize) {
    if value < 10 && least == 1 {
        return out.push(b'0' + value as u8);
    }
    let mut digits = [b'0'; 20];
    let mut at = digits.len();
    while value > 0 {
        at -= 1;
        digits[at] = b'0' + (value % 10) as u8;
        value /= 10;
    }
    out.extend_from_slice(&digits[at.min(digits.len() - least)..]);
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
