//! A new profile, line by line: what was said, what is told by the types, what is guessed, what is left to a plan.

use super::{
    guess::{COIL_RISE, Guesses, LOW_MAINS_V, part},
    hints::{Hints, two},
    set::{Between, Bulb, Feed, Winding},
    sheet::{self, Entry, guess, guessed, itemized, left, map, said, scalar, told, value},
    told::Types,
};
use crate::{
    profile::Lead,
    quantity::{
        Capacitance, Current, Frequency, Power, Quantity, Resistance, Voltage, show_plain as plain,
    },
    study::sentences::plain_ohms as ohms,
};

/// How far guesses may be off, %: of B+, parts that differ from set to set, a dropper that follows from the heaters, a
/// drop, the frequency of a country, bias (own judgement).
const B_PLUS: u32 = 20;
const PART: u32 = 50;
const DROPPER: u32 = 15;
const DROP: u32 = 40;
const HERTZ: u32 = 2;
const BIAS: u32 = 25;

/// What a profile is written from.
pub struct Source<'s> {
    pub types: &'s Types<'s>,
    pub guesses: &'s Guesses,
    /// What a plan would take, for what is left out.
    pub hints: &'s Hints,
}

fn volts(si: f64) -> String {
    value::<Voltage>(si)
}

/// An entry as said, or as a guess.
fn or_guess(key: &str, of: Option<impl ToString>, guessed: String, percent: u32) -> Entry {
    of.map_or_else(|| guess(key, guessed, percent), |of| said(key, of))
}

/// An entry as said, or left out with what a plan takes.
fn or_left(key: &str, of: Option<impl ToString>, hint: impl ToString) -> Entry {
    of.map_or_else(|| left(key, hint), |of| said(key, of))
}

fn measured(q: Resistance) -> String {
    format!("{{ value: {}, known: measured }}", plain(q))
}

impl Source<'_> {
    /// The whole profile.
    pub fn entries(&self) -> Vec<Entry> {
        let (set, guesses, hints) = (self.types.set, self.guesses, self.hints);
        let on_line = self.types.on_line();
        let mut list = vec![
            map("set", self.set()),
            self.outlet(),
            left("room", "22 °C"),
            if on_line {
                map("heater_string", vec![self.dropper()])
            } else {
                map("transformer", self.transformer())
            },
        ];
        if !on_line && set.winding.is_none() {
            let b_plus = or_guess("B+", set.b_plus.map(plain), volts(guesses.b_plus_v), B_PLUS);
            list.push(map("service_sheet", vec![b_plus]));
        }
        list.push(map("rectifier", self.rectifier()));
        if guesses.bias_v.is_some() {
            let rectifier = if set.year.is_some_and(|y| y > 1965) { "silicon" } else { "selenium" };
            let parts = vec![told("rectifier", rectifier), told("filter", "[capacitor: 25 µF]")];
            list.push(map("bias_supply", parts));
        }
        list.extend([
            sheet::list("filter", self.filter()),
            self.dividers(),
            left("loads", "[{ name: motor, from: B+, current: 5 mA }]"),
            sheet::list("tubes", self.tubes()),
        ]);
        list.extend(self.lamps());
        let (line, b_plus) = (plain(set.design_line), volts(hints.b_plus_v.round()));
        list.extend([
            left("fuse", hints.fuse()),
            left("readings", format!("[{{ at_line: {line}, meter: 10 MΩ, B+: {b_plus} }}]")),
            left("target", "heaters"),
            left("note", "{ date: today, by: name }"),
            left("parts", "{ resistors: [{ value: 15 Ω, rating: 50 W }] }"),
        ]);
        list
    }

    fn set(&self) -> Vec<Entry> {
        let (set, hints) = (self.types.set, self.hints);
        // a plan takes 60 Hz below 150 V, and some countries of 50 Hz had such mains
        let of_place = set.outlet.range.and_then(|r| r.frequency_hz);
        let of_place = of_place.filter(|&hz| (hz < 55.0) == (set.design_line.si() < LOW_MAINS_V));
        vec![
            match &set.name {
                Some(name) => said("name", scalar(name)),
                None => told("name", "Set without a name"),
            },
            or_left("year", set.year, "1936"),
            said("design_line", plain(set.design_line)),
            match of_place.filter(|_| set.frequency.is_none()) {
                Some(hertz) => guess("frequency", value::<Frequency>(hertz), HERTZ),
                None => {
                    let hint = value::<Frequency>(hints.frequency_hz);
                    or_left("frequency", set.frequency.map(plain), hint)
                }
            },
            or_left("nameplate_power", set.nameplate.map(plain), value::<Power>(hints.watts_w)),
        ]
    }

    fn outlet(&self) -> Entry {
        let (choice, day) = (&self.types.set.outlet, self.hints.outlet);
        let [low, usual, high] = [day.low_v, day.usual_v, day.high_v].map(|v| volts(v.round()));
        let range = choice.range.map(|r| said("range", &r.name).called(&r.title));
        if let Some(log) = &choice.log {
            return map(
                "outlet",
                range.into_iter().chain([itemized("log", log.lines())]).collect(),
            );
        }
        if choice.range.is_none() && choice.usual.is_none() {
            return left("outlet", format!("{{ low: {low}, usual: {usual}, high: {high} }}"));
        }
        let day = [
            or_left("usual", choice.usual.map(plain), usual),
            or_left("low", choice.low.map(plain), low),
            or_left("high", choice.high.map(plain), high),
        ];
        map("outlet", range.into_iter().chain(day).collect())
    }

    fn dropper(&self) -> Entry {
        let Some(dropper) = &self.guesses.dropper else {
            return told("dropper", "none");
        };
        let mut list = vec![if dropper.said {
            said("kind", dropper.kind)
        } else {
            told("kind", dropper.kind).called("not said")
        }];
        match &dropper.bulb {
            Some(Bulb::Type(name)) => list.push(said("type", scalar(name))),
            Some(Bulb::Volts(of)) => {
                list.push(said("volts", plain(*of)));
                list.push(told("current", value::<Current>(dropper.amps)));
            }
            None => {}
        }
        if let Some((si, known)) = dropper.ohms {
            let (ohms, watts) = (ohms(si), si * dropper.amps * dropper.amps);
            let line = self.types.set.design_line.si();
            list.push(match known {
                true => said("resistance", ohms),
                false => guess("resistance", ohms, DROPPER).called(&format!(
                    "({line:.0} V - {:.0} V) / {:.0} mA",
                    line - dropper.volts,
                    1e3 * dropper.amps
                )),
            });
            // twice its heat, in steps of 5 W
            list.push(left("rated", value::<Power>((2.0 * watts / 5.0).ceil() * 5.0)));
        }
        map("dropper", list)
    }

    fn transformer(&self) -> Vec<Entry> {
        let (set, hints) = (self.types.set, self.hints);
        let mut list = Vec::new();
        if self.types.feed() == Feed::Autotransformer {
            list.push(said("kind", "autotransformer"));
        }
        let primary = vec![
            said("taps", format!("[{}]", plain(set.design_line))),
            or_left("resistance", set.primary.map(measured), ohms(hints.primary_ohms)),
            left("no_load_current", value::<Current>(hints.no_load_a)),
            left("no_load_power", value::<Power>(hints.no_load_w)),
        ];
        list.push(map("primary", primary));
        let (per_half, winding) = match set.winding {
            Some(Winding::PerHalf(volts)) => (true, Some(volts)),
            Some(Winding::Whole(volts)) => (false, Some(volts)),
            None => (self.types.circuit().is_tapped(), None),
        };
        let (key, copper) =
            if per_half { ("per_half", "resistance_per_half") } else { ("volts", "resistance") };
        let half_ohms = ohms(hints.half_ohms);
        list.push(match winding {
            Some(winding) => map(
                "high_voltage",
                vec![
                    said(key, plain(winding)),
                    left("measured", "loaded"),
                    left("at_line", plain(set.design_line)),
                    left(copper, half_ohms),
                ],
            ),
            None => {
                let v = volts(hints.half_v.round());
                let hint =
                    format!("{{ {key}: {v}, measured: open-circuit, {copper}: {half_ohms} }}");
                left("high_voltage", hint)
            }
        });
        let bias = self.guesses.bias_v.map(|v| guess("volts", volts(v), BIAS));
        list.extend(bias.map(|bias| map("bias", vec![bias])));
        let windings = hints.windings.iter();
        let windings = windings.map(|(name, v)| format!("{name}: {{ volts: {} }}", volts(*v)));
        let windings = windings.collect::<Vec<_>>().join(", ");
        list.push(left("heater_windings", format!("{{ {windings} }}")));
        list
    }

    fn rectifier(&self) -> Vec<Entry> {
        let (types, guesses) = (self.types, self.guesses);
        let mut list = vec![said("type", scalar(&types.rectifier.name))];
        if types.rectifiers > 1 {
            list.push(said("count", types.rectifiers));
        }
        list.extend(types.set.circuit.map(|c| said("circuit", c.word())));
        if types.circuit().facts().doubles {
            let one = guess("value", value::<Capacitance>(guesses.capacitor_f), PART);
            list.push(sheet::list("capacitors", vec![vec![one]; 2]));
        }
        list.extend(guesses.drop.map(|v| guess("drop", volts(v), DROP)));
        let low = types.set.design_line.si() < LOW_MAINS_V;
        // what the sheet asks for is for mains of 220 V and more, where no set went without
        let asked = types.rectifier.min_supply_resistance.filter(|_| !low);
        list.extend(types.on_line().then(|| match asked {
            Some(least) => guess("surge_resistor", ohms(part(least.si())), PART),
            None => left("surge_resistor", if low { "33 Ω" } else { "100 Ω" }),
        }));
        list
    }

    fn capacitor(&self, place: usize) -> Vec<Entry> {
        let printed = &self.types.set.capacitors;
        let printed = printed.get(place).or(printed.last()).copied();
        let guessed = value::<Capacitance>(self.guesses.capacitor_f);
        let of = or_guess("value", printed.map(plain), guessed, PART);
        vec![map("capacitor", vec![of, left("rated", volts(self.hints.rated_v))])]
    }

    fn filter(&self) -> Vec<Vec<Entry>> {
        let (set, guesses) = (self.types.set, self.guesses);
        let [field, choke, resistor] = guesses.ohms;
        let known = |key, guessed, mine| {
            or_guess(key, set.coil.filter(|_| mine).map(measured), ohms(guessed), PART)
        };
        let mut list = Vec::new();
        if set.choke_input {
            let cold = known("cold", choke, false);
            list.push(coil("choke", Lead::Positive, cold, COIL_RISE * choke));
        }
        list.push(self.capacitor(0));
        if let Some(si) = guesses.bias_ohms {
            list.push(resistor_in(Lead::Negative, guess("value", ohms(si), BIAS)));
        }
        if set.field_across {
            let si = guesses.field_across_ohms;
            let cold = known("cold", si, set.between.is_none());
            list.push(coil("field_coil", Lead::Across, cold, part(COIL_RISE * si)));
        }
        let hot = |usual| two(COIL_RISE * set.coil.map_or(usual, Quantity::si));
        match set.between {
            None if !set.choke_input => list.extend(alternatives(guesses.ohms)),
            None => {}
            Some((what, lead)) => list.push(match what {
                Between::FieldCoil => {
                    coil("field_coil", lead, known("cold", field, true), hot(field))
                }
                Between::Choke => coil("choke", lead, known("cold", choke, true), hot(choke)),
                Between::Resistor => resistor_in(lead, known("value", resistor, true)),
            }),
        }
        if !set.choke_input || set.between.is_some() || set.capacitors.len() > 1 {
            list.push(self.capacitor(1));
        }
        list
    }

    fn dividers(&self) -> Entry {
        const BLEEDER: &str = "{ from: B+, resistors: [15 kΩ, 18 kΩ], taps: [screens] }";
        let Some(chain) = self.guesses.chain else {
            return left("dividers", format!("{{ bleeder: {BLEEDER} }}"));
        };
        let resistors = chain.map(|si| guessed(ohms(si), BIAS)).join(", ");
        let bias = vec![
            told("across", "field_coil"),
            told("resistors", format!("[{resistors}]")),
            told("taps", "[output, rf]"),
        ];
        map("dividers", vec![map("bias", bias), left("bleeder", BLEEDER)])
    }
}

fn coil(key: &str, lead: Lead, cold: Entry, hot: f64) -> Vec<Entry> {
    let list =
        vec![said("lead", lead.word()), cold, left("hot", ohms(hot)), left("inductance", "10 H")];
    vec![map(key, list)]
}

fn resistor_in(lead: Lead, value: Entry) -> Vec<Entry> {
    vec![map("resistor", vec![said("lead", lead.word()), value])]
}

/// What may stand between the capacitors, each left out.
fn alternatives(usual: [f64; 3]) -> impl Iterator<Item = Vec<Entry>> {
    let keys = [("field_coil", "cold"), ("choke", "cold"), ("resistor", "value")];
    keys.into_iter().zip(usual).flat_map(|((key, value), si)| {
        ["positive", "negative"]
            .map(|lead| vec![left(key, format!("{{ lead: {lead}, {value}: {} }}", ohms(si)))])
    })
}
