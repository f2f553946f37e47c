//! Slips of the pen.

use crate::quantity::by;

/// Digits of a reading beyond which none is looked at.
const LONGEST: usize = 6;

/// The value that one slip makes of `value` and that lies within `reach` of `at`: the decimal point moved or the sign
/// lost, else two adjacent digits swapped, else one digit changed.
pub fn slip(value: f64, digit: f64, at: f64, reach: f64) -> Option<f64> {
    let shifts = [-3, -2, -1, 1, 2, 3].map(|k| value * 10f64.powi(k));
    let mut kinds = [shifts.to_vec(), Vec::new(), Vec::new()];
    kinds[0].push(-value);
    let text = format!("{:.0}", (value / digit).abs());
    if digit > 0.0 && text.len() <= LONGEST {
        let digits: Vec<u8> = text.bytes().map(|b| b - b'0').collect();
        let with = |slip: &dyn Fn(&mut Vec<u8>)| {
            let mut digits = digits.clone();
            slip(&mut digits);
            digits.into_iter().fold(0.0, |n, d| 10.0 * n + f64::from(d)) * digit * value.signum()
        };
        for (i, is) in digits.iter().enumerate() {
            kinds[1].extend(i.checked_sub(1).map(|before| with(&|d| d.swap(before, i))));
            kinds[2].extend((0..=9).filter(|d| d != is).map(|new| with(&|d| d[i] = new)));
        }
    }
    kinds.iter().find_map(|list| {
        let fit = list.iter().copied().filter(|v| (v - at).abs() <= reach);
        fit.min_by(by(|v: &f64| (v - at).abs()))
    })
}

#[cfg(test)]
mod tests {
    use super::slip;

    #[test]
    fn a_slip_of_the_pen_is_found() {
        let near = |v: f64, digit: f64, at: f64| slip(v, digit, at, 0.03 * at);
        let is = |found: Option<f64>, wanted: f64| (found.unwrap() / wanted - 1.0).abs() < 1e-9;
        // the point before the swap, the swap before the digit
        assert!(is(near(2650.0, 1.0, 260.0), 265.0));
        assert!(is(near(36.2, 0.1, 64.0), 63.2));
        assert!(is(near(7.41, 0.01, 6.40), 6.41));
        assert!(is(near(161.0, 1.0, 117.0), 116.0));
        assert!(is(near(-18.0, 1.0, 18.2), 18.0));
        assert_eq!(near(7.41, 0.01, 5.90), None);
    }
}
