//! Where control grids stand, and what their cathodes return through.

use super::{Grid, Number, TubeLaw, ledger::Ledger, stated::Stated};
use crate::{
    catalogue::OperatingPoint,
    profile::{self, TubeUse},
    quantity::Quantity,
};

/// Plate load of a resistance-coupled medium-mu stage (common practice, no source).
pub const MEDIUM_MU_LOAD: f64 = 50e3;
/// Grid current of a tube whose cathode is at chassis: it begins, at 0.3 µA, no lower than at −1.3 V (European data sheets,
/// as "grid current starting point" †), some 0.4 V higher in the middle of sound tubes (common practice, no source).
const GRID_CURRENT: (f64, f64) = (0.3e-6, -0.9);
/// Volts in which it grows e times: kT/q of an oxide cathode at 1000 K is 0.09 V.
const GRID_SPREAD: f64 = 0.09;
/// Grid resistor of a stage without other bias where none is stated, Ω (common practice, no source).
const USUAL_LEAK: f64 = 10e6;
/// How far such a bias may be off: starting points differ by half a volt either way.
const LEAK_OFF: f64 = 0.5;

/// Volts that its own current leaves at a grid behind `ohms` to its cathode: `v = −R·i₀·exp((v − v₀)/spread)`.
fn leak_volts(ohms: f64) -> f64 {
    let (amps, at) = GRID_CURRENT;
    // falls steadily with v: halved between no current and far beyond the start
    let (mut low, mut high) = (at - 10.0 * GRID_SPREAD, 0.0);
    for _ in 0..60 {
        let middle: f64 = 0.5 * (low + high);
        let left = middle + ohms * amps * ((middle - at) / GRID_SPREAD).exp();
        if left > 0.0 { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

/// The grid of a tube that takes `amps` at its published point, what its cathode returns through in Ω, and the bypass there
/// in F.
pub fn and_cathode(
    use_: &TubeUse,
    point: &OperatingPoint,
    law: &TubeLaw,
    amps: f64,
    output: bool,
    index: usize,
    ledger: &mut Ledger,
) -> (Grid, f64, f64) {
    let (mut ohms, bypass) = match use_.cathode {
        Some(profile::Cathode::Resistor { value, bypass }) => (Some(value.si()), bypass.si_or(0.0)),
        Some(profile::Cathode::Chassis) => (Some(0.0), 0.0),
        None => (None, 0.0),
    };
    let published = point.grid.si_or(0.0);
    let biased = law.grid > 0.0 && published < 0.0;
    let grid = use_.grid.as_ref().map(|grid| match grid {
        profile::Grid::Tap(name) => Grid::Tap(name.clone()),
        profile::Grid::Fixed(volts) => Grid::Fixed(volts.si()),
        profile::Grid::Chassis | profile::Grid::Leak(_) => Grid::Fixed(0.0),
    });
    let leak = match use_.grid {
        Some(profile::Grid::Leak(ohms)) => Some(ohms.si()),
        // an output tube's grid is never left to its own current
        Some(profile::Grid::Chassis) | None if ohms == Some(0.0) && !output => Some(USUAL_LEAK),
        _ => None,
    };
    // both at chassis: what is left is the grid's own current
    if let Some(leak) = leak.filter(|_| biased && ohms.unwrap_or(0.0) == 0.0) {
        let volts = ledger.take(
            Number::GridBias.of(index),
            format_args!("grid bias of the {}", use_.label),
            // known to a tenth of a volt at best
            (100.0 * leak_volts(leak)).round() / 100.0,
            LEAK_OFF,
            "what the grid's own current leaves across its resistor, the cathode at chassis",
        );
        return (Grid::Leak(volts), 0.0, bypass);
    }
    // nothing said: self bias at the published point, unless the grid hardly matters
    if grid.is_none() && ohms.is_none() && biased && law.screen + law.plate > 0.0 {
        // a stage starved by its load resistor draws less, so its resistor is the larger
        let real =
            if law.screen == 0.0 && !output { amps.min(100.0 / MEDIUM_MU_LOAD) } else { amps };
        ohms = Some(ledger.take(
            Number::CathodeResistor.of(index),
            format_args!("cathode resistor of the {}", use_.label),
            -published / real,
            0.2,
            "what gives the published bias at the published current",
        ));
    }
    (grid.unwrap_or(Grid::Fixed(0.0)), ohms.unwrap_or(0.0), bypass)
}

#[cfg(test)]
mod tests {
    use super::leak_volts;

    /// The current through the resistor is the grid's own, whatever the resistor: 0.3 µA at −0.9 V, e times less every
    /// 0.09 V below. By hand for 10 MΩ: at −1.02 V the grid takes 0.3 µA·e^(−0.12/0.09) = 0.079 µA, and 10 MΩ leave 0.79 V;
    /// at −1.00 V 0.099 µA and 0.99 V, which meets it.
    #[test]
    fn a_grid_stands_where_its_own_current_leaves_it() {
        assert!((leak_volts(10e6) + 1.0).abs() < 0.01, "{}", leak_volts(10e6));
        for ohms in [0.5e6, 1e6, 5e6, 15e6] {
            let v = leak_volts(ohms);
            let amps = 0.3e-6 * ((v + 0.9) / 0.09).exp();
            assert!((v + ohms * amps).abs() < 1e-9, "{v}");
        }
        assert!(leak_volts(1e6) > -0.85 && leak_volts(0.5e6) < -0.6);
    }
}
