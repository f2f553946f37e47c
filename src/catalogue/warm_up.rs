//! How long cathodes take to warm, by their kind, with exceptions by type.

use super::{
    CatalogueError, CathodeKind, Heating, Named, RectifierKind, RectifierType, TubeType,
    cells::{Row, Tabled, list, row},
};
use crate::quantity::Quantity;

row! {
    /// A kind of cathode.
    pub struct WarmUp {
        /// What it is called.
        kind: String = "kind",
        /// Seconds at rated volts until its wire is at 90 % of its temperature.
        wire_s: f64 = "wire_s",
        /// Seconds until the cathode is, at the least.
        full_low_s: f64 = "full_low_s",
        /// At the most.
        full_high_s: f64 = "full_high_s",
        /// What it emits when warm over the current it is made for.
        reserve: f64 = "reserve",
        /// Types that are of this kind whatever their heaters, a blank between them.
        types: String = "types" in OR_BLANK,
        /// Where the figures come from.
        source: String = "source",
    }
}

impl WarmUp {
    /// Seconds to the middle of its range.
    pub fn middle_s(&self) -> f64 {
        0.5 * (self.full_low_s + self.full_high_s)
    }
}

/// Heaters of so many volts were made for strings on the line.
const STRING_V: f64 = 25.0;
/// A small heater takes less than this, W: the output types begin at 2.5 W (6V6, 6K6).
const OUTPUT_W: f64 = 2.5;
/// A filament that takes less than this, W, is thin: 26, 71A and battery types against 45 and 47.
const THIN_W: f64 = 2.0;

list! {
    /// Every kind.
    warm_ups: WarmUp = "warm_up.csv"
}

/// The kind of a name, or the type's own.
fn kind<'a>(name: &str, mut types: impl Iterator<Item = &'a str>) -> &'static WarmUp {
    let own =
        types.find_map(|t| warm_ups().iter().find(|w| w.types.split(' ').any(|own| own == t)));
    let named = || warm_ups().iter().find(|w| w.kind == name);
    own.or_else(named).unwrap_or(&warm_ups()[0])
}

impl WarmUp {
    /// Of a dial lamp.
    pub fn lamp() -> &'static WarmUp {
        kind("lamp", std::iter::empty())
    }

    /// Of a barretter.
    pub fn barretter() -> &'static WarmUp {
        kind("barretter", std::iter::empty())
    }
}

impl TubeType {
    /// How it warms.
    pub fn warm_up(&self) -> &'static WarmUp {
        let volts = self.heater_volts.si();
        let watts = volts * self.heater_amps.si();
        let name = match self.cathode {
            CathodeKind::Filament if watts < THIN_W => "thin filament",
            CathodeKind::Filament => "power filament",
            CathodeKind::Heater if volts >= STRING_V => "string heater",
            CathodeKind::Heater if watts >= OUTPUT_W => "output heater",
            CathodeKind::Heater => "heater",
        };
        kind(name, self.names())
    }
}

impl RectifierType {
    /// How it warms.
    pub fn warm_up(&self) -> &'static WarmUp {
        let volts = self.filament_volts.si();
        let name = match (self.kind, self.heating) {
            (RectifierKind::Mercury, _) => "mercury vapor",
            (_, Heating::Direct) => "filament rectifier",
            _ if volts >= STRING_V => "string heater",
            _ => "heater rectifier",
        };
        kind(name, self.names())
    }
}

#[cfg(test)]
mod tests {
    use super::super::Catalogue;
    use super::*;

    #[test]
    fn every_row_is_read_and_every_type_finds_its_own() {
        assert_eq!(warm_ups().len(), include_str!("data/warm_up.csv").lines().count() - 1);
        let table = Catalogue::built_in();
        let of = |name: &str| match table.tube(name) {
            Ok(found) => found.named().warm_up().kind.as_str(),
            Err(_) => table.rectifier(name).unwrap().named().warm_up().kind.as_str(),
        };
        for (name, kind) in [
            ("27", "ceramic insulator"),
            ("35/51", "screen-grid of 1929"),
            ("26", "thin filament"),
            ("45", "power filament"),
            ("6K7", "heater"),
            ("6V6", "output heater"),
            ("50L6GT", "string heater"),
            ("80", "filament rectifier"),
            ("82", "mercury vapor"),
            ("5V4G", "quick rectifier"),
            ("6X5GT", "heater rectifier"),
            ("EZ40", "slow rectifier"),
            ("EZ41", "EZ41"),
            ("PenA4", "quick output heater"),
            ("Pen4VB", "output heater"),
            // by another name it is the same
            ("U150", "slow rectifier"),
        ] {
            assert_eq!(of(name), kind, "{name}");
        }
        for row in warm_ups() {
            assert!(row.wire_s <= row.full_high_s && row.full_low_s < row.full_high_s, "{row:?}");
            assert!(!row.source.is_empty());
            for name in row.types.split(' ').filter(|t| !t.is_empty()) {
                assert_eq!(of(name), row.kind, "{name} is no type of the catalogue");
            }
        }
    }
}
