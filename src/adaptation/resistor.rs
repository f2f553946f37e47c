//! A power resistor in the line cord.

use super::{
    Bought, Build, Dropper, Joined, OPEN_OHMS,
    part::{
        Adaptation, AnyPart, Copied, Duty, Failed, Failure, Part, Sought, Tolerance, Unknown, any,
    },
};
use crate::{
    catalogue::stock::{self, ResistorSize},
    circuit::{CircuitError, Network, Node},
    quantity::{Quantity, Resistance, by, show_plain},
    receiver::{Inserted, MainsLead, PartKind, resistor_part},
};

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

/// The series resistor as an adaptation, from stock or from the owner's own parts.
#[derive(Debug, Clone, Default)]
pub struct SeriesResistor {
    /// The owner's resistors: Ω, size. Empty: the stock of the trade.
    pub own: Vec<(f64, ResistorSize)>,
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
    fn larger(&self, _: usize) -> Option<AnyPart> {
        Some(Box::new(self.next_size()?))
    }
    fn failed(&self, how: Failure) -> Option<Failed> {
        (how == Failure::Open).then(|| ("resistor open", Dropper::bare(OPEN_OHMS).copied()))
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        vec![Tolerance {
            what: "resistor",
            value: self.bought().ware,
            rule: "wirewound power resistors are made to ±5 % (makers' data sheets)",
            spread: VALUE_TOLERANCE,
        }]
    }
    fn varied(&self, _: usize, factor: f64) -> AnyPart {
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
pub fn two(duty: &Duty, ohms: f64) -> Option<Dropper> {
    let values = stock::resistor_values();
    let pairs =
        values.iter().flat_map(|a| values.iter().filter(move |b| *b <= a).map(move |b| (*a, *b)));
    let far = |(a, b): &(f64, f64)| (a + b - ohms).abs();
    let (a, b) = pairs.min_by(by(far))?;
    let size = smallest(duty, a + b, a / (a + b))?;
    let joined = if a > b { Joined::Two(a, b) } else { Joined::Series };
    Some(Dropper::made(a + b, size, joined))
}

/// `ohms` in the smallest stock build that covers its duty: one part, else two in series where half the value is
/// stocked, else two in parallel; a bare value where none does.
fn build(duty: &Duty, ohms: f64) -> Dropper {
    let stocked =
        |ohms: f64| stock::resistor_values().iter().any(|v| (v / ohms - 1.0).abs() < 1e-6);
    let find = |share: f64| smallest(duty, ohms, share);
    let pair = || {
        let joined = if stocked(ohms / 2.0) {
            Joined::Series
        } else if stocked(ohms * 2.0) {
            Joined::Parallel
        } else {
            return None;
        };
        Some((find(0.5)?, joined))
    };
    match find(1.0).map(|size| (size, Joined::Single)).or_else(pair) {
        Some((size, joined)) => Dropper::made(ohms, size, joined),
        None => Dropper::bare(ohms),
    }
}

/// What there is around `value`: of the owner's resistors the two that come nearest; without any, of stock the nearest
/// single ones, and two in series where none of these comes near enough.
pub fn near(own: &[(f64, ResistorSize)], duty: &Duty, value: f64) -> Vec<Dropper> {
    let wanted = value.max(0.5);
    if !own.is_empty() {
        let mut own = own.to_vec();
        own.sort_by(by(|(ohms, _): &(f64, _)| (ohms / wanted).ln().abs()));
        let nearest = own.into_iter().take(2);
        return nearest
            .map(|(ohms, size)| {
                let build = Build { size, joined: Joined::Single, own: true };
                Dropper { ohms, build: Some(build) }
            })
            .collect();
    }
    let single = stock::resistors_near(wanted).into_iter();
    let mut list: Vec<_> = single.map(|ohms| build(duty, ohms)).collect();
    // ohms too many take their volts off the set, and the heaters follow its volts
    let left = duty.outlet - duty.amps * value;
    let comes_near = |ohms: f64| duty.amps * (ohms - value).abs() <= SINGLE_WITHIN * left;
    let one = left <= 0.0 || list.iter().any(|d| d.build.is_some() && comes_near(d.ohms));
    list.extend(if one { None } else { two(duty, value) });
    list
}

/// `ohms` of the smallest fusible type for `amps` RMS of work under the chassis: a fault it need not bear, for it opens.
pub fn fusible(amps: f64, ohms: f64) -> Option<Dropper> {
    let watts = RATING_MARGIN * amps * amps * ohms * (1.0 + VALUE_TOLERANCE);
    let mut sizes = stock::resistor_sizes().iter().filter(|s| s.fusible);
    let size = sizes.find(|s| s.derated_w(UNDER_CHASSIS_C) >= watts)?.clone();
    Some(Dropper::made(ohms, size, Joined::Single))
}

impl Adaptation for SeriesResistor {
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown { what: Sought::Resistance, unit: "Ω", low: 0.0, high: 1000.0 })
    }
    fn exact(&self, value: f64, _: &Duty) -> AnyPart {
        Box::new(Dropper::bare(value))
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<AnyPart> {
        any(near(&self.own, duty, value))
    }
}
