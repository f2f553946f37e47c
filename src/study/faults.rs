//! Faults, each solved with the circuit, and what fuse and part make of them.

use super::rating::RatingReport;
use super::reading;
use super::settle;
use crate::adaptation::Part;
use crate::catalogue::stock::FuseStandard;
use crate::receiver::{Fault, Operation, Receiver};
use serde::Serialize;

/// Longest time, in seconds, for which a wirewound part's short-overload figure is counted on, and the overload: the
/// trade's "5 to 10 times for seconds", taken at 5 for the two minutes of a fuse's gate (from memory).
const OVERLOAD_S: f64 = 120.0;
const OVERLOAD: f64 = 5.0;

/// What the fuse makes of a current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FuseAction {
    /// Current over its rating.
    pub multiple: f64,
    /// Longest time to open by its standard, s; `None` if it need not open.
    pub opens_within_s: Option<f64>,
}

/// A fault and its consequences, at high line.
#[derive(Debug, Clone, Serialize)]
pub struct FaultReport {
    /// The fault.
    pub fault: String,
    /// Line current, A RMS.
    pub line_a: Option<f64>,
    /// The fuse.
    pub fuse: Option<FuseAction>,
    /// Heat in the part in the lead until then, W.
    pub part_w: Option<f64>,
    /// What the part may lose for that long, W.
    pub part_allowed_w: Option<f64>,
    /// True if the part burns before the fuse must open.
    pub burns: bool,
    /// Heater volts over rated, minus one.
    pub heater_excess: Option<f64>,
    /// Highest volts of the supply against chassis, V.
    pub b_plus_v: Option<f64>,
    /// Filter capacitor whose working volts are passed.
    pub capacitor_passed: Option<String>,
    /// Why there is no answer, where the case has none.
    pub unsolved: Option<String>,
}

/// What faults are judged with.
pub(super) struct FaultBench<'a> {
    pub receiver: &'a Receiver,
    pub standard: FuseStandard,
    pub fuse_a: f64,
    pub line: f64,
    pub rating: Option<&'a RatingReport>,
}

impl FaultBench<'_> {
    /// All faults of the set behind `part`, started from `sound`, its operating point at high line.
    pub fn all(&self, part: &dyn Part, sound: &Operation) -> Vec<FaultReport> {
        let mut list: Vec<FaultReport> = Fault::ALL
            .iter()
            .map(|fault| {
                let solved = self
                    .receiver
                    .run_fault(self.line, part, *fault, sound)
                    .map_err(|e| e.to_string());
                self.report(fault.title(), part, solved)
            })
            .collect();
        if let Some(open) = part.opened() {
            let solved = settle::run(self.receiver, &*open, self.line, Some(sound));
            let title = if part.reversed().is_some() {
                "bucking secondary open"
            } else {
                "resistor open"
            };
            list.push(self.report(title, &*open, solved.map(|s| s.operation).map_err(|e| e.to_string())));
        }
        if let Some(reversed) = part.reversed() {
            let solved = settle::run(self.receiver, &*reversed, self.line, None);
            let solved = solved.map(|s| s.operation).map_err(|e| e.to_string());
            list.push(self.report("bucking winding reversed", &*reversed, solved));
        }
        list.push(self.partial(part));
        list
    }

    /// The partial fault: a current at the edge of what the fuse must or may hold for an hour.
    fn partial(&self, part: &dyn Part) -> FaultReport {
        let amps = self.standard.held_for_an_hour() * self.fuse_a;
        let watts = part.rated_watts().map(|_| amps * amps * part.value());
        let mut report = self.judged(
            "partial fault at the fuse's edge, for an hour",
            amps,
            watts,
            Some(3600.0),
        );
        // at the edge the fuse is not counted on, whatever its gate says
        report.fuse = Some(FuseAction {
            multiple: self.standard.held_for_an_hour(),
            opens_within_s: None,
        });
        report
    }

    fn report(
        &self,
        title: &str,
        part: &dyn Part,
        solved: Result<Operation, String>,
    ) -> FaultReport {
        let operation = match solved {
            Ok(operation) => operation,
            Err(error) => {
                return FaultReport {
                    fault: title.to_owned(),
                    line_a: None,
                    fuse: None,
                    part_w: None,
                    part_allowed_w: None,
                    burns: false,
                    heater_excess: None,
                    b_plus_v: None,
                    capacitor_passed: None,
                    unsolved: Some(error),
                };
            }
        };
        let r = reading::read(self.receiver, &operation);
        let watts = part.rated_watts().map(|_| r.lead_w);
        let fuse = self.action(r.line_a);
        let mut report = self.judged(title, r.line_a, watts, fuse.opens_within_s);
        report.fuse = Some(fuse);
        report.heater_excess = Some(r.heater_excess());
        report.b_plus_v = Some(r.b_plus_v.max(r.reservoir_v));
        report.capacitor_passed = r
            .capacitors
            .iter()
            .find(|c| c.rated_v.is_some_and(|rated| c.peak_v > rated))
            .map(|c| c.name.clone());
        report
    }

    fn action(&self, amps: f64) -> FuseAction {
        let multiple = amps / self.fuse_a;
        FuseAction {
            multiple,
            opens_within_s: self.standard.opens_within(multiple),
        }
    }

    fn judged(
        &self,
        title: &str,
        amps: f64,
        watts: Option<f64>,
        within_s: Option<f64>,
    ) -> FaultReport {
        let allowed = self.rating.map(|rating| match within_s {
            Some(seconds) if seconds <= OVERLOAD_S => OVERLOAD * rating.rated_w,
            _ => rating.derated_w(),
        });
        let burns = watts.zip(allowed).is_some_and(|(w, limit)| w > limit);
        FaultReport {
            fault: title.to_owned(),
            line_a: Some(amps),
            fuse: None,
            part_w: watts,
            part_allowed_w: allowed,
            burns,
            heater_excess: None,
            b_plus_v: None,
            capacitor_passed: None,
            unsolved: None,
        }
    }
}
