//! A new profile, line by line: what was said, what is told by the types, what is guessed, what is left to a plan.

use super::guess::{Guesses, LOW_MAINS_V, part};
use super::hints::Hints;
use super::set::{Between, Bulb, Feed, NewSet, Winding};
use super::sheet::{Entry, guess, scalar, value};
use super::told::Types;
use crate::profile::Lead;
use crate::quantity::show_plain as plain;
use crate::quantity::{Capacitance, Current, Frequency, Power, Quantity, Resistance, Voltage};

/// How far guesses may be off, %: of B+, parts that differ from set to set, a dropper that follows from the heaters, a
/// drop, the frequency of a country, bias (own judgement).
const B_PLUS: u32 = 20;
const PART: u32 = 50;
const DROPPER: u32 = 15;
const DROP: u32 = 40;
const HERTZ: u32 = 2;
const BIAS: u32 = 25;

/// What a profile is written from.
pub(super) struct Source<'s> {
    pub set: &'s NewSet,
    pub types: &'s Types,
    pub guesses: &'s Guesses,
    /// What a plan would take; absent while that is found out.
    pub hints: Option<&'s Hints>,
}

fn volts(si: f64) -> String {
    value::<Voltage>(si)
}

pub(super) fn ohms(si: f64) -> String {
    value::<Resistance>(si)
}

/// An entry as said, or as a guess.
fn or_guess<Q: Quantity>(key: &str, said: Option<Q>, guessed: String, percent: u32) -> Entry {
    match said {
        Some(said) => Entry::said(key, plain(said)),
        None => Entry::guess(key, guessed, percent),
    }
}

fn measured(q: Resistance) -> String {
    format!("{{ value: {}, known: measured }}", plain(q))
}

/// An item of a list with one key.
fn item(entry: Entry) -> Vec<Entry> {
    vec![entry]
}

impl Source<'_> {
    /// The whole profile.
    pub fn entries(&self) -> Vec<Entry> {
        let mut list = vec![Entry::map("set", self.set())];
        list.extend(self.outlet());
        list.extend(self.left("room", |_| "22 °C".to_owned()));
        match self.types.feed(self.set) {
            Feed::Line => list.push(self.string()),
            _ => list.push(Entry::map("transformer", self.transformer())),
        }
        if self.types.feed(self.set) != Feed::Line && self.set.winding.is_none() {
            let b_plus = or_guess("B+", self.set.b_plus, volts(self.guesses.b_plus_v), B_PLUS);
            list.push(Entry::map("service_sheet", vec![b_plus]));
        }
        list.push(Entry::map("rectifier", self.rectifier()));
        if self.guesses.bias_v.is_some() {
            let rectifier =
                if self.set.year.is_some_and(|y| y > 1965) { "silicon" } else { "selenium" };
            list.push(Entry::map(
                "bias_supply",
                vec![
                    Entry::told("rectifier", rectifier),
                    Entry::told("filter", "[capacitor: 25 µF]"),
                ],
            ));
        }
        list.push(Entry::list("filter", self.filter()));
        list.push(self.dividers());
        list.extend(
            self.left("loads", |_| "[{ name: motor, from: B+, current: 5 mA }]".to_owned()),
        );
        list.push(Entry::list("tubes", self.tubes()));
        list.extend(self.lamps());
        list.extend(self.left("fuse", Hints::fuse));
        list.extend(self.left("readings", |h| {
            let line = plain(self.set.design_line);
            format!("[{{ at_line: {line}, meter: 10 MΩ, B+: {} }}]", volts(h.b_plus_v.round()))
        }));
        list.extend(self.left("target", |_| "heaters".to_owned()));
        list.extend(self.left("note", |_| "{ date: today, by: name }".to_owned()));
        list.extend(
            self.left("parts", |_| "{ resistors: [{ value: 15 Ω, rating: 50 W }] }".to_owned()),
        );
        list
    }

    /// What is left out, once it is known what a plan takes.
    pub fn left(&self, key: &str, of: impl Fn(&Hints) -> String) -> Option<Entry> {
        self.hints.map(|h| Entry::left(key, of(h)))
    }

    fn set(&self) -> Vec<Entry> {
        let set = self.set;
        let mut list = vec![match &set.name {
            Some(name) => Entry::said("name", scalar(name)),
            None => Entry::told("name", "Set without a name"),
        }];
        list.extend(match set.year {
            Some(year) => Some(Entry::said("year", year)),
            None => self.left("year", |_| "1936".to_owned()),
        });
        list.push(Entry::said("design_line", plain(set.design_line)));
        // a plan takes 60 Hz below 150 V, and some countries of 50 Hz had such mains
        let of_place = set.outlet.range.and_then(|r| r.frequency_hz);
        let of_place = of_place.filter(|&hz| (hz < 55.0) == (set.design_line.si() < LOW_MAINS_V));
        list.extend(match (set.frequency, of_place) {
            (Some(hertz), _) => Some(Entry::said("frequency", plain(hertz))),
            (None, Some(hertz)) => {
                Some(Entry::guess("frequency", value::<Frequency>(hertz), HERTZ))
            }
            _ => self.left("frequency", |h| value::<Frequency>(h.frequency_hz)),
        });
        list.extend(match set.nameplate {
            Some(watts) => Some(Entry::said("nameplate_power", plain(watts))),
            None => self.left("nameplate_power", |h| value::<Power>(h.watts_w)),
        });
        list
    }

    fn outlet(&self) -> Option<Entry> {
        let choice = &self.set.outlet;
        let day =
            self.hints.map_or([0.0; 3], |h| [h.outlet.low_v, h.outlet.usual_v, h.outlet.high_v]);
        let [low, usual, high] = day.map(|v| volts(v.round()));
        if choice.range.is_none() && choice.usual.is_none() {
            return self
                .left("outlet", |_| format!("{{ low: {low}, usual: {usual}, high: {high} }}"));
        }
        let mut list = Vec::new();
        list.extend(choice.range.map(|r| Entry::said("range", &r.name).called(&r.title)));
        let said =
            [("usual", choice.usual, usual), ("low", choice.low, low), ("high", choice.high, high)];
        for (key, said, volts) in said {
            list.extend(match said {
                Some(said) => Some(Entry::said(key, plain(said))),
                None => self.left(key, |_| volts.clone()),
            });
        }
        Some(Entry::map("outlet", list))
    }

    fn string(&self) -> Entry {
        let Some(dropper) = &self.guesses.dropper else {
            return Entry::map("heater_string", vec![Entry::told("dropper", "none")]);
        };
        let mut list = vec![match dropper.unknown_bulb || self.set.dropper.is_none() {
            true => Entry::told("kind", dropper.kind).called("not said"),
            false => Entry::said("kind", dropper.kind),
        }];
        match &dropper.bulb {
            Some(Bulb::Type(name)) => list.push(Entry::said("type", scalar(name))),
            Some(Bulb::Volts(said)) => {
                list.push(Entry::said("volts", plain(*said)));
                list.push(Entry::told("current", value::<Current>(dropper.amps)));
            }
            None => {}
        }
        if let Some((si, said)) = dropper.ohms {
            let (ohms, watts) = (ohms(si), si * dropper.amps * dropper.amps);
            list.push(match said {
                true => Entry::said("resistance", ohms),
                false => Entry::guess("resistance", ohms, DROPPER).called(&format!(
                    "({:.0} V - {:.0} V) / {:.0} mA",
                    self.set.design_line.si(),
                    self.set.design_line.si() - dropper.volts,
                    1e3 * dropper.amps
                )),
            });
            // twice its heat, in steps of 5 W
            list.extend(self.left("rated", |_| value::<Power>((2.0 * watts / 5.0).ceil() * 5.0)));
        }
        Entry::map("heater_string", vec![Entry::map("dropper", list)])
    }

    fn transformer(&self) -> Vec<Entry> {
        let set = self.set;
        let mut list = Vec::new();
        if self.types.feed(set) == Feed::Autotransformer {
            list.push(Entry::said("kind", "autotransformer"));
        }
        let mut primary = vec![Entry::said("taps", format!("[{}]", plain(set.design_line)))];
        primary.extend(match set.primary {
            Some(said) => Some(Entry::said("resistance", measured(said))),
            None => self.left("resistance", |h| ohms(h.primary_ohms)),
        });
        primary.extend(self.left("no_load_current", |h| value::<Current>(h.no_load_a)));
        primary.extend(self.left("no_load_power", |h| value::<Power>(h.no_load_w)));
        list.push(Entry::map("primary", primary));
        let full_wave = self.types.circuit(set).is_tapped();
        let (key, copper) = match set.winding {
            Some(Winding::PerHalf(_)) => ("per_half", "resistance_per_half"),
            Some(Winding::Whole(_)) => ("volts", "resistance"),
            None if full_wave => ("per_half", "resistance_per_half"),
            None => ("volts", "resistance"),
        };
        match set.winding {
            Some(Winding::PerHalf(said) | Winding::Whole(said)) => {
                let mut high = vec![Entry::said(key, plain(said))];
                high.extend(self.left("measured", |_| "loaded".to_owned()));
                high.extend(self.left("at_line", |_| plain(set.design_line)));
                high.extend(self.left(copper, |h| ohms(h.half_ohms)));
                list.push(Entry::map("high_voltage", high));
            }
            None => list.extend(self.left("high_voltage", |h| {
                let (v, r) = (volts(h.half_v.round()), ohms(h.half_ohms));
                format!("{{ {key}: {v}, measured: open-circuit, {copper}: {r} }}")
            })),
        }
        if let Some(v) = self.guesses.bias_v {
            list.push(Entry::map("bias", vec![Entry::guess("volts", volts(v), BIAS)]));
        }
        list.extend(self.left("heater_windings", |h| {
            let windings = h.windings.iter();
            let each = windings.map(|(name, v)| format!("{name}: {{ volts: {} }}", volts(*v)));
            format!("{{ {} }}", each.collect::<Vec<_>>().join(", "))
        }));
        list
    }

    fn rectifier(&self) -> Vec<Entry> {
        let mut list = vec![Entry::said("type", scalar(&self.types.rectifier.name))];
        if self.types.rectifiers > 1 {
            list.push(Entry::said("count", self.types.rectifiers));
        }
        list.extend(self.set.circuit.map(|c| Entry::said("circuit", c.word())));
        if self.types.circuit(self.set).facts().doubles {
            let farads = value::<Capacitance>(self.guesses.capacitor_f);
            let one = || item(Entry::guess("value", &farads, PART));
            list.push(Entry::list("capacitors", vec![one(), one()]));
        }
        list.extend(self.guesses.drop.map(|v| Entry::guess("drop", volts(v), DROP)));
        if self.types.feed(self.set) == Feed::Line {
            let low = self.set.design_line.si() < LOW_MAINS_V;
            // what the sheet asks for is for mains of 220 V and more, where no set went without
            let asked = self.types.rectifier.min_supply_resistance.filter(|_| !low);
            match asked {
                Some(least) => {
                    list.push(Entry::guess("surge_resistor", ohms(part(least.si())), PART))
                }
                None => {
                    let usual = if low { "33 Ω" } else { "100 Ω" };
                    list.extend(self.left("surge_resistor", |_| usual.to_owned()));
                }
            }
        }
        list
    }

    fn capacitor(&self, place: usize) -> Vec<Entry> {
        let said = self.set.capacitors.get(place).or(self.set.capacitors.last());
        let guessed = value::<Capacitance>(self.guesses.capacitor_f);
        let mut list = vec![or_guess("value", said.copied(), guessed, PART)];
        list.extend(self.left("rated", |h| volts(h.rated_v)));
        item(Entry::map("capacitor", list))
    }

    fn coil(&self, key: &str, lead: &str, cold: Entry, hot: f64) -> Vec<Entry> {
        let mut list = vec![Entry::said("lead", lead), cold];
        list.extend(self.left("hot", |_| ohms(hot)));
        list.extend(self.left("inductance", |_| "10 H".to_owned()));
        item(Entry::map(key, list))
    }

    fn filter(&self) -> Vec<Vec<Entry>> {
        let (set, guesses) = (self.set, self.guesses);
        let [field, choke, resistor] = guesses.ohms;
        let known = |key: &str, guessed: f64, mine: bool| match set.coil.filter(|_| mine) {
            Some(said) => Entry::said(key, measured(said)),
            None => Entry::guess(key, ohms(guessed), PART),
        };
        let mut list = Vec::new();
        if set.choke_input {
            list.push(self.coil("choke", "positive", known("cold", choke, false), 1.15 * choke));
        }
        list.push(self.capacitor(0));
        if let Some(si) = guesses.bias_ohms {
            let value = Entry::guess("value", ohms(si), BIAS);
            list.push(item(Entry::map("resistor", vec![Entry::said("lead", "negative"), value])));
        }
        if set.field_across {
            let si = guesses.field_across_ohms;
            let cold = known("cold", si, set.between.is_none());
            list.push(self.coil("field_coil", "across", cold, part(1.15 * si)));
        }
        match set.between {
            None if self.hints.is_some() && !set.choke_input => {
                list.extend(alternatives([field, choke, resistor]));
            }
            None => {}
            Some((what, lead)) => {
                let word = match lead {
                    Lead::Positive => "positive",
                    Lead::Negative => "negative",
                    Lead::Across => "across",
                };
                let hot = |cold: f64| super::hints::two(super::guess::COIL_RISE * cold);
                let said = set.coil.map(Quantity::si);
                list.push(match what {
                    Between::FieldCoil => {
                        let hot = hot(said.unwrap_or(field));
                        self.coil("field_coil", word, known("cold", field, true), hot)
                    }
                    Between::Choke => {
                        let hot = hot(said.unwrap_or(choke));
                        self.coil("choke", word, known("cold", choke, true), hot)
                    }
                    Between::Resistor => {
                        let value = known("value", resistor, true);
                        item(Entry::map("resistor", vec![Entry::said("lead", word), value]))
                    }
                });
            }
        }
        if !set.choke_input || set.between.is_some() || set.capacitors.len() > 1 {
            list.push(self.capacitor(1));
        }
        list
    }

    fn dividers(&self) -> Entry {
        const BLEEDER: &str = "{ from: B+, resistors: [15 kΩ, 18 kΩ], taps: [screens] }";
        match self.guesses.chain {
            None => Entry::left("dividers", format!("{{ bleeder: {BLEEDER} }}")),
            Some(chain) => {
                let resistors = chain.map(|si| guess(ohms(si), BIAS)).join(", ");
                let bias = vec![
                    Entry::told("across", "field_coil"),
                    Entry::told("resistors", format!("[{resistors}]")),
                    Entry::told("taps", "[output, rf]"),
                ];
                let mut list = vec![Entry::map("bias", bias)];
                list.extend(self.left("bleeder", |_| BLEEDER.to_owned()));
                Entry::map("dividers", list)
            }
        }
    }
}

/// What may stand between the capacitors, each left out.
fn alternatives(usual: [f64; 3]) -> Vec<Vec<Entry>> {
    let [field, choke, resistor] = usual.map(ohms);
    let mut list = Vec::new();
    for (key, value, ohms) in
        [("field_coil", "cold", field), ("choke", "cold", choke), ("resistor", "value", resistor)]
    {
        for lead in ["positive", "negative"] {
            let text = format!("{{ lead: {lead}, {value}: {ohms} }}");
            list.push(item(Entry::left(key, text)));
        }
    }
    list
}
