//! The sums behind the figures, with places of columns where the numbers of the moment go.

use super::{
    columns::Columns,
    leads::{Connection, Lead, LeadKind},
};
use crate::{
    receiver::{Model, Tube},
    study::{
        Reading, SupplyElement, SupplySketch,
        working::{LOADED, NOT_IN_STEP, OUT_OF_STEP, REGULATED},
    },
};

/// A piece of a sum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StateTerm {
    /// The figure of a column at this moment.
    Column(usize),
    /// A figure that stays, with its unit.
    Figure(f64, &'static str),
    /// A plain number.
    Number(f64),
    /// The outlet's volts.
    Outlet,
    /// The resistor's ohms.
    Ohms,
    /// An operator or a bracket.
    Sign(&'static str),
}

/// A sum behind a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct StateSum {
    /// Column of the figure.
    pub of: usize,
    /// What it gives.
    pub what: String,
    /// The sum.
    pub terms: Vec<StateTerm>,
    /// Why the solved figure differs, where it does.
    pub why: Option<&'static str>,
    /// Place of what must stand in the lead; none for any.
    pub lead: Option<usize>,
}

const PLUS: StateTerm = StateTerm::Sign("+");
const MINUS: StateTerm = StateTerm::Sign("−");
const TIMES: StateTerm = StateTerm::Sign("×");
const OVER: StateTerm = StateTerm::Sign("÷");
const OPEN: StateTerm = StateTerm::Sign("(");
const CLOSE: StateTerm = StateTerm::Sign(")");

fn volts(v: f64) -> StateTerm {
    StateTerm::Figure(v, "V")
}

fn ohms(r: f64) -> StateTerm {
    StateTerm::Figure(r, "Ω")
}

/// Why more amperes flow than the watts ask for.
const PEAKY: &str = "the current comes in peaks at the crest of the line's wave, and part of it magnetizes the iron: more flows than the watts alone ask for";
/// Why a supply's parts do not add up to the last digit.
const RIPPLE: &str = "other parts of the supply carry a share of the current";
/// Why a cathode does not stand where its resistor puts it.
const SHARED: &str = "several tubes share the resistor, or a divider feeds it";

/// What the sums are made from.
pub struct Sums<'a> {
    pub columns: &'a Columns,
    pub model: &'a Model,
    /// The set on its design line.
    pub design: &'a Reading,
    pub leads: &'a [Lead],
}

impl Sums<'_> {
    fn at(&self, key: &str) -> Option<StateTerm> {
        self.columns.place(key).map(StateTerm::Column)
    }

    /// A sum for the figure `key`, where all of it is there.
    fn sum(
        &self,
        key: &str,
        what: impl Into<String>,
        terms: Option<Vec<StateTerm>>,
        why: Option<&'static str>,
    ) -> Option<StateSum> {
        let (of, terms) = (self.columns.place(key)?, terms?);
        Some(StateSum { of, what: what.into(), terms, why, lead: None })
    }

    /// All of them.
    pub fn all(&self, supply: &SupplySketch) -> Vec<StateSum> {
        let mut list = self.by_proportion();
        list.extend(self.of_leads());
        list.extend(self.of_supply("supply", "B+", supply));
        if let Some(second) = &supply.second {
            list.extend(self.of_supply("supply2", "B2+", &second.supply));
        }
        list.extend(self.of_dividers(supply));
        for (n, tube) in self.model.tubes.iter().enumerate() {
            list.extend(self.of_tube(n + 1, tube));
        }
        let amps = self.at("line_power").map(|watts| vec![watts, OVER, StateTerm::Outlet]);
        list.extend(self.sum("line_current", "current, if it were in step", amps, Some(PEAKY)));
        list
    }

    /// Heaters and B+ as the line goes.
    fn by_proportion(&self) -> Vec<StateSum> {
        let design_line = volts(self.model.design_line);
        let by = |key: &str, what: String, at_design: f64| {
            let set =
                self.at("set").map(|set| vec![volts(at_design), TIMES, set, OVER, design_line]);
            self.sum(key, what, set, Some(NOT_IN_STEP))
        };
        let heaters = self.design.heaters.iter().map(|heater| {
            let key = format!("heater.{}", heater.winding);
            by(&key, format!("{}, by proportion", heater.said), heater.volts_v)
        });
        let b_plus = by("B+", "B+, by proportion".into(), self.design.b_plus_v);
        heaters.chain([b_plus]).flatten().collect()
    }

    /// What stands in the lead.
    fn of_leads(&self) -> Vec<StateSum> {
        let mut list = Vec::new();
        for (place, lead) in self.leads.iter().enumerate() {
            let mut push = |sum: Option<StateSum>| {
                list.extend(sum.map(|sum| StateSum { lead: Some(place), ..sum }));
            };
            match lead.kind {
                LeadKind::Resistor(_) => {
                    let (amps, across) = (self.at("lead1.current"), self.at("lead1.volts"));
                    let drop = amps.map(|i| vec![i, TIMES, StateTerm::Ohms]);
                    push(self.sum("lead1.volts", "drop across the resistor", drop, None));
                    let heat = amps.map(|i| vec![i, TIMES, i, TIMES, StateTerm::Ohms]);
                    for key in ["lead1.heat", "lead_power"] {
                        push(self.sum(key, "heat in the resistor", heat.clone(), None));
                    }
                    let left = across.map(|v| vec![StateTerm::Outlet, MINUS, v]);
                    push(self.sum("set", "left for the set", left, Some(OUT_OF_STEP)));
                    let again = across.map(|v| vec![v, OVER, StateTerm::Ohms]);
                    push(self.sum("lead1.current", "current through the resistor", again, None));
                }
                LeadKind::Small(secondary, connection) => {
                    let Some(primary) = lead.primary_v else { continue };
                    let terms = small(secondary, primary, connection);
                    push(self.sum("set", "voltage at the set", Some(terms), Some(REGULATED)));
                }
                LeadKind::AsIs | LeadKind::Tap(_) | LeadKind::Advised => {}
            }
        }
        list
    }

    /// A supply from its rectifier on.
    fn of_supply(&self, prefix: &str, output: &str, supply: &SupplySketch) -> Vec<StateSum> {
        let mut list = Vec::new();
        let mut rails = [self.at(&format!("{prefix}.cathode")).map(|c| vec![c]), Some(Vec::new())];
        for (n, element) in supply.elements.iter().enumerate() {
            let key = format!("{prefix}.e{}", n + 1);
            let at = |what: &str| self.at(&format!("{key}.{what}"));
            let (terms, name, rail) = match element {
                SupplyElement::Coil { name, in_negative_lead, across, .. } => {
                    let terms = at("current").zip(at("ohms")).map(|(i, r)| vec![i, TIMES, r]);
                    (terms, name.clone(), (!across).then_some(*in_negative_lead))
                }
                SupplyElement::Resistor { part, in_negative_lead, ohms: r, .. } => {
                    let terms = at("current").map(|i| vec![i, TIMES, ohms(*r)]);
                    (terms, part.clone(), Some(*in_negative_lead))
                }
                SupplyElement::Capacitor { .. } => continue,
            };
            let what = format!("drop across the {name}");
            list.extend(self.sum(&format!("{key}.drop"), what, terms, None));
            if let (Some(rail), Some(drop)) = (rail, at("drop"))
                && let Some(terms) = &mut rails[usize::from(rail)]
            {
                terms.extend([MINUS, drop]);
            }
        }
        let [high, low] = rails;
        let high = high.filter(|terms| terms.len() > 1);
        list.extend(self.sum(output, format!("{output}, behind the filter"), high, Some(RIPPLE)));
        let low = low.filter(|terms| !terms.is_empty());
        let below = low.map(|terms| [vec![volts(0.0)], terms].concat());
        list.extend(self.sum(
            &format!("{prefix}.centre"),
            "center tap, below chassis",
            below,
            Some(RIPPLE),
        ));
        list
    }

    /// Dividers: each tap by proportion, each resistor by Ohm's law.
    fn of_dividers(&self, supply: &SupplySketch) -> Vec<StateSum> {
        let mut list = Vec::new();
        for (n, divider) in supply.dividers.iter().enumerate() {
            let key = |what: String| format!("divider{}.{what}", n + 1);
            let total: f64 = divider.resistors.iter().sum();
            let (Some(from), Some(to)) = (self.at(&key("from".into())), self.at(&key("to".into())))
            else {
                continue;
            };
            let (mut below, mut above) = (total, from);
            for (j, r) in divider.resistors.iter().enumerate() {
                below -= r;
                let point = divider.points.get(j);
                let under = match point {
                    Some(_) => self.at(&key(format!("p{}", j + 1))),
                    None => Some(to),
                };
                let Some(under) = under else { break };
                let amps = vec![OPEN, above, MINUS, under, CLOSE, OVER, ohms(*r)];
                let what = format!("current in resistor {}", j + 1);
                list.extend(self.sum(&key(format!("r{}", j + 1)), what, Some(amps), None));
                above = under;
                let Some(point) = point else { break };
                let mut tap =
                    vec![OPEN, from, MINUS, to, CLOSE, TIMES, ohms(below), OVER, ohms(total)];
                if divider.to != "chassis" {
                    tap.extend([PLUS, to]);
                } else {
                    tap.splice(0..5, [from]);
                }
                let keys = point.tap.clone().into_iter().chain([key(format!("p{}", j + 1))]);
                for of in keys {
                    let what = format!("tap {}", point.tap.as_deref().unwrap_or("of the divider"));
                    list.extend(self.sum(&of, what, Some(tap.clone()), Some(LOADED)));
                }
            }
        }
        list
    }

    /// A tube: plate and screen by Ohm's law from what feeds them, its cathode, its bias, its heat.
    fn of_tube(&self, n: usize, tube: &Tube) -> Vec<StateSum> {
        let key = |what: &str| format!("V{n}.{what}");
        let at = |what: &str| self.at(&key(what));
        let count = |terms: Vec<StateTerm>| match tube.count {
            1.0 => terms,
            count => [terms, vec![TIMES, StateTerm::Number(count)]].concat(),
        };
        let fed = |from: &str, r: f64, amps: Option<StateTerm>| {
            let (from, amps) = (self.at(from)?, amps?);
            Some([vec![from, MINUS], count(vec![amps, TIMES, ohms(r)])].concat())
        };
        let mut list = Vec::new();
        if tube.plate.ohms > 0.0 {
            let terms = fed(&tube.plate.from, tube.plate.ohms, at("plate_current"));
            list.push(self.sum(&key("plate"), "plate, by Ohm's law", terms, None));
        }
        if let Some(screen) = tube.screen.as_ref().filter(|s| s.ohms > 0.0) {
            let terms = fed(&screen.from, screen.ohms, at("screen_current"));
            list.push(self.sum(&key("screen"), "screen, by Ohm's law", terms, None));
        }
        if tube.cathode_ohms > 0.0 {
            let amps = at("plate_current").map(|plate| match at("screen_current") {
                Some(screen) => vec![OPEN, plate, PLUS, screen, CLOSE],
                None => vec![plate],
            });
            let terms =
                amps.map(|amps| count([amps, vec![TIMES, ohms(tube.cathode_ohms)]].concat()));
            list.push(self.sum(
                &key("cathode"),
                "cathode, by Ohm's law",
                terms.clone(),
                Some(SHARED),
            ));
        }
        let across = at("plate").zip(at("cathode")).map(|(p, k)| vec![OPEN, p, MINUS, k, CLOSE]);
        let heat = across.zip(at("plate_current")).map(|(v, i)| [v, vec![TIMES, i]].concat());
        list.push(self.sum(&key("plate_power"), "plate dissipation", heat, Some(GIVEN)));
        list.into_iter().flatten().collect()
    }
}

/// Why a plate burns less than it takes.
const GIVEN: &str = "an output tube gives part of its watts to the speaker";

/// The voltage at the set behind a small transformer, by its ratio.
fn small(secondary: f64, primary: f64, Connection { on_set, adds }: Connection) -> Vec<StateTerm> {
    let sign = |adds| if adds { PLUS } else { MINUS };
    // across the set, what is added is added to what the set gets
    let sign = if on_set { sign(!adds) } else { sign(adds) };
    let ratio =
        [vec![OPEN, StateTerm::Number(1.0), sign, volts(secondary), OVER, volts(primary), CLOSE]]
            .concat();
    [vec![StateTerm::Outlet, if on_set { OVER } else { TIMES }], ratio].concat()
}
