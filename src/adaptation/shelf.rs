//! What there is to choose from for one set.

use super::StringDropper;
use crate::catalogue::stock::ResistorSize;

/// What there is to choose from for one set.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    /// Design line of the set, V.
    pub design_line: f64,
    /// Usual outlet volts: they tell which region's parts are sold there.
    pub outlet: f64,
    /// Highest outlet volts.
    pub high: f64,
    /// Taps of its primary, V; empty if it has none.
    pub taps: Vec<f64>,
    /// The owner's resistors: Ω and size. Empty: the stock of the trade.
    pub resistors: Vec<(f64, ResistorSize)>,
    /// The owner's small transformers: primary V, secondary V, secondary A. Empty: the stock of the trade.
    pub transformers: Vec<(f64, f64, f64)>,
    /// Usual volts at its primary that its iron bears at the frequency of the outlet, where that is another than it was made
    /// for.
    pub iron_v: Option<f64>,
    /// The heater string of a set without a transformer.
    pub string: Option<StringDropper>,
    /// True where a diode in the string draws direct current from the line.
    pub direct_current: bool,
    /// True where a repairer put a resistor into the line cord.
    pub mains_resistor: bool,
}

/// Share of its primary volts up to which a small transformer's secondary is to buck with; above, it is for a set.
pub const BUCKS_UP_TO: f64 = 0.45;

impl Shelf {
    /// The owner's transformers that are for a set, or those that are to buck or to boost with.
    pub(super) fn own_transformers(&self, for_a_set: bool) -> Vec<(f64, f64, f64)> {
        let all = self.transformers.iter().copied();
        all.filter(|(primary, secondary, _)| (*secondary > BUCKS_UP_TO * *primary) == for_a_set)
            .collect()
    }
}
