//! The sums of a divider as one writes them on paper.

use super::{
    design::DividerSize,
    found::{Arm, DRIFTS, DividerStudy, Metered},
};
use crate::{
    quantity::by,
    study::{
        Working,
        working::{Sum, as_written, figure, number, ohms, tap, volts},
    },
};
use std::ops::Add;

const ANSWERS: &str = "the set answers: its currents move too";
const FEEDS: &str = "what is connected to the tap loads the divider";

/// Sums with this divider's numbers, volts without their sign where only sizes count.
pub fn of(d: &DividerStudy) -> Vec<Working> {
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
fn amps(a: f64) -> (f64, &'static str) {
    if a.abs() < 1e-3 { (1e6 * a, "µA") } else { (a, "A") }
}

/// That current as a term.
fn current(a: f64) -> Sum {
    let (value, unit) = amps(a);
    figure(value, unit).counting(as_written(a))
}

fn watts(w: f64) -> (f64, &'static str) {
    match w.abs() {
        v if v < 1e-3 => (1e6 * w, "µW"),
        v if v < 1.0 => (1e3 * w, "mW"),
        _ => (w, "W"),
    }
}

fn together(d: &DividerStudy) -> Option<Working> {
    let all = d.arms.iter().map(|arm| ohms(arm.ohms)).reduce(Add::add)?;
    (d.arms.len() > 1).then(|| Working::new("all arms", all, "Ω"))
}

/// Forward: each arm is its drop over the bleed and what the taps below it take.
fn resistors(d: &DividerStudy, size: DividerSize) -> Vec<Working> {
    let mut list = Vec::new();
    let bleed = d.arms.last().map_or(0.0, |a| a.current_a.abs());
    if let DividerSize::Total(total) = size
        && d.taps.iter().all(|t| t.takes_a == 0.0)
    {
        let (value, unit) = amps(bleed);
        let sum = volts(d.from_v.abs()) / ohms(total);
        list.push(Working::new("current", sum.counting(value), unit));
    }
    let mut above = d.from_v.abs();
    for i in 0..d.arms.len() {
        let below = d.taps.get(i).map_or(0.0, |t| t.volts_v.abs());
        let drop = if below > 0.0 { volts(above) - volts(below) } else { volts(above) };
        let takes = d.taps.iter().skip(i).map(|t| t.takes_a).filter(|a| *a != 0.0);
        let takes = takes.map(current).reduce(Add::add);
        let all = takes.into_iter().fold(current(bleed), Add::add);
        list.push(Working::new(format!("R{}", i + 1), drop / all, "Ω"));
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
    for (joint, arm) in d.taps.iter().zip(&d.arms) {
        below -= arm.ohms;
        let sum = tap(across, below, ohms(d.total_ohms), d.to_v);
        list.push(Working::new(&*joint.name, sum, "V").beside(joint.volts_v, FEEDS));
    }
    list
}

fn heat(d: &DividerStudy) -> Vec<Working> {
    let sum = |(i, arm): (usize, &Arm)| {
        let sum = volts(arm.volts_v.abs()) * current(arm.current_a.abs());
        let (value, unit) = watts(sum.value);
        Working::new(format!("heat in R{}", i + 1), sum.counting(value), unit)
    };
    let arms = d.arms.iter().enumerate();
    let mut list: Vec<Working> = arms.clone().map(sum).collect();
    let most = |a: &Arm| f64::max(a.heat_w, a.free_heat_w);
    if let Some((i, arm)) = arms.max_by(by(|(_, arm): &(usize, &Arm)| most(arm))) {
        let (value, unit) = watts(most(arm));
        let twice = number(2.0) * figure(value, unit);
        let scale = if value == 0.0 { 1.0 } else { value / most(arm) };
        list.push(Working {
            taken: arm.buy.rating_w.map(|w| w * f64::from(arm.buy.pieces) * scale),
            why: Some(if arm.buy.for_volts {
                "a rating that is made and stands the voltage"
            } else {
                "a rating that is made"
            }),
            ..Working::new(format!("rating of R{}, at least", i + 1), twice, unit)
        });
    }
    list
}

/// The meter that loads most, on each tap: the tap is a source behind what it looks like.
fn metered(d: &DividerStudy) -> Vec<Working> {
    let load = |m: &&Metered| m.taps.iter().map(|r| r.load_ohms).fold(f64::INFINITY, f64::min);
    let worst = d.metered.iter().min_by(by(load));
    let readings = worst.into_iter().flat_map(|worst| &worst.taps);
    let why = match d.place {
        Some(_) => ANSWERS,
        None => "the loads change with the voltage",
    };
    let mut list = Vec::new();
    let mut above = 0.0;
    for ((tap, arm), reading) in d.taps.iter().zip(&d.arms).zip(readings) {
        above += arm.ohms;
        let seen = ohms(above) * ohms(d.total_ohms - above) / ohms(d.total_ohms);
        let behind = ohms(seen.value);
        list.push(Working::new(format!("{}, source resistance", tap.name), seen, "Ω"));
        let meter = ohms(reading.load_ohms);
        let sum = volts(tap.volts_v) * meter.clone() / (meter + behind);
        let working = Working::new(format!("meter on {}", tap.name), sum, "V");
        list.extend(reading.shown_v.map(|shown| working.beside(shown, why)));
    }
    list
}

/// The first arm drifted up by a fifth, at the first tap.
fn drift(d: &DividerStudy) -> Option<Working> {
    let (arm, first) = (d.arms.first()?, d.taps.first()?);
    let drifted = d.drifted.iter().find(|x| x.arm == Some(0) && x.by == DRIFTS[1])?;
    let total = ohms(d.total_ohms) + ohms(DRIFTS[1] * arm.ohms);
    let sum = tap(d.from_v - d.to_v, d.total_ohms - arm.ohms, total, d.to_v);
    let what = format!("{} with R1 20 % up", first.name);
    let why = if d.place.is_some() { ANSWERS } else { FEEDS };
    Some(Working::new(what, sum, "V").beside(*drifted.taps_v.first()?, why))
}
