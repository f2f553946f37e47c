//! A limit of a set and how a value stands against it.

use super::Serialize;

/// Heater tolerance that no published figure exceeds: ±10 % ("Valve heater voltages", Radio
/// Constructor, April 1962: average at the rated value, swings up to ±10 %).
pub const HEATER_LIMIT: f64 = 0.10;
/// Heater tolerance that is comfortable: ±5 % (common practice, no source; the British recommendation is 7 %).
pub const HEATER_GOOD: f64 = 0.05;
/// Heaters at a high line that was read: reasoned, 7 % on the average and the line's own 5 %.
pub const HEATER_AT_HIGH: f64 = 0.12;
/// Winding average, by resistance, that class A insulation bears in use, °C (IEC 61558-1 †; its hot spot
/// is 105 °C by IEC 60085).
pub const CLASS_A_C: f64 = 100.0;

/// Every kind of limit, in the order of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Limited {
    HeatersLow,
    Heaters,
    BarretterLow,
    Barretter,
    DropperHeat,
    DropperVolts,
    Flux,
    PlateHeat,
    Plate,
    ScreenHeat,
    Screen,
    DcOutput,
    PeakPlate,
    PeakInverse,
    Capacitor,
    Coil,
    FilterHeat,
}

impl Limited {
    /// True for a limit that is kept from above: a least value.
    pub(crate) fn is_least(self) -> bool {
        matches!(self, Limited::HeatersLow | Limited::BarretterLow)
    }

    /// True for either limit of a winding's volts, and for the iron's flux.
    pub(crate) fn is_of_heaters_or_iron(self) -> bool {
        self.is_of_heaters() || self == Limited::Flux
    }

    /// True for either limit of a winding's volts.
    pub(crate) fn is_of_heaters(self) -> bool {
        matches!(self, Limited::HeatersLow | Limited::Heaters)
    }
}

/// How a value stands against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// Within.
    Within,
    /// Within, but by less than a twentieth.
    Near,
    /// Beyond.
    Beyond,
}

/// A limit of the set and what it gets.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Limit {
    #[serde(skip)]
    pub(crate) what: Limited,
    /// Of which winding, capacitor, coil or tube, from 0; 0 for what there is once.
    #[serde(skip)]
    pub(crate) of: usize,
    /// What is limited.
    #[serde(rename = "what")]
    pub name: String,
    /// Name of the part in drawings, such as C1, where it has one.
    #[serde(skip)]
    pub part: Option<String>,
    /// Value.
    pub value: f64,
    /// Limit, same unit.
    pub limit: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// What kind of limit it is.
    pub rating: Rating,
    /// Standing.
    pub standing: Standing,
}

/// What a limit means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Rating {
    /// Not to be passed at any line voltage: capacitor volts, peak inverse, insulation, heater tolerance.
    Ceiling,
    /// A tube maker's design-center rating: it holds on the usual line, and the line may swing 10 % about that
    /// (RCA receiving tube manuals' rating system †).
    DesignCentre,
}

impl Limit {
    /// True for a limit that is kept from above: a least value.
    pub fn is_least(&self) -> bool {
        self.what.is_least()
    }

    /// Margin left, as a share of the limit; negative beyond it.
    pub fn margin(&self) -> f64 {
        let sign = if self.is_least() { -1.0 } else { 1.0 };
        sign * (1.0 - self.value / self.limit)
    }

    /// Whether `other` is the same limit of the same owner.
    pub(crate) fn is(&self, other: &Limit) -> bool {
        // what drops volts in one case need not stand in the other, and so not in the same place
        let dropper = matches!(self.what, Limited::DropperHeat | Limited::DropperVolts);
        let same = if dropper { self.name == other.name } else { self.of == other.of };
        self.what == other.what && same
    }
}
