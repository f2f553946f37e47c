//! What the filter capacitors of a set hold, and what empties them.

use super::calibrate::Receiver;
use super::model::{Lead, Spot};

impl Receiver {
    /// Volts of the supply's crest on `line` volts, from end to end, with nothing drawn: what its capacitors hold.
    pub fn crest_volts(&self, line: f64) -> f64 {
        let crest = line * std::f64::consts::SQRT_2;
        let source = match &self.model().string {
            Some(_) => crest,
            None => crest * self.core().no_load_ratio * self.turns().high_voltage,
        };
        if self.model().rectifier.circuit.doubles() { 2.0 * source } else { source }
    }

    /// Resistance that empties the filter capacitors with the tubes out: every divider and resistive load from
    /// a supply rail to chassis, in parallel. `None` if there is none.
    ///
    /// A coil in the way is small beside them and is left out; taps are counted from the rail they start at.
    pub fn discharge_ohms(&self) -> Option<f64> {
        let on_rail = |from: &str| matches!(from, "B+" | "reservoir");
        let dividers = self
            .model()
            .dividers
            .iter()
            .filter(|d| on_rail(&d.from) && d.to == "chassis")
            .map(|d| d.resistors.iter().sum::<f64>());
        let loads = self
            .model()
            .loads
            .iter()
            .filter(|l| matches!(&l.from, Spot::Supply(from) if on_rail(from)))
            .filter_map(|l| l.ohms);
        // a field coil across the supply is a bleeder; cold it empties them soonest, hot last
        let coils = self.model().coils.iter().filter(|c| c.lead == Lead::Across).map(|c| c.hot);
        let siemens: f64 = dividers.chain(loads).chain(coils).map(|ohms| 1.0 / ohms).sum();
        (siemens > 0.0).then(|| 1.0 / siemens)
    }
}
