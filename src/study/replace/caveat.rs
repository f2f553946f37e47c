//! What to know before a part is replaced: numbers, with a sentence each.

use crate::quantity::{Power, Quantity, Resistance, Voltage, show};
use serde::{Serialize, Serializer};
use std::fmt;

/// What to know before a part is replaced.
#[derive(Debug, Clone, PartialEq)]
pub enum ReplaceCaveat {
    /// A resistor in a field coil's place is hot for good.
    FieldHeat {
        /// Its heat at high line, W.
        heat_w: f64,
    },
    /// The ohms at work count, not those printed on the coil.
    WarmOhms {
        /// Cold, Ω.
        cold: f64,
        /// At work, Ω.
        warm: f64,
    },
    /// What is bought differs, and bias with it.
    BiasMoves {
        /// Volts across it, V.
        drop_v: f64,
    },
    /// A choke has a resistance of its own.
    MeasureChoke {
        /// What the two have together, Ω.
        together: f64,
    },
    /// Without a coil B+ still stands at the crest until the tubes draw.
    StandsAtCrest {
        /// At high line, V.
        crest_v: f64,
    },
    /// The new speaker itself.
    Speaker {
        /// The chassis is joined to the line.
        live: bool,
    },
    /// Silicon gives the crest at every switch-on.
    CapacitorsBear {
        /// At high line, V.
        crest_v: f64,
    },
    /// A capacitor that does not.
    CapacitorTooLow {
        /// Which.
        name: String,
        /// What is marked on it, V.
        rated_v: f64,
        /// What to fit, V.
        fit_v: Option<f64>,
    },
    /// Watts go by the square of RMS amperes.
    ByRms {
        /// In one resistor, W.
        heat_w: f64,
        /// What the average current would say, W.
        by_mean_w: f64,
    },
    /// Reverse volts of the diodes.
    Inverse {
        /// At high line, V.
        volts_v: f64,
        /// Diodes of 1000 V in a row in each place.
        in_a_row: u32,
    },
    /// It is matched at one load.
    OneLoad,
    /// The tube's filament no longer loads the transformer.
    FilamentGone {
        /// W.
        heater_w: f64,
    },
    /// Its heater left the string.
    HeaterGone {
        /// What takes its place, Ω.
        ohms: f64,
        /// Its heat, W.
        heat_w: f64,
    },
    /// The lamp on its tap.
    LampLost,
}

impl Serialize for ReplaceCaveat {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl fmt::Display for ReplaceCaveat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let volts = |v: f64| show(Voltage::from_si(v));
        let watts = |w: f64| show(Power::from_si(w));
        let ohms = |r: f64| show(Resistance::from_si(r));
        match self {
            ReplaceCaveat::FieldHeat { heat_w } => write!(
                f,
                "Mount the resistor clear of cloth, cone, and wax; it burns {} all the time.",
                watts(*heat_w)
            ),
            ReplaceCaveat::WarmOhms { cold, warm } => write!(
                f,
                "Replace the ohms of the warm coil, {}: what an ohmmeter reads on it cold, {}, leaves B+ too high.",
                ohms(*warm),
                ohms(*cold)
            ),
            ReplaceCaveat::BiasMoves { drop_v } => write!(
                f,
                "Bias comes from these {}: a resistor 5 % off puts it 5 % off. Measure bias before the set plays.",
                volts(*drop_v)
            ),
            ReplaceCaveat::MeasureChoke { together } => write!(
                f,
                "Measure the choke with an ohmmeter, and take the resistor for the rest: {} in all.",
                ohms(*together)
            ),
            ReplaceCaveat::StandsAtCrest { crest_v } => write!(
                f,
                "Until the tubes draw, every filter capacitor gets up to {} at switch-on, as with the coil.",
                volts(*crest_v)
            ),
            ReplaceCaveat::Speaker { live: true } => f.write_str(
                "Insulate the new speaker's frame from chassis: this chassis is live. Match the voice coil to the output transformer.",
            ),
            ReplaceCaveat::Speaker { live: false } => f.write_str(
                "Join the new speaker's frame to chassis. Match the voice coil to the output transformer.",
            ),
            ReplaceCaveat::CapacitorsBear { crest_v } => write!(
                f,
                "With a silicon rectifier, every filter capacitor must stand {}, which arrives at each switch-on; no resistor changes that.",
                volts(*crest_v)
            ),
            ReplaceCaveat::CapacitorTooLow { name, rated_v, fit_v } => {
                let fit = fit_v.map_or("one that bears it".to_owned(), |v| format!("one rated {v:.0} V"));
                write!(f, "Replace {name} first, by {fit}: it is rated {}.", volts(*rated_v))
            }
            ReplaceCaveat::ByRms { heat_w, by_mean_w } => write!(
                f,
                "Size the resistor by RMS amperes squared, {}: the average current gives {}.",
                watts(*heat_w),
                watts(*by_mean_w)
            ),
            ReplaceCaveat::Inverse { volts_v, in_a_row: 1 } => write!(
                f,
                "One 1000 V diode in each place: it gets {} in reverse.",
                volts(*volts_v)
            ),
            ReplaceCaveat::Inverse { volts_v, in_a_row } => write!(
                f,
                "{in_a_row} diodes of 1000 V in a row in each place: they get {} in reverse.",
                volts(*volts_v)
            ),
            ReplaceCaveat::OneLoad => f.write_str(
                "B+ is matched at this load alone: with tubes out or weak it is a little higher than with the tube.",
            ),
            ReplaceCaveat::FilamentGone { heater_w } => write!(
                f,
                "The tube's filament no longer loads the transformer, {}: the heaters rise a little. A tube left lit in its socket keeps them.",
                watts(*heater_w)
            ),
            ReplaceCaveat::HeaterGone { ohms: r, heat_w } => write!(
                f,
                "Put {} in the place of its heater before power, {}: without it every other heater gets too much.",
                ohms(*r),
                watts(*heat_w)
            ),
            ReplaceCaveat::LampLost => f.write_str(
                "The dial lamp lost its tap: feed it anew, or leave it out. It is left out of the changed profile.",
            ),
        }
    }
}
