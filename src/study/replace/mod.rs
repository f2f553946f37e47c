//! A part of a set that is replaced by one of today: sized so that the set stays as designed, with the changed profile, which
//! is solved beside the original.

mod caveat;
mod dropper;
mod field;
mod rectifier;
mod set;

pub use caveat::ReplaceCaveat;
pub use field::{FieldOption, FieldSubstitutes, Hum, NewChoke, SecondCapacitor, filter_factor};
pub use rectifier::{HeaterResistor, RectifierSubstitute, ShortCapacitor, StayingResistor};
pub use set::ReplaceBy;

use super::{
    Caution, DropperSubstitutes, Measure, OutletVolts, Reading, Request, Result, Serialize, What,
    alarms::of_work, caution, outlet,
};
use crate::profile::{self, Change, Document};
use set::{Set, unread};

/// What is replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Replaced {
    /// The speaker's field coil, by a choke or a resistor, or across the supply by a bleeder.
    FieldCoil,
    /// A rectifier tube, by silicon.
    Rectifier,
    /// What stands in series with the heaters.
    Dropper,
    /// The same where it is a ballast tube or a barretter.
    Ballast,
}

/// A part replaced.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Replacement {
    /// Cautions of the set, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// Name of the set.
    pub name: String,
    /// What is replaced.
    pub replaced: Replaced,
    /// What goes, by name.
    pub goes: Vec<String>,
    /// The outlet.
    pub outlet: OutletVolts,
    /// What may take its place.
    pub by: Substitutes,
    /// What to know before it is fitted, in the order of the work.
    pub before: Vec<ReplaceCaveat>,
    /// The line that the set is compared on, V RMS.
    pub line_v: f64,
    /// The set before and after on that line; empty where nothing is advised.
    pub compared: Vec<Compared>,
    /// Lines of the profile that change.
    pub changes: Vec<String>,
    /// The changed profile; none where nothing is advised.
    #[serde(skip)]
    pub changed: Option<String>,
}

/// What may take a part's place, by the part.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Substitutes {
    /// Of a field coil.
    FieldCoil(FieldSubstitutes),
    /// Of a rectifier tube.
    Rectifier(RectifierSubstitute),
    /// Of a dropper or ballast.
    Dropper(DropperSubstitutes),
}

/// A quantity of the set before and after.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Compared {
    /// Its key.
    pub key: String,
    /// In words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// As the profile has it.
    pub before: f64,
    /// As the changed one has it.
    pub after: f64,
}

/// Sizes what takes the place of `part` in the set of `document`, by `by` where that is named, for the outlet of `request`.
///
/// # Errors
/// A set that has no such part, or one that cannot be replaced in it, with the reason; a set without a solution; an outlet that
/// is not known; a profile that cannot be changed as it is written.
pub fn replace(
    document: &Document,
    part: Replaced,
    by: Option<ReplaceBy>,
    request: &Request,
) -> Result<Replacement> {
    let (stated, _) = profile::read(document).map_err(unread)?;
    let (outlet, _) = outlet::settle(&stated, &request.outlet)?;
    let with_the_old = [
        ("readings", stated.readings.is_empty()),
        ("calibration", stated.calibration.is_empty()),
        ("as_left", stated.as_left.is_empty()),
        ("visits", stated.visits.is_empty()),
    ];
    let taken = with_the_old.into_iter().filter(|(_, none)| !none);
    let taken: Vec<Change> = taken.map(|(key, _)| Change::new(key, [])).collect();
    let set = Set::of(document, &taken, outlet)?;
    let (found, by) = match part {
        Replaced::FieldCoil => {
            let (found, by) = field::field_coil(&set, by)?;
            (found, Substitutes::FieldCoil(by))
        }
        Replaced::Rectifier => {
            let (found, by) = rectifier::rectifier(&set, by)?;
            (found, Substitutes::Rectifier(by))
        }
        Replaced::Dropper | Replaced::Ballast => {
            let (found, by) = dropper::dropper(&set, by, part == Replaced::Ballast, request)?;
            (found, Substitutes::Dropper(by))
        }
    };
    let after = found.changes.as_ref().map(|changes| set.with(changes)).transpose()?;
    let compared = match &after {
        Some(after) => compare(&set.read(found.line_v)?, &after.read(found.line_v)?),
        None => Vec::new(),
    };
    let left_out =
        |c: &Change| format!("{}: left out, since the old part was in the set then", c.path);
    let made = found.changes.iter().flatten().map(ToString::to_string);
    let head = format!(
        "# {} replaced, by `mainsfit replace`: the set as it is once that is fitted.\n",
        found.goes.join(" and ")
    );
    Ok(Replacement {
        cautions: of_work(&set.receiver, &outlet),
        name: set.receiver.model().name.clone(),
        replaced: part,
        goes: found.goes,
        outlet,
        by,
        before: found.before,
        line_v: found.line_v,
        compared,
        changes: taken.iter().map(left_out).chain(made).collect(),
        changed: after.map(|set| head + set.document.text()),
    })
}

/// What both readings have, as far as it tells whether the set is as it was.
fn compare(before: &Reading, after: &Reading) -> Vec<Compared> {
    let told = before.tube_heater_place();
    let tells = |m: &Measure| match m.what {
        // one current flows through a string
        What::Heater => {
            let heater = &before.heaters[m.of];
            heater.feeds_tubes && (!heater.in_string || m.of == told)
        }
        What::Reservoir | What::Ripple | What::Tap | What::LinePower => true,
        _ => m.watched(before, false).is_some(),
    };
    let row = |m: Measure| {
        let key = m.key(before);
        let then = Measure::find(after, &key)?;
        Some(Compared {
            label: m.name(before),
            unit: m.unit(),
            before: m.get(before)?,
            after: then.get(after)?,
            key,
        })
    };
    Measure::all(before).into_iter().filter(tells).filter_map(row).collect()
}
