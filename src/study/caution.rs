//! Cautions: data first, words last. They stand in every plan, and no option removes them.

use super::faults::FaultCase;
use super::outlet::OutletVolts;
use super::plan::Choice;
use crate::adaptation::Method;
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
    /// The chassis is joined to the mains.
    LiveChassis {
        /// True for an autotransformer.
        auto: bool,
        /// Outlet volts it may stand at, V RMS.
        volts_v: f64,
    },
    /// Resistance wire in the line cord.
    LineCord,
    /// Iron on mains of another frequency than it was made for.
    OtherFrequency {
        /// Made for, Hz.
        made_for_hz: f64,
        /// Runs on, Hz.
        runs_on_hz: f64,
        /// Flux at high line straight on the outlet over that on the design line.
        flux: f64,
    },
    /// A dry rectifier in the place of a tube.
    DryRectifier {
        /// The tube.
        tube: String,
        /// B+ on the usual line with the tube, V.
        with_tube_v: f64,
        /// B+ now, V.
        now_v: f64,
        /// Volts of the supply at its crest at high line, which it gives within a cycle.
        crest_v: f64,
        /// Resistor in each plate lead that brings B+ back, Ω.
        resistor_ohms: Option<f64>,
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
    /// Whether it is of any meaning where `method` is fitted and nothing else.
    pub(crate) fn concerns(&self, method: Method) -> bool {
        match self {
            Caution::HotResistor { .. } => method.facts().makes_heat,
            Caution::BuckingReversed { .. } => method.facts().bucks,
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
            Caution::LiveChassis { auto, volts_v } => {
                let why = if *auto {
                    "an autotransformer joins the chassis to the mains"
                } else {
                    "without a transformer the chassis is joined to the mains"
                };
                write!(
                    f,
                    "LIVE CHASSIS: {why}. Chassis, control shafts, screws and whatever is plugged in can stand at {volts_v:.0} V against earth, switched off as well; which way round the plug goes decides. Nothing metal may be within reach: knobs, back and bottom cover in place before the plug goes in. No earth, aerial, headphones or pickup without an isolating capacitor or transformer. On the bench only behind an isolation transformer, and with no other earthed instrument on the chassis without one."
                )
            }
            Caution::LineCord => write!(
                f,
                "The line cord holds resistance wire: it is as hot as it must be, must not be shortened, coiled or covered, and its insulation is as old as the set. Do not replace it in kind: a fixed dropper inside the set, or what the plan advises, takes its place with a plain cord."
            ),
            Caution::OtherFrequency { made_for_hz, runs_on_hz, flux } => write!(
                f,
                "Made for {made_for_hz:.0} Hz, on {runs_on_hz:.0} Hz: straight on the outlet at high line the iron would carry {:.0} % of the flux it was made for. Above some 110 % the magnetising current grows much faster than reckoned here, and the transformer overheats without a fault: feel it, and measure its no-load current.",
                100.0 * flux
            ),
            Caution::DryRectifier { tube, with_tube_v, now_v, crest_v, resistor_ohms } => {
                write!(
                    f,
                    "A dry rectifier stands in the place of the {tube}: B+ is {now_v:.0} V instead of {with_tube_v:.0} V on the usual line, and at each switch-on, before a tube draws, every filter capacitor sees the crest of {crest_v:.0} V at once."
                )?;
                match resistor_ohms {
                    Some(ohms) => write!(
                        f,
                        " A resistor of about {ohms:.0} Ω in each plate lead brings B+ back; it does nothing against the volts at switch-on."
                    ),
                    None => Ok(()),
                }
            }
            Caution::Isolation => write!(
                f,
                "Work on the open set, and power it up the first time, on an isolation transformer. A variac isolates nothing; nor does a bucking transformer."
            ),
            Caution::Fuse { rating_a, running_a, standard } => match rating_a {
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
            Caution::CapacitorAtSwitchOn { name, peak_v, rated_v } => write!(
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
    dry: Option<Caution>,
) -> Vec<Caution> {
    let model = receiver.model();
    let crest = receiver.crest_volts(outlet.high_v);
    let filter = model.filter.iter().map(|s| match s {
        Section::Capacitor(farads, _) => *farads,
        _ => 0.0,
    });
    // the two of a doubler in series
    let stacked = match model.rectifier.doubler.as_slice() {
        [(a, _), (b, _)] => a * b / (a + b),
        _ => 0.0,
    };
    let farads = stacked + filter.sum::<f64>();
    // V falls as exp(−t/RC) through whatever stands across the rail
    let hold_s = receiver.discharge_ohms().map(|ohms| ohms * farads * (crest / 60.0).ln().max(0.0));
    let fitted = fitted.or(choices.first());
    let mut list = Vec::new();
    if model.is_live() {
        list.push(Caution::LiveChassis { auto: model.auto, volts_v: outlet.high_v });
    }
    if model.string.as_ref().is_some_and(|s| s.in_cord) {
        list.push(Caution::LineCord);
    }
    if let Some(flux) = model.flux(outlet.high_v) {
        list.push(Caution::OtherFrequency {
            made_for_hz: model.design_frequency,
            runs_on_hz: model.frequency,
            flux: flux.volts_per_hertz / flux.designed,
        });
    }
    list.push(Caution::Lethal { highest_v: crest, hold_s });
    list.extend(dry);
    list.push(Caution::Isolation);
    if let Some(fuse) = fitted.and_then(|c| c.fuse.as_ref()) {
        list.push(Caution::Fuse {
            rating_a: fuse.rating_a,
            running_a: fuse.running_a,
            standard: fuse.standard,
        });
    }
    let is_resistor = |c: &&Choice| c.method.facts().makes_heat;
    let resistor = fitted.filter(is_resistor).or_else(|| choices.iter().find(is_resistor));
    // of two the hotter
    let ratings = resistor.into_iter().flat_map(Choice::ratings);
    let places = ratings.filter_map(|(_, r)| Some((r.worst_w, r.places.first()?.surface_c)));
    if let Some((watts_w, surface_c)) = places.max_by(|a, b| a.1.total_cmp(&b.1)) {
        list.push(Caution::HotResistor { watts_w, surface_c });
    }
    // the worst of what a reversed winding would do, solved at high line; the fitted connection first
    let reversed = |c: &Choice| {
        let fault = c.faults.iter().find(|f| f.fault == FaultCase::Reversed);
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
