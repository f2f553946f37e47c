//! Cautions: data first, words last. They stand in every plan, and no option removes them.

use super::outlet::OutletVolts;
use super::plan::Choice;
use crate::receiver::{Receiver, Section};
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt;

/// A caution with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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
    /// Filter capacitors at switch-on.
    CapacitorAtSwitchOn {
        /// Which.
        name: String,
        /// Volts it sees, V.
        peak_v: f64,
        /// Its working volts.
        rated_v: f64,
    },
    /// What this plan did not look at.
    NotExamined,
    /// Codes and licensed practice.
    LocalCodes,
}

impl Caution {
    /// Whether it is of any meaning where `choice` is fitted and nothing else.
    pub(super) fn concerns(&self, choice: &Choice) -> bool {
        match self {
            Caution::HotResistor { .. } => choice.id == "series-resistor",
            Caution::BuckingReversed { .. } => choice.id.starts_with("bucking"),
            _ => true,
        }
    }
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
                    "Fuse the line lead ahead of switch and part: {rating} A slow ({standard}), for {running_a:.2} A running at high line. It must be able to break a dead short: a glass fuse to IEC 60127 breaks only 35 A, a ceramic one 1500 A, but that one opens later than reckoned here."
                ),
                None => write!(
                    f,
                    "Fuse the line lead ahead of switch and part; no standard small fuse suits {running_a:.2} A: have it sized by a licensed practitioner."
                ),
            },
            Caution::HotResistor { watts_w, surface_c } => write!(
                f,
                "A series resistor is a heater: {watts_w:.0} W at high line and worst tolerance, surface about {surface_c:.0} °C in air of 40 °C. Keep 25 mm and more from wood, wax and cables, fix it by its body, never by its leads, and not inside a closed pan."
            ),
            Caution::BuckingReversed { set_v } => write!(
                f,
                "A bucking winding the wrong way round adds instead of subtracting: the set would get {set_v:.0} V at high line. Measure its output with nothing connected before the set sees it, and mark the wires."
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
            Caution::CapacitorAtSwitchOn {
                name,
                peak_v,
                rated_v,
            } => write!(
                f,
                "At each switch-on {name} sees {peak_v:.0} V before the tubes draw, above its {rated_v:.0} V: fit one of higher working volts."
            ),
            Caution::NotExamined => write!(
                f,
                "Not modelled: iron that saturates, rectifiers at the limit of their emission (currents in hard shorts are upper bounds), leaking capacitors and windings that fail slowly. A set left playing unattended deserves a thermal fuse on the part and a small fuse in the B+ lead as well."
            ),
            Caution::LocalCodes => write!(
                f,
                "Local electrical codes decide what may be done to mains wiring, and a licensed practitioner where they ask for one."
            ),
        }
    }
}

/// Every caution of a plan, for the choice that is `fitted`; for the set as it is where none is.
pub(super) fn all(
    receiver: &Receiver,
    outlet: &OutletVolts,
    choices: &[Choice],
    fitted: Option<&Choice>,
) -> Vec<Caution> {
    let model = receiver.model();
    let crest = outlet.high_v
        * receiver.core().no_load_ratio
        * receiver.turns().high_voltage
        * std::f64::consts::SQRT_2;
    let farads: f64 = model
        .filter
        .iter()
        .map(|s| match s {
            Section::Capacitor(farads, _) => *farads,
            _ => 0.0,
        })
        .sum();
    // V falls as exp(−t/RC) through whatever stands across the rail
    let hold_s = receiver
        .discharge_ohms()
        .map(|ohms| ohms * farads * (crest / 60.0).ln().max(0.0));
    let fitted = fitted.or(choices.first());
    let mut list = vec![
        Caution::Lethal {
            highest_v: crest,
            hold_s,
        },
        Caution::Isolation,
    ];
    if let Some(fuse) = fitted.and_then(|c| c.fuse.as_ref()) {
        list.push(Caution::Fuse {
            rating_a: fuse.rating_a,
            running_a: fuse.running_a,
            standard: fuse.standard,
        });
    }
    let resistor = choices.iter().find(|c| c.id == "series-resistor");
    if let Some(place) = resistor
        .and_then(|c| c.rating.as_ref())
        .and_then(|r| r.places.first().map(|p| (r.worst_w, p.surface_c)))
    {
        list.push(Caution::HotResistor {
            watts_w: place.0,
            surface_c: place.1,
        });
    }
    // the worst of what a reversed winding would do, solved at high line; the fitted connection first
    let reversed = |c: &Choice| {
        let fault = c.faults.iter().find(|f| f.fault.contains("reversed"));
        fault.and_then(|f| f.set_v)
    };
    let set_v = fitted
        .and_then(reversed)
        .or_else(|| choices.iter().filter_map(reversed).max_by(f64::total_cmp));
    if let Some(set_v) = set_v {
        list.push(Caution::BuckingReversed { set_v });
    }
    if let Some(cold) = fitted.and_then(|c| c.cold_start.as_ref()) {
        for c in &cold.capacitors {
            if let Some(rated_v) = c.rated_v.filter(|rated| c.peak_v > *rated) {
                list.push(Caution::CapacitorAtSwitchOn {
                    name: c.name.clone(),
                    peak_v: c.peak_v,
                    rated_v,
                });
            }
        }
    }
    list.extend([
        Caution::LineCapacitors,
        Caution::FirstPowerUp,
        Caution::NoSignal,
        Caution::NotExamined,
        Caution::LocalCodes,
    ]);
    list
}
