//! How a job is closed: what a plan says of the set as it was left, and of later visits.

use super::{Plan, Result, as_left::as_left, held::Bench, spread::Moved, visits::visits};
use crate::{
    adaptation::Part,
    profile::Profile,
    receiver::{Receiver, Straight},
};

/// Says in `plan` how the set was left with `part`, and what later visits found.
///
/// # Errors
/// As [`visits`].
pub fn close(
    plan: &mut Plan,
    profile: &Profile,
    (receiver, moved): (&Receiver, &Moved),
    part: Option<&dyn Part>,
) -> Result<()> {
    let bench = Bench { receiver, moved, part: part.unwrap_or(&Straight), fitted: part.is_some() };
    let fitted = plan.fitted.as_ref();
    // nothing is said on readings that contradict each other
    if plan.readings.contradiction.is_some() && plan.advice.repairs.is_empty() {
        return Ok(());
    }
    let date = fitted.and_then(|fitted| fitted.date.clone());
    if fitted.is_some() || !profile.as_left.is_empty() {
        plan.as_left = Some(as_left(
            &bench,
            &profile.as_left,
            (plan.choices.first(), fitted),
            !plan.advice.repairs.is_empty(),
        )?);
    }
    plan.visits = visits(&bench, (&profile.as_left, date), &profile.visits)?;
    Ok(())
}
