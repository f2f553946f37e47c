//! What figures of a line are worded by.

use crate::{
    preferred::{Series, above, below},
    quantity::{Capacitance, Quantity, Voltage, show_plain},
    study::sentences::watts,
    text::high_or_low,
};

/// Made values around a wanted one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Made {
    /// The nearest, which is asked for.
    pub first: f64,
    /// The one on the other side, where the nearest is not near.
    pub or: Option<f64>,
}

/// A made value this near, as a factor, is as good as the one that is printed: capacitors are made to ±10 % (class K of
/// IEC 60062 †).
const AS_GOOD: f64 = 1.1;
/// A value within this share of a bound is at it.
const SAME: f64 = 1e-3;

impl Made {
    /// Values of series E6 (IEC 60063) around `wanted`, none above `most`: the nearest by ratio first.
    pub fn around(wanted: f64, most: Option<f64>) -> Made {
        let bears = |v: &f64| most.is_none_or(|most| *v <= most * (1.0 + SAME));
        let off = |v: f64| (v / wanted).max(wanted / v);
        let mut near: Vec<f64> = [below(Series::E6, wanted), above(Series::E6, wanted)]
            .into_iter()
            .flatten()
            .filter(bears)
            .collect();
        near.sort_by(|a, b| off(*a).total_cmp(&off(*b)));
        near.dedup();
        let within = || most.and_then(|most| below(Series::E6, most * (1.0 + SAME)));
        let first = near.first().copied().or_else(within).unwrap_or(wanted);
        let other = near.get(1).copied().filter(|_| off(first) > AS_GOOD * (1.0 + 1e-9));
        Made { first, or: other }
    }
}

pub fn farads(made: Made) -> String {
    let one = |f| show_plain(Capacitance::from_si(f));
    let or = made.or.map_or(String::new(), |or| format!(" or {}", one(or)));
    one(made.first) + &or
}

pub fn dc(rated: Option<f64>) -> String {
    rated.map_or(
        "for a voltage that no single one of the trade is rated for: two in series, each with a resistor across it".to_owned(),
        |v| format!("{} DC or more", show_plain(Voltage::from_si(v))),
    )
}

pub fn more_or_several(watts: Option<f64>) -> String {
    watts.map_or("several that share the heat".to_owned(), |w| format!("{w} W or more"))
}

pub fn without(before: Option<f64>) -> String {
    before.map_or(String::new(), |share| format!(", {} without it", high_or_low(share)))
}

pub fn found(out_a: Option<f64>) -> String {
    out_a.map_or(String::new(), |a| format!("; the {a} A fuse found comes out"))
}

pub fn on_the_old(rated_v: Option<f64>) -> String {
    rated_v.map_or(String::new(), |v| {
        format!("; the old one is rated {}", show_plain(Voltage::from_si(v)))
    })
}

pub fn at_most(most_f: Option<f64>) -> String {
    most_f.map_or(String::new(), |f| {
        format!("; the rectifier bears {} there at most", show_plain(Capacitance::from_si(f)))
    })
}

pub fn heat(heat_w: Option<f64>) -> String {
    heat_w.map_or(String::new(), |w| format!("; {} of heat at high line", watts(w)))
}

#[cfg(test)]
mod tests {
    use super::Made;

    /// IEC 60063 †, E6: 1.0 1.5 2.2 3.3 4.7 6.8. By hand: 40/33 is 1.21, 47/40 is 1.18; 16/15 is 1.07; 22/20 is 1.10;
    /// 8/6.8 is 1.18, 10/8 is 1.25.
    #[test]
    fn made_values_stand_around_an_old_one() {
        let made = |wanted: f64, most: Option<f64>| {
            let micro = |v: f64| (v * 1e7).round() / 10.0;
            let made = Made::around(wanted * 1e-6, most.map(|most| most * 1e-6));
            (micro(made.first), made.or.map(micro))
        };
        assert_eq!(made(40.0, None), (47.0, Some(33.0)));
        assert_eq!(made(8.0, None), (6.8, Some(10.0)));
        assert_eq!(made(16.0, None), (15.0, None));
        assert_eq!(made(20.0, None), (22.0, None));
        assert_eq!(made(10.0, None), (10.0, None));
        // a rectifier that bears 40 µF gets none of 47, one that bears 20 none of 22
        assert_eq!(made(40.0, Some(40.0)), (33.0, None));
        assert_eq!(made(20.0, Some(20.0)), (15.0, None));
        assert_eq!(made(50.0, Some(16.0)), (15.0, None));
    }
}
