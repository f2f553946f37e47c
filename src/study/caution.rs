//! Cautions: data first, words last. They stand in every plan, and no option removes them.

use serde::Serialize;
use std::fmt;

/// A caution with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Caution {
    /// High voltage inside and how long the filter capacitors hold it.
    Lethal {
        /// Highest volts in the set, DC.
        highest_v: f64,
        /// Seconds to fall below 60 V through what is across them, tubes out; none: nothing discharges them.
        hold_s: Option<f64>,
    },
    /// Work on an isolation transformer; a variac is none.
    Isolation,
    /// Fuse for the line lead.
    Fuse {
        /// Rating, A.
        rating_a: Option<f64>,
        /// Running current it is chosen for, A.
        running_a: f64,
        /// Standard its rating is in.
        standard: &'static str,
    },
    /// A resistor in the lead is a heater.
    HotResistor {
        /// Watts at high line.
        watts_w: f64,
        /// Estimated surface temperature, °C.
        surface_c: f64,
    },
    /// The bucking winding the wrong way round.
    BuckingReversed {
        /// What the set would then get, V RMS.
        set_v: f64,
    },
    /// Line-bypass capacitors.
    LineCapacitors,
    /// Old set, first power-up.
    FirstPowerUp,
    /// What the figures are.
    NoSignal,
    /// What this plan did not look at.
    NotExamined,
    /// Codes and licensed practice.
    LocalCodes,
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Caution::Lethal { highest_v, hold_s } => {
                write!(f, "Lethal voltages inside: up to {highest_v:.0} V DC. ")?;
                match hold_s {
                    Some(s) if *s >= 1.0 => write!(
                        f,
                        "With the tubes out the filter capacitors take about {s:.0} s to fall below 60 V after the plug is pulled: wait, then measure, don't trust."
                    ),
                    Some(_) => write!(
                        f,
                        "With the tubes out the filter capacitors should fall below 60 V within a second or so: measure, don't trust."
                    ),
                    None => write!(
                        f,
                        "With the tubes out or cold nothing in the set discharges the filter capacitors: they can hold for hours. Discharge them through a resistor and measure, don't trust."
                    ),
                }
            }
            Caution::Isolation => write!(
                f,
                "Work on the open set, and power it up the first time, on an isolation transformer. A variac isolates nothing; nor does a bucking transformer."
            ),
            Caution::Fuse {
                rating_a,
                running_a,
                standard,
            } => match rating_a {
                Some(rating) => write!(
                    f,
                    "Fuse the line lead ahead of switch and part: {rating} A slow ({standard}), for {running_a:.2} A running at high line."
                ),
                None => write!(
                    f,
                    "Fuse the line lead ahead of switch and part; no standard small fuse suits {running_a:.2} A: have it sized by a licensed practitioner."
                ),
            },
            Caution::HotResistor { watts_w, surface_c } => write!(
                f,
                "A series resistor is a heater: {watts_w:.0} W at high line, surface about {surface_c:.0} °C in free air. Keep 25 mm and more from wood, wax and cables, fix it by its body, never by its leads, and not inside a closed pan."
            ),
            Caution::BuckingReversed { set_v } => write!(
                f,
                "A bucking winding the wrong way round adds instead of subtracting: the set would get {set_v:.0} V. Measure its output with nothing connected before the set sees it, and mark the wires."
            ),
            Caution::LineCapacitors => write!(
                f,
                "Capacitors from the line to chassis or across the line must be safety-rated types (class Y and X, IEC 60384-14); old paper ones go."
            ),
            Caution::FirstPowerUp => write!(
                f,
                "A set that has not run for years is brought up in stages, after its capacitors and the line cord are dealt with, before any of these figures apply."
            ),
            Caution::NoSignal => write!(
                f,
                "Figures are those of a sound set without signal, warmed up; old tubes and drifted resistors read differently."
            ),
            Caution::NotExamined => write!(
                f,
                "Not examined here: faults inside the set with each part fitted, the minute after switch-on, and derating in a hot cabinet. Judge the part for those before it is left in unattended."
            ),
            Caution::LocalCodes => write!(
                f,
                "Local electrical codes decide what may be done to mains wiring, and a licensed practitioner where they ask for one."
            ),
        }
    }
}
