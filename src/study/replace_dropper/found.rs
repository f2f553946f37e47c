//! What may take a dropper's place, as data.

use super::caveat::{DropperCaveat, NoSubstitute};
use crate::{
    profile::StringDropper,
    study::{OutletVolts, RatingReport, Serialize},
};
use serde::Serializer;

/// What kind of thing takes the dropper's place.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum SubstituteKind {
    /// A wirewound resistor.
    #[default]
    Resistor,
    /// A capacitor with a bleeder, behind a resistor.
    Capacitor,
    /// A silicon diode with a resistor.
    Diode,
}

/// How a substitute is thought of.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum SubstituteStanding {
    /// To be fitted.
    Advised,
    /// Suitable where the first has no place.
    Serves,
    /// Not to be fitted: [`DropperSubstitute::refused`] says why.
    #[default]
    Refused,
}

/// A set with a substitute, at low, usual and high line.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SubstituteDay {
    /// The tubes' heaters over rated, less one: low, usual, high line.
    pub heaters: [f64; 3],
    /// Heat in it, W, likewise.
    pub heat_w: [f64; 3],
    /// RMS volts across it on the usual line; of a capacitor without its resistor.
    pub volts_v: f64,
    /// RMS amperes of the string on the usual line.
    pub amps: f64,
    /// RMS amperes of the string in the first cycles, its heaters cold, at high line.
    pub inrush_a: f64,
}

/// Something that could take the dropper's place.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DropperSubstitute {
    /// What it is.
    pub kind: SubstituteKind,
    /// How it is thought of.
    pub standing: SubstituteStanding,
    /// Why it is not to be fitted.
    pub refused: Vec<NoSubstitute>,
    /// The value that gives rated heaters on the usual line, Ω or F; `None` where there is none.
    pub exact: Option<f64>,
    /// What to ask for; empty where there is no value.
    pub ware: String,
    /// How the profile then states it.
    #[serde(serialize_with = "text")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub written: Option<StringDropper>,
    /// The set with it.
    pub day: Option<SubstituteDay>,
    /// Its rating and places, where its heat decides.
    pub rating: Option<RatingReport>,
    /// What to know of it, in the order of the work.
    pub caveats: Vec<DropperCaveat>,
}

impl DropperSubstitute {
    /// Nothing yet of that kind.
    pub(super) fn of(kind: SubstituteKind) -> DropperSubstitute {
        DropperSubstitute { kind, ..DropperSubstitute::default() }
    }

    /// Refused for one reason.
    pub(super) fn refused_for(self, why: NoSubstitute) -> DropperSubstitute {
        DropperSubstitute { refused: vec![why], ..self }
    }
}

/// A resistor that stays beside a lamp whose section goes with the dropper.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BesideLamp {
    /// The lamp.
    pub lamp: String,
    /// The resistor, Ω.
    pub ohms: f64,
    /// Its heat with the lamp burnt out, W.
    pub heat_w: f64,
}

/// What may take the place of a heater string's dropper.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DropperSubstitutes {
    /// What stands in series with the heaters now.
    pub present: Vec<String>,
    /// True if some of it lies in the line cord, which is then to be cut off whole and renewed.
    pub in_cord: bool,
    /// The outlet.
    pub outlet: OutletVolts,
    /// Its frequency, Hz.
    pub frequency_hz: f64,
    /// Rated voltage of heaters and lamps in series, V.
    pub heaters_v: f64,
    /// Rated current of the string, A.
    pub amps: f64,
    /// Resistors to fit beside lamps, so that these go on.
    pub beside_lamps: Vec<BesideLamp>,
    /// In the order of preference: resistor, capacitor, diode.
    pub list: Vec<DropperSubstitute>,
}

/// As a profile has it.
fn text<S: Serializer>(written: &Option<StringDropper>, to: S) -> Result<S::Ok, S::Error> {
    written.as_ref().map(ToString::to_string).serialize(to)
}
