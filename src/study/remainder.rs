//! Judges a set behind a step transformer or on another tap, and what remains to be fitted there.

use super::{
    Behind, Choice, Result, SecondRefused,
    day::{DayRun, run_day},
    judge::{Judged, Trial},
};
use crate::adaptation::{Method, Part, Shelf, remainders};

/// How far the target may be missed on another tap before a part is looked for beside it, as a share.
const TAP_LEAVES: f64 = 0.05;

impl Trial<'_> {
    /// A judged step transformer with what remains behind it: where something speaks against the set straight on its output,
    /// the set is judged again with a second part there, both in the circuit.
    ///
    /// # Errors
    /// A point that could not be solved.
    pub fn with_remainder(&self, alone: Judged) -> Result<Judged> {
        let (mut choice, part) = alone;
        let (Some(first), Some(mut behind)) = (part.as_deref(), Behind::of(&choice)) else {
            return Ok((choice, part));
        };
        if !behind.enough {
            let (unit, caveat) = (choice.unit, choice.caveat);
            let found = self.second(choice.method, first, self.shelf, &mut behind)?;
            if let Some((both, second)) = found {
                let behind = Some(behind);
                return Ok((Choice { unit, caveat, behind, ..both }, Some(second)));
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
    pub fn tap_and_part(&self, judged: &[Judged]) -> Result<Option<Judged>> {
        let reached = judged.iter().any(|(c, _)| c.serves() && !c.method.facts().steps);
        let tap = judged.iter().find(|(c, _)| c.method == Method::Tap && !reached);
        let Some((choice, Some(tap))) = tap else {
            return Ok(None);
        };
        let off = choice.target_miss.is_some_and(|miss| miss.abs() > TAP_LEAVES);
        let (Some(design_line), Some(behind), true) = (choice.part_value, Behind::of(choice), off)
        else {
            return Ok(None);
        };
        let mut behind = Behind { enough: false, ..behind };
        let shelf = Shelf { design_line, taps: Vec::new(), ..self.shelf.clone() };
        Ok(self.second(Method::TapAndPart, &**tap, &shelf, &mut behind)?.map(|(both, part)| {
            (Choice { unit: choice.unit, behind: Some(behind), ..both }, Some(part))
        }))
    }

    /// The first of the second parts behind `first` with nothing against it; what does not serve is told in `behind`, and so
    /// is what does.
    fn second(
        &self,
        method: Method,
        first: &dyn Part,
        shelf: &Shelf,
        behind: &mut Behind,
    ) -> Result<Option<(Choice, Box<dyn Part>)>> {
        let today: &DayRun =
            &run_day(self.set.receiver, &self.set.outlet, first, None, Some(self.today))?;
        let bench = Trial { today, ..*self };
        for (second, remainder) in remainders(first, behind.gives_usual_v, shelf) {
            let why = match bench.judge_fused(method, &*remainder) {
                Ok((both, Some(part))) if both.objections.is_empty() => {
                    behind.method = Some(second);
                    behind.part = part.second().map(|second| second.bought());
                    behind.part_value = part.second().map(|second| second.value());
                    let unsolved =
                        Choice { exact: None, exact_reading: None, unknown: None, ..both };
                    return Ok(Some((unsolved, part)));
                }
                Ok((both, _)) => both.first_reason().unwrap_or_default(),
                Err(error) => error.to_string(),
            };
            behind.refused.push(SecondRefused { method: second, why });
        }
        Ok(None)
    }
}

impl Behind {
    /// What the part of `choice` gives by itself, where it is solved.
    fn of(choice: &Choice) -> Option<Behind> {
        let day = choice.day.as_ref()?;
        Some(Behind {
            gives_low_v: day.low.set_v,
            gives_usual_v: day.usual.set_v,
            gives_high_v: day.high.set_v,
            enough: choice.objections.is_empty(),
            method: None,
            part: None,
            part_value: None,
            refused: Vec::new(),
        })
    }
}
