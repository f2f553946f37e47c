//! Steps a cycle doubled until two runs agree, for networks of which nobody knows beforehand how many steps they need.

use mainsfit::circuit::{
    CircuitError, Kind, Network, Probe, Settings, SteadyState, steady_state, steady_state_again,
};

/// Steps beyond which a test has something else to look for.
const MOST: usize = 8192;

/// A run whose error is estimated.
pub struct Run {
    pub state: SteadyState,
    pub steps: usize,
    /// Relative error of every state's mean and RMS: a third of the difference from half the steps, as the rule is of second
    /// order.
    pub estimate: f64,
}

/// The steady state as near as every comparison with an outside source needs: 5e-4 of every state's mean and RMS.
pub fn steady(net: &Network, near: Option<&[f64]>) -> Result<SteadyState, CircuitError> {
    Ok(within(net, 5e-4, (128, near))?.state)
}

/// The steady state with every state's mean and RMS within `tolerance`, from so many steps and a start.
pub fn within(
    net: &Network,
    tolerance: f64,
    (mut steps, near): (usize, Option<&[f64]>),
) -> Result<Run, CircuitError> {
    let mut coarse = steady_state(net, &Settings::fixed(steps), near)?;
    loop {
        steps *= 2;
        assert!(steps <= MOST, "{tolerance:e} is not reached in {MOST} steps a cycle");
        let state = steady_state_again(net, &Settings::fixed(steps), &coarse)?;
        let estimate = difference(net, &coarse, &state) / 3.0;
        if estimate <= tolerance {
            return Ok(Run { state, steps, estimate });
        }
        coarse = state;
    }
}

/// Largest difference in mean or RMS of the states, relative to their RMS.
fn difference(net: &Network, coarse: &SteadyState, finer: &SteadyState) -> f64 {
    let states = net.elements().filter_map(|(id, kind)| match kind {
        Kind::Capacitor(a, b, _) => Some(Probe::Volts(*a, *b)),
        Kind::Inductor(..) => Some(Probe::Amps(id)),
        Kind::Iron(..) => Some(Probe::Flux(id)),
        _ => None,
    });
    let of = |probe: Probe| {
        let size = finer.rms(probe).max(1e-12);
        let mean = (coarse.mean(probe) - finer.mean(probe)).abs();
        let rms = (coarse.rms(probe) - finer.rms(probe)).abs();
        f64::max(mean, rms) / size
    };
    states.map(of).fold(0.0, f64::max)
}
