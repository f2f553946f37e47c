//! A heater string on the line: what stands in series with the heaters.

/// What a set without a transformer has in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaterLine {
    /// RMS amperes that the heaters in series with all are made for.
    pub amps: f64,
    /// What stands in series with the heaters, from the line on. A barretter is a link of the string.
    pub sections: Vec<StringSection>,
    /// Place among [`Model::windings`](super::Model::windings) of the tapped part of the rectifier's heater, at the live end of the string; the
    /// rectifier's plate hangs on that tap.
    pub tap: Option<usize>,
    /// Places there of lamps that lie across a section of what stands in series.
    pub beside: Vec<usize>,
    /// Place of a barretter there.
    pub barretter: Option<usize>,
    /// Heaters side by side, in the order of the profile.
    pub branches: Vec<Branch>,
}

/// Links in series with each other, side by side with those of the other branches of their group.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// Name in the profile.
    pub name: String,
    /// Branches of one group lie across each other.
    pub group: u32,
    /// RMS amperes that its heaters are made for.
    pub amps: f64,
    /// Resistors of its own in series with its heaters.
    pub sections: Vec<StringSection>,
    /// Places of its links among [`Model::windings`](super::Model::windings).
    pub links: Vec<usize>,
}

/// What stands in series in a string.
#[derive(Debug, Clone, PartialEq)]
pub enum Rung {
    /// A link by its place among [`Model::windings`](super::Model::windings).
    Link(usize),
    /// Branches side by side, by their places among [`HeaterLine::branches`].
    Group(Vec<usize>),
}

/// A dropper of a heater string, or a section of it.
#[derive(Debug, Clone, PartialEq)]
pub struct StringSection {
    /// Name on reports.
    pub name: String,
    /// Make.
    pub kind: SectionKind,
    /// Its resistance, Ω, without the part that a lamp lies across; 0 for none.
    pub ohms: f64,
    /// Watts it is rated for, where known.
    pub watts: Option<f64>,
}

/// Make of a section of a heater string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SectionKind {
    /// A wirewound resistor.
    Resistor,
    /// Resistance wire in the line cord, with its length in m where known.
    Cord(Option<f64>),
    /// A ballast tube of resistance wire.
    Ballast,
    /// A capacitor.
    Capacitor {
        /// Its farads.
        farads: f64,
        /// Resistor across it, Ω.
        bleeder: Option<f64>,
        /// RMS volts it is rated for, where known.
        rated: Option<f64>,
    },
    /// A silicon diode with its resistance.
    Diode,
}

impl StringSection {
    /// True for what another resistor takes the place of: a plain one, in the set or in the cord.
    pub fn is_plain(&self) -> bool {
        matches!(self.kind, SectionKind::Resistor | SectionKind::Cord(_))
    }
}

/// What stands ahead of the first heater of a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ahead {
    /// A resistor, or a capacitor or diode in its place.
    Dropper,
    /// A resistance cord.
    Cord,
    /// A ballast.
    Ballast,
    /// A barretter.
    Barretter,
    /// The part of the rectifier's heater whose tap feeds the plate.
    Tap,
    /// The line alone.
    Nothing,
}

impl HeaterLine {
    /// What stands ahead of its first heater, with a resistor of `fitted` ohms in the place of every plain one.
    pub fn ahead(&self, fitted: Option<f64>) -> Ahead {
        let stays = |s: &&StringSection| fitted.is_none() || !s.is_plain();
        let own = self.branches.iter().any(|branch| !branch.sections.is_empty());
        match self.sections.iter().rfind(stays).map(|section| section.kind) {
            _ if self.barretter.is_some() => Ahead::Barretter,
            Some(SectionKind::Cord(_)) => Ahead::Cord,
            Some(SectionKind::Ballast) => Ahead::Ballast,
            Some(_) => Ahead::Dropper,
            None if fitted.is_some_and(|ohms| ohms > 0.0) => Ahead::Dropper,
            None if self.tap.is_some() => Ahead::Tap,
            None if own => Ahead::Dropper,
            None => Ahead::Nothing,
        }
    }

    /// The plain resistors, Ω; 0 for none.
    pub fn plain_ohms(&self) -> f64 {
        self.sections.iter().filter(|s| s.is_plain()).map(|s| s.ohms).sum()
    }

    /// True where a resistor by Ohm's law is what the heaters leave: no barretter, capacitor or diode has its own law.
    pub fn is_plain(&self) -> bool {
        let wire = |s: &StringSection| {
            !matches!(s.kind, SectionKind::Capacitor { .. } | SectionKind::Diode)
        };
        self.barretter.is_none() && self.sections.iter().all(wire)
    }

    /// Every resistor, cord, ballast, capacitor or diode of the string, those of its branches last.
    pub fn all_sections(&self) -> impl Iterator<Item = &StringSection> {
        self.sections.iter().chain(self.branches.iter().flat_map(|b| &b.sections))
    }

    /// Place of the branch that the link in place `link` belongs to.
    pub fn branch_of(&self, link: usize) -> Option<usize> {
        self.branches.iter().position(|b| b.links.contains(&link))
    }

    /// What stands in series below the droppers, of `count` links: a barretter first, a group where its first link stands.
    pub fn rungs(&self, count: usize) -> Vec<Rung> {
        let mut links: Vec<usize> = (0..count).filter(|i| Some(*i) != self.tap).collect();
        links.sort_by_key(|i| Some(*i) != self.barretter);
        let mut rungs = vec![];
        for link in links {
            let group = self.branch_of(link).map(|branch| self.branches[branch].group);
            let of_it = |b: &usize| Some(self.branches[*b].group) == group;
            let rung = match group {
                Some(_) => Rung::Group((0..self.branches.len()).filter(of_it).collect()),
                None => Rung::Link(link),
            };
            if !rungs.contains(&rung) {
                rungs.push(rung);
            }
        }
        rungs
    }

    /// True where branches side by side share the current of something in series with them: one open, the others get all of it.
    pub fn share_one_current(&self, count: usize) -> bool {
        let ahead = !self.sections.is_empty() || self.tap.is_some();
        !self.branches.is_empty() && (ahead || self.rungs(count).len() > 1)
    }

    /// Resistance below the droppers, of links that have `ohms` each; a tapped heater's part is not in it.
    pub fn ohms_below(&self, ohms: &[f64]) -> f64 {
        let link = |i: &usize| ohms.get(*i).copied().unwrap_or(0.0);
        let branch = |b: &usize| {
            let branch = &self.branches[*b];
            let own: f64 = branch.sections.iter().map(|s| s.ohms).sum();
            own + branch.links.iter().map(link).sum::<f64>()
        };
        let rung = |rung: &Rung| match rung {
            Rung::Link(i) => link(i),
            Rung::Group(side_by_side) => {
                side_by_side.iter().map(|b| branch(b).recip()).sum::<f64>().recip()
            }
        };
        self.rungs(ohms.len()).iter().map(rung).sum()
    }

    /// Whether each of the links carries a current, where `passes` tells which of them lets one through.
    pub fn carries(&self, passes: &[bool]) -> Vec<bool> {
        let branch = |b: &usize| self.branches[*b].links.iter().all(|i| passes[*i]);
        let rung = |rung: &Rung| match rung {
            Rung::Link(i) => passes[*i],
            Rung::Group(side_by_side) => side_by_side.iter().any(branch),
        };
        let whole = self.tap.is_none_or(|i| passes[i]) && self.rungs(passes.len()).iter().all(rung);
        let here = |i: usize| whole && self.branch_of(i).is_none_or(|b| branch(&b));
        (0..passes.len()).map(here).collect()
    }

    /// True if some of it lies in the line cord.
    pub fn in_cord(&self) -> bool {
        self.sections.iter().any(|s| matches!(s.kind, SectionKind::Cord(_)))
    }
}
