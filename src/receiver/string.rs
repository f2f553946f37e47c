//! The heater string of a set without a transformer: its links, its branches, its dropper, its lamps.

use super::{
    Filament, HeaterLine, HeaterWinding, Model, Result, Rung, TurnsFrom,
    branches::{Currents, HEATER_STRING, heater_in, other_current, same},
    droppers::Droppers,
    error::flaw,
    stated::Stated,
};
use crate::{
    catalogue::Named,
    profile::{HeaterString, LampPlace, LampUse, Profile},
    quantity::Quantity,
};

/// The string as completed.
pub struct Completed {
    pub links: Vec<HeaterWinding>,
    pub line: HeaterLine,
    /// Link of the rectifier's heater (of its larger part where it has a tap).
    pub rectifier: Option<usize>,
    /// Link of the heater of a second supply's own rectifier.
    pub second: Option<usize>,
}

impl Model {
    /// Rated voltage of each heater and lamp of the string, V, a tapped heater as one and branches side by side as one, with
    /// what drops in the first of them; none without a string. A barretter is none of them.
    pub fn heaters_in_series(&self) -> Vec<f64> {
        let Some(string) = &self.string else {
            return vec![];
        };
        let of = |place: usize| {
            let first = self.windings.get(place)?.filaments.first();
            first.filter(|_| string.barretter != Some(place)).map(|f| f.volts)
        };
        let rung = |rung: Rung| match rung {
            Rung::Link(place) => of(place),
            Rung::Group(side_by_side) => {
                let branch = &string.branches[*side_by_side.first()?];
                let own: f64 = branch.sections.iter().map(|s| s.ohms * branch.amps).sum();
                Some(own + branch.links.iter().filter_map(|i| of(*i)).sum::<f64>())
            }
        };
        let mut rated: Vec<f64> =
            string.rungs(self.windings.len()).into_iter().filter_map(rung).collect();
        // the rest of a tapped heater comes first
        if let (Some(first), Some(tapped)) = (rated.first_mut(), string.tap.and_then(of)) {
            *first += tapped;
        }
        rated
    }
}

/// A string while it is completed.
struct Making<'p> {
    profile: &'p Profile,
    currents: Currents,
    links: Vec<HeaterWinding>,
}

impl Making<'_> {
    /// A name no other link has: a type that occurs twice gets a number.
    fn unique(&self, name: &str) -> String {
        let taken = |n: &str| self.links.iter().any(|l| l.name == n);
        let plain = name.replace(' ', "-");
        let numbered = (2..).map(|n| format!("{plain}-{n}"));
        let mut names = [plain.clone()].into_iter().chain(numbered);
        names.find(|n| !taken(n)).unwrap_or(plain)
    }

    /// Puts a filament behind those before it, in a branch or in series with all; its place.
    fn link(&mut self, name: String, filament: Filament, branch: Option<usize>) -> usize {
        let place = self.links.len();
        if let Some(branch) = branch {
            self.currents.branches[branch].links.push(place);
        }
        // no winding: never read
        let turns = TurnsFrom { volts: filament.volts, open: true, at_line: 1.0 };
        let link = HeaterWinding::new(name, filament.volts, turns);
        let feeds_tubes = filament.socket.is_some();
        self.links.push(HeaterWinding { filaments: vec![filament], feeds_tubes, ..link });
        place
    }

    /// The links of the rectifier's heater and of its tapped part, where it has them.
    fn rectifier(&mut self, own_heater: bool) -> Result<(Option<usize>, Option<usize>)> {
        let used = &self.profile.rectifier;
        let kind = &used.kind;
        let branch = self.currents.place(used.fed_by.as_deref());
        let volts = kind.filament_volts.si() * f64::from(used.count);
        let part = |volts: f64| Filament { volts, ..Filament::of_rectifier(kind, 1) };
        let lamps = self.profile.lamps.iter().enumerate();
        let on_tap: Vec<(usize, &LampUse)> =
            lamps.filter(|(_, l)| l.across == Some(LampPlace::Tap)).collect();
        let Some((first, _)) = on_tap.first() else {
            let name = self.unique(&kind.name);
            return Ok((own_heater.then(|| self.link(name, part(volts), branch)), None));
        };
        let what = match (own_heater, kind.lamp_tap.si(), branch) {
            (false, ..) => {
                "this set's rectifier has no heater of its own, and so no tap for a lamp".to_owned()
            }
            (_, None, _) => {
                format!("the heater of the rectifier {} has no tap for a lamp", kind.name)
            }
            (_, _, Some(branch)) => format!(
                "the rectifier's heater lies in the branch {}, and a lamp on its tap is not modeled there",
                self.currents.branches[branch].name
            ),
            (true, Some(tap_v), None) => {
                let tap = self.link(format!("{}-tap", kind.name), part(tap_v), None);
                let tapped = &mut self.links[tap];
                // what it gets depends on the lamp beside it, so nothing is rated
                tapped.rated = 0.0;
                for (_, lamp) in &on_tap {
                    tapped.filaments.push(Filament::lamp(lamp));
                    tapped.shunt_ohms = tapped.shunt_ohms.or(lamp.shunt.si());
                }
                let rest = self.link(kind.name.clone(), part(volts - tap_v), None);
                return Ok((Some(rest), Some(tap)));
            }
        };
        let advice = "write `across: string` for a lamp in series with the heaters";
        Err(flaw(what, format!("lamps[{first}].across"), advice))
    }

    /// The link of the heaters of a second supply's own rectifier.
    fn second(&mut self) -> Result<Option<usize>> {
        let own = self.profile.second_supply.as_ref().filter(|s| !s.shared).map(|s| &s.rectifier);
        let Some(used) = own.filter(|used| !used.kind.kind.is_dry()) else {
            return Ok(None);
        };
        let kind = &used.kind;
        let branch = self.currents.place(used.fed_by.as_deref());
        let (takes, amps) = (kind.filament_amps.si(), self.currents.of_branch(branch));
        if !same(takes, amps) {
            let what = other_current(&kind.name, takes, HEATER_STRING, amps);
            return Err(flaw(what, "second_supply.rectifier.type", "check the type"));
        }
        let volts = kind.filament_volts.si() * f64::from(used.count);
        let filament = Filament::heater((volts, amps), None, kind.warm_up());
        Ok(Some(self.link(self.unique(&kind.name), filament, branch)))
    }

    /// The links of a tube's heaters.
    fn tube(&mut self, socket: usize) -> Result<Option<usize>> {
        let tube = &self.profile.tubes[socket];
        let branch = self.currents.place(tube.heater.as_deref());
        let shunt = tube.heater_shunt.si();
        let takes = heater_in(&tube.kind, self.currents.of_branch(branch), shunt)
            .ok_or_else(|| self.currents.odd(socket, tube))?;
        let filament = Filament::heater(takes, Some(socket), tube.kind.warm_up());
        let mut last = None;
        for _ in 0..tube.count {
            let place = self.link(self.unique(&tube.kind.name), filament, branch);
            self.links[place].shunt_ohms = shunt;
            last = Some(place);
        }
        Ok(last)
    }

    /// The links of the lamps, but for those on a tap; places of those beside a section of `droppers`.
    fn lamps(&mut self, droppers: &mut Droppers<'_>) -> Result<Vec<usize>> {
        let mut beside = vec![];
        for (index, lamp) in self.profile.lamps.iter().enumerate() {
            if lamp.across == Some(LampPlace::Tap) {
                continue;
            }
            let shunt = droppers.beside(index, lamp)?;
            let branch = self.currents.place(lamp.fed_by.as_deref());
            let place = self.link(self.unique(&lamp.kind.name), Filament::lamp(lamp), branch);
            self.links[place].shunt_ohms = shunt;
            if lamp.across != Some(LampPlace::String) {
                beside.push(place);
            }
        }
        Ok(beside)
    }
}

/// The string of `profile`.
///
/// # Errors
/// A heater of another current than the rest, branches that do not add up to the string's current, a lamp on a tap that the
/// rectifier does not have.
pub fn complete(profile: &Profile, string: &HeaterString) -> Result<Completed> {
    let kind = &profile.rectifier.kind;
    // a tube with the rectifier in its own bulb has one heater for both
    let in_a_tube = profile.tubes.iter().position(|t| t.kind.shares_a_name(kind));
    let own_heater = !kind.kind.is_dry() && in_a_tube.is_none();
    let currents = Currents::of(profile, string, own_heater)?;
    let amps = currents.string;
    let mut making = Making { profile, currents, links: vec![] };
    let (mut rectifier, tap) = making.rectifier(own_heater)?;
    let second = making.second()?;
    for socket in 0..profile.tubes.len() {
        let link = making.tube(socket)?;
        if in_a_tube == Some(socket) {
            rectifier = link;
        }
    }
    let mut droppers = Droppers::of(string, amps);
    let beside = making.lamps(&mut droppers)?;
    let barretter = droppers.barretter().map(|(name, filament)| {
        let place = making.link(making.unique(&name), filament, None);
        // it has a range, not one figure
        making.links[place].rated = 0.0;
        place
    });
    let Making { currents: Currents { branches, .. }, links, .. } = making;
    let sections = droppers.sections();
    let line = HeaterLine { amps, sections, tap, beside, barretter, branches };
    Ok(Completed { links, line, rectifier, second })
}
