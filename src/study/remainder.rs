//! Judges a set behind a step transformer, and what remains to be fitted there.

use super::StudyError;
use super::behind::{Behind, SecondRefused};
use super::judge::{Bench, Judged, run_day};
use crate::adaptation::remainders;

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
            let today = run_day(self.receiver, &self.outlet, alone, None)?;
            let bench = Bench { today: &today, ..*self };
            for (method, remainder) in remainders(alone, usual, self.shelf) {
                let (both, part) = match bench.judge_fused(choice.method, &*remainder) {
                    Ok((both, Some(part))) if both.objections.is_empty() => (both, part),
                    Ok((both, _)) => {
                        let why = both.first_reason().unwrap_or_default();
                        behind.refused.push(SecondRefused { method, why });
                        continue;
                    }
                    Err(error) => {
                        let why = error.to_string();
                        behind.refused.push(SecondRefused { method, why });
                        continue;
                    }
                };
                behind.method = Some(method);
                behind.part = part.second().map(|second| second.bought());
                behind.part_value = part.second().map(|second| second.value());
                let (unit, caveat) = (choice.unit, choice.caveat);
                let (exact, exact_reading) = (None, None);
                let behind = Some(behind);
                let unknown = None;
                choice =
                    super::Choice { unit, caveat, exact, exact_reading, behind, unknown, ..both };
                return Ok((choice, Some(part)));
            }
        }
        choice.behind = Some(behind);
        Ok((choice, part))
    }
}
