//! A power resistor in the mains lead.

use super::{Adaptation, Bought, Duty, OPEN_OHMS, Part, Sought, Tolerance, Unknown};
use crate::catalogue::stock::{self, ResistorSize};
use crate::circuit::{CircuitError, Network, Node};
use crate::quantity::{Quantity, Resistance, show_plain};
use crate::receiver::{Inserted, MainsLead, PartKind, resistor_part};

/// Derated watts over the watts at high line, at the least (MIL-PRF-26H, clause 6.5: for long life derate by
/// more than half; the trade fits 1.25 to 10 times).
pub const RATING_MARGIN: f64 = 2.0;
/// Air in the coolest place a resistor may go, a ventilated box in the lead, °C (common practice, no source).
pub const COOLEST_PLACE_C: f64 = 40.0;
/// Air under the chassis of a set at work, °C (common practice, no source).
pub const UNDER_CHASSIS_C: f64 = 60.0;
/// Tolerance of wirewound power resistors, share (makers' data sheets: ±5 or ±10 %).
const VALUE_TOLERANCE: f64 = 0.05;
/// How near one stock value must bring the set's volts, as a share; where none does, two in series are tried (assumed).
const SINGLE_WITHIN: f64 = 0.02;
/// Parts that a dropper is made of at most.
const MOST_PARTS: usize = 2;

/// The series resistor as an adaptation, from stock or from the owner's own parts.
#[derive(Debug, Clone, Default)]
pub struct SeriesResistor {
    /// The owner's resistors: Ω, size. Empty: the stock of the trade.
    pub own: Vec<(f64, ResistorSize)>,
}

/// How the parts of a dropper are joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Joined {
    /// One part.
    Single,
    /// Two equal parts in series, each half the resistance.
    Series,
    /// Two equal parts in parallel, each twice the resistance.
    Parallel,
    /// Two parts of these stock values in series, Ω, the larger first: it takes most of the heat.
    Two(f64, f64),
}

/// What a dropper is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Build {
    /// Size of each part.
    pub size: ResistorSize,
    /// How joined.
    pub joined: Joined,
    /// True for a part the owner has: no larger one is to be had.
    pub own: bool,
}

impl Build {
    /// How many times the watts of the part that gets most heat the whole may lose.
    fn parts(&self) -> f64 {
        match self.joined {
            Joined::Single => 1.0,
            Joined::Two(larger, smaller) => 1.0 + smaller / larger,
            Joined::Series | Joined::Parallel => MOST_PARTS as f64,
        }
    }
}

/// A resistor of given value and make.
#[derive(Debug, Clone, PartialEq)]
pub struct Dropper {
    /// Ω, all parts together.
    pub ohms: f64,
    /// What it is made of; `None` for a bare value.
    pub build: Option<Build>,
}

impl Dropper {
    /// A bare value.
    pub fn bare(ohms: f64) -> Dropper {
        Dropper { ohms, build: None }
    }

    /// Watts it is rated to lose, where its size is known.
    pub fn rated_watts(&self) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.rating_w * b.parts())
    }

    /// What is left of that rating in air of `ambient_c` °C.
    pub fn derated_watts(&self, ambient_c: f64) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.derated_w(ambient_c) * b.parts())
    }

    /// Overload borne for 5 s, as a multiple of the printed rating.
    pub fn overload_5s(&self) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.overload_5s)
    }

    /// Surface temperature in °C when it loses `watts` in air of `ambient_c` °C.
    pub fn surface_c(&self, watts: f64, ambient_c: f64) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.surface_c(watts / b.parts(), ambient_c))
    }

    /// True for a type that opens without a flame when a fault overloads it.
    pub fn is_fusible(&self) -> bool {
        self.build.as_ref().is_some_and(|build| build.size.fusible)
    }

    /// The same ohms of the next larger size of stock.
    pub fn next_size(&self) -> Option<Dropper> {
        let build = self.build.as_ref().filter(|b| !b.own)?;
        let size = stock::resistor_sizes()
            .iter()
            .filter(|s| s.unmounted_share.is_none())
            .filter(|s| s.fusible == build.size.fusible)
            .find(|s| s.rating_w > build.size.rating_w)?;
        Some(Dropper {
            ohms: self.ohms,
            build: Some(Build { size: size.clone(), ..build.clone() }),
        })
    }
}

impl MainsLead for Dropper {
    fn insert(&self, net: &mut Network, outlet: Node, _: Node) -> Result<Inserted, CircuitError> {
        if self.ohms <= 0.0 {
            return Ok(Inserted::new(outlet, Vec::new()));
        }
        let set = net.node("after the resistor");
        let id = net.resistor("series resistor", outlet, set, self.ohms)?;
        Ok(Inserted::new(
            set,
            vec![resistor_part("series resistor", PartKind::InLead, outlet, set, id)],
        ))
    }
}

impl Part for Dropper {
    fn bought(&self) -> Bought {
        let value = |ohms: f64| show_plain(Resistance::from_si((ohms * 1e3).round() / 1e3));
        let Some(build) = &self.build else {
            return Bought::ware(value(self.ohms));
        };
        let (watts, family) = (build.size.rating_w, &build.size.family);
        let (count, each) = match build.joined {
            Joined::Two(larger, smaller) => {
                let (one, other) = (value(larger), value(smaller));
                return Bought::ware(format!(
                    "two in series, {one} and {other}, each {watts} W, {family}"
                ));
            }
            Joined::Single => ("", self.ohms),
            Joined::Series => ("two in series, each ", self.ohms / 2.0),
            Joined::Parallel => ("two in parallel, each ", self.ohms * 2.0),
        };
        Bought::ware(format!("{count}{}, {watts} W, {family}", value(each)))
    }
    fn value(&self) -> f64 {
        self.ohms
    }
    fn resistors(&self) -> Vec<&Dropper> {
        vec![self]
    }
    fn larger(&self, _: usize) -> Option<Box<dyn Part>> {
        Some(Box::new(self.next_size()?))
    }
    fn opened(&self) -> Option<(&'static str, Box<dyn Part>)> {
        Some(("resistor open", Box::new(Dropper::bare(OPEN_OHMS))))
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        vec![Tolerance {
            what: "resistor",
            value: self.bought().ware,
            rule: "wirewound power resistors are made to ±5 % (makers' data sheets)",
            spread: VALUE_TOLERANCE,
        }]
    }
    fn varied(&self, _: usize, factor: f64) -> Box<dyn Part> {
        Box::new(Dropper { ohms: self.ohms * factor, ..self.clone() })
    }
}

/// Watts the derated rating must cover: the running heat with its margin at worst tolerance, and what the fuse may
/// let pass for an hour without one.
fn needed(duty: &Duty, ohms: f64) -> f64 {
    let worst = ohms * (1.0 + VALUE_TOLERANCE);
    let running = RATING_MARGIN * duty.amps * duty.amps * worst;
    duty.held_amps.map_or(running, |i| running.max(i * i * worst))
}

/// The smallest stock size that covers `share` of what `ohms` must bear.
fn smallest(duty: &Duty, ohms: f64, share: f64) -> Option<ResistorSize> {
    let watts = needed(duty, ohms);
    let sizes = stock::resistor_sizes().iter();
    let mut fixed = sizes.filter(|s| s.unmounted_share.is_none() && !s.fusible);
    fixed.find(|s| s.derated_w(COOLEST_PLACE_C) >= share * watts).cloned()
}

/// The two stock values in series that come nearest to `ohms` and cover the duty, the larger judged by its own heat.
fn two(duty: &Duty, ohms: f64) -> Option<Dropper> {
    let values = stock::resistor_values();
    let pairs =
        values.iter().flat_map(|a| values.iter().filter(move |b| *b <= a).map(move |b| (*a, *b)));
    let far = |(a, b): &(f64, f64)| (a + b - ohms).abs();
    let (a, b) = pairs.min_by(|one, other| far(one).total_cmp(&far(other)))?;
    let size = smallest(duty, a + b, a / (a + b))?;
    let joined = if a > b { Joined::Two(a, b) } else { Joined::Series };
    let build = Build { size, joined, own: false };
    Some(Dropper { ohms: a + b, build: Some(build) })
}

/// The smallest stock build of `ohms` that covers its duty: one part, else two in series where half the value is
/// stocked, else two in parallel.
pub(super) fn build(duty: &Duty, ohms: f64) -> Option<Build> {
    let stocked =
        |ohms: f64| stock::resistor_values().iter().any(|v| (v / ohms - 1.0).abs() < 1e-6);
    let find = |share: f64| smallest(duty, ohms, share);
    let single = find(1.0).map(|size| Build { size, joined: Joined::Single, own: false });
    single.or_else(|| {
        let joined = if stocked(ohms / 2.0) {
            Joined::Series
        } else if stocked(ohms * 2.0) {
            Joined::Parallel
        } else {
            return None;
        };
        let own = false;
        find(0.5).map(|size| Build { size, joined, own })
    })
}

/// What stock has around `value`: the nearest single ones, and two in series where none of these comes near enough.
pub(super) fn stocked(duty: &Duty, value: f64) -> Vec<(f64, Option<Build>)> {
    let near = stock::resistors_near(value.max(0.5)).into_iter();
    let mut list: Vec<_> = near.map(|ohms| (ohms, build(duty, ohms))).collect();
    // ohms too many take their volts off the set, and the heaters follow its volts
    let left = duty.outlet - duty.amps * value;
    let comes_near = |ohms: f64| duty.amps * (ohms - value).abs() <= SINGLE_WITHIN * left;
    let one = left <= 0.0 || list.iter().any(|(ohms, build)| build.is_some() && comes_near(*ohms));
    let pair = if one { None } else { two(duty, value) };
    list.extend(pair.map(|pair| (pair.ohms, pair.build)));
    list
}

/// The smallest fusible type of `ohms` for `amps` RMS of work under the chassis: a fault it need not bear, for it opens.
pub(super) fn fusible(amps: f64, ohms: f64) -> Option<Build> {
    let watts = RATING_MARGIN * amps * amps * ohms * (1.0 + VALUE_TOLERANCE);
    let mut sizes = stock::resistor_sizes().iter().filter(|s| s.fusible);
    let size = sizes.find(|s| s.derated_w(UNDER_CHASSIS_C) >= watts)?.clone();
    Some(Build { size, joined: Joined::Single, own: false })
}

/// The two of the owner's resistors that come nearest to `ohms`.
pub(super) fn own_near(
    own: &[(f64, ResistorSize)],
    ohms: f64,
) -> impl Iterator<Item = (f64, Build)> + use<> {
    let mut own = own.to_vec();
    let far = |value: f64| (value / ohms.max(0.5)).ln().abs();
    own.sort_by(|a, b| far(a.0).total_cmp(&far(b.0)));
    own.into_iter().take(2).map(|(ohms, size)| {
        let joined = Joined::Single;
        let own = true;
        (ohms, Build { size, joined, own })
    })
}

impl Adaptation for SeriesResistor {
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown { what: Sought::Resistance, unit: "Ω", low: 0.0, high: 1000.0 })
    }
    fn exact(&self, value: f64, _: &Duty) -> Box<dyn Part> {
        Box::new(Dropper::bare(value))
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<Box<dyn Part>> {
        let boxed = |ohms: f64, build: Option<Build>| -> Box<dyn Part> {
            Box::new(Dropper { ohms, build })
        };
        if !self.own.is_empty() {
            return own_near(&self.own, value)
                .map(|(ohms, build)| boxed(ohms, Some(build)))
                .collect();
        }
        stocked(duty, value).into_iter().map(|(ohms, build)| boxed(ohms, build)).collect()
    }
}
