//! Judges a set behind a step transformer or on another tap, and what remains to be fitted there.

use super::StudyError;
use super::behind::{Behind, SecondRefused};
use super::choice::Choice;
use super::day::{DayRun, run_day};
use super::judge::{Bench, Judged};
use crate::adaptation::{Adaptation, Method, Part, Shelf, remainders};

/// How far the target may be missed on another tap before a part is looked for beside it, as a share.
const TAP_LEAVES: f64 = 0.05;

impl Bench<'_> {
    /// A judged step transformer with what remains behind it: where something speaks against the set straight on its output,
    /// the set is judged again with a second part there, both in the circuit.
    ///
    /// # Errors
    /// A point that could not be solved.
    pub(super) fn with_remainder(&self, alone: Judged) -> Result<Judged, StudyError> {
        let (mut choice, part) = alone;
        let (Some(alone), Some(day)) = (part.as_deref(), &choice.day) else {
            return Ok((choice, part));
        };
        let [low, usual, high] = [&day.low, &day.usual, &day.high].map(|r| r.set_v);
        let mut behind = Behind {
            gives_low_v: low,
            gives_usual_v: usual,
            gives_high_v: high,
            enough: choice.objections.is_empty(),
            method: None,
            part: None,
            part_value: None,
            refused: Vec::new(),
        };
        if !behind.enough {
            let today = run_day(self.receiver, &self.outlet, alone, None, Some(self.today))?;
            let list = remainders(alone, usual, self.shelf);
            if let Some((both, part)) = self.second(choice.method, &today, list, &mut behind) {
                let (unit, caveat) = (choice.unit, choice.caveat);
                choice = Choice { unit, caveat, ..both };
                choice.behind = Some(behind);
                return Ok((choice, Some(part)));
            }
        }
        choice.behind = Some(behind);
        Ok((choice, part))
    }

    /// Another tap with a part in the lead, where the tap alone of `judged` leaves more than [`TAP_LEAVES`] and nothing
    /// short of a step transformer serves.
    ///
    /// # Errors
    /// A point that could not be solved.
    pub(super) fn tap_and_part(&self, judged: &[Judged]) -> Result<Option<Judged>, StudyError> {
        let serves = |c: &Choice| c.day.is_some() && c.objections.is_empty();
        let reached = judged.iter().any(|(c, _)| serves(c) && !c.method.facts().steps);
        let tap = judged.iter().find(|(c, _)| c.method == Method::Tap);
        let Some((choice, Some(tap))) = tap.filter(|_| !reached) else {
            return Ok(None);
        };
        let (Some(volts), Some(day)) = (choice.part_value, &choice.day) else {
            return Ok(None);
        };
        if choice.target_miss.is_none_or(|miss| miss.abs() <= TAP_LEAVES) {
            return Ok(None);
        }
        let [low, usual, high] = [&day.low, &day.usual, &day.high].map(|r| r.set_v);
        let mut behind = Behind {
            gives_low_v: low,
            gives_usual_v: usual,
            gives_high_v: high,
            enough: false,
            method: None,
            part: None,
            part_value: None,
            refused: Vec::new(),
        };
        let today = run_day(self.receiver, &self.outlet, &**tap, None, Some(self.today))?;
        let shelf = Shelf { design_line: volts, taps: Vec::new(), ..self.shelf.clone() };
        let list = remainders(&**tap, usual, &shelf);
        let found = self.second(Method::TapAndPart, &today, list, &mut behind);
        Ok(found.map(|(mut both, part)| {
            both.unit = choice.unit;
            both.behind = Some(behind);
            (both, Some(part))
        }))
    }

    /// The first of `list`, second parts, with nothing against it, the set standing as `today` on the first part; what does
    /// not serve is told in `behind`, and so is what does.
    fn second(
        &self,
        method: Method,
        today: &DayRun,
        list: Vec<(Method, Box<dyn Adaptation>)>,
        behind: &mut Behind,
    ) -> Option<(Choice, Box<dyn Part>)> {
        let bench = Bench { today, ..*self };
        for (second, remainder) in list {
            let why = match bench.judge_fused(method, &*remainder) {
                Ok((both, Some(part))) if both.objections.is_empty() => {
                    behind.method = Some(second);
                    behind.part = part.second().map(|second| second.bought());
                    behind.part_value = part.second().map(|second| second.value());
                    let unsolved =
                        Choice { exact: None, exact_reading: None, unknown: None, ..both };
                    return Some((unsolved, part));
                }
                Ok((both, _)) => both.first_reason().unwrap_or_default(),
                Err(error) => error.to_string(),
            };
            behind.refused.push(SecondRefused { method: second, why });
        }
        None
    }
}
