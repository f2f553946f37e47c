//! Resistances to expect with the tubes in, power off, everything cold: solved on the set's own network.

use crate::{
    circuit::{Network, Node, Probe, REFERENCE},
    receiver::{
        Model, Operation, PartKind, Points, Receiver, Section, TRANSFORMER, Uncertain,
        capacitor_part, coil_part, filter_resistor, resting, resting_hot,
    },
    study::{Result, Serialize, read, sentences::plain_ohms, spread::TWO_U},
};
use ColdKind::{
    Ballast, Cathode, Divider, Dropper, Feed, Filter, Heaters, HighVoltage, Insulation, Primary,
    Supply,
};

/// What a point is, for the words about a reading that is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ColdKind {
    /// Copper of the primary, at the plug.
    Primary,
    /// Plug to chassis.
    Insulation,
    /// Copper of the high-voltage winding.
    HighVoltage,
    /// A heater winding with what it feeds.
    Heaters,
    /// A dropper of the heater string, a resistor in a plate lead or in the line cord.
    Dropper,
    /// A ballast.
    Ballast,
    /// A coil or resistor of the filter.
    Filter,
    /// A supply point to chassis.
    Supply,
    /// A divider's tap or arm.
    Divider,
    /// A cathode resistor.
    Cathode,
    /// A plate or screen feed.
    Feed,
}

/// A point for the ohmmeter.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ColdCheck {
    /// What it is.
    pub kind: ColdKind,
    /// Between which points.
    pub between: String,
    /// Resistance to expect, Ω; `None`: no path, as far as the profile tells.
    pub expected_ohms: Option<f64>,
    /// The same with the tubes out of their sockets, Ω, of a dropper that something lies beside; `None` where that changes nothing.
    pub tubes_out_ohms: Option<f64>,
    /// Volts over amperes at work, Ω, of what warms: heaters, lamps, a barretter, the string they are in; of a ballast what is
    /// printed on it.
    pub at_work_ohms: Option<f64>,
    /// Lowest of a sound set, Ω.
    pub least_ohms: f64,
    /// Highest of a sound set, Ω.
    pub most_ohms: f64,
    /// True if a value that the profile does not state enters it.
    pub assumed: bool,
}

/// A filter capacitor to be tested.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CapacitorTest {
    /// First, second, ...
    pub name: String,
    /// Its name in drawings and tables, such as C1.
    #[serde(skip)]
    pub part: String,
    /// Marked working volts, where known.
    pub rated_v: Option<f64>,
    /// Volts at work on the target line.
    pub works_at_v: f64,
    /// Leakage at rest that is still good with plain foil, A.
    pub plain_a: f64,
    /// The same with etched foil, A.
    pub etched_a: f64,
}

/// Leakage at rest that is borne, A per farad and volt (0.15 and 0.5 µA per µF and volt, plain and etched foil;
/// common practice, no source).
const LEAKAGE: (f64, f64) = (0.15, 0.5);

/// What the meter and its leads may be off below, Ω: a reading is no better than that.
const LEADS_OHMS: f64 = 0.3;
/// The meter on ohms, as a share (the accuracy makers state for handheld meters).
const METER: f64 = 0.01;
/// What the wire of a ballast has less when cold, as a share: nickel-chromium wire rises by 5 to 10 % up to red heat
/// (wire tables †).
const BALLAST_COLD: f64 = 0.10;
/// A change of a reading that counts, as a share.
const COUNTS: f64 = 1e-3;

/// Tests of the filter capacitors that work as at `target`.
pub fn capacitors(receiver: &Receiver, target: &Operation) -> Vec<CapacitorTest> {
    let all = read(receiver, target).capacitors.into_iter().zip(&target.at.capacitors);
    all.map(|(c, placed)| {
        let leaks = |each| each * placed.farads * c.rated_v.unwrap_or(c.volts_v);
        CapacitorTest {
            rated_v: c.rated_v,
            works_at_v: c.volts_v,
            plain_a: leaks(LEAKAGE.0),
            etched_a: leaks(LEAKAGE.1),
            name: c.name,
            part: c.part,
        }
    })
    .collect()
}

/// Every resistance, with its normal range: twice the standard uncertainty, and never beyond all limits together.
pub fn checks(model: &Model, uncertain: &[Uncertain]) -> Result<Vec<ColdCheck>> {
    let (net, at) = resting(model)?;
    let varied = |u: &Uncertain| {
        let by = |factor| resting(&model.scaled(u.parameter, factor)).map(|(net, _)| net);
        Ok((by(1.0 + u.spread)?, by((1.0 - u.spread).max(0.1))?, u.assumed))
    };
    let varied = uncertain.iter().map(varied).collect::<Result<Vec<_>>>()?;
    let (hot, (out, _)) = (resting_hot(model)?.0, resting(&pulled(model))?);
    let mut walk = Walk::default();
    walk.windings(model, &at);
    walk.droppers(model, &at);
    walk.filter(model, &at);
    walk.supply(model, &at);
    walk.dividers(model, &at);
    walk.tubes(model, &at);
    let check = |(kind, between, ends): Point| {
        let value = |net: &Network| ends.and_then(|(a, b)| net.resistance(a, b, &at.leakage));
        let expected_ohms = value(&net);
        let ohms = expected_ohms.unwrap_or(0.0);
        // what every uncertain number does to it
        let (mut squares, mut sum, mut assumed) = (0.0, 0.0, false);
        for (up, down, is_assumed) in &varied {
            let limits = expected_ohms.and_then(|_| value(up).zip(value(down)));
            let Some((a, b)) = limits else { continue };
            let change = 0.5 * (a - b).abs();
            squares += change * change;
            sum += change;
            assumed |= *is_assumed && change > COUNTS * ohms;
        }
        let meter = METER * ohms;
        let spread = (TWO_U * (squares + meter * meter).sqrt()).min(sum + meter) + LEADS_OHMS;
        let colder = if kind == Ballast { BALLAST_COLD * ohms } else { 0.0 };
        let (least_ohms, most_ohms) = ((ohms - colder - spread).max(0.0), ohms + spread);
        let differs = |other: &f64| (other - ohms).abs() > 0.01 * ohms;
        let warms = match kind {
            Primary | Heaters => model.string.is_some(),
            kind => kind == Ballast,
        };
        let at_work_ohms = value(&hot).filter(|_| warms);
        let tubes_out_ohms = value(&out).filter(|ohms| kind == Dropper && differs(ohms));
        ColdCheck {
            kind,
            between,
            expected_ohms,
            tubes_out_ohms,
            at_work_ohms,
            least_ohms,
            most_ohms,
            assumed,
        }
    };
    Ok(walk.0.into_iter().map(check).collect())
}

/// The set with every tube out; the rectifier of a string too, which is a link of it.
fn pulled(model: &Model) -> Model {
    let mut bare = model.clone();
    bare.pull_tubes();
    let link = bare.rectifier.winding.filter(|_| bare.string.is_some());
    if let Some(link) = link.and_then(|place| bare.windings.get_mut(place)) {
        link.filaments.clear();
    }
    bare
}

/// What it is, between which points, and these; none where no figure can be solved.
type Point = (ColdKind, String, Option<(Node, Node)>);

fn to_chassis(node: Node) -> Option<(Node, Node)> {
    Some((node, REFERENCE))
}

/// The points, in the order one meets them from the plug to the tubes.
#[derive(Default)]
struct Walk(Vec<Point>);

impl Walk {
    /// One more; points between the same two nodes are one measurement with both names.
    fn add(&mut self, kind: ColdKind, between: impl Into<String>, ends: Option<(Node, Node)>) {
        let between = between.into();
        let same = |(a, b): (Node, Node), (c, d)| (a, b) == (c, d) || (a, b) == (d, c);
        let mut known = self.0.iter_mut();
        match known.find(|known| known.2.zip(ends).is_some_and(|(a, b)| same(a, b))) {
            Some((_, earlier, _)) => *earlier += &format!("; {between}"),
            None => self.0.push((kind, between, ends)),
        }
    }

    fn windings(&mut self, model: &Model, at: &Points) {
        self.add(Primary, "plug pin to pin, switch on", Some((at.outlet, at.neutral)));
        self.add(Insulation, "each plug pin to chassis", None);
        let winding = Some(at.high_voltage);
        match (&model.string, model.rectifier.circuit.is_tapped()) {
            (Some(_), _) => {}
            (None, true) => {
                let both = format!("HV winding ({TRANSFORMER}), plate to plate");
                self.add(HighVoltage, both, at.outer_ends);
                self.add(HighVoltage, "HV, each plate to center tap", winding);
            }
            (None, _) => {
                self.add(HighVoltage, format!("HV winding ({TRANSFORMER}), end to end"), winding);
            }
        }
        if at.bias_winding.is_some() {
            self.add(HighVoltage, "bias winding, end to end", at.bias_winding);
        }
        if let (Some(second), Some(own)) = (&model.second, &at.second)
            && second.winding.is_some()
        {
            let words = match own.outer_ends {
                Some(_) => "second supply's winding, each plate to center tap",
                None => "second supply's winding, end to end",
            };
            self.add(HighVoltage, words, Some(own.high_voltage));
        }
        for (place, (winding, nodes)) in model.windings.iter().zip(&at.windings).enumerate() {
            let name = match &model.string {
                Some(string) if string.barretter == Some(place) => {
                    format!("the {}, end to end", winding.name)
                }
                Some(string) => of_string(model, string.tap, place),
                None => format!("heater winding {}, end to end", winding.name),
            };
            self.add(Heaters, name, Some(*nodes));
        }
    }

    fn droppers(&mut self, model: &Model, at: &Points) {
        for part in &at.inserted.inner {
            let kind = match part.kind {
                // a link of the string
                PartKind::Barretter => continue,
                PartKind::Ballast => Ballast,
                _ => Dropper,
            };
            let name = match model.resistor_part(&part.name) {
                Some(number) => format!("{} ({number}), end to end", part.name),
                None => format!("{}, end to end", part.name),
            };
            if let Probe::Volts(a, b) = part.volts {
                self.add(kind, name, Some((a, b)));
            }
        }
    }

    fn filter(&mut self, model: &Model, at: &Points) {
        for (i, (coil, (from, to, _))) in model.coils.iter().zip(&at.coils).enumerate() {
            let name = format!("across the {} ({})", coil.name, coil_part(i));
            self.add(Filter, name, Some((*from, *to)));
        }
        for (place, (section, ends)) in model.filter.iter().zip(&at.filter).enumerate() {
            if matches!(section, Section::Resistor(..)) {
                let (part, of) = match place.checked_sub(model.filters().0.len()) {
                    Some(own) => (own, "second supply"),
                    None => (place, "filter"),
                };
                let name = model.resistor_part(&filter_resistor(place)).unwrap_or_default();
                let name = format!("filter resistor ({name}), part {} of the {of}", part + 1);
                self.add(Filter, name, Some(*ends));
            }
        }
    }

    fn supply(&mut self, model: &Model, at: &Points) {
        let first = capacitor_part(0);
        let reservoir = match model.rectifier.circuit.facts().doubles {
            true => "voltage doubler's output".to_owned(),
            false => format!("first filter capacitor's + ({first})"),
        };
        if at.reservoir == at.b_plus {
            let both = format!("B+, the {reservoir}, to chassis");
            self.add(Supply, both, to_chassis(at.b_plus));
        } else {
            self.add(Supply, "B+ to chassis", to_chassis(at.b_plus));
            self.add(Supply, format!("{reservoir} to chassis"), to_chassis(at.reservoir));
        }
        if let Some(placed) = at.capacitors.first()
            && placed.negative != REFERENCE
        {
            let ends = Some((placed.positive, placed.negative));
            self.add(Supply, format!("across the first filter capacitor ({first})"), ends);
        }
        if at.centre != REFERENCE {
            let name = match (&model.string, model.rectifier.circuit.is_tapped()) {
                (None, true) => "HV center tap to chassis",
                _ => "negative end of the supply to chassis",
            };
            self.add(Supply, name, to_chassis(at.centre));
        }
        if let Some(own) = &at.second {
            self.add(Supply, "B2+ to chassis", to_chassis(own.b_plus));
            if own.reservoir != own.b_plus {
                let part = capacitor_part(own.capacitors_from);
                let name = format!("first capacitor's + ({part}) of the second supply, to chassis");
                self.add(Supply, name, to_chassis(own.reservoir));
            }
        }
    }

    fn dividers(&mut self, model: &Model, at: &Points) {
        for (tap, node) in &at.taps {
            self.add(Divider, format!("tap {tap} to chassis"), to_chassis(*node));
        }
        for (divider, nodes) in model.dividers.iter().zip(&at.dividers) {
            for (i, (ohms, ends)) in divider.resistors.iter().zip(nodes.windows(2)).enumerate() {
                let marked = plain_ohms(*ohms);
                let name = format!("{} arm {}, marked {marked}", divider.name, i + 1);
                self.add(Divider, name, Some((ends[0], ends[1])));
            }
        }
    }

    fn tubes(&mut self, model: &Model, at: &Points) {
        for (tube, nodes) in model.tubes.iter().zip(&at.tubes) {
            let name = match model.tubes.iter().filter(|t| t.label == tube.label).count() {
                1 => tube.label.clone(),
                _ => format!("{} (tube {})", tube.label, tube.socket + 1),
            };
            if nodes.cathode != REFERENCE {
                self.add(Cathode, format!("{name}, cathode to chassis"), to_chassis(nodes.cathode));
            }
            if nodes.plate_feed.is_some() {
                self.add(Feed, format!("{name}, plate to {}", tube.plate.from), nodes.plate_feed);
            }
            if let (Some(screen), Some(ends)) = (&tube.screen, nodes.screen_feed) {
                self.add(Feed, format!("{name}, screen to {}", screen.from), Some(ends));
            }
        }
    }
}

/// A heater of a string: of a tapped one its part up to the tap, and the rest of it.
fn of_string(model: &Model, tap: Option<usize>, place: usize) -> String {
    let name = &model.windings[place].name;
    let rectifier = &model.rectifier.name;
    match tap {
        Some(tap) if tap == place => format!("heater of the {rectifier}, tapped part"),
        Some(_) if name == rectifier => format!("heater of the {name}, tap to the far end"),
        _ if model.is_dial_lamp(place) => format!("dial lamp {name}, end to end"),
        _ => format!("heater of the {name}, pin to pin"),
    }
}
