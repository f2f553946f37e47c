//! A string's dropper replaced, as a change to the profile.

use super::set::{Found, ReplaceBy, Set, refused};
use crate::profile::{Change, DropperKind, LampPlace};
use crate::quantity::{Quantity, Resistance, show_plain};
use crate::study::StudyError;
use crate::study::plan::Request;
use crate::study::replace_dropper::{
    DropperSubstitute, DropperSubstitutes, SubstituteKind, SubstituteStanding, replace_dropper,
};

/// What takes the dropper's place: what is advised, or `by` where that is named and serves.
pub(super) fn dropper(
    set: &Set,
    by: Option<ReplaceBy>,
    ballast: bool,
    request: &Request,
) -> Result<(Found, DropperSubstitutes), StudyError> {
    let kind = match by {
        None => None,
        Some(ReplaceBy::Resistor) => Some(SubstituteKind::Resistor),
        Some(ReplaceBy::Capacitor) => Some(SubstituteKind::Capacitor),
        Some(ReplaceBy::Choke) => {
            return Err(refused(
                "a choke does not take a dropper's place",
                "write --with resistor or --with capacitor",
            ));
        }
    };
    let droppers = set.profile.heater_string.iter().flat_map(|s| &s.droppers);
    let is_ballast =
        |k: &DropperKind| matches!(k, DropperKind::Ballast { .. } | DropperKind::Barretter { .. });
    if ballast && !droppers.clone().any(|d| is_ballast(&d.kind)) && droppers.clone().count() > 0 {
        return Err(refused(
            "no ballast or barretter stands in series with this set's heaters",
            "write `dropper` for what stands there",
        ));
    }
    let found = replace_dropper(&set.profile, request)?;
    let fits = |s: &&DropperSubstitute| match kind {
        None => s.standing == SubstituteStanding::Advised,
        Some(kind) => s.kind == kind && s.standing != SubstituteStanding::Refused,
    };
    let written = found.list.iter().find(fits).and_then(|s| s.written.clone());
    let changes = written.map(|written| {
        let mut changes =
            vec![Change::new("heater_string.dropper", [format!("dropper: {written}")])];
        let mut beside = found.beside_lamps.iter();
        for (i, lamp) in set.profile.lamps.iter().enumerate() {
            let on_it = matches!(
                lamp.across,
                Some(LampPlace::Ballast | LampPlace::Cord | LampPlace::Dropper)
            );
            if !on_it {
                continue;
            }
            let Some(shunt) = beside.next() else { break };
            let ohms = show_plain(Resistance::from_si(shunt.ohms.round()));
            let mut with = vec!["across: string".to_owned()];
            with.extend(lamp.shunt.is_none().then(|| format!("shunt: {ohms}")));
            changes.push(Change::new(format!("lamps[{i}].across"), with));
        }
        changes
    });
    let goes = found.present.clone();
    Ok((Found { goes, line_v: found.outlet.usual_v, before: Vec::new(), changes }, found))
}
