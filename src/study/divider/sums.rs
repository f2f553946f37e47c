//! The sums of a divider as one writes them on paper.

use super::{DividerSize, DividerStudy, Metered};
use crate::study::working::{Term, Working};
use Term::{Figure, Number, Sign};

const ANSWERS: &str = "the set answers: its currents move too";
const FEEDS: &str = "what hangs on the taps loads the divider";

/// Sums with this divider's numbers, volts without their sign where only sizes count.
pub(super) fn of(d: &DividerStudy) -> Vec<Working> {
    let mut list = match d.wanted {
        Some(size) => resistors(d, size),
        None => taps(d),
    };
    list.extend(heat(d));
    list.extend(metered(d));
    list.extend(drift(d));
    list
}

/// Small currents and watts in units that keep four digits.
fn amps(a: f64) -> Term {
    match a.abs() < 1e-3 {
        true => Figure(1e6 * a, "µA"),
        false => Figure(a, "A"),
    }
}

fn watts(w: f64) -> (f64, &'static str) {
    match w.abs() {
        v if v < 1e-3 => (1e6 * w, "µW"),
        v if v < 1.0 => (1e3 * w, "mW"),
        _ => (w, "W"),
    }
}

fn together(d: &DividerStudy) -> Option<Working> {
    let mut terms = Vec::new();
    for arm in &d.arms {
        if !terms.is_empty() {
            terms.push(Sign("+"));
        }
        terms.push(Figure(arm.ohms, "Ω"));
    }
    (d.arms.len() > 1).then(|| Working::new("all arms", terms, d.total_ohms, "Ω"))
}

/// Forward: each arm is its drop over the bleed and what the taps below it take.
fn resistors(d: &DividerStudy, size: DividerSize) -> Vec<Working> {
    let mut list = Vec::new();
    let bleed = d.arms.last().map_or(0.0, |a| a.current_a.abs());
    let loaded = d.taps.iter().any(|t| t.takes_a != 0.0);
    if let DividerSize::Total(total) = size
        && !loaded
    {
        let (from, unit) = (d.from_v.abs(), "V");
        let terms = vec![Figure(from, unit), Sign("÷"), Figure(total, "Ω")];
        let (value, unit) = match bleed < 1e-3 {
            true => (1e6 * bleed, "µA"),
            false => (bleed, "A"),
        };
        list.push(Working::new("current", terms, value, unit));
    }
    let mut above = d.from_v.abs();
    for i in 0..d.arms.len() {
        let below = d.taps.get(i).map_or(0.0, |t| t.volts_v.abs());
        let mut terms = vec![Figure(above, "V")];
        if below > 0.0 {
            terms.extend([Sign("−"), Figure(below, "V"), Sign(")")]);
            terms.insert(0, Sign("("));
        }
        terms.push(Sign("÷"));
        let takes: Vec<f64> = d.taps.iter().skip(i).map(|t| t.takes_a).collect();
        let takes: Vec<f64> = takes.into_iter().filter(|a| *a != 0.0).collect();
        if takes.is_empty() {
            terms.push(amps(bleed));
        } else {
            terms.extend([Sign("("), amps(bleed)]);
            terms.extend(takes.iter().flat_map(|a| [Sign("+"), amps(*a)]));
            terms.push(Sign(")"));
        }
        let amps = bleed + takes.iter().sum::<f64>();
        let hand = (above - below) / amps;
        list.push(Working::new(&format!("R{}", i + 1), terms, hand, "Ω"));
        above = below;
    }
    list.extend(together(d));
    list
}

/// The other way: each free tap by proportion, beside what it stands at.
fn taps(d: &DividerStudy) -> Vec<Working> {
    let mut list: Vec<Working> = together(d).into_iter().collect();
    let across = d.from_v - d.to_v;
    let mut below = d.total_ohms;
    for (tap, arm) in d.taps.iter().zip(&d.arms) {
        below -= arm.ohms;
        let (terms, hand) = proportion(across, below, (d.total_ohms, None), d.to_v);
        list.push(Working::new(&tap.name, terms, hand, "V").beside(tap.volts_v, FEEDS));
    }
    list
}

/// `across × below ÷ total (+ to)`, where the total may have grown by something.
fn proportion(
    across: f64,
    below: f64,
    (total, grown): (f64, Option<f64>),
    to: f64,
) -> (Vec<Term>, f64) {
    let mut terms = vec![Figure(across, "V"), Sign("×"), Figure(below, "Ω"), Sign("÷")];
    match grown {
        None => terms.push(Figure(total, "Ω")),
        Some(by) => {
            terms.extend([Sign("("), Figure(total, "Ω"), Sign("+"), Figure(by, "Ω"), Sign(")")]);
        }
    }
    if to.abs() > 0.05 {
        terms.extend([Sign("+"), Figure(to, "V")]);
    }
    (terms, to + across * below / (total + grown.unwrap_or(0.0)))
}

fn heat(d: &DividerStudy) -> Vec<Working> {
    let sum = |(i, arm): (usize, &super::Arm)| {
        let terms = vec![Figure(arm.volts_v.abs(), "V"), Sign("×"), amps(arm.current_a.abs())];
        let (hand, unit) = watts(arm.volts_v * arm.current_a);
        Working::new(&format!("heat in R{}", i + 1), terms, hand, unit)
    };
    let arms = d.arms.iter().enumerate();
    let mut list: Vec<Working> = arms.map(sum).collect();
    let most = |a: &super::Arm| f64::max(a.heat_w, a.free_heat_w);
    let hottest = d.arms.iter().enumerate();
    if let Some((i, arm)) = hottest.max_by(|a, b| most(a.1).total_cmp(&most(b.1))) {
        let (value, unit) = watts(most(arm));
        let terms = vec![Number(2.0), Sign("×"), Figure(value, unit)];
        let scale = if value == 0.0 { 1.0 } else { value / most(arm) };
        list.push(Working {
            taken: arm.buy.rating_w.map(|w| w * f64::from(arm.buy.pieces) * scale),
            why: Some(match arm.buy.for_volts {
                true => "a rating that is made and stands the volts",
                false => "a rating that is made",
            }),
            ..Working::new(&format!("rating of R{}, at least", i + 1), terms, 2.0 * value, unit)
        });
    }
    list
}

/// The meter that loads most, on each tap: the tap is a source behind what it looks like.
fn metered(d: &DividerStudy) -> Vec<Working> {
    let load = |m: &&Metered| m.taps.iter().map(|r| r.load_ohms).fold(f64::INFINITY, f64::min);
    let worst = d.metered.iter().min_by(|a, b| load(a).total_cmp(&load(b)));
    let mut list = Vec::new();
    let Some(worst) = worst else {
        return list;
    };
    let mut above = 0.0;
    for ((tap, arm), reading) in d.taps.iter().zip(&d.arms).zip(&worst.taps) {
        above += arm.ohms;
        let below = d.total_ohms - above;
        let terms = vec![
            Figure(above, "Ω"),
            Sign("×"),
            Figure(below, "Ω"),
            Sign("÷"),
            Figure(d.total_ohms, "Ω"),
        ];
        let seen = above * below / d.total_ohms;
        let what = format!("{} looks like", tap.name);
        list.push(Working::new(&what, terms, seen, "Ω"));
        let Some(shown) = reading.shown_v else {
            continue;
        };
        let meter = reading.load_ohms;
        let terms = vec![
            Figure(tap.volts_v, "V"),
            Sign("×"),
            Figure(meter, "Ω"),
            Sign("÷"),
            Sign("("),
            Figure(meter, "Ω"),
            Sign("+"),
            Figure(seen, "Ω"),
            Sign(")"),
        ];
        let hand = tap.volts_v * meter / (meter + seen);
        let why = match d.place {
            Some(_) => ANSWERS,
            None => "the loads change with the volts",
        };
        let what = format!("meter on {}", tap.name);
        list.push(Working::new(&what, terms, hand, "V").beside(shown, why));
    }
    list
}

/// The first arm drifted up by a fifth, at the first tap.
fn drift(d: &DividerStudy) -> Option<Working> {
    let (arm, tap) = (d.arms.first()?, d.taps.first()?);
    let drifted = d.drifted.iter().find(|x| x.arm == Some(0) && x.by == super::DRIFTS[1])?;
    let by = super::DRIFTS[1] * arm.ohms;
    let below = d.total_ohms - arm.ohms;
    let (terms, hand) = proportion(d.from_v - d.to_v, below, (d.total_ohms, Some(by)), d.to_v);
    let what = format!("{} with R1 20 % up", tap.name);
    let why = if d.place.is_some() { ANSWERS } else { FEEDS };
    Some(Working::new(&what, terms, hand, "V").beside(*drifted.taps_v.first()?, why))
}
