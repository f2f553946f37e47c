//! The table of rectifier circuits: what is known of each, whatever the set. The words for them in a profile stand with the
//! names; how each is built and drawn stands with what builds and draws them.

use super::RectifierCircuit;

/// What is known of a rectifier circuit.
#[derive(Debug)]
pub struct CircuitFacts {
    /// Diodes it is made of.
    pub diodes: u32,
    /// True where no two diodes share a cathode, or only some do: a tube of two plates and one cathode will not do, and
    /// none of them can be lent to another supply.
    pub separate_cathodes: bool,
    /// True for a doubler: its two capacitors belong to the rectifier.
    pub doubles: bool,
    /// What the other end of its AC is.
    pub other_end: OtherEnd,
    /// How often in a cycle its reservoir is charged.
    pub pulses: u8,
    /// What a diode holds off, over the crest of the AC; a doubler's crest is that of both halves together.
    pub inverse_crests: f64,
}

/// What the other end of a rectifier's AC is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OtherEnd {
    /// A center tap, the negative rail; beyond it a second half.
    CentreTap,
    /// The negative rail.
    Rail,
    /// Diodes alone are joined to it.
    Diodes,
    /// The middle of a doubler's two capacitors.
    Capacitors,
}

const HALF_WAVE: CircuitFacts = CircuitFacts {
    diodes: 1,
    separate_cathodes: false,
    doubles: false,
    other_end: OtherEnd::Rail,
    pulses: 1,
    inverse_crests: 2.0,
};
const FULL_WAVE: CircuitFacts =
    CircuitFacts { diodes: 2, other_end: OtherEnd::CentreTap, pulses: 2, ..HALF_WAVE };
const BRIDGE: CircuitFacts = CircuitFacts {
    diodes: 4,
    separate_cathodes: true,
    other_end: OtherEnd::Diodes,
    pulses: 2,
    inverse_crests: 1.0,
    ..HALF_WAVE
};
const FULL_WAVE_DOUBLER: CircuitFacts =
    CircuitFacts { diodes: 2, doubles: true, other_end: OtherEnd::Capacitors, ..BRIDGE };
const HALF_WAVE_DOUBLER: CircuitFacts =
    CircuitFacts { other_end: OtherEnd::Rail, pulses: 1, ..FULL_WAVE_DOUBLER };

impl RectifierCircuit {
    /// Its row of the table.
    pub fn facts(self) -> &'static CircuitFacts {
        match self {
            RectifierCircuit::FullWave => &FULL_WAVE,
            RectifierCircuit::HalfWave => &HALF_WAVE,
            RectifierCircuit::Bridge => &BRIDGE,
            RectifierCircuit::FullWaveDoubler => &FULL_WAVE_DOUBLER,
            RectifierCircuit::HalfWaveDoubler => &HALF_WAVE_DOUBLER,
        }
    }

    /// True for a winding or a line whose two halves work in turn about a center tap.
    pub fn is_tapped(self) -> bool {
        self.facts().other_end == OtherEnd::CentreTap
    }
}
