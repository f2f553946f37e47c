//! What a cathode emits at less than its rated heater volts.
//!
//! Richardson and Dushman: `I ~ T² exp(−w/kT)`. All figures here are † and hold for the ratio to rated volts
//! only: what a new or a worn cathode emits at rated volts is another matter.

/// Work function of an oxide cathode, eV.
const WORK_FUNCTION_EV: f64 = 1.0;
/// Its temperature at rated heater volts, K.
const RATED_K: f64 = 1100.0;
/// Boltzmann's constant, eV/K (CODATA).
const BOLTZMANN_EV: f64 = 8.617_333e-5;

/// Emission at `volts` (a share of the rated heater volts) over that at rated volts, for a heater whose current goes
/// with the power `exponent` of its volts.
///
/// The cathode radiates what its heater takes, `P ~ T⁴` and `P ~ V^(1+exponent)`, so `T ~ V^((1+exponent)/4)`.
pub fn emission_share(volts: f64, exponent: f64) -> f64 {
    if volts <= 0.0 {
        return 0.0;
    }
    emission_warm(volts.powf((1.0 + exponent) / 4.0))
}

/// Emission at `kelvin` (a share of the cathode's rated temperature) over that at rated temperature.
pub fn emission_warm(kelvin: f64) -> f64 {
    let work = WORK_FUNCTION_EV / (BOLTZMANN_EV * RATED_K);
    kelvin * kelvin * (-work * (1.0 / kelvin - 1.0)).exp()
}
