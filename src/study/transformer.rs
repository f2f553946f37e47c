//! What the power transformer loses at an operating point, and how warm that makes it.

use super::Serialize;
use crate::{
    circuit::Probe,
    receiver::{Operation, Receiver, iron::LAW_TO},
};

/// The power transformer after some hours.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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

/// Average of the windings from which on class A insulation is near its 105 °C, °C: the hottest spot is some 10 K above the
/// average (classic allowance of small transformers †).
const NEAR_CLASS_A_C: f64 = 95.0;
/// Flux over that of the design line from which its cost is said; up to [`super::limits::FLUX_LIMIT`] nothing follows.
const SAID: f64 = 1.05;

impl TransformerReading {
    /// Whether its flux, and what that costs, is worth a line.
    pub fn costs(&self) -> bool {
        self.flux > SAID
    }

    /// Whether the figures at such a flux are no more than a guess.
    pub fn is_guessed(&self) -> bool {
        self.flux > LAW_TO
    }

    /// How far the estimate may be off, K.
    pub fn give_or_take_k(&self) -> f64 {
        self.temperature_high_c - self.temperature_c
    }

    /// Whether class A insulation is worth a word. It decides nothing: the estimate's band is wider than that.
    pub fn is_near_class_a(&self) -> bool {
        self.temperature_c > NEAR_CLASS_A_C
    }
}

/// Reads it; `None` in a set without one.
pub fn read(receiver: &Receiver, operation: &Operation) -> Option<TransformerReading> {
    let losses = operation.losses();
    let spread = receiver.model().copper.spread;
    let shares = [1.0, 1.0 - spread, 1.0 + spread];
    let [temperature_c, low, high] = receiver.transformer_celsius(operation, shares)?;
    let magnetizing = Probe::Amps(operation.at.magnetizing?);
    let flux =
        receiver.model().flux(operation.volts_as_built() / operation.at.primary_turns)?.relative();
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
