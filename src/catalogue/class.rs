//! Kinds of receiving tube.

use std::fmt;

/// How the cathode is heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CathodeKind {
    /// A separate cathode, warmed by a heater.
    Heater,
    /// The filament itself emits.
    Filament,
}

impl fmt::Display for CathodeKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            CathodeKind::Heater => "heater",
            CathodeKind::Filament => "filament",
        })
    }
}

/// What stands in the envelope. `Display` writes the word used in the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum TubeClass {
    /// Beam power tube.
    Beam,
    /// Beam power tube and a rectifier on one heater.
    BeamWithRectifier,
    /// Remote-cutoff pentode with one diode.
    DiodeRemoteCutoffPentode,
    /// Two diodes, no B+ electrode.
    DuoDiode,
    /// Pentode with two diodes.
    DuoDiodePentode,
    /// Power pentode with two diodes.
    DuoDiodePowerPentode,
    /// Remote-cutoff pentode with two diodes.
    DuoDiodeRemoteCutoffPentode,
    /// Triode with two diodes.
    DuoDiodeTriode,
    /// Tuning indicator.
    Indicator,
    /// Mixer with separate oscillator grid.
    Mixer,
    /// Octode frequency converter.
    Octode,
    /// Pentagrid frequency converter.
    Pentagrid,
    /// Sharp-cutoff pentode.
    Pentode,
    /// Power pentode.
    PowerPentode,
    /// Remote-cutoff pentode.
    RemoteCutoffPentode,
    /// Remote-cutoff screen-grid tube.
    RemoteCutoffTetrode,
    /// Screen-grid tube.
    Tetrode,
    /// Triode.
    Triode,
    /// Triode-heptode frequency converter.
    TriodeHeptode,
    /// Triode-hexode frequency converter.
    TriodeHexode,
    /// Triode and pentode.
    TriodePentode,
    /// Triode and power pentode.
    TriodePowerPentode,
    /// Triode with three diodes.
    TripleDiodeTriode,
    /// Two triodes.
    TwinTriode,
}

impl TubeClass {
    /// Every class with the word for it.
    pub const ALL: [(TubeClass, &'static str); 24] = [
        (TubeClass::Beam, "beam"),
        (TubeClass::BeamWithRectifier, "beam-with-rectifier"),
        (TubeClass::DiodeRemoteCutoffPentode, "diode-remote-cutoff-pentode"),
        (TubeClass::DuoDiode, "duo-diode"),
        (TubeClass::DuoDiodePentode, "duo-diode-pentode"),
        (TubeClass::DuoDiodePowerPentode, "duo-diode-power-pentode"),
        (TubeClass::DuoDiodeRemoteCutoffPentode, "duo-diode-remote-cutoff-pentode"),
        (TubeClass::DuoDiodeTriode, "duo-diode-triode"),
        (TubeClass::Indicator, "indicator"),
        (TubeClass::Mixer, "mixer"),
        (TubeClass::Octode, "octode"),
        (TubeClass::Pentagrid, "pentagrid"),
        (TubeClass::Pentode, "pentode"),
        (TubeClass::PowerPentode, "power-pentode"),
        (TubeClass::RemoteCutoffPentode, "remote-cutoff-pentode"),
        (TubeClass::RemoteCutoffTetrode, "remote-cutoff-tetrode"),
        (TubeClass::Tetrode, "tetrode"),
        (TubeClass::Triode, "triode"),
        (TubeClass::TriodeHeptode, "triode-heptode"),
        (TubeClass::TriodeHexode, "triode-hexode"),
        (TubeClass::TriodePentode, "triode-pentode"),
        (TubeClass::TriodePowerPentode, "triode-power-pentode"),
        (TubeClass::TripleDiodeTriode, "triple-diode-triode"),
        (TubeClass::TwinTriode, "twin-triode"),
    ];

    /// The word used in the table.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(class, _)| *class == self).map_or("unknown", |(_, word)| word)
    }

    /// Sections that each take the currents of a data sheet, which gives a twin's for each half.
    pub fn sections(self) -> u8 {
        if self == TubeClass::TwinTriode { 2 } else { 1 }
    }

    /// Whether the signal grid sets the plate current over a wide range of bias, as the automatic volume control asks; a
    /// pentagrid's only divides its current between plate and screens.
    pub fn is_remote(self) -> bool {
        matches!(
            self,
            TubeClass::DiodeRemoteCutoffPentode
                | TubeClass::DuoDiodeRemoteCutoffPentode
                | TubeClass::RemoteCutoffPentode
                | TubeClass::RemoteCutoffTetrode
                | TubeClass::TriodeHeptode
                | TubeClass::TriodeHexode
        )
    }

    /// Whether it has a signal diode, which gives the automatic volume control its volts.
    pub fn has_diode(self) -> bool {
        self.word().contains("diode")
    }

    /// Whether any electrode is fed from B+. Signal diodes take nothing from it,
    /// so a blank plate current means zero for them and unknown for all others.
    pub fn draws_from_b_plus(self) -> bool {
        self != TubeClass::DuoDiode
    }
}

impl fmt::Display for TubeClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}
