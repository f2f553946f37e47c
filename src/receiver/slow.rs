//! What stands still within a cycle: the turns of the windings, and the slow quantities that follow from cycle to cycle.

use super::Model;

/// Turns per volt of primary EMF, found by calibration.
#[derive(Debug, Clone, PartialEq)]
pub struct Turns {
    /// Each half of the high-voltage winding, or the whole of one without a center tap.
    pub high_voltage: f64,
    /// Heater windings in order.
    pub windings: Vec<f64>,
    /// Winding of a bias supply.
    pub bias: f64,
    /// Winding of a second supply, or each half of it.
    pub second: f64,
}

/// The slow quantities that stand still within a cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Slow {
    /// Resistance of what hangs on each heater winding, Ω.
    pub heater_ohms: Vec<f64>,
    /// Resistance of each coil, Ω.
    pub coil_ohms: Vec<f64>,
    /// The power transformer's copper over its stated resistance.
    pub copper: f64,
    /// Average grid, screen and plate volts of each tube against its cathode, and the cathode's.
    pub tube_volts: Vec<[f64; 4]>,
}

impl Turns {
    /// As many of every winding.
    pub(super) fn all(turns: f64, heater_windings: usize) -> Turns {
        let windings = vec![turns; heater_windings];
        Turns { high_voltage: turns, windings, bias: turns, second: turns }
    }
}

impl Slow {
    /// The resistances.
    pub(super) fn ohms(&self) -> impl Iterator<Item = &f64> {
        self.heater_ohms.iter().chain(&self.coil_ohms).chain([&self.copper])
    }

    /// The same, to be changed.
    pub(super) fn ohms_mut(&mut self) -> impl Iterator<Item = &mut f64> {
        self.heater_ohms.iter_mut().chain(&mut self.coil_ohms).chain([&mut self.copper])
    }

    /// The volts.
    pub(super) fn volts(&self) -> impl Iterator<Item = &f64> {
        self.tube_volts.iter().flatten()
    }

    /// The same, to be changed.
    pub(super) fn volts_mut(&mut self) -> impl Iterator<Item = &mut f64> {
        self.tube_volts.iter_mut().flatten()
    }

    /// Moves these by a share of the way from `from` to `to`, resistances by their logarithms.
    pub(super) fn lean(&mut self, from: &Slow, to: &Slow, share: f64) {
        let ends = from.ohms().zip(to.ohms());
        self.ohms_mut().zip(ends).for_each(|(ohms, (from, to))| *ohms *= (to / from).powf(share));
        let ends = from.volts().zip(to.volts());
        self.volts_mut().zip(ends).for_each(|(volts, (from, to))| *volts += share * (to - from));
    }

    /// Largest relative change of any of them since `old`, and which it is: its place among resistances and volts.
    pub(super) fn change(&self, old: &Slow) -> (usize, f64) {
        let ohms = old.ohms().zip(self.ohms()).map(|(a, b)| (a - b).abs() / b);
        let volts = old.volts().zip(self.volts());
        let volts = volts.map(|(a, b)| (a - b).abs() / b.abs().max(1.0));
        let worse = |worst: (usize, f64), next: (usize, f64)| {
            if next.1 > worst.1 || next.1.is_nan() { next } else { worst }
        };
        ohms.chain(volts).enumerate().fold((0, 0.0), worse)
    }

    /// What stands in a place among those of `model`.
    pub(super) fn name(model: &Model, place: usize) -> String {
        let heaters = model.windings.iter().map(|w| format!("heaters of {}", w.name));
        let coils = model.coils.iter().map(|coil| coil.name.clone());
        let copper = ["the power transformer's copper".to_owned()];
        let tubes = model.tubes.iter().flat_map(|t| vec![t.label.clone(); 4]);
        heaters.chain(coils).chain(copper).chain(tubes).nth(place).unwrap_or_default()
    }
}
