//! The numbers of a model that an assumption stands for, a fit moves or a tolerance spreads: a row each.

use super::customary::{
    COPPER, ELECTROLYTIC, FILM, FLAT_TOP, HEATER, IRON, OUTPUT_TUBE, RECTIFIER, RESISTOR,
    SHEET_B_PLUS, TUBE, VOLTS,
};
pub use super::ledger::Assumption;
use super::model::{Grid, Model, Section, SectionKind, Tube};
pub use super::number::{Number, Parameter};
use Number::*;
use Only::*;
use Owner::*;

/// Whose number it is; in the order in which those of a set are told.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Owner {
    Set,
    Windings,
    Branches,
    Coils,
    Dividers,
    Loads,
    Filter,
    Doubler,
    Tubes,
}

/// Which sets have it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Only {
    Any,
    /// It belongs to the mains transformer, whose turns are fitted to it.
    Transformer,
    HeaterString,
}

/// Reads a number with its unit, and multiplies it; `None` where the model does not have it.
struct Place {
    read: fn(&Model, usize, usize) -> Option<(f64, &'static str)>,
    scale: fn(&mut Model, usize, usize, f64) -> Option<()>,
}

struct Row {
    what: Number,
    owner: Owner,
    only: Only,
    /// How far the number of a sound set may be off from what its profile states, as a share.
    sound: Option<f64>,
    /// Name in profiles. Calibrations carry it: it stays what it is.
    key: &'static str,
    words: &'static str,
    place: Place,
}

const fn row(
    what: Number,
    owner: Owner,
    only: Only,
    sound: Option<f64>,
    (key, words): (&'static str, &'static str),
    place: Place,
) -> Row {
    Row { what, owner, only, sound, key, words, place }
}

/// The place of a number of the set, of each part in a list (`coils[]:`), or of a part that a set may have (`bias?:`); a
/// number behind the first is multiplied with it.
macro_rules! place {
    (@ $unit:literal $m:ident $i:ident $read:expr, $write:expr;
        $($field:ident).+ $(, $($more:ident).+)*) => {
        Place {
            read: |$m, $i, _| Some(($read.$($field).+, $unit)),
            scale: |$m, $i, _, by| {
                let part = $write;
                part.$($field).+ *= by;
                $(part.$($more).+ *= by;)*
                Some(())
            },
        }
    };
    ($unit:literal, $list:ident[]: $($fields:tt)+) => {
        place!(@ $unit m i m.$list.get(i)?, m.$list.get_mut(i)?; $($fields)+)
    };
    ($unit:literal, $part:ident?: $($fields:tt)+) => {
        place!(@ $unit m _i m.$part.as_ref()?, m.$part.as_mut()?; $($fields)+)
    };
    ($unit:literal, $part:ident.$inner:ident?: $($fields:tt)+) => {
        place!(@ $unit m _i m.$part.as_ref()?.$inner.as_ref()?,
            m.$part.as_mut()?.$inner.as_mut()?; $($fields)+)
    };
    ($unit:literal, $($fields:tt)+) => { place!(@ $unit m _i m, m; $($fields)+) };
}

/// In the order in which uncertain numbers are listed: sums and draws go by it. In names `{name}` is the owner's name,
/// `{i}` its place from 0, `{n}` from 1; `{at}` and `{arm}` are the place at the owner.
#[rustfmt::skip]
const ROWS: &[Row] = &[
    row(PrimaryResistance, Set, Transformer, COPPER,
        ("primary.resistance", "primary copper"), place!("Ω", primary.resistance)),
    row(CopperRise, Set, Transformer, None,
        ("transformer.rise", "rise of the power transformer's windings"), place!("K", copper.rise)),
    row(NoLoadCurrent, Set, Transformer, IRON,
        ("primary.no_load_current", "no-load current"), place!("A", primary.no_load_amps)),
    row(NoLoadPower, Set, Transformer, None,
        ("primary.no_load_power", "no-load watts"), place!("W", primary.no_load_watts)),
    row(KneeShare, Set, Transformer, None,
        ("primary.knee", "knee of the iron"), place!("", primary.knee)),
    row(HighVoltageResistance, Set, Transformer, COPPER,
        ("high_voltage.resistance", "copper of {half}the high-voltage winding"),
        place!("Ω", high_voltage.resistance_per_half)),
    row(HighVoltage, Set, Transformer, VOLTS,
        ("high_voltage.volts", "high-voltage winding, volts"),
        place!("V", high_voltage.turns_from.volts)),
    row(Frequency, Set, Any, None,
        ("frequency", "mains frequency"), place!("Hz", frequency, design_frequency)),
    row(WindingVolts, Windings, Transformer, VOLTS,
        ("{name}.volts", "{name} winding, volts"), place!("V", windings[]: turns_from.volts)),
    row(WindingResistance, Windings, Transformer, COPPER,
        ("{name}.resistance", "copper of the {name} winding"), place!("Ω", windings[]: resistance)),
    row(Heater, Windings, Any, HEATER,
        ("{name}.current", "current of the {name} heater against its type"), Place {
            read: |m, i, _| Some((m.windings.get(i)?.filaments.iter().map(|f| f.amps).sum(), "A")),
            scale: |m, i, _, by| {
                let filaments = &mut m.windings.get_mut(i)?.filaments;
                filaments.iter_mut().for_each(|f| f.amps *= by);
                Some(())
            },
        }),
    row(StringDropper, Set, HeaterString, RESISTOR,
        ("heater_string.dropper", "dropper of the heater string"), Place {
            read: |m, _, _| Some((m.string.as_ref()?.sections.iter().map(|s| s.ohms).sum(), "Ω")),
            scale: |m, _, _, by| {
                m.string.as_mut()?.sections.iter_mut().for_each(|s| s.ohms *= by);
                Some(())
            },
        }),
    row(StringCapacitance, Set, HeaterString, FILM,
        ("heater_string.capacitance", "capacitor in the heater string"), Place {
            read: |m, _, _| {
                m.string.as_ref()?.sections.iter().find_map(|s| match s.kind {
                    SectionKind::Capacitor { farads, .. } => Some((farads, "F")),
                    _ => None,
                })
            },
            scale: |m, _, _, by| {
                for section in &mut m.string.as_mut()?.sections {
                    if let SectionKind::Capacitor { farads, .. } = &mut section.kind {
                        *farads *= by;
                    }
                }
                Some(())
            },
        }),
    row(HeaterShunt, Windings, HeaterString, RESISTOR,
        ("{name}.shunt", "resistor beside the {name} heater"), Place {
            read: |m, i, _| {
                Some((m.windings.get(i).filter(|w| w.feeds_tubes)?.shunt_ohms?, "Ω"))
            },
            scale: |m, i, _, by| m.windings.get_mut(i)?.shunt_ohms.as_mut().map(|ohms| *ohms *= by),
        }),
    row(BranchDropper, Branches, HeaterString, RESISTOR,
        ("heater_string.branches[{i}].dropper", "dropper of the heater branch {name}"), Place {
            read: |m, i, _| {
                Some((m.string.as_ref()?.branches.get(i)?.sections.iter().map(|s| s.ohms).sum(), "Ω"))
            },
            scale: |m, i, _, by| {
                let branch = m.string.as_mut()?.branches.get_mut(i)?;
                branch.sections.iter_mut().for_each(|s| s.ohms *= by);
                Some(())
            },
        }),
    row(FlatTop, Set, Any, FLAT_TOP.0,
        ("outlet.crest", "crest of the outlet voltage against a sine's"), Place {
            read: |m, _, _| Some((1.0 - m.flat_top, "×")),
            scale: |m, _, _, by| {
                m.flat_top = 1.0 - by * (1.0 - m.flat_top);
                Some(())
            },
        }),
    row(MainsResistor, Set, Any, RESISTOR,
        ("mains_resistor", "resistor in the mains lead"), place!("Ω", mains_resistor?: ohms)),
    row(Surge, Set, Any, RESISTOR,
        ("rectifier.surge_resistor", "surge resistor of the rectifier"),
        place!("Ω", rectifier.surge_ohms)),
    row(RectifierDrop, Set, Any, RECTIFIER,
        ("rectifier.drop", "drop of the rectifier"), place!("V", rectifier.drop_volts)),
    row(SecondSurge, Set, Any, RESISTOR, ("second_supply.surge_resistor", "surge resistor of the second supply"),
        place!("Ω", second?: rectifier.surge_ohms)),
    row(SecondDrop, Set, Any, RECTIFIER, ("second_supply.drop", "drop of the second supply's rectifier"),
        place!("V", second?: rectifier.drop_volts)),
    row(SecondVolts, Set, Transformer, VOLTS, ("second_supply.volts", "winding of the second supply, volts"),
        place!("V", second.winding?: turns_from.volts)),
    row(SecondResistance, Set, Transformer, COPPER, ("second_supply.resistance", "copper of the second supply's winding"),
        place!("Ω", second.winding?: resistance_per_half)),
    row(BiasVolts, Set, Transformer, VOLTS,
        ("bias.volts", "winding of the bias supply, volts"), place!("V", bias?: turns_from.volts)),
    row(BiasResistance, Set, Transformer, COPPER,
        ("bias.resistance", "copper of the bias supply's winding"), place!("Ω", bias?: resistance)),
    row(CoilResistance, Coils, Any, COPPER,
        ("coil{n}.resistance", "resistance of the {name}"), place!("Ω", coils[]: cold, hot)),
    row(CoilRise, Coils, Any, None,
        ("coil{n}.rise", "warm resistance of the {name}"), place!("Ω", coils[]: hot)),
    row(CoilInductance, Coils, Any, IRON,
        ("coil{n}.inductance", "inductance of the {name}"), place!("H", coils[]: inductance)),
    row(DividerResistor, Dividers, Any, RESISTOR,
        ("{name}.resistors[{at}]", "arm {arm} of the divider {name}"), Place {
            read: |m, i, at| Some((*m.dividers.get(i)?.resistors.get(at)?, "Ω")),
            scale: |m, i, at, by| {
                m.dividers.get_mut(i)?.resistors.get_mut(at).map(|ohms| *ohms *= by)
            },
        }),
    row(Load, Loads, Any, RESISTOR,
        ("loads[{i}]", "load {name}"), Place {
            read: |m, i, _| {
                let load = m.loads.get(i)?;
                Some(load.ohms.map_or((load.amps, "A"), |ohms| (ohms, "Ω")))
            },
            scale: |m, i, _, by| {
                let load = m.loads.get_mut(i)?;
                load.amps *= by;
                load.ohms = load.ohms.map(|ohms| ohms / by);
                Some(())
            },
        }),
    row(FilterResistor, Filter, Any, RESISTOR,
        ("{name}[{i}].resistor", "filter resistor"), Place {
            read: |m, i, _| match m.filter.get(i)? {
                Section::Resistor(_, ohms, _) => Some((*ohms, "Ω")),
                _ => None,
            },
            scale: |m, i, _, by| match m.filter.get_mut(i)? {
                Section::Resistor(_, ohms, _) => { *ohms *= by; Some(()) }
                _ => None,
            },
        }),
    row(Capacitance, Filter, Any, ELECTROLYTIC.0,
        ("{name}[{i}].capacitor", "filter capacitor"), Place {
            read: |m, i, _| match m.filter.get(i)? {
                Section::Capacitor(farads, _) => Some((*farads, "F")),
                _ => None,
            },
            scale: |m, i, _, by| match m.filter.get_mut(i)? {
                Section::Capacitor(farads, _) => { *farads *= by; Some(()) }
                _ => None,
            },
        }),
    row(DoublerCapacitance, Doubler, Any, ELECTROLYTIC.0,
        ("rectifier.capacitors[{i}]", "capacitor {n} of the doubler"), Place {
            read: |m, i, _| Some((m.rectifier.doubler.get(i)?.0, "F")),
            scale: |m, i, _, by| m.rectifier.doubler.get_mut(i).map(|c| c.0 *= by),
        }),
    row(TubeCurrent, Tubes, Any, None,
        ("V{n}.current", "current of V{n} {name} against its type"),
        place!("×", tubes[]: current_factor)),
    row(ScreenShare, Tubes, Any, None,
        ("V{n}.screen_share", "screen's share of the current of V{n} {name}"), Place {
            read: |m, i, _| {
                let law = &m.tubes.get(i)?.law;
                Some((1.0 - law.plate_share - law.extra_share, "×")).filter(|_| law.screen > 0.0)
            },
            scale: |m, i, _, by| {
                let law = &mut m.tubes.get_mut(i)?.law;
                law.plate_share -= (by - 1.0) * (1.0 - law.plate_share - law.extra_share);
                Some(())
            },
        }),
    row(PlateFeed, Tubes, Any, RESISTOR,
        ("V{n}.plate_feed", "plate feed of V{n} {name}"), place!("Ω", tubes[]: plate.ohms)),
    row(ScreenFeed, Tubes, Any, RESISTOR,
        ("V{n}.screen_feed", "screen feed of V{n} {name}"), Place {
            read: |m, i, _| Some((m.tubes.get(i)?.screen.as_ref()?.ohms, "Ω")),
            scale: |m, i, _, by| m.tubes.get_mut(i)?.screen.as_mut().map(|feed| feed.ohms *= by),
        }),
    row(CathodeResistor, Tubes, Any, RESISTOR,
        ("V{n}.cathode_resistor", "cathode resistor of V{n} {name}"), place!("Ω", tubes[]: cathode_ohms)),
    row(GridBias, Tubes, Any, None,
        ("V{n}.grid_bias", "grid bias of V{n} {name} by its own current"), Place {
            read: |m, i, _| match m.tubes.get(i)?.grid {
                // the volts below the cathode
                Grid::Leak(volts) => Some((-volts, "V")),
                _ => None,
            },
            scale: |m, i, _, by| match &mut m.tubes.get_mut(i)?.grid {
                Grid::Leak(volts) => { *volts *= by; Some(()) }
                _ => None,
            },
        }),
];

/// Place of each number's row; a number without one does not compile.
const ROW_OF: [usize; ROWS.len()] = {
    let mut places = [usize::MAX; ROWS.len()];
    let mut i = 0;
    while i < ROWS.len() {
        assert!(places[ROWS[i].what as usize] == usize::MAX, "a number has two rows");
        places[ROWS[i].what as usize] = i;
        i += 1;
    }
    places
};

impl Owner {
    /// Names of the parts that have such numbers, and how many of each.
    fn parts(self, model: &Model) -> Vec<(&str, usize)> {
        match self {
            Set => vec![("", 1)],
            Windings => model.windings.iter().map(|w| (w.name.as_str(), 1)).collect(),
            Branches => match &model.string {
                Some(string) => string.branches.iter().map(|b| (b.name.as_str(), 1)).collect(),
                None => Vec::new(),
            },
            Coils => model.coils.iter().map(|c| (c.name.as_str(), 1)).collect(),
            Dividers => {
                model.dividers.iter().map(|d| (d.name.as_str(), d.resistors.len())).collect()
            }
            Loads => model.loads.iter().map(|l| (l.name.as_str(), 1)).collect(),
            Filter => model.filter_names().map(|name| (name, 1)).collect(),
            Doubler => vec![("", 1); model.rectifier.doubler.len()],
            Tubes => model.tubes.iter().map(|t| (t.label.as_str(), 1)).collect(),
        }
    }
}

impl Tube {
    /// How far the current of a sound one may be off: as is customary, or what the law misses where that is more.
    fn spread(&self) -> f64 {
        let customary = if self.output { OUTPUT_TUBE } else { TUBE };
        self.plate_miss.max(customary)
    }
}

impl Number {
    /// That of the set itself.
    pub fn of_set(self) -> Parameter {
        self.of(0)
    }

    /// That of the owner in place `of`.
    pub fn of(self, of: usize) -> Parameter {
        self.at(of, 0)
    }

    /// That in place `at` of the owner in place `of`.
    pub fn at(self, of: usize, at: usize) -> Parameter {
        Parameter { what: self, of, at }
    }
}

impl Parameter {
    fn row(self) -> &'static Row {
        &ROWS[ROW_OF[self.what as usize]]
    }

    /// Short name that stands in profiles, such as `bias.resistors[0]`.
    pub fn key(self, model: &Model) -> String {
        self.filled(self.row().key, model)
    }

    /// What it is, in words.
    pub fn words(self, model: &Model) -> String {
        if self.what == HighVoltage && model.high_voltage.by_b_plus {
            return "B+ of the service sheet".to_owned();
        }
        let whose = self.in_second(model).map_or("", |_| " of the second supply");
        self.filled(self.row().words, model) + whose
    }

    /// Place of a part of a second supply's filter there.
    fn in_second(self, model: &Model) -> Option<usize> {
        let own = self.of.checked_sub(model.filters().0.len());
        own.filter(|_| self.row().owner == Filter)
    }

    fn filled(self, pattern: &str, model: &Model) -> String {
        let halves = model.rectifier.circuit.is_tapped();
        let parts = self.row().owner.parts(model);
        let of = self.in_second(model).unwrap_or(self.of);
        pattern
            .replace("{half}", if halves { "each half of " } else { "" })
            .replace("{i}", &of.to_string())
            .replace("{n}", &(of + 1).to_string())
            .replace("{at}", &self.at.to_string())
            .replace("{arm}", &(self.at + 1).to_string())
            .replace("{name}", parts.get(self.of).map_or("?", |(name, _)| name))
    }

    /// Its value in `model` with its unit; `None` where the model does not have it.
    pub fn value(self, model: &Model) -> Option<(f64, &'static str)> {
        let Row { only, place, .. } = self.row();
        let has = *only == Any || (*only == HeaterString) == model.string.is_some();
        has.then(|| (place.read)(model, self.of, self.at)).flatten()
    }

    /// How far it may be off in a sound set, as a share.
    fn sound(self, model: &Model) -> Option<f64> {
        match self.what {
            // stated warm, the copper stays as it is
            CopperRise => (!model.copper.warm).then_some(model.copper.spread),
            HighVoltage if model.high_voltage.by_b_plus => SHEET_B_PLUS,
            TubeCurrent => model.tubes.get(self.of).map(Tube::spread),
            // what is within that needs no number of its own
            ScreenShare => model
                .tubes
                .get(self.of)
                .filter(|t| t.screen_miss > t.spread())
                .map(|t| t.screen_miss),
            _ => self.row().sound,
        }
    }

    /// Every number that `model` has.
    pub fn all(model: &Model) -> Vec<Parameter> {
        let mut list = by_rows(model);
        list.sort_by_key(|p| (p.row().owner, p.of, p.at, p.what));
        list
    }
}

/// Every number that `model` has, in the order of the rows.
fn by_rows(model: &Model) -> Vec<Parameter> {
    let mut list = Vec::new();
    for rows in ROWS.chunk_by(|a, b| a.owner == b.owner) {
        for (of, (_, count)) in rows[0].owner.parts(model).into_iter().enumerate() {
            for row in rows {
                list.extend((0..count).map(|at| row.what.at(of, at)));
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
        (parameter.row().place.scale)(self, parameter.of, parameter.at, factor);
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
        self.assumed || self.parameter.row().only == Transformer
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
