//! The resistors of the filter as a meter reads them.

use super::Serialize;
use crate::{
    circuit::{Node, Probe},
    receiver::{Model, Operation, Section, filter_resistor},
};

/// A resistor of the filter.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FilterResistorReading {
    /// Name.
    pub name: String,
    /// Its name in drawings and tables, such as R1.
    #[serde(skip)]
    pub part: String,
    /// Its ohms, Ω.
    pub ohms: f64,
    /// Drop, V DC.
    pub drop_v: f64,
    /// Current, A DC.
    pub current_a: f64,
    /// Heat, W: its RMS volts squared over its ohms.
    pub power_w: f64,
    /// Watts it is rated for, where known.
    pub rated_w: Option<f64>,
}

/// Reads them.
pub fn filter_resistors(model: &Model, operation: &Operation) -> Vec<FilterResistorReading> {
    let parts = model.filter.iter().zip(&operation.at.filter).enumerate();
    let read = |(place, (part, (from, to))): (usize, (&Section, &(Node, Node)))| match *part {
        Section::Resistor(_, ohms, rated_w) => {
            let drop_v = operation.dc(*from, *to).abs();
            Some(FilterResistorReading {
                name: "filter resistor".to_owned(),
                part: model.resistor_part(&filter_resistor(place)).unwrap_or_default(),
                ohms,
                drop_v,
                current_a: drop_v / ohms,
                power_w: operation.state.rms(Probe::Volts(*from, *to)).powi(2) / ohms,
                rated_w,
            })
        }
        _ => None,
    };
    parts.filter_map(read).collect()
}
