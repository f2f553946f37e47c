//! What one diode passes, by what it is made of.

use crate::{circuit::Law, receiver::RectifierKind};

/// On-resistance of a constant-drop rectifier, Ω: far below any winding's copper.
const DROP_OHMS: f64 = 1.0;
/// n·kT/q of a silicon rectifier, V: with the bulk below it meets 0.70 V at 10 mA and 0.94 V at 1 A (1N4007 data
/// sheets †).
const JUNCTION_V: f64 = 0.0466;
/// Bulk resistance of a silicon rectifier, Ω.
const JUNCTION_OHMS: f64 = 0.05;
/// Part of a selenium rectifier's drop, at its printed current, that is threshold (0.5 of 1 V a plate †).
const SELENIUM_THRESHOLD: f64 = 0.5;

/// The law of a silicon diode of the trade: 0.9 V at 1 A (1N4007 data sheets †).
pub fn silicon() -> Law {
    law(RectifierKind::Silicon, 0.94, Some(1.0))
}

/// The law of one diode of `kind` that drops `volts` at `amps`.
pub fn law(kind: RectifierKind, volts: f64, amps: Option<f64>) -> Law {
    match (kind, amps) {
        (RectifierKind::Silicon, Some(amps)) => {
            // the exponent whose ln(1 + eˣ) is the bulk's drop over the spread
            let bulk = amps * JUNCTION_OHMS / JUNCTION_V;
            Law::Junction {
                threshold: volts - JUNCTION_V * bulk.exp_m1().ln(),
                spread: JUNCTION_V,
                resistance: JUNCTION_OHMS,
            }
        }
        (RectifierKind::Selenium, Some(amps)) => Law::Drop {
            volts: SELENIUM_THRESHOLD * volts,
            resistance: (1.0 - SELENIUM_THRESHOLD) * volts / amps,
        },
        (RectifierKind::Vacuum, Some(amps)) => {
            Law::ThreeHalves { perveance: amps / volts.powf(1.5), offset: 0.0 }
        }
        (_, _) => Law::Drop { volts, resistance: DROP_OHMS },
    }
}
