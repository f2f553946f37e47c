//! Faults, each solved with the circuit, and what fuse and part make of them.

use super::{FuseReport, heater_reading::most_excess, read, settle, share};
use crate::{
    adaptation::{Failure, Method, Part},
    catalogue::stock::FuseStandard,
    receiver::{Fault, Operation, Receiver, ReceiverError, Straight},
};
use serde::{Serialize, Serializer};
use std::fmt;

/// The time the makers' short-overload figures are for, s.
const OVERLOAD_S: f64 = 5.0;

/// Volts that the first filter capacitor must stand above B+ to be told beside it.
const APART_V: f64 = 1.0;

/// What the fuse makes of a current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FuseAction {
    /// Current over its rating.
    pub multiple: f64,
    /// Longest time to open by its standard, s; `None` if it need not open.
    pub opens_within_s: Option<f64>,
}

/// What is wrong.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum FaultCase {
    /// In the set.
    InSet(Fault),
    /// The part is open, in its own words.
    Open(&'static str),
    /// The small transformer's winding is connected the wrong way round, in the part's words.
    Reversed(&'static str),
    /// A current at the edge of what the fuse must or may hold for an hour.
    #[default]
    Partial,
}

impl fmt::Display for FaultCase {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(match self {
            FaultCase::InSet(fault) => fault.title(),
            FaultCase::Open(words) | FaultCase::Reversed(words) => words,
            FaultCase::Partial => "sustained overload",
        })
    }
}

/// As its words.
impl Serialize for FaultCase {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// A fault and its consequences, at high line.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FaultReport {
    /// The fault.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub fault: FaultCase,
    /// Line current, A RMS.
    pub line_a: Option<f64>,
    /// The fuse.
    pub fuse: Option<FuseAction>,
    /// Heat in the part in the lead until then, W.
    pub part_w: Option<f64>,
    /// Heat in each part that is fitted, as in [`super::Reading::fitted_w`].
    #[serde(skip)]
    pub fitted_w: Vec<f64>,
    /// What the part may lose for that long, W.
    pub part_allowed_w: Option<f64>,
    /// True if the part burns before the fuse must open.
    pub burns: bool,
    /// Heat in the resistor that the set has in its line cord, where it stays, W.
    pub mains_resistor_w: Option<f64>,
    /// True if that is more than it bears until the fuse must open: its rating, or, where none is known, twice its heat in the
    /// sound set at high line (a wirewound part run at half its rating: common practice, no source).
    pub mains_resistor_burns: bool,
    /// True if a fusible resistor opens and ends it: no B+ is left.
    pub fusible_opens: bool,
    /// Volts at the set's primary leads, V RMS.
    pub set_v: Option<f64>,
    /// Heater volts over rated, minus one; where a tube is out of a string with heaters side by side, those that get most.
    pub heater_excess: Option<f64>,
    /// B+ against chassis, average, V.
    pub b_plus_v: Option<f64>,
    /// Positive side of the first filter capacitor against chassis, average, V, where it stands more than a volt above B+.
    pub reservoir_v: Option<f64>,
    /// Voltage across the tapped part of a rectifier's heater whose lamp is burnt out, V RMS.
    pub tap_v: Option<f64>,
    /// Filter capacitor whose working volts are passed.
    pub capacitor_passed: Option<String>,
    /// Why there is no answer, where the case has none.
    pub unsolved: Option<String>,
}

impl FaultReport {
    /// True if the fuse need not open while something is wrong.
    pub fn fuse_holds(&self) -> bool {
        self.fault != FaultCase::Partial && self.fuse.is_some() && self.opens_within_s().is_none()
    }

    /// Longest time until the fuse must open, s; `None` if it need not, or none is known.
    pub(super) fn opens_within_s(&self) -> Option<f64> {
        self.fuse.and_then(|fuse| fuse.opens_within_s)
    }

    /// The energy of a short overload of so many times its rating, spread over that time, W.
    pub(super) fn spread_w(&self, overload: f64, rated_w: f64) -> f64 {
        self.opens_within_s().map_or(0.0, |s| overload * OVERLOAD_S / s * rated_w)
    }
}

/// A fuse behind which a fault burns the part.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OtherFuse {
    /// Standard of its rating.
    pub standard: &'static str,
    /// Rating, A.
    pub rating_a: f64,
    /// The fault.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub fault: FaultCase,
    /// Heat it puts into the part, W.
    pub heat_w: f64,
    /// What the part may lose until that fuse must open, W.
    pub allowed_w: f64,
}

/// The fuse of a set: that of the choice advised; of the set as it is where none is. Plan, note and power-up go by it.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SetFuse {
    /// The choice it is for.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub choice: Method,
    /// The fuse.
    #[serde(flatten)]
    pub fuse: FuseReport,
    /// The fuse of the outlet's country that it takes the place of.
    pub instead_of: Option<OtherFuse>,
    /// Another choice with nothing against it that does with a fuse of the outlet's country, where this one does not.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub country_choice: Option<Method>,
}

/// The set as it is at high line, sound and with each of its faults.
pub struct Bare {
    sound: Operation,
    faulty: Vec<(Fault, Result<Operation, ReceiverError>)>,
}

impl Bare {
    /// Solves the faults of `receiver` from its point `sound`.
    pub fn of(receiver: &Receiver, sound: &Operation) -> Bare {
        let solve =
            |fault: &Fault| (*fault, receiver.run_fault(sound.line, &Straight, *fault, sound));
        let faulty = share::each(&Fault::of(receiver.model()), solve);
        Bare { sound: sound.clone(), faulty }
    }
}

/// What faults are judged with.
pub struct FaultBench<'a> {
    pub receiver: &'a Receiver,
    pub standard: FuseStandard,
    pub fuse_a: f64,
    pub line: f64,
    /// The set on that line without a part: a fault takes a choice about where it takes that.
    pub bare: &'a Bare,
}

impl FaultBench<'_> {
    /// All faults of the set behind `part`, started from `sound`, its operating point at high line.
    pub fn all(&self, part: &dyn Part, sound: &Operation) -> Vec<FaultReport> {
        let (receiver, line) = (self.receiver, self.line);
        let in_set = |(fault, bare): &(Fault, Result<Operation, ReceiverError>)| {
            let solved = match bare {
                bare if part.is_nothing() && line == self.bare.sound.line => bare.clone(),
                Ok(bare) => {
                    let begin = sound.gone(&self.bare.sound, bare);
                    receiver.run_fault(line, part, *fault, &begin)
                }
                Err(_) => receiver.run_fault(line, part, *fault, sound),
            };
            // what is fitted may stand ahead of the heaters now
            let string = receiver.model().string.as_ref();
            let string = string.filter(|_| matches!(fault, Fault::StringShorted(_)));
            let ahead = string.map(|s| Fault::StringShorted(s.ahead(part.inside().string_ohms)));
            let fault = ahead.unwrap_or(*fault);
            self.report(FaultCase::InSet(fault), part, solved)
        };
        let mut list: Vec<FaultReport> = self.bare.faulty.iter().map(in_set).collect();
        let settled = |part: &dyn Part, near: Option<&Operation>| {
            let from = |near| settle::run(receiver, part, line, near).map(|s| s.operation);
            // far from the sound set the design line may be the nearer start
            from(near).or_else(|error| if near.is_some() { from(None) } else { Err(error) })
        };
        let open = [Failure::Open, Failure::PrimaryOpen];
        for (words, open) in open.into_iter().filter_map(|how| part.failed(how)) {
            list.push(self.report(FaultCase::Open(words), &*open, settled(&*open, Some(sound))));
        }
        if let Some((words, reversed)) = part.failed(Failure::Reversed) {
            let solved = settled(&*reversed, None);
            list.push(self.report(FaultCase::Reversed(words), &*reversed, solved));
        }
        if part.stands_in_lead() {
            list.push(self.partial(part, sound));
        }
        if let Some(bears) = self.mains_resistor_bears(sound) {
            for fault in &mut list {
                let allowed = bears + fault.spread_w(1.0, bears);
                fault.mains_resistor_burns = fault.mains_resistor_w.is_some_and(|w| w > allowed);
            }
        }
        list
    }

    /// What the set's own resistor in its lead bears for ever, W; `sound` is the set at high line.
    fn mains_resistor_bears(&self, sound: &Operation) -> Option<f64> {
        let running = read(self.receiver, sound).mains_resistor()?.power_w;
        Some(self.receiver.model().mains_resistor?.rated.unwrap_or(2.0 * running))
    }

    /// The partial fault: a current at the edge of what the fuse must or may hold for an hour.
    fn partial(&self, part: &dyn Part, sound: &Operation) -> FaultReport {
        let amps = self.standard.held_for_an_hour() * self.fuse_a;
        let heat = vec![part.fault_w(amps)];
        // at the edge the fuse is not counted on, whatever its gate says
        let multiple = self.standard.held_for_an_hour();
        let own = self.receiver.model().mains_resistor;
        let own = own.filter(|r| r.by_maker || part.inside().keeps_resistor);
        // what transforms gives the set more or less than the line gives it, in the share it does at work
        let sound = read(self.receiver, sound);
        let set_a = amps * sound.primary_a / sound.line_a;
        FaultReport {
            mains_resistor_w: own.map(|r| set_a * set_a * r.ohms),
            fuse: Some(FuseAction { multiple, opens_within_s: None }),
            ..judged(FaultCase::Partial, part, amps, heat)
        }
    }

    fn report(
        &self,
        fault: FaultCase,
        part: &dyn Part,
        solved: Result<Operation, impl ToString>,
    ) -> FaultReport {
        let operation = match solved {
            Ok(operation) => operation,
            Err(error) => {
                let unsolved = Some(error.to_string());
                return FaultReport { fault, unsolved, ..FaultReport::default() };
            }
        };
        let r = read(self.receiver, &operation);
        let is_lamp = fault == FaultCase::InSet(Fault::DialLampOpen);
        let string = self.receiver.model().string.as_ref().filter(|_| is_lamp);
        let out = matches!(fault, FaultCase::InSet(Fault::BranchOpen(_) | Fault::OutputTubeOut));
        let passed = r.capacitors.iter().find(|c| c.rated_v.is_some_and(|v| c.peak_v > v));
        FaultReport {
            fuse: Some(self.action(r.line_a)),
            set_v: Some(r.set_v),
            heater_excess: Some(if out && r.heaters.iter().any(|h| h.branch.is_some()) {
                most_excess(&r.heaters, &operation)
            } else {
                r.heater_excess()
            }),
            b_plus_v: Some(r.b_plus_v),
            reservoir_v: (r.reservoir_v > r.b_plus_v + APART_V).then_some(r.reservoir_v),
            tap_v: string.and_then(|s| s.tap).map(|place| operation.heater_volts(place)),
            capacitor_passed: passed.map(|c| c.name.clone()),
            mains_resistor_w: r.mains_resistor().map(|m| m.power_w),
            ..judged(fault, part, r.line_a, r.fitted_w)
        }
    }

    fn action(&self, amps: f64) -> FuseAction {
        let multiple = amps / self.fuse_a;
        FuseAction { multiple, opens_within_s: self.standard.opens_within(multiple) }
    }
}

fn judged(fault: FaultCase, part: &dyn Part, amps: f64, fitted_w: Vec<f64>) -> FaultReport {
    let rated = part.resistors().first().is_some_and(|r| r.build.is_some());
    FaultReport {
        fault,
        line_a: Some(amps),
        part_w: fitted_w.first().copied().filter(|_| rated),
        fitted_w,
        ..FaultReport::default()
    }
}
