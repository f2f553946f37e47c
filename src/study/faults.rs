//! Faults, each solved with the circuit, and what fuse and part make of them.

use super::fuse::FuseReport;
use super::heater_reading::most_excess;
use super::rating::RatingReport;
use super::reading;
use super::settle;
use super::share;
use crate::adaptation::{Dropper, Failure, Method, Part};
use crate::catalogue::stock::FuseStandard;
use crate::receiver::{Fault, Operation, Receiver, ReceiverError, Straight};
use schemars::JsonSchema;
use serde::{Serialize, Serializer};
use std::fmt;

/// The time the makers' short-overload figures are for, s.
const OVERLOAD_S: f64 = 5.0;

/// Volts that the first filter capacitor must stand above B+ to be told beside it.
const APART_V: f64 = 1.0;

/// A fuse's hour, s.
const AN_HOUR_S: f64 = 3600.0;

/// What the fuse makes of a current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
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
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            FaultCase::InSet(fault) => fault.title(),
            FaultCase::Open(words) | FaultCase::Reversed(words) => words,
            FaultCase::Partial => "partial fault, an hour at the edge",
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
#[derive(Debug, Clone, Default, Serialize, JsonSchema)]
pub struct FaultReport {
    /// The fault.
    #[schemars(with = "String")]
    pub fault: FaultCase,
    /// Line current, A RMS.
    pub line_a: Option<f64>,
    /// The fuse.
    pub fuse: Option<FuseAction>,
    /// Heat in the part in the lead until then, W.
    pub part_w: Option<f64>,
    /// Heat in each part that is fitted, as in [`reading::Reading::fitted_w`].
    #[serde(skip)]
    pub fitted_w: Vec<f64>,
    /// What the part may lose for that long, W.
    pub part_allowed_w: Option<f64>,
    /// True if the part burns before the fuse must open.
    pub burns: bool,
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
    /// Volts of the tapped part of a rectifier's heater whose lamp is burnt out, V RMS.
    pub tap_v: Option<f64>,
    /// Filter capacitor whose working volts are passed.
    pub capacitor_passed: Option<String>,
    /// Why there is no answer, where the case has none.
    pub unsolved: Option<String>,
}

impl FaultReport {
    /// True if the fuse need not open while something is wrong.
    pub fn fuse_holds(&self) -> bool {
        self.fault != FaultCase::Partial
            && self.fuse.is_some_and(|fuse| fuse.opens_within_s.is_none())
    }
}

/// A fuse behind which a fault burns the part.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OtherFuse {
    /// Standard of its rating.
    pub standard: &'static str,
    /// Rating, A.
    pub rating_a: f64,
    /// The fault.
    #[schemars(with = "String")]
    pub fault: FaultCase,
    /// Heat it puts into the part, W.
    pub heat_w: f64,
    /// What the part may lose until that fuse must open, W.
    pub allowed_w: f64,
}

/// The fuse of a set: that of the choice advised; of the set as it is where none is. Plan, note and power-up go by it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SetFuse {
    /// The choice it is for.
    #[schemars(with = "String")]
    pub choice: Method,
    /// The fuse.
    #[serde(flatten)]
    pub fuse: FuseReport,
    /// The fuse of the outlet's country that it takes the place of.
    pub instead_of: Option<OtherFuse>,
    /// Another choice with nothing against it that does with a fuse of the outlet's country, where this one does not.
    #[schemars(with = "Option<String>")]
    pub country_choice: Option<Method>,
}

/// The set as it is at high line, sound and with each of its faults.
pub(super) struct Bare {
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
pub(super) struct FaultBench<'a> {
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
        let in_set = |(fault, bare): &(Fault, Result<Operation, ReceiverError>)| {
            let solved = match bare {
                bare if part.is_nothing() && self.line == self.bare.sound.line => bare.clone(),
                Ok(bare) => {
                    let begin = sound.gone(&self.bare.sound, bare);
                    self.receiver.run_fault(self.line, part, *fault, &begin)
                }
                Err(_) => self.receiver.run_fault(self.line, part, *fault, sound),
            };
            self.report(FaultCase::InSet(*fault), part, solved)
        };
        let mut list: Vec<FaultReport> = self.bare.faulty.iter().map(in_set).collect();
        let settled = |part: &dyn Part, near: Option<&Operation>| {
            let from = |near| settle::run(self.receiver, part, self.line, near);
            // far from the sound set the design line may be the nearer start
            let found =
                from(near).or_else(|error| if near.is_some() { from(None) } else { Err(error) });
            found.map(|s| s.operation)
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
            list.push(self.partial(part));
        }
        list
    }

    /// The partial fault: a current at the edge of what the fuse must or may hold for an hour.
    fn partial(&self, part: &dyn Part) -> FaultReport {
        let amps = self.standard.held_for_an_hour() * self.fuse_a;
        let heat = vec![part.fault_w(amps)];
        // at the edge the fuse is not counted on, whatever its gate says
        let multiple = self.standard.held_for_an_hour();
        FaultReport {
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
        let r = reading::read(self.receiver, &operation);
        let tap = match fault {
            FaultCase::InSet(Fault::DialLampOpen) => self.receiver.model().string.as_ref(),
            _ => None,
        };
        let passed = r.capacitors.iter().find(|c| c.rated_v.is_some_and(|v| c.peak_v > v));
        FaultReport {
            fuse: Some(self.action(r.line_a)),
            set_v: Some(r.set_v),
            heater_excess: Some(match fault {
                FaultCase::InSet(Fault::BranchOpen(_) | Fault::OutputTubeOut)
                    if r.heaters.iter().any(|h| h.branch.is_some()) =>
                {
                    most_excess(&r.heaters, &operation)
                }
                _ => r.heater_excess(),
            }),
            b_plus_v: Some(r.b_plus_v),
            reservoir_v: (r.reservoir_v > r.b_plus_v + APART_V).then_some(r.reservoir_v),
            tap_v: tap.and_then(|s| s.tap).map(|place| operation.heater_volts(place)),
            capacitor_passed: passed.map(|c| c.name.clone()),
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

/// Most heat a fault puts into the `which`-th part that is fitted for as long as the fuse may hold it, W. An hour is as
/// good as for ever to a part that settles within minutes.
pub(super) fn held_w(faults: &[FaultReport], which: usize) -> f64 {
    let held = faults.iter().filter(|f| {
        let opens = f.fuse.and_then(|fuse| fuse.opens_within_s);
        opens.is_none_or(|seconds| seconds >= AN_HOUR_S)
    });
    held.filter_map(|f| f.fitted_w.get(which)).copied().fold(0.0, f64::max)
}

/// What `part` may lose until the fuse must open in `fault`: what it sheds, and the energy of its short overload spread
/// over that time, W.
pub(super) fn allowed_w(fault: &FaultReport, part: &Dropper, rating: &RatingReport) -> f64 {
    let spread = match fault.fuse.and_then(|f| f.opens_within_s) {
        Some(s) => part.overload_5s().unwrap_or(1.0) * OVERLOAD_S / s * rating.rated_w,
        None => 0.0,
    };
    rating.derated_w() + spread
}

/// The faults that burn `part`, the `which`-th that is fitted, before the fuse must open: its heat and what it may lose, W.
pub(super) fn burning<'a>(
    faults: &'a [FaultReport],
    which: usize,
    part: &'a Dropper,
    rating: &'a RatingReport,
) -> impl Iterator<Item = (&'a FaultReport, f64, f64)> {
    faults.iter().filter_map(move |fault| {
        let (heat, allowed) = (*fault.fitted_w.get(which)?, allowed_w(fault, part, rating));
        (heat > allowed && !part.is_fusible()).then_some((fault, heat, allowed))
    })
}

/// Says of each fault what `part`, the first that is fitted, may lose until the fuse must open, and whether it burns. The
/// currents do not depend on the part's size, so a larger part of the same value is judged by the same solutions.
pub(super) fn judge_heat(faults: &mut [FaultReport], part: &Dropper, rating: &RatingReport) {
    for fault in faults {
        let allowed = allowed_w(fault, part, rating);
        fault.part_allowed_w = fault.part_w.map(|_| allowed);
        fault.burns = fault.part_w.is_some_and(|w| w > allowed);
    }
}

/// Says which faults end with `part` open, the `which`-th that is fitted: those that overload a fusible type.
pub(super) fn judge_fusible(
    faults: &mut [FaultReport],
    which: usize,
    part: &Dropper,
    rating: &RatingReport,
) {
    for fault in faults.iter_mut().filter(|_| part.is_fusible()) {
        let allowed = allowed_w(fault, part, rating);
        fault.fusible_opens = fault.fitted_w.get(which).is_some_and(|watts| *watts > allowed);
    }
}

#[cfg(test)]
mod tests {
    use super::super::rating::{Circuit, rate};
    use super::*;
    use crate::adaptation::{Build, Joined};
    use crate::catalogue::stock::resistor_sizes;

    /// 22 Ω of a size that is not meant for a heat sink.
    fn dropper() -> Dropper {
        let mut sizes = resistor_sizes().iter();
        let size = sizes.find(|s| s.unmounted_share.is_none() && s.rating_w >= 20.0);
        Dropper {
            ohms: 22.0,
            build: size.map(|size| Build {
                size: size.clone(),
                joined: Joined::Single,
                own: false,
            }),
        }
    }

    fn fault(watts: Option<f64>, opens: Option<Option<f64>>) -> FaultReport {
        FaultReport {
            fuse: opens.map(|opens_within_s| FuseAction { multiple: 2.0, opens_within_s }),
            part_w: watts,
            fitted_w: watts.into_iter().collect(),
            ..FaultReport::default()
        }
    }

    /// Counted is what no fuse ends within the hour, by its standard's gates or for want of a fuse.
    #[test]
    fn held_is_what_no_fuse_ends_within_the_hour() {
        let short = fault(Some(50.0), Some(Some(10.0)));
        let hour = fault(Some(30.0), Some(Some(3600.0)));
        let never = fault(Some(20.0), Some(None));
        let no_fuse = fault(Some(12.0), None);
        let no_heat = fault(None, None);
        assert_eq!(held_w(&[], 0), 0.0);
        assert_eq!(held_w(std::slice::from_ref(&short), 0), 0.0);
        assert_eq!(held_w(&[no_heat.clone(), no_fuse.clone()], 0), 12.0);
        assert_eq!(held_w(&[no_fuse, short.clone(), never.clone()], 0), 20.0);
        assert_eq!(held_w(&[never, hour, short, no_heat], 0), 30.0);
    }

    /// The makers' overload for 5 s is an energy: over 10 s half of its watts are borne beside what the part sheds.
    #[test]
    fn a_part_bears_its_short_overload_spread_over_the_fuses_time() {
        let part = dropper();
        let rating = rate(&part, 1.0, Circuit::Cord).unwrap();
        let (sheds, overload) = (rating.derated_w(), part.overload_5s().unwrap());
        assert!(sheds > 0.0 && overload > 1.0);
        for (opens, allowed) in [
            (Some(Some(5.0)), sheds + overload * rating.rated_w),
            (Some(Some(10.0)), sheds + 0.5 * overload * rating.rated_w),
            (Some(Some(120.0)), sheds + overload * rating.rated_w / 24.0),
            (Some(None), sheds),
            (None, sheds),
        ] {
            for share in [0.99, 1.01] {
                let mut faults = [fault(Some(share * allowed), opens), fault(None, opens)];
                judge_heat(&mut faults, &part, &rating);
                let told = faults[0].part_allowed_w.unwrap();
                assert!((told / allowed - 1.0).abs() < 1e-12, "{told} for {allowed}");
                assert_eq!(faults[0].burns, share > 1.0);
                assert!(!faults[1].burns && faults[1].part_allowed_w.is_none());
            }
        }
    }

    /// A fault the fuse holds for an hour rules out the places where it would burn the part, and no other; the box in the
    /// lead is judged by the faults themselves.
    #[test]
    fn places_where_a_held_fault_burns_the_part_are_ruled_out() {
        let part = dropper();
        let at_work = rate(&part, 0.5, Circuit::Cord).unwrap();
        assert!(at_work.places.iter().all(|p| p.acceptable));
        for place in 1..at_work.places.len() {
            let bears = at_work.places[place].derated_w;
            let mut ruled = at_work.clone();
            ruled.rule_out(&part, 1.01 * bears);
            for (after, before) in ruled.places.iter().zip(&at_work.places).skip(1) {
                if before.derated_w <= bears {
                    assert!(!after.acceptable && after.rule.contains("an hour"));
                }
            }
            assert!(ruled.places[0].acceptable);
        }
        let mut kept = at_work.clone();
        kept.rule_out(&part, 0.5);
        assert!(kept.places.iter().all(|p| p.acceptable));
        assert_eq!(kept.derated_w(), kept.places[0].derated_w);
    }
}
