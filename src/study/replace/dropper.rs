//! A string's dropper replaced, as a change to the profile.

use super::set::{Found, ReplaceBy, Set, refused};
use crate::{
    profile::{Change, DropperKind, LampPlace, LampUse, StringDropper},
    study::{
        DropperSubstitute, DropperSubstitutes, Request, Result, SubstituteKind, SubstituteStanding,
        replace_dropper, sentences::plain_ohms,
    },
};

/// What takes the dropper's place: what is advised, or `by` where that is named and serves.
pub fn dropper(
    set: &Set,
    by: Option<ReplaceBy>,
    ballast: bool,
    request: &Request,
) -> Result<(Found, DropperSubstitutes)> {
    let kind = match by {
        None => None,
        Some(ReplaceBy::Resistor) => Some(SubstituteKind::Resistor),
        Some(ReplaceBy::Capacitor) => Some(SubstituteKind::Capacitor),
        Some(ReplaceBy::Choke) => {
            return refused(
                "a choke does not take a dropper's place",
                "write --with resistor or --with capacitor",
            );
        }
    };
    let mut droppers = set.profile.heater_string.iter().flat_map(|s| &s.droppers).peekable();
    let is_ballast = |d: &StringDropper| {
        matches!(d.kind, DropperKind::Ballast { .. } | DropperKind::Barretter { .. })
    };
    if ballast && droppers.peek().is_some() && !droppers.any(is_ballast) {
        return refused(
            "no ballast or barretter stands in series with this set's heaters",
            "write `dropper` for what stands there",
        );
    }
    let found = replace_dropper(&set.profile, request)?;
    let fits = |s: &&DropperSubstitute| match kind {
        None => s.standing == SubstituteStanding::Advised,
        Some(kind) => s.kind == kind && s.standing != SubstituteStanding::Refused,
    };
    let written = found.list.iter().find(fits).and_then(|s| s.written.as_ref());
    let on_it = |(_, lamp): &(usize, &LampUse)| {
        matches!(lamp.across, Some(LampPlace::Ballast | LampPlace::Cord | LampPlace::Dropper))
    };
    let changes = written.map(|written| {
        let dropper = Change::new("heater_string.dropper", [format!("dropper: {written}")]);
        let lamps = set.profile.lamps.iter().enumerate().filter(on_it).zip(&found.beside_lamps);
        let lamps = lamps.map(|((i, lamp), shunt)| {
            let ohms = plain_ohms(shunt.ohms.round());
            let shunt = lamp.shunt.is_none().then(|| format!("shunt: {ohms}"));
            let with = std::iter::once("across: string".to_owned()).chain(shunt);
            Change::new(format!("lamps[{i}].across"), with)
        });
        std::iter::once(dropper).chain(lamps).collect()
    });
    let (goes, line_v) = (found.present.clone(), found.outlet.usual_v);
    Ok((Found { goes, line_v, before: Vec::new(), changes }, found))
}
