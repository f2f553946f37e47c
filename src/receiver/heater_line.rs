//! A heater string on the line: what stands in series with the heaters.

/// What a set without a transformer has in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaterLine {
    /// What stands in series with the heaters, from the line on. A barretter is a link of the string.
    pub sections: Vec<StringSection>,
    /// Place among [`Model::windings`](super::Model::windings) of the tapped part of the rectifier's heater, at the live end of the string.
    pub tap: Option<usize>,
    /// Places there of lamps that lie across a section of what stands in series.
    pub beside: Vec<usize>,
    /// Place of a barretter there.
    pub barretter: Option<usize>,
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

impl HeaterLine {
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

    /// True if some of it lies in the line cord.
    pub fn in_cord(&self) -> bool {
        self.sections.iter().any(|s| matches!(s.kind, SectionKind::Cord(_)))
    }
}
