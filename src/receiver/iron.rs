//! The iron of the mains transformer, from what it takes at no load.

use super::build::Core;
use super::error::ReceiverError;
use super::model::Model;
use crate::quantity::{Current, Power, Quantity, Resistance, Voltage, show};
use nalgebra::Complex;
use std::f64::consts::TAU;

/// Loss resistance and magnetising inductance from no-load amperes and watts at the design line.
///
/// The primary copper is taken off first: `E = V − I·R1`, then `Y = I/E = 1/Rc + 1/(jωLm)`.
pub(super) fn core(model: &Model) -> Result<Core, ReceiverError> {
    if model.string.is_some() {
        // no iron; never read
        return Ok(Core { loss_ohms: 1.0, henries: 1.0, no_load_ratio: 1.0 });
    }
    let (v, p) = (model.design_line, model.primary);
    let real = p.no_load_watts / v;
    let contradiction = |what: String, advice: &str| ReceiverError::Contradiction {
        what,
        key: "transformer.primary.no_load_power".to_owned(),
        advice: advice.to_owned(),
    };
    if real >= p.no_load_amps {
        return Err(contradiction(
            format!(
                "{} at no load is more than {} times {}",
                show(Power::from_si(p.no_load_watts)),
                show(Voltage::from_si(v)),
                show(Current::from_si(p.no_load_amps))
            ),
            "watts are less than volts times amperes: check both readings, taken with every load off",
        ));
    }
    let amps = Complex::new(real, -(p.no_load_amps * p.no_load_amps - real * real).sqrt());
    let emf = Complex::new(v, 0.0) - amps * p.resistance;
    let admittance = amps / emf;
    if admittance.re <= 0.0 || admittance.im >= 0.0 {
        return Err(contradiction(
            format!(
                "{} of primary copper with {} through it take more than the {} at no load",
                show(Resistance::from_si(p.resistance)),
                show(Current::from_si(p.no_load_amps)),
                show(Power::from_si(p.no_load_watts))
            ),
            "check the primary's resistance and the no-load readings",
        ));
    }
    Ok(Core {
        loss_ohms: 1.0 / admittance.re,
        // what the figures were read at; the inductance stays, its reactance goes with the frequency
        henries: -1.0 / (admittance.im * TAU * model.design_frequency),
        no_load_ratio: emf.norm() / v,
    })
}
