//! The figures of a state: what a meter could read, what the drawing of the supply shows, what stands against a limit.

use crate::{
    receiver::{Operation, Receiver},
    study::{
        DividerSketch, HeaterReading, Measure, Meter, Reading, SupplyElement, SupplySketch, What,
        limit::Limit, limits, read, supply,
    },
};

/// A figure of a state.
#[derive(Debug, Clone)]
pub struct StateColumn {
    /// Key: that of a sweep, or of a place in the drawing of the supply.
    pub key: String,
    /// In words.
    pub name: String,
    /// Unit.
    pub unit: &'static str,
    /// How it is measured.
    pub meter: Meter,
    /// Name of the part that it is read at.
    pub part: Option<String>,
    /// True for a ripple.
    pub ripples: bool,
}

/// A figure as it is met in a state: its key, its name, its unit, and where it stands.
type See<'a> = dyn FnMut(String, String, &'static str, &mut f64) + 'a;

/// A state as it is solved.
#[derive(Debug, Clone)]
pub struct State {
    pub reading: Reading,
    pub supply: SupplySketch,
    pub limits: Vec<Limit>,
}

impl State {
    pub fn of(receiver: &Receiver, operation: &Operation) -> State {
        let reading = read(receiver, operation);
        let limits = limits::all(receiver.model(), &reading);
        let supply = supply::sketch(receiver, operation, |_| false);
        State { reading, supply, limits }
    }

    /// All its figures, in an order that is the same in states of one make.
    fn figures(&mut self) -> Vec<(StateColumn, f64)> {
        let r = &self.reading;
        let measured = |m: Measure| {
            let column = StateColumn {
                key: m.key(r),
                name: m.name(r),
                unit: m.unit(),
                meter: m.meter(),
                part: m.part(r),
                ripples: matches!(m.what, What::Ripple | What::SecondRipple),
            };
            (column, m.value(r))
        };
        // a peak over a mean jumps from one step of a cycle to the next: no grid holds it
        let all = Measure::all(r).into_iter().filter(|m| m.what != What::CrestFactor);
        let mut list: Vec<(StateColumn, f64)> = all.map(measured).collect();
        self.walk(&mut |key, name, unit, value| {
            if list.iter().all(|(column, _)| column.key != key) {
                let meter = if unit == "V" { Meter::Dc } else { Meter::None };
                list.push((
                    StateColumn { key, name, unit, meter, part: None, ripples: false },
                    *value,
                ));
            }
        });
        list
    }

    /// Puts `number` of its key in the place of each figure that is drawn.
    pub fn number(&mut self, number: &dyn Fn(&str) -> f64) {
        self.walk(&mut |key, _, _, value| *value = number(&key));
    }

    /// Meets every figure that is drawn, and what flows beside them.
    fn walk(&mut self, see: &mut See<'_>) {
        let r = &mut self.reading;
        see("outlet".into(), "outlet".into(), "V", &mut r.outlet_v);
        see("set".into(), String::new(), "V", &mut r.set_v);
        see("line_current".into(), String::new(), "A", &mut r.line_a);
        see("primary_current".into(), String::new(), "A", &mut r.primary_a);
        for heater in &mut r.heaters {
            see(format!("heater.{}", heater.winding), String::new(), "V", &mut heater.volts_v);
        }
        // heaters of a string of one current: their volts add
        let mut strings: Vec<(Option<usize>, f64)> = Vec::new();
        let heats =
            |h: &&HeaterReading| h.in_string && !h.is_tap && !h.is_barretter && !h.lamp_across;
        for heater in r.heaters.iter().filter(heats) {
            let of = heater.side_by_side.map(|(place, _)| place);
            match strings.iter_mut().find(|(known, _)| *known == of) {
                Some((_, volts)) => *volts += heater.volts_v,
                None => strings.push((of, heater.volts_v)),
            }
        }
        for (of, mut volts) in strings {
            let (key, name) = match of {
                None => ("string".to_owned(), "heaters in series, together".to_owned()),
                Some(n) => {
                    (format!("branch{}", n + 1), format!("heaters of branch {}, together", n + 1))
                }
            };
            see(key, name, "V", &mut volts);
        }
        for (n, tube) in (1..).zip(&mut r.tubes) {
            if let Some(amps) = &mut tube.screen_a {
                see(
                    format!("V{n}.screen_current"),
                    format!("V{n} {}, screen current", tube.name),
                    "A",
                    amps,
                );
            }
        }
        for (n, resistor) in (1..).zip(&mut r.filter_resistors) {
            see(
                format!("resistor{n}.current"),
                format!("{}, current", resistor.name),
                "A",
                &mut resistor.current_a,
            );
        }
        for (prefix, parts) in [("lead", &mut r.lead_parts), ("dropper", &mut r.droppers)] {
            for (n, part) in (1..).zip(parts) {
                let name = part.name.clone();
                see(
                    format!("{prefix}{n}.volts"),
                    format!("across the {name}"),
                    "V",
                    &mut part.volts_v,
                );
                see(
                    format!("{prefix}{n}.current"),
                    format!("{name}, current"),
                    "A",
                    &mut part.current_a,
                );
                see(format!("{prefix}{n}.heat"), format!("{name}, heat"), "W", &mut part.power_w);
            }
        }
        of_supply("supply", &mut self.supply, see);
        if let Some(second) = &mut self.supply.second {
            of_supply("supply2", &mut second.supply, see);
        }
        for (n, divider) in (1..).zip(&mut self.supply.dividers) {
            of_divider(n, divider, see);
        }
    }
}

/// A supply's figures, by their places in its drawing.
fn of_supply(prefix: &str, supply: &mut SupplySketch, see: &mut See<'_>) {
    let key = |what: &str| format!("{prefix}.{what}");
    see(key("half"), "high-voltage winding at work".into(), "V", &mut supply.half_v);
    see(key("dc"), "rectifier output".into(), "A", &mut supply.dc_a);
    see(key("cathode"), "rectifier's cathode against chassis".into(), "V", &mut supply.cathode_v);
    see(key("centre"), "negative end against chassis".into(), "V", &mut supply.centre_v);
    see(key("output"), "output against chassis".into(), "V", &mut supply.b_plus_v);
    if let Some(v) = &mut supply.bias_v {
        see(key("bias"), "bias supply's output".into(), "V", v);
    }
    let doubler = (1..).map(|n| key(&format!("d{n}"))).zip(&mut supply.doubler);
    let elements = (1..).map(|n| key(&format!("e{n}"))).zip(&mut supply.elements);
    for (key, element) in doubler.chain(elements) {
        match element {
            SupplyElement::Capacitor { part, positive_v, negative_v, .. } => {
                see(
                    format!("{key}.plus"),
                    format!("{part}, + side against chassis"),
                    "V",
                    positive_v,
                );
                see(
                    format!("{key}.minus"),
                    format!("{part}, − side against chassis"),
                    "V",
                    negative_v,
                );
            }
            SupplyElement::Coil { name, ohms, drop_v, current_a, .. } => {
                see(format!("{key}.drop"), format!("across the {name}"), "V", drop_v);
                see(format!("{key}.current"), format!("{name}, current"), "A", current_a);
                see(format!("{key}.ohms"), format!("{name}, ohms at work"), "Ω", ohms);
            }
            SupplyElement::Resistor { part, drop_v, ohms, .. } => {
                see(
                    format!("{key}.current"),
                    format!("{part}, current"),
                    "A",
                    &mut (*drop_v / *ohms),
                );
                see(format!("{key}.drop"), format!("across {part}"), "V", drop_v);
            }
        }
    }
}

/// A divider's figures: its ends, its points, and the current of each resistor.
fn of_divider(number: usize, divider: &mut DividerSketch, see: &mut See<'_>) {
    let key = |what: String| format!("divider{number}.{what}");
    let name = divider.name.clone();
    let mut above = divider.from_v;
    let ends = divider.points.iter().map(|p| p.volts_v).chain([divider.to_v]);
    for (n, (ohms, below)) in (1..).zip(divider.resistors.iter().zip(ends)) {
        let amps = &mut ((above - below) / ohms);
        see(key(format!("r{n}")), format!("{name}, current in resistor {n}"), "A", amps);
        above = below;
    }
    see(key("from".into()), format!("{name}, upper end"), "V", &mut divider.from_v);
    see(key("to".into()), format!("{name}, lower end"), "V", &mut divider.to_v);
    for (n, point) in (1..).zip(&mut divider.points) {
        see(key(format!("p{n}")), format!("{name}, point {n}"), "V", &mut point.volts_v);
    }
}

/// The columns of all states, in their order, and how a state fills them.
#[derive(Debug, Clone, Default)]
pub struct Columns {
    /// The figures.
    pub list: Vec<StateColumn>,
    /// The limits, whose values stand behind the figures.
    pub limits: Vec<Limit>,
    /// Of each, below what it is told as nothing where something is wrong.
    pub nothing: Vec<f64>,
}

/// Shares of the current and of the voltage on the design line below which they are told as none where something is wrong: a fault
/// is solved to 3·10⁻⁴ of what a quantity usually is, and a rectifier with nothing to feed is left wherever the last cycle left it.
const NO_CURRENT: f64 = 0.05;
const NO_VOLTS: f64 = 0.02;
/// The same of a ripple, as a share of B+: a fault is solved no closer.
const NO_RIPPLE: f64 = 3e-4;

impl Columns {
    /// Adds what a state has beyond those before it.
    pub fn take(&mut self, mut state: State) {
        for (column, _) in state.figures() {
            if self.list.iter().all(|known| known.key != column.key) {
                self.list.push(column);
            }
        }
        for limit in &state.limits {
            if self.limits.iter().all(|known| !known.is(limit)) {
                self.limits.push(limit.clone());
            }
        }
    }

    /// Takes `design` for what flows on the design line.
    pub fn scale(&mut self, design: State) {
        let b_plus = design.reading.b_plus_v;
        let row = self.row(design);
        let flows = |(column, figure): (usize, f64)| {
            let ripple = self.list.get(column).is_some_and(|c| c.ripples);
            let share = match self.unit(column) {
                _ if !figure.is_finite() => 0.0,
                "A" => NO_CURRENT,
                "V" => NO_VOLTS,
                _ => 0.0,
            };
            let least = if ripple { NO_RIPPLE * b_plus.abs() } else { 0.0 };
            (share * figure.abs()).max(least)
        };
        self.nothing = row.into_iter().enumerate().map(flows).collect();
    }

    /// How many there are, limits counted.
    pub fn len(&self) -> usize {
        self.list.len() + self.limits.len()
    }

    /// Place of the figure with that key.
    pub fn place(&self, key: &str) -> Option<usize> {
        self.list.iter().position(|column| column.key == key)
    }

    /// Unit of a column.
    pub fn unit(&self, column: usize) -> &'static str {
        match self.list.get(column) {
            Some(column) => column.unit,
            None => self.limits[column - self.list.len()].unit,
        }
    }

    /// The figures of a state; not a number for what it does not have.
    pub fn row(&self, mut state: State) -> Vec<f64> {
        let figures = state.figures();
        let mut near = 0;
        let mut figure = |column: &StateColumn| {
            // mostly in one order
            let find = |from: usize| {
                let rest = figures.get(from..).unwrap_or(&[]);
                rest.iter().position(|(f, _)| f.key == column.key).map(|place| place + from)
            };
            find(near).or_else(|| find(0)).map_or(f64::NAN, |place| {
                near = place + 1;
                figures[place].1
            })
        };
        let mut row: Vec<f64> = self.list.iter().map(&mut figure).collect();
        let limits = self
            .limits
            .iter()
            .map(|known| state.limits.iter().find(|l| known.is(l)).map_or(f64::NAN, |l| l.value));
        row.extend(limits);
        row
    }
}
