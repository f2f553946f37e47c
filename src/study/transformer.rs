//! What the power transformer loses at an operating point, and how warm that makes it.

use crate::circuit::Probe;
use crate::receiver::{Operation, Receiver};
use schemars::JsonSchema;
use serde::Serialize;

/// The power transformer after some hours.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TransformerReading {
    /// Heat in its windings, W.
    pub copper_w: f64,
    /// Heat in its iron, W.
    pub iron_w: f64,
    /// Both, W.
    pub loss_w: f64,
    /// Estimated average of its windings, °C.
    pub temperature_c: f64,
    /// Lowest that its rise as designed leaves open, °C.
    pub temperature_low_c: f64,
    /// Highest, °C.
    pub temperature_high_c: f64,
    /// Volts over frequency at the primary, over that on the design line.
    pub flux: f64,
    /// Magnetizing current, A true RMS.
    pub magnetizing_a: f64,
    /// Its mean, A: what the direct current of a half-wave rectifier asks of it.
    pub magnetizing_dc_a: f64,
}

/// Reads it; `None` in a set without one.
pub(super) fn read(receiver: &Receiver, operation: &Operation) -> Option<TransformerReading> {
    let losses = operation.losses();
    let spread = receiver.model().copper.spread;
    let shares = [1.0, 1.0 - spread, 1.0 + spread];
    let [temperature_c, low, high] = receiver.transformer_celsius(operation, shares)?;
    let magnetizing = Probe::Amps(operation.at.magnetizing?);
    let flux =
        receiver.model().flux(operation.set_volts() / operation.at.primary_turns)?.relative();
    Some(TransformerReading {
        copper_w: losses.copper_w,
        iron_w: losses.iron_w,
        loss_w: losses.total_w(),
        temperature_c,
        temperature_low_c: low,
        temperature_high_c: high,
        flux,
        magnetizing_a: operation.state.rms(magnetizing),
        magnetizing_dc_a: operation.state.mean(magnetizing),
    })
}
