//! A choice of a plan with a meter in hand.

use super::{
    Checkpoint, Result, SupplySketch, checkpoint, day::run_day, read, solve::Solved, supply,
};
use crate::{adaptation::Part, receiver::Straight};

/// A choice as it is met with a meter in hand.
pub struct WithPart {
    /// The supply on the usual line.
    pub supply: SupplySketch,
    /// What a meter should read.
    pub checkpoints: Vec<Checkpoint>,
    /// By what their ranges must be widened to hold all points of a sound set nine times in ten.
    pub together: f64,
}

impl Solved {
    /// The choice at `place` on the day's outlet.
    ///
    /// # Errors
    /// It has no solution there.
    pub fn with_part(&self, place: usize) -> Result<WithPart> {
        let (receiver, outlet) = (&self.receiver, &self.plan.outlet);
        let part: &dyn Part = self.parts[place].as_deref().unwrap_or(&Straight);
        let run = run_day(receiver, outlet, part, None, None)?;
        let straight = receiver.run(outlet.usual_v, &Straight, None)?;
        let [before, low, usual, high] =
            [&straight, &run.low, &run.usual, &run.high].map(|o| read(receiver, o));
        let fitted = !part.is_nothing();
        let with = match fitted {
            true => Some(self.moved.spread(part, outlet.usual_v, &run.usual)?),
            false => None,
        };
        let spread = with.as_ref().unwrap_or(&self.spread);
        let (checkpoints, together) =
            checkpoint::points(spread, fitted, &usual, [&before, &low, &high]);
        Ok(WithPart {
            supply: supply::sketch(receiver, &run.usual, |p| self.spread.assumes(p)),
            checkpoints,
            together,
        })
    }
}
