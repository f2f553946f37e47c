//! The numbers of a model that an assumption stands for, a fit moves or a tolerance spreads.

mod rows;

pub use super::number::{Assumption, FittedTo, Number, Parameter};
use super::{
    Model, Section, Tube,
    customary::{ELECTROLYTIC, FLAT_TOP, NONE, OUTPUT_TUBE, SHEET_B_PLUS, TUBE},
};
use crate::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Quantity, Resistance, TemperatureRise,
    Voltage, show,
};
use Number::*;
use rows::{
    Only::{Any, HeaterString, Transformer},
    Owner::{self, *},
    ROW_OF, ROWS, Row,
};

impl Owner {
    /// Name of the part in place `of` that has such numbers; `None` behind the last.
    fn name(self, model: &Model, of: usize) -> Option<&str> {
        Some(match self {
            Set => [""].get(of)?,
            Windings => &model.windings.get(of)?.name,
            Branches => &model.string.as_ref()?.branches.get(of)?.name,
            Coils => &model.coils.get(of)?.name,
            Dividers => &model.dividers.get(of)?.name,
            Loads => &model.loads.get(of)?.name,
            Filter => model.filter_names().nth(of)?,
            Doubler => model.rectifier.doubler.get(of).map(|_| "")?,
            Tubes => &model.tubes.get(of)?.label,
        })
    }
}

impl Tube {
    /// How far the current of a sound one may be off: as is customary, or what the law misses where that is more.
    fn spread(&self) -> f64 {
        let customary = if self.output { OUTPUT_TUBE } else { TUBE };
        self.plate_miss.max(customary)
    }
}

/// Most sections of a dropper.
const SECTIONS: usize = 8;

impl Number {
    fn row(self) -> &'static Row {
        &ROWS[ROW_OF[self as usize]]
    }

    /// The unit that it is told in; that of a load of a stated current is the ampere.
    pub(super) fn unit(self) -> &'static str {
        self.row().place.unit
    }
}

/// A value with its unit, as reports show it.
pub fn shown(value: f64, unit: &str) -> String {
    match unit {
        "Ω" => show(Resistance::from_si(value)),
        "V" => show(Voltage::from_si(value)),
        "A" => show(Current::from_si(value)),
        "W" => show(Power::from_si(value)),
        "H" => show(Inductance::from_si(value)),
        "F" => show(Capacitance::from_si(value)),
        "Hz" => show(Frequency::from_si(value)),
        "K" => show(TemperatureRise::from_si(value)),
        // a share
        "" => format!("{:.0} %", 100.0 * value),
        _ => format!("{value:.3}"),
    }
}

impl Parameter {
    /// Short name that stands in profiles, such as `bias.resistors[0]`.
    pub fn key(self, model: &Model) -> String {
        self.filled(self.what.row().key, model, 0)
    }

    /// What it is, in words.
    pub fn words(self, model: &Model) -> String {
        if self.what == HighVoltage && model.high_voltage.by_b_plus {
            return "B+ of the service sheet".to_owned();
        }
        let whose = self.in_second(model).map_or("", |_| " of the second supply");
        self.filled(self.what.row().words, model, 0) + whose
    }

    /// Place of a part of a second supply's filter there.
    fn in_second(self, model: &Model) -> Option<usize> {
        let own = self.of.checked_sub(model.filters().0.len());
        own.filter(|_| self.what.row().owner == Filter)
    }

    /// A pattern of the table with what stands for its holes, of the sections of a dropper the one numbered `section`, 0 for
    /// the whole.
    fn filled(self, pattern: &str, model: &Model, section: usize) -> String {
        let halves = model.rectifier.circuit.is_tapped();
        let owner = self.what.row().owner;
        let of = self.in_second(model).unwrap_or(self.of);
        let socket = match owner {
            Tubes => model.tubes.get(self.of).map(|t| t.socket),
            _ => model.windings.get(self.of).and_then(|w| w.filaments.first()?.socket),
        };
        let is_coil = |s: &Section| matches!(s, Section::Coil(i) if *i == self.of);
        let part = match owner {
            Coils => model.filter.iter().position(is_coil),
            _ => Some(self.of),
        };
        let part = part.and_then(|part| model.stated_parts.get(part).cloned());
        let holes = [
            ("{half}", if halves { "each half of " } else { "" }.to_owned()),
            ("{i}", of.to_string()),
            ("{n}", (of + 1).to_string()),
            ("{at}", self.at.to_string()),
            ("{arm}", (self.at + 1).to_string()),
            ("{name}", owner.name(model, self.of).unwrap_or("?").to_owned()),
            ("{socket}", socket.map(|socket| socket.to_string()).unwrap_or_default()),
            ("{part}", part.unwrap_or_default()),
            ("{section}", section.checked_sub(1).map(|at| format!("[{at}]")).unwrap_or_default()),
        ];
        let fill = |text: String, (hole, with): (&str, String)| text.replace(hole, &with);
        holes.into_iter().fold(pattern.to_owned(), fill)
    }

    /// Its value in `model` with its unit; `None` where the model does not have it.
    pub fn value(self, model: &Model) -> Option<(f64, &'static str)> {
        let Row { only, place, .. } = self.what.row();
        let has = *only == Any || (*only == HeaterString) == model.string.is_some();
        let unit = match self.what {
            Load if model.loads.get(self.of).is_some_and(|load| load.ohms.is_none()) => "A",
            _ => place.unit,
        };
        Some(((place.read)(model, self.of, self.at).filter(|_| has)?, unit))
    }

    /// Its value as reports show it; nothing where `model` does not have it.
    pub(super) fn shown(self, model: &Model) -> String {
        self.value(model).map(|(value, unit)| shown(value, unit)).unwrap_or_default()
    }

    /// Where a profile may state it.
    pub(super) fn stated(self, model: &Model) -> Vec<String> {
        let places = self.what.row().stated.split_whitespace();
        let each = |place| (0..=SECTIONS).map(move |section| self.filled(place, model, section));
        places.flat_map(each).collect()
    }

    /// How far it may be off in a sound set, as a share.
    fn sound(self, model: &Model) -> Option<f64> {
        match self.what {
            // stated warm, the copper stays as it is
            CopperRise => (!model.copper.warm).then_some(model.copper.spread),
            HighVoltage if model.high_voltage.by_b_plus => Some(SHEET_B_PLUS),
            TubeCurrent => model.tubes.get(self.of).map(Tube::spread),
            // what is within that needs no number of its own
            ScreenShare => model
                .tubes
                .get(self.of)
                .filter(|t| t.screen_miss > t.spread())
                .map(|t| t.screen_miss),
            _ => Some(self.what.row().sound).filter(|share| *share != NONE),
        }
    }

    /// Every number that `model` has.
    pub fn all(model: &Model) -> Vec<Parameter> {
        let mut list = by_rows(model);
        list.sort_by_key(|p| (p.what.row().owner, p.of, p.at, p.what));
        list
    }
}

/// Every number that `model` has, in the order of the rows.
fn by_rows(model: &Model) -> Vec<Parameter> {
    let mut list = vec![];
    for rows in ROWS.chunk_by(|a, b| a.owner == b.owner) {
        let owner = rows[0].owner;
        for of in (0..).take_while(|of| owner.name(model, *of).is_some()) {
            let places = match owner {
                Dividers => model.dividers[of].resistors.len(),
                _ => 1,
            };
            for row in rows {
                list.extend((0..places).map(|at| row.what.at(of, at)));
            }
        }
    }
    list.retain(|p| p.value(model).is_some_and(|(v, _)| v > 0.0));
    list
}

impl Model {
    /// A copy with one number multiplied by `factor`; the same where it does not have that number.
    pub fn scaled(&self, parameter: Parameter, factor: f64) -> Model {
        let mut model = self.clone();
        model.scale(parameter, factor);
        model
    }

    /// The same, in place.
    pub fn scale(&mut self, parameter: Parameter, factor: f64) {
        (parameter.what.row().place.scale)(self, parameter.of, parameter.at, factor);
    }
}

/// A number of a set and how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertain {
    /// The number.
    pub parameter: Parameter,
    /// Limit of how far it may be off, as a share.
    pub spread: f64,
    /// By what share the middle of its limits lies above what is stated.
    pub middle: f64,
    /// True if a rule filled it in.
    pub assumed: bool,
    /// True if it was measured: then it stays within its spread.
    pub held: bool,
}

impl Uncertain {
    /// Limits on its factor.
    pub fn limits(&self) -> (f64, f64) {
        let middle = 1.0 + self.middle;
        (middle - self.spread, middle + self.spread)
    }

    /// Turns are fitted again to what is assumed and to what belongs to the transformer; for the rest the transformer is
    /// what it is.
    pub fn has_turns_fitted(&self) -> bool {
        self.assumed || self.parameter.what.row().only == Transformer
    }
}

/// Every number of `model` that may be off: what is `assumed`, by the spread of that, then the rest by what is customary.
pub fn uncertain(model: &Model, assumed: &[Assumption]) -> Vec<Uncertain> {
    let spread = assumed.iter().filter(|a| a.spread > 0.0);
    let mut list: Vec<Uncertain> = spread
        .filter_map(|a| {
            Some(Uncertain {
                parameter: a.parameter?,
                spread: a.spread,
                middle: a.bounds.map_or(0.0, |(low, high)| 0.5 * (low + high) - 1.0),
                assumed: true,
                held: false,
            })
        })
        .collect();
    for parameter in by_rows(model) {
        let held = model.known.iter().find(|(p, _)| *p == parameter).map(|(_, within)| *within);
        if let Some(spread) = held.or(parameter.sound(model))
            && list.iter().all(|known| known.parameter != parameter)
        {
            let middle = match parameter.what {
                Capacitance | DoublerCapacitance => ELECTROLYTIC.1,
                FlatTop => FLAT_TOP.1,
                _ => 0.0,
            };
            let held = held.is_some();
            list.push(Uncertain { parameter, spread, middle, assumed: false, held });
        }
    }
    list
}
