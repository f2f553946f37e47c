//! Kinds of receiving tube.

use super::words::words;

words! {
    /// How the cathode is heated.
    pub enum CathodeKind {
        /// A separate cathode, warmed by a heater.
        Heater = "heater",
        /// The filament itself emits.
        Filament = "filament",
    }
}

words! {
    /// What stands in the envelope. `Display` writes the word used in the table.
    #[non_exhaustive]
    pub enum TubeClass {
        /// Beam power tube.
        Beam = "beam",
        /// Beam power tube and a rectifier on one heater.
        BeamWithRectifier = "beam-with-rectifier",
        /// Remote-cutoff pentode with one diode.
        DiodeRemoteCutoffPentode = "diode-remote-cutoff-pentode",
        /// Two diodes, no B+ electrode.
        DuoDiode = "duo-diode",
        /// Pentode with two diodes.
        DuoDiodePentode = "duo-diode-pentode",
        /// Power pentode with two diodes.
        DuoDiodePowerPentode = "duo-diode-power-pentode",
        /// Remote-cutoff pentode with two diodes.
        DuoDiodeRemoteCutoffPentode = "duo-diode-remote-cutoff-pentode",
        /// Triode with two diodes.
        DuoDiodeTriode = "duo-diode-triode",
        /// Tuning indicator.
        Indicator = "indicator",
        /// Mixer with separate oscillator grid.
        Mixer = "mixer",
        /// Octode frequency converter.
        Octode = "octode",
        /// Pentagrid frequency converter.
        Pentagrid = "pentagrid",
        /// Sharp-cutoff pentode.
        Pentode = "pentode",
        /// Power pentode.
        PowerPentode = "power-pentode",
        /// Remote-cutoff pentode.
        RemoteCutoffPentode = "remote-cutoff-pentode",
        /// Remote-cutoff screen-grid tube.
        RemoteCutoffTetrode = "remote-cutoff-tetrode",
        /// Screen-grid tube.
        Tetrode = "tetrode",
        /// Triode.
        Triode = "triode",
        /// Triode-heptode frequency converter.
        TriodeHeptode = "triode-heptode",
        /// Triode-hexode frequency converter.
        TriodeHexode = "triode-hexode",
        /// Triode and pentode.
        TriodePentode = "triode-pentode",
        /// Triode and power pentode.
        TriodePowerPentode = "triode-power-pentode",
        /// Triode with three diodes.
        TripleDiodeTriode = "triple-diode-triode",
        /// Two triodes.
        TwinTriode = "twin-triode",
    }
}

impl TubeClass {
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
