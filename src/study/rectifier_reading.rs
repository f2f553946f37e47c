//! The rectifiers of a set as a meter reads them, each by the worst of its diodes; a second supply.

use super::Serialize;
use crate::{
    circuit::{Probe, REFERENCE},
    receiver::{Diode, Model, Operation, Rectifier, capacitor_part},
};

/// The rectifier.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RectifierReading {
    /// Type.
    pub name: String,
    /// DC output, A.
    pub dc_a: f64,
    /// Peak current of the plate that takes most, A.
    pub peak_plate_a: f64,
    /// Peak inverse voltage, of the plate that has most.
    pub peak_inverse_v: f64,
    /// Average drop while conducting is not shown by a meter; this is the peak drop, V.
    pub peak_drop_v: f64,
    /// True for a voltage doubler, whose output no one capacitor is across.
    #[serde(skip)]
    pub doubles: bool,
}

/// A diode stands worse than another if its figure is larger by more than this factor: the halves of a symmetrical circuit
/// differ by what a solution leaves open.
const ALIKE: f64 = 1.0 + 1e-6;

/// Reads the main one.
pub fn rectifier(model: &Model, operation: &Operation) -> RectifierReading {
    let at = &operation.at;
    of(&model.rectifier, operation, (&at.plates, &at.returns))
}

fn of(
    rectifier: &Rectifier,
    operation: &Operation,
    (plates, returns): (&[Diode], &[Diode]),
) -> RectifierReading {
    let state = &operation.state;
    let worst = |of: &dyn Fn(&Diode) -> f64| {
        plates
            .iter()
            .chain(returns)
            .map(of)
            .fold(0.0, |most, next| if next > most * ALIKE { next } else { most })
    };
    let extremes = |d: &Diode| state.extremes(Probe::Volts(d.plate, d.cathode));
    RectifierReading {
        name: rectifier.name.clone(),
        dc_a: plates.iter().map(|d| state.mean(Probe::Amps(d.id))).sum(),
        // what one diode takes of those that are joined
        peak_plate_a: worst(&|d| state.peak(Probe::Amps(d.id)) / rectifier.parallel),
        peak_inverse_v: worst(&|d| -extremes(d).1),
        peak_drop_v: worst(&|d| extremes(d).0),
        doubles: rectifier.circuit.facts().doubles,
    }
}

/// A second supply beside B+.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SecondReading {
    /// Its output B2+ against chassis, V DC.
    pub b_plus_v: f64,
    /// Positive side of its first capacitor against chassis, V DC.
    pub reservoir_v: f64,
    /// That capacitor's name in drawings and tables.
    #[serde(skip)]
    pub reservoir_part: String,
    /// Ripple on its output, V RMS.
    pub ripple_v: f64,
    /// Its rectifier, or what the diode gets that the main one lends.
    pub rectifier: RectifierReading,
}

/// Reads it; `None` in a set without one.
pub fn second(model: &Model, operation: &Operation) -> Option<SecondReading> {
    let (supply, at) = model.second.as_ref().zip(operation.at.second.as_ref())?;
    let read = of(&supply.rectifier, operation, (&at.plates, &at.returns));
    Some(SecondReading {
        b_plus_v: operation.dc(at.b_plus, REFERENCE),
        reservoir_part: capacitor_part(at.capacitors_from),
        reservoir_v: operation.dc(at.reservoir, REFERENCE),
        ripple_v: operation.state.ripple_rms(Probe::Volts(at.b_plus, REFERENCE)),
        rectifier: RectifierReading { name: format!("{} (B2+)", read.name), ..read },
    })
}
