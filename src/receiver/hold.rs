//! What the filter capacitors of a set hold, and what empties them.

use super::{Lead, Receiver, Section, Spot, second};

/// The capacitors of a supply that nothing has emptied yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stored {
    /// Voltage of the supply's crest, from end to end, with nothing drawn.
    pub crest_v: f64,
    /// All of them, F.
    pub farads: f64,
    /// Resistance that empties them with the tubes out: every divider and resistive load from a supply rail to chassis, in
    /// parallel. `None` if there is none.
    ///
    /// A coil in the way is small beside them and is left out; taps are counted from the rail they start at.
    pub ohms: Option<f64>,
}

impl Receiver {
    /// Voltage of the main supply's crest on `line` volts, from end to end, with nothing drawn: what its capacitors hold.
    pub fn crest_volts(&self, line: f64) -> f64 {
        let crest = self.crest_of(line, self.turns().high_voltage);
        if self.model().rectifier.circuit.facts().doubles { 2.0 * crest } else { crest }
    }

    /// Crest of a winding of so many turns, of the line where there is no transformer.
    fn crest_of(&self, line: f64, turns: f64) -> f64 {
        let crest = line * std::f64::consts::SQRT_2;
        match &self.model().string {
            Some(_) => crest,
            None => crest * self.core().no_load_ratio * turns,
        }
    }

    /// What each supply of the set holds on `line` volts: the main one, then a second one.
    pub fn stored(&self, line: f64) -> Vec<Stored> {
        let model = self.model();
        // the two of a doubler in series
        let stacked = match model.rectifier.doubler.as_slice() {
            [(a, _), (b, _)] => a * b / (a + b),
            _ => 0.0,
        };
        let (main, own) = model.filters();
        let stored = |parts: &[Section], rails: [&str; 2], crest_v: f64, stacked: f64| {
            let filter = parts.iter().map(|part| match part {
                Section::Capacitor(farads, _) => *farads,
                _ => 0.0,
            });
            let farads = stacked + filter.sum::<f64>();
            Stored { crest_v, farads, ohms: self.discharge_ohms(parts, rails) }
        };
        let mut list = vec![stored(main, ["B+", "reservoir"], self.crest_volts(line), stacked)];
        list.extend(model.second.as_ref().map(|supply| {
            // a diode that is lent, and one straight on the line, stand on what feeds the main one
            let turns = supply.winding.map_or(self.turns().high_voltage, |_| self.turns().second);
            stored(own, second::POINTS, self.crest_of(line, turns), 0.0)
        }));
        list
    }

    fn discharge_ohms(&self, parts: &[Section], rails: [&str; 2]) -> Option<f64> {
        let model = self.model();
        let on_rail = |from: &str| rails.contains(&from);
        let dividers = model
            .dividers
            .iter()
            .filter(|d| on_rail(&d.from) && d.to == "chassis")
            .map(|d| d.resistors.iter().sum::<f64>());
        let loads = model
            .loads
            .iter()
            .filter(|l| matches!(&l.from, Spot::Supply(from) if on_rail(from)))
            .filter_map(|l| l.ohms);
        // a field coil across the supply is a bleeder; cold it empties them soonest, hot last
        let coils = parts.iter().filter_map(|part| match part {
            Section::Coil(i) => model.coils.get(*i).filter(|c| c.lead == Lead::Across),
            _ => None,
        });
        let siemens: f64 =
            dividers.chain(loads).chain(coils.map(|c| c.hot)).map(|ohms| 1.0 / ohms).sum();
        (siemens > 0.0).then(|| 1.0 / siemens)
    }
}
