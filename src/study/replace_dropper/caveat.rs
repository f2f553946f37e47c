//! What to know of a dropper's substitute, and why one is refused: numbers, with a sentence each.

use crate::quantity::{Current, Power, Quantity, Resistance, Voltage, show};
use serde::{Serialize, Serializer};
use std::fmt;

/// Why something is not to be fitted in the dropper's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoSubstitute {
    /// The heaters take the line, or more.
    NoRoom {
        /// The line, V.
        line_v: f64,
        /// What the heaters ask for, V.
        heaters_v: f64,
    },
    /// No value gives rated heaters.
    NoValue,
    /// No capacitor of the trade bears that line.
    NoRating {
        /// High line, V.
        high_v: f64,
    },
    /// Too hot for every place in or on the set.
    NoPlace {
        /// Its heat at high line, W.
        heat_w: f64,
    },
    /// The heaters run too high at high line.
    HighLine {
        /// Over rated, less one.
        excess: f64,
    },
    /// Behind a diode the heaters get too little, whatever stands beside it.
    DiodeTooLittle {
        /// What a diode leaves of the line, V RMS.
        rms_v: f64,
        /// The heaters with the diode alone, over rated, less one.
        excess: f64,
    },
    /// A series diode fails shorted, and loads the line with direct current.
    Trap {
        /// The heaters with the diode shorted, over rated, less one.
        shorted: f64,
        /// Direct current from the line, A.
        direct_a: f64,
    },
}

/// What to know of a substitute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DropperCaveat {
    /// Heat needs ventilated metal.
    Ventilated {
        /// At high line, W.
        heat_w: f64,
    },
    /// Two halves share the heat.
    TwoHalves {
        /// In each at high line, W.
        heat_w: f64,
    },
    /// It belongs into the heater leg and nowhere else.
    HeatersOnly,
    /// A class X capacitor is made for use across the line.
    SeriesUse,
    /// The pins of the plug.
    Bleeder {
        /// Resistor across it, Ω.
        ohms: f64,
        /// Its heat, W.
        heat_w: f64,
        /// Volts left after a second, V.
        left_v: f64,
    },
    /// Plugged in at the crest of the line.
    Ahead {
        /// Resistor ahead of it, Ω.
        ohms: f64,
        /// Its heat at high line, W.
        heat_w: f64,
        /// Current of the first moment, A.
        first_a: f64,
        /// The same without the resistor, A.
        without_a: f64,
    },
    /// Its reactance belongs to one frequency.
    Frequency {
        /// Of the outlet, Hz.
        hertz: f64,
        /// The other one, Hz.
        other_hz: f64,
        /// The heaters there, over rated, less one.
        excess: f64,
    },
    /// What its tolerance does.
    Tolerance {
        /// The tolerance, as a share.
        share: f64,
        /// The heaters with a small one, over rated, less one.
        low: f64,
        /// The same with a large one.
        high: f64,
    },
    /// It does not steady the heaters.
    NotSteadier {
        /// The heaters at high line, over rated, less one.
        excess: f64,
        /// High line, V.
        high_v: f64,
    },
    /// What happens when it shorts.
    Shorted {
        /// The heaters then, over rated, less one.
        excess: f64,
    },
    /// A half wave is not half the volts.
    NotHalf {
        /// The line, V.
        line_v: f64,
        /// What the diode leaves, V RMS.
        rms_v: f64,
        /// The heaters if half the line is believed, over rated, less one.
        believed: f64,
    },
    /// An averaging meter shows half.
    AveragingMeter {
        /// What it shows, V.
        shows_v: f64,
        /// The RMS volts, V.
        rms_v: f64,
    },
    /// Direct current saturates iron.
    NoTransformer,
    /// Heaters and cathodes see the crest.
    Crest {
        /// At high line, V.
        crest_v: f64,
    },
}

impl Serialize for NoSubstitute {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl Serialize for DropperCaveat {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

fn volts(value: f64) -> String {
    show(Voltage::from_si(value))
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share.abs())
}

/// "9 % high" or "9 % low".
fn off(share: f64) -> String {
    format!("{} {}", percent(share), if share < 0.0 { "low" } else { "high" })
}

impl fmt::Display for NoSubstitute {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            NoSubstitute::NoRoom { line_v, heaters_v } => write!(
                f,
                "the heaters ask for {} of the line's {}: nothing is left to drop",
                volts(heaters_v),
                volts(line_v)
            ),
            NoSubstitute::NoValue => f.write_str("no value of the trade gives rated heaters here"),
            NoSubstitute::NoRating { high_v } => {
                write!(f, "no capacitor of this kind is sold for a line of {}", volts(high_v))
            }
            NoSubstitute::NoPlace { heat_w } => write!(
                f,
                "{} of heat has no place in or on this set: use a step-down transformer with separate windings",
                show(Power::from_si(heat_w))
            ),
            NoSubstitute::HighLine { excess } => {
                write!(f, "the heaters run {} at high line", off(excess))
            }
            NoSubstitute::DiodeTooLittle { rms_v, excess } => write!(
                f,
                "a diode leaves {} RMS, and the heaters run {} with nothing else in series",
                volts(rms_v),
                off(excess)
            ),
            NoSubstitute::Trap { shorted, direct_a } => write!(
                f,
                "a diode fails shorted: the heaters then run {} and no fuse opens; it draws {} of direct current from the line",
                off(shorted),
                show(Current::from_si(direct_a))
            ),
        }
    }
}

impl fmt::Display for DropperCaveat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            DropperCaveat::Ventilated { heat_w } => write!(
                f,
                "Mount it in ventilated metal, away from wood and wax: it gives off {} at high line.",
                show(Power::from_si(heat_w))
            ),
            DropperCaveat::TwoHalves { heat_w } => write!(
                f,
                "Two in series of half the resistance, well apart, give off {} each.",
                show(Power::from_si(heat_w))
            ),
            DropperCaveat::HeatersOnly => f.write_str(
                "Wire it into the heater leg alone: in the lead to the rectifier it blocks the direct current, and B+ collapses.",
            ),
            DropperCaveat::SeriesUse => f.write_str(
                "Use a motor-run capacitor, or class X2 only if its data sheet allows series use.",
            ),
            DropperCaveat::Bleeder { ohms, heat_w, left_v } => write!(
                f,
                "Fit {} across it, in two parts in series, {} in all: the pins of the pulled plug are below {} after a second.",
                show(Resistance::from_si(ohms)),
                show(Power::from_si(heat_w)),
                volts(left_v)
            ),
            DropperCaveat::Ahead { ohms, heat_w, first_a, without_a } => write!(
                f,
                "Fit {} wirewound ahead of it, {} at high line: plugged in at the crest the first moment takes {} and not {}.",
                show(Resistance::from_si(ohms)),
                show(Power::from_si(heat_w)),
                show(Current::from_si(first_a)),
                show(Current::from_si(without_a))
            ),
            DropperCaveat::Frequency { hertz, other_hz, excess } => write!(
                f,
                "It is for {hertz} Hz alone: on {other_hz} Hz the heaters run {}; never use it on an inverter or where the supply may be direct current.",
                off(excess)
            ),
            DropperCaveat::Tolerance { share, low, high } => write!(
                f,
                "Measure it: ±{} of its value leaves the heaters {} to {}.",
                percent(share),
                off(low),
                off(high)
            ),
            DropperCaveat::NotSteadier { excess, high_v } => write!(
                f,
                "It does not steady the heaters: at {} they run {}.",
                volts(high_v),
                off(excess)
            ),
            DropperCaveat::Shorted { excess } => write!(
                f,
                "If it shorts, the heaters get the full line, {}, and the fuse may hold: unplug at the first bright glow.",
                off(excess)
            ),
            DropperCaveat::NotHalf { line_v, rms_v, believed } => write!(
                f,
                "A diode leaves {} RMS of {}, not half: sized by half the line, the heaters run {}.",
                volts(rms_v),
                volts(line_v),
                off(believed)
            ),
            DropperCaveat::AveragingMeter { shows_v, rms_v } => write!(
                f,
                "An averaging meter shows {} behind it where the heaters get {}.",
                volts(shows_v),
                volts(rms_v)
            ),
            DropperCaveat::NoTransformer => f.write_str(
                "Never behind a bucking or a small isolation transformer: direct current saturates its iron.",
            ),
            DropperCaveat::Crest { crest_v } => write!(
                f,
                "Between heaters and cathodes stands up to {}: check their rating.",
                volts(crest_v)
            ),
        }
    }
}
