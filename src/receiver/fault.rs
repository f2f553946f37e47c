//! Faults inside a set, as changes to its model or its network.

use super::{Ahead, Coil, Filament, HeaterWinding, Model, SectionKind};
use crate::profile::MOST_BRANCHES;

/// Resistance of a dead short: wire, contact and arc, Ω (assumed). A short ahead of everything meets the house
/// wiring as well; the two together are of this order (IEC TR 60725 reference impedance: 0.4 Ω).
pub const SHORT_OHMS: f64 = 0.5;

/// An open path: leakage, for the solver's sake, Ω.
pub const OPEN_OHMS: f64 = 1e6;

/// A fault of the set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// The first filter capacitor is a dead short.
    FirstCapacitorShorted,
    /// The first filter capacitor of a second supply is a dead short.
    SecondCapacitorShorted,
    /// B+ is shorted to chassis, after the filter.
    BPlusShorted,
    /// One half of the high-voltage winding is shorted, end to center tap.
    HalfWindingShorted,
    /// A rectifier plate touches its cathode or filament, or a dry rectifier is a short.
    PlateToFilament,
    /// A high-voltage winding without a center tap is shorted.
    WindingShorted,
    /// The primary is shorted, behind whatever stands in the lead.
    PrimaryShorted,
    /// A set without a transformer: its line is shorted behind whatever stands in the lead.
    LineShorted,
    /// The first heater of a string touches chassis, below what stands ahead of it: that gets the whole line.
    StringShorted(Ahead),
    /// The capacitor in a heater string is a dead short: the heaters get the line through its resistor alone.
    DropperCapacitorShorted,
    /// The speaker's field coil is open, as it is with the speaker's plug out.
    FieldCoilOpen,
    /// A filter choke is open.
    ChokeOpen,
    /// The dial lamp beside the tap of the rectifier's heater is burnt out.
    DialLampOpen,
    /// The output tube is out of its socket.
    OutputTubeOut,
    /// A branch of the heater string is open, a tube of it burnt out or out of its socket, by the place of the branch.
    BranchOpen(usize),
    /// Every tube but the rectifier is out.
    LoadsOut,
}

/// All of them in the order of the reports, with their names there; each branch has its number in the profile.
const ALL: [(Fault, &str); 20 + MOST_BRANCHES] = [
    (Fault::FirstCapacitorShorted, "first filter capacitor shorted"),
    (Fault::BPlusShorted, "B+ shorted after the filter"),
    (Fault::SecondCapacitorShorted, "B2+'s first capacitor shorted"),
    (Fault::HalfWindingShorted, "half HV winding shorted"),
    (Fault::WindingShorted, "HV winding shorted"),
    (Fault::PlateToFilament, "rectifier shorted"),
    (Fault::PrimaryShorted, "primary shorted"),
    (Fault::LineShorted, "line shorted inside the set"),
    (Fault::StringShorted(Ahead::Dropper), "heater below dropper to chassis"),
    (Fault::StringShorted(Ahead::Cord), "heater below cord to chassis"),
    (Fault::StringShorted(Ahead::Ballast), "heater below ballast to chassis"),
    (Fault::StringShorted(Ahead::Barretter), "heater below barretter to chassis"),
    (Fault::StringShorted(Ahead::Tap), "rectifier heater's tap to chassis"),
    (Fault::StringShorted(Ahead::Nothing), "live end of the heaters to chassis"),
    (Fault::DropperCapacitorShorted, "dropper's capacitor shorted"),
    (Fault::FieldCoilOpen, "field coil open, speaker unplugged"),
    (Fault::ChokeOpen, "choke open"),
    (Fault::DialLampOpen, "dial lamp on the tap open"),
    (Fault::OutputTubeOut, "output tube removed"),
    (Fault::BranchOpen(0), "heater branch 1 open"),
    (Fault::BranchOpen(1), "heater branch 2 open"),
    (Fault::BranchOpen(2), "heater branch 3 open"),
    (Fault::BranchOpen(3), "heater branch 4 open"),
    (Fault::BranchOpen(4), "heater branch 5 open"),
    (Fault::BranchOpen(5), "heater branch 6 open"),
    (Fault::BranchOpen(6), "heater branch 7 open"),
    (Fault::BranchOpen(7), "heater branch 8 open"),
    (Fault::LoadsOut, "all tubes but rectifier out"),
];

impl Fault {
    /// The faults `model` may have, in the order of the reports.
    pub fn of(model: &Model) -> Vec<Fault> {
        let string = model.string.as_ref();
        let halves = model.rectifier.circuit.is_tapped();
        let may = |fault: &Fault| match fault {
            Fault::SecondCapacitorShorted => model.second.is_some(),
            Fault::HalfWindingShorted => string.is_none() && halves,
            Fault::WindingShorted => string.is_none() && !halves,
            // one tube out of a string is as good as all
            Fault::PrimaryShorted | Fault::LoadsOut => string.is_none(),
            Fault::LineShorted => string.is_some(),
            Fault::StringShorted(ahead) => string.is_some_and(|s| s.ahead(None) == *ahead),
            Fault::DropperCapacitorShorted => string.is_some_and(|string| {
                string.sections.iter().any(|s| matches!(s.kind, SectionKind::Capacitor { .. }))
            }),
            Fault::FieldCoilOpen | Fault::ChokeOpen => model.coils.iter().any(|c| fault.opens(c)),
            Fault::DialLampOpen => string.is_some_and(|string| string.tap.is_some()),
            Fault::BranchOpen(place) => string.is_some_and(|s| *place < s.branches.len()),
            Fault::FirstCapacitorShorted
            | Fault::BPlusShorted
            | Fault::PlateToFilament
            | Fault::OutputTubeOut => true,
        };
        ALL.into_iter().map(|(fault, _)| fault).filter(may).collect()
    }

    /// Name on reports.
    pub fn title(self) -> &'static str {
        ALL.iter().find(|(fault, _)| *fault == self).map_or("", |(_, title)| title)
    }

    /// True for a coil that it opens.
    pub(super) fn opens(self, coil: &Coil) -> bool {
        self == if coil.is_field { Fault::FieldCoilOpen } else { Fault::ChokeOpen }
    }

    /// The model with the fault, where it is a matter of what is in the sockets.
    pub(super) fn changed(self, model: &Model) -> Option<Model> {
        let mut changed = model.clone();
        match self {
            Fault::DialLampOpen => {
                // the heater's own part comes first, then its lamps
                let tap = changed.string.as_ref()?.tap?;
                changed.windings.get_mut(tap)?.filaments.truncate(1);
                return Some(changed);
            }
            Fault::OutputTubeOut => {
                let out = model.tubes.iter().filter(|t| t.output).map(|t| t.socket);
                let out: Vec<usize> = out.collect();
                let tubes = changed.tubes.iter_mut();
                tubes.filter(|t| t.output).for_each(|t| t.current_factor = 0.0);
                let stays = |f: &Filament| f.socket.is_none_or(|socket| !out.contains(&socket));
                changed.windings.iter_mut().for_each(|w| w.filaments.retain(stays));
            }
            Fault::LoadsOut => changed.pull_tubes(),
            Fault::BranchOpen(place) => changed.open_branch(place),
            Fault::FirstCapacitorShorted
            | Fault::SecondCapacitorShorted
            | Fault::BPlusShorted
            | Fault::HalfWindingShorted
            | Fault::PlateToFilament
            | Fault::WindingShorted
            | Fault::PrimaryShorted
            | Fault::LineShorted
            | Fault::StringShorted(_)
            | Fault::DropperCapacitorShorted
            | Fault::FieldCoilOpen
            | Fault::ChokeOpen => return None,
        }
        changed.still_cold();
        Some(changed)
    }
}

/// Whether a current flows through a link of a string: its heater is there, or a resistor beside it.
fn passes(link: &HeaterWinding) -> bool {
    !link.filaments.is_empty() || link.shunt_ohms.is_some()
}

impl Model {
    /// Takes a heater out of a branch, one with no resistor beside it if there is one, a tube's if there is one.
    fn open_branch(&mut self, place: usize) {
        let Some(branch) = self.string.as_ref().and_then(|s| s.branches.get(place)) else {
            return;
        };
        let rank = |i: &&usize| {
            let link = &self.windings[**i];
            (link.shunt_ohms.is_some(), !link.feeds_tubes)
        };
        if let Some(link) = branch.links.iter().min_by_key(rank).copied() {
            self.windings[link].filaments.clear();
        }
    }

    /// Takes the tube out of a socket, by its place in the profile; in a string the others go dark with it.
    pub fn pull_socket(&mut self, socket: usize) {
        let out = self.tubes.iter_mut().filter(|t| t.socket == socket);
        out.for_each(|t| t.current_factor = 0.0);
        for winding in &mut self.windings {
            winding.filaments.retain(|f| f.socket != Some(socket));
        }
        self.still_cold();
    }

    /// Lets no tube draw whose heater in a string gets no current: in series, one that is out takes all with it.
    fn still_cold(&mut self) {
        let Some(string) = &self.string else {
            return;
        };
        let carries = string.carries(&self.windings.iter().map(passes).collect::<Vec<_>>());
        let lit = |socket: usize| {
            let mut all = self.windings.iter().zip(&carries);
            all.any(|(w, carries)| *carries && w.filaments.iter().any(|f| f.socket == Some(socket)))
        };
        let cold: Vec<bool> = self.tubes.iter().map(|t| !lit(t.socket)).collect();
        for (tube, _) in self.tubes.iter_mut().zip(cold).filter(|(_, cold)| *cold) {
            tube.current_factor = 0.0;
        }
    }
}
