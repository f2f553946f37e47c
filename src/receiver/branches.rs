//! The currents of a heater string: what is in series with all, what lies side by side, what each must add up to.

use super::{
    Branch, Filament, ReceiverError, Result, droppers, error::flaw, shown, stated::Stated,
};
use crate::{
    catalogue::TubeType,
    profile::{HeaterString, Profile, TubeUse},
    quantity::{Quantity, show},
};

/// Heaters count as of one current within this share (heaters of a series string are of one current: tube manuals †).
const SAME_CURRENT: f64 = 0.06;

/// Amperes of a string, and its branches.
pub struct Currents {
    /// Of what is in series with all.
    pub string: f64,
    /// In the order of the profile; nothing lies in them yet.
    pub branches: Vec<Branch>,
}

/// Amperes of a heater of `volts` and `amps` with a resistor beside it.
fn with_shunt((volts, amps): (f64, f64), shunt: Option<f64>) -> f64 {
    amps + shunt.map_or(0.0, |ohms| volts / ohms)
}

pub fn same(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() <= SAME_CURRENT
}

/// Volts and amperes of a heater in series with others of `amps`, with `shunt` Ω beside it, if it belongs there.
pub fn heater_in(tube: &TubeType, amps: f64, shunt: Option<f64>) -> Option<(f64, f64)> {
    let mut ways = tube.heater_ways().map(|(v, i)| (v.si(), i.si()));
    ways.find(|way| same(with_shunt(*way, shunt), amps))
}

/// What a tube takes as its type is listed, with the resistor beside its heater.
fn listed(tube: &TubeUse) -> f64 {
    let way = (tube.kind.heater_volts.si(), tube.kind.heater_amps.si());
    with_shunt(way, tube.heater_shunt.si())
}

/// What the string is called in a message.
pub const HEATER_STRING: &str = "heater string";

/// Says that what is called so takes another current than what it lies in.
pub fn other_current(name: &str, takes: f64, lies_in: &str, carries: f64) -> String {
    format!(
        "the {name} takes {}, and the {lies_in} carries {}: heaters in series must be of one current",
        shown(takes, "A"),
        shown(carries, "A"),
    )
}

impl Currents {
    /// Those of `string`, whose rectifier has a heater of its own or not.
    ///
    /// # Errors
    /// A branch with nothing in it, one alone in its group, a group whose branches do not add up to the string's current.
    pub fn of(profile: &Profile, string: &HeaterString, own_heater: bool) -> Result<Currents> {
        let rectifier = own_heater.then_some(&profile.rectifier);
        let in_branch = |branch: Option<&str>| {
            let tubes = profile.tubes.iter().filter(move |t| t.heater.as_deref() == branch);
            let heater = rectifier.filter(|r| r.fed_by.as_deref() == branch);
            let heater = heater.map(|r| r.kind.filament_amps.si());
            (heater, tubes.map(listed).reduce(f64::max))
        };
        let mut branches = vec![];
        for (place, branch) in string.branches.iter().enumerate() {
            let name = Some(branch.name.as_str());
            let lamps = profile.lamps.iter().filter(|l| l.fed_by.as_deref() == name);
            let lamps = lamps.map(|lamp| Filament::lamp(lamp).amps).reduce(f64::max);
            let (heater, tubes) = in_branch(name);
            let Some(amps) = heater.or(tubes).or(lamps) else {
                let name = &branch.name;
                return Err(flaw(
                    format!("no heater lies in the branch {name}"),
                    format!("heater_string.branches[{place}]"),
                    format!("name it at its tubes, as `heater: {name}`, or leave it out"),
                ));
            };
            branches.push(droppers::branch(branch, amps));
        }
        let (heater, tubes) = in_branch(None);
        let mut currents = Currents { string: 0.0, branches };
        let first = currents.branches.first().map(|b| currents.side_by_side(b.group).1);
        // where nothing is in series with all, it is what the first group takes
        currents.string = heater.or(tubes).or(first).unwrap_or(0.0);
        currents.add_up()?;
        Ok(currents)
    }

    /// The branches of a group, and what they take together.
    fn side_by_side(&self, group: u32) -> (Vec<&Branch>, f64) {
        let all: Vec<&Branch> = self.branches.iter().filter(|b| b.group == group).collect();
        let sum = all.iter().map(|b| b.amps).sum();
        (all, sum)
    }

    fn add_up(&self) -> Result<()> {
        for (place, branch) in self.branches.iter().enumerate() {
            let (group, sum) = self.side_by_side(branch.group);
            let key = format!("heater_string.branches[{place}]");
            if group.len() == 1 {
                return Err(flaw(
                    format!("the branch {} is alone in its group", branch.name),
                    key,
                    "write its tubes without `heater:`, in series with all, and its resistors under `dropper:`; or give the branch beside it the same `group:`",
                ));
            }
            if !same(sum, self.string) {
                let each = |b: &&Branch| format!("{} {}", b.name, shown(b.amps, "A"));
                let each: Vec<String> = group.iter().map(each).collect();
                return Err(flaw(
                    format!(
                        "the branches side by side take {} together ({}), and the heater string carries {}",
                        shown(sum, "A"),
                        each.join(", "),
                        shown(self.string, "A"),
                    ),
                    key,
                    "check which tubes name which branch; a resistor beside one heater is written as its tube's `heater_shunt:`, and what is in series with all names no branch",
                ));
            }
        }
        Ok(())
    }

    /// Place of the branch of that name.
    pub fn place(&self, name: Option<&str>) -> Option<usize> {
        let name = name?;
        self.branches.iter().position(|b| b.name == name)
    }

    /// Amperes of a branch, or of what is in series with all.
    pub fn of_branch(&self, branch: Option<usize>) -> f64 {
        branch.map_or(self.string, |place| self.branches[place].amps)
    }

    /// A heater of another current than those it is in series with.
    pub fn odd(&self, index: usize, tube: &TubeUse) -> ReceiverError {
        let branch = self.place(tube.heater.as_deref());
        let carries = self.of_branch(branch);
        let (volts, own) = (tube.kind.heater_volts.si(), tube.kind.heater_amps.si());
        let lies_in = branch.map_or(HEATER_STRING.to_owned(), |place| {
            format!("branch {}", self.branches[place].name)
        });
        let name = &tube.kind.name;
        let (name, takes) = match tube.heater_shunt {
            Some(ohms) => (format!("{name} with {} beside its heater", show(ohms)), listed(tube)),
            None => (name.clone(), own),
        };
        // what a resistor beside it would have to be
        let beside = shown(volts / (carries - own), "Ω");
        let advice = if own < carries {
            format!(
                "check the type; a resistor beside its heater is written `heater_shunt: {beside}` ({} over the rest of the current), heaters side by side as `heater_string: {{ branches: [{{ name: a }}, {{ name: b }}] }}` with `heater: a` at their tubes",
                show(tube.kind.heater_volts),
            )
        } else {
            "check the type; heaters of less current that lie side by side are written as `heater_string: { branches: [{ name: a }, { name: b }] }` with `heater: a` at their tubes, or have a `heater_shunt:`".to_owned()
        };
        let what = other_current(&name, takes, &lies_in, carries);
        flaw(what, format!("tubes[{index}].type"), advice)
    }
}
