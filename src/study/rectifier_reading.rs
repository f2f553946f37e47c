//! The rectifier of a set as a meter reads it: the worst of its diodes.

use crate::circuit::Probe;
use crate::receiver::{Diode, Model, Operation};
use schemars::JsonSchema;
use serde::Serialize;

/// The rectifier.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RectifierReading {
    /// Type.
    pub name: String,
    /// DC output, A.
    pub dc_a: f64,
    /// Peak current of the plate that takes most, A.
    pub peak_plate_a: f64,
    /// Peak inverse volts of the plate that gets most.
    pub peak_inverse_v: f64,
    /// Average drop while conducting is not shown by a meter; this is the peak drop, V.
    pub peak_drop_v: f64,
}

/// A diode stands worse than another if its figure is larger by more than this factor: the halves of a symmetrical circuit
/// differ by what a solution leaves open.
const ALIKE: f64 = 1.0 + 1e-6;

/// Reads it.
pub(super) fn rectifier(model: &Model, operation: &Operation) -> RectifierReading {
    let (state, at) = (&operation.state, &operation.at);
    let worst = |of: &dyn Fn(&Diode) -> f64| {
        let all = at.plates.iter().chain(&at.returns).map(of);
        all.fold(0.0, |most, next| if next > most * ALIKE { next } else { most })
    };
    let extremes = |d: &Diode| state.extremes(Probe::Volts(d.plate, d.cathode));
    RectifierReading {
        name: model.rectifier.name.clone(),
        dc_a: at.plates.iter().map(|d| state.mean(Probe::Amps(d.id))).sum(),
        // what one diode takes of those that are joined
        peak_plate_a: worst(&|d| state.peak(Probe::Amps(d.id)) / model.rectifier.parallel),
        peak_inverse_v: worst(&|d| -extremes(d).1),
        peak_drop_v: worst(&|d| extremes(d).0),
    }
}
