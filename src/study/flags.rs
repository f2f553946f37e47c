//! Whether a set may be plugged straight into its outlet at all.

use super::OutletVolts;
use crate::receiver::Model;

/// Voltage over what the set was made for from which it must not be plugged in: heaters 20 % high are beyond every
/// published tolerance (±10 % at the nominal line is what makers of European tubes allowed †).
const NEVER: f64 = 1.20;
/// The same at a high line that was read: a sound line's own swing of 5 % above [`NEVER`].
const NEVER_AT_HIGH: f64 = 1.25;
/// From here on it must not be left on without a part.
const NOT_BARE: f64 = 1.10;

/// What may be done with the direct connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Direct {
    /// It may be used.
    #[default]
    Allowed,
    /// Not without the part.
    NotWithoutPart,
    /// Not at all.
    DoNotPlugIn,
}

/// What the usual line, or a high line that was read, puts on the tap now in use over what that is made for: the
/// voltage, or on iron of another frequency the voltage over frequency, whichever is more.
fn ratio(model: &Model, outlet: &OutletVolts, volts: f64) -> f64 {
    let volts = volts / model.line_as_found();
    let hertz = outlet.frequency_hz.unwrap_or(model.frequency) / model.design_frequency;
    // a heater string has no iron
    if model.string.is_some() { volts } else { volts.max(volts / hertz) }
}

/// The same of the usual line.
pub fn usual_ratio(model: &Model, outlet: &OutletVolts) -> f64 {
    ratio(model, outlet, outlet.usual_v)
}

/// What may be done. The high line of a range by name is what a standard permits and was not read.
pub fn direct(model: &Model, outlet: &OutletVolts) -> Direct {
    let high = outlet.high_read && ratio(model, outlet, outlet.high_v) >= NEVER_AT_HIGH;
    match usual_ratio(model, outlet) {
        r if r >= NEVER || high => Direct::DoNotPlugIn,
        r if r >= NOT_BARE => Direct::NotWithoutPart,
        _ => Direct::Allowed,
    }
}
