//! What a heater, a lamp or a barretter takes at any volts.

use super::{Filament, HEATER_EXPONENT, LAMP_EXPONENT, warmup::HOT_OVER_COLD};
use crate::{
    catalogue::{RectifierType, WarmUp},
    profile::LampUse,
    quantity::Quantity,
};

/// Current exponent of a barretter within its range: iron wire in hydrogen holds its current within some 5 % while its
/// volts double (barretter sheets †; ln 1.05 / ln 2 = 0.07).
const HOLDING: f64 = 0.07;
/// Resistance of iron at 700 over that at 20 °C: 85.5 over 9.7 µΩ·cm (Kaye and Laby, Tables of Physical and Chemical
/// Constants †). The wire of a barretter is dull red at the top of its range †.
const IRON_HOT_OVER_COLD: f64 = 85.5 / 9.7;
/// Current exponent beyond the range: hotter than that iron rises no more than other metals do (reasoned; the wire is then
/// on its way to burn out, and a limit says so).
const BEYOND: f64 = 0.5;

impl Filament {
    /// A heater that takes so many volts and amperes, of the tube in `socket`.
    pub(super) fn heater(
        (volts, amps): (f64, f64),
        socket: Option<usize>,
        warm_up: &'static WarmUp,
    ) -> Filament {
        Filament { volts, amps, exponent: HEATER_EXPONENT, holds: None, socket, warm_up }
    }

    /// That of `count` rectifiers of a type side by side.
    pub(super) fn of_rectifier(kind: &RectifierType, count: u32) -> Filament {
        let takes = (kind.filament_volts.si(), kind.filament_amps.si() * f64::from(count));
        Filament::heater(takes, None, kind.warm_up())
    }

    /// That of dial lamps.
    pub(super) fn lamp(lamp: &LampUse) -> Filament {
        let takes = (lamp.kind.volts.si(), lamp.kind.amps.si() * f64::from(lamp.count));
        Filament { exponent: LAMP_EXPONENT, ..Filament::heater(takes, None, WarmUp::lamp()) }
    }

    /// The law of a barretter that holds `amps` from the first to the second of the volts in `holds`, off at the ends by
    /// the share `within` where that is known.
    pub(super) fn barretter(amps: f64, holds: (f64, f64), within: Option<f64>) -> Filament {
        let (from, to) = holds;
        let law = |w: f64| ((1.0 + w) / (1.0 - w)).ln() / (to / from).ln();
        let exponent = within.map_or(HOLDING, law);
        let volts = (from * to).sqrt();
        let law = Filament::heater((volts, amps), None, WarmUp::barretter());
        Filament { exponent, holds: Some(holds), ..law }
    }

    /// Amperes at `volts` RMS.
    ///
    /// A barretter below its range is iron wire that cools: its resistance falls from that at the lower end to the cold
    /// one, `R = Rc + (R1 − Rc)·(V/V1)^m` with the m that leaves no bend in the law; above, it rises as in any hot wire.
    pub fn amps_at(&self, volts: f64) -> f64 {
        let power = |volts: f64| self.amps * (volts / self.volts).powf(self.exponent);
        match self.holds {
            Some((from, _)) if volts < from => {
                let (end, cold) = (from / power(from), self.cold_ohms());
                let bend = (1.0 - self.exponent) * end / (end - cold);
                volts / (cold + (end - cold) * (volts / from).powf(bend))
            }
            Some((_, to)) if volts > to => power(to) * (volts / to).powf(BEYOND),
            _ => power(volts),
        }
    }

    /// Exponent of the law at `volts`.
    pub(super) fn exponent_at(&self, volts: f64) -> f64 {
        match self.holds {
            None => self.exponent,
            Some(_) => (self.amps_at(1.001 * volts) / self.amps_at(volts)).ln() / 1.001_f64.ln(),
        }
    }

    /// Resistance at room temperature, Ω.
    pub fn cold_ohms(&self) -> f64 {
        match self.holds {
            None => self.volts / self.amps / HOT_OVER_COLD,
            Some((_, to)) => {
                let amps = self.amps * (to / self.volts).powf(self.exponent);
                to / amps / IRON_HOT_OVER_COLD
            }
        }
    }

    /// The same as a fixed resistance: the cold one.
    pub(crate) fn frozen(self) -> Filament {
        Filament { amps: self.volts / self.cold_ohms(), exponent: 1.0, holds: None, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn c1() -> Filament {
        Filament::barretter(0.2, (80.0, 200.0), None)
    }

    /// A barretter for 0.2 A and 80 to 200 V, by the sheets' 5 % of current for twice the volts.
    #[test]
    fn it_holds_in_its_range_and_nowhere_else() {
        let amps = |volts| c1().amps_at(volts);
        assert!((amps(160.0) / amps(80.0) - 1.05).abs() < 0.001);
        assert!((80.0..=200.0).contains(&c1().volts) && (amps(c1().volts) - 0.2).abs() < 1e-12);
        // no step and no bend at either end but that of burning out
        assert!((amps(79.999) / amps(80.0) - 1.0).abs() < 1e-5);
        assert!((amps(200.001) / amps(200.0) - 1.0).abs() < 1e-5);
        let slope = |v: f64| (amps(v * 1.0001) - amps(v)) / (v * 0.0001);
        assert!((slope(79.9) / slope(80.1) - 1.0).abs() < 0.02);
        // below, iron that cools; at rest a ninth of its 200 V over 0.206 A
        assert!(amps(40.0) < 0.9 * amps(80.0) && amps(20.0) < amps(40.0));
        assert!((0.1 / amps(0.1) - 200.0 / amps(200.0) * 9.7 / 85.5).abs() < 0.5);
        // 5 % at the ends by `within`: 0.19 A to 0.21 A
        let wide = Filament::barretter(0.2, (80.0, 200.0), Some(0.05));
        assert!((wide.amps_at(80.0) / wide.amps_at(200.0) - 0.95 / 1.05).abs() < 1e-9);
    }
}
