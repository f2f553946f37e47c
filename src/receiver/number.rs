//! Which number of a model is meant, and what was filled in for it: names alone; what they stand for is in `parameters.rs`.

/// A number of a model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Parameter {
    /// Which of the owner's numbers.
    pub what: Number,
    /// Place of its owner in the model's list; 0 for the set itself.
    pub of: usize,
    /// Place there, for one of a divider's resistors; else 0.
    pub at: usize,
}

/// Which number; in the order in which those of a set are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Number {
    /// Primary copper.
    PrimaryResistance,
    /// Rise of the power transformer's windings as designed.
    CopperRise,
    /// No-load current.
    NoLoadCurrent,
    /// No-load watts.
    NoLoadPower,
    /// Share of the crest magnetizing current that the steep part of the iron's law carries.
    KneeShare,
    /// High-voltage winding volts; where it is found from the sheet's B+, that.
    HighVoltage,
    /// High-voltage winding copper.
    HighVoltageResistance,
    /// Line frequency.
    Frequency,
    /// The resistor in the mains lead.
    MainsResistor,
    /// The surge resistor in each plate lead of the rectifier.
    Surge,
    /// The rectifier's drop.
    RectifierDrop,
    /// The dropper of a heater string.
    StringDropper,
    /// Volts of a bias supply's winding.
    BiasVolts,
    /// Copper of a bias supply's winding.
    BiasResistance,
    /// Volts of a heater winding.
    WindingVolts,
    /// Copper of a heater winding.
    WindingResistance,
    /// What the heaters of a link of a heater string take.
    Heater,
    /// Cold and hot resistance of a coil.
    CoilResistance,
    /// Hot resistance of a coil over its cold one.
    CoilRise,
    /// Inductance of a coil.
    CoilInductance,
    /// A resistor of a divider.
    DividerResistor,
    /// What another load takes.
    Load,
    /// A resistor of the filter, by its place there.
    FilterResistor,
    /// Plate feed resistance of a tube.
    PlateFeed,
    /// Screen feed resistance of a tube.
    ScreenFeed,
    /// Cathode resistor of a tube.
    CathodeResistor,
    /// What a tube's grid current leaves at its grid.
    GridBias,
    /// Current of a tube.
    TubeCurrent,
    /// What of it the screen takes.
    ScreenShare,
    /// A filter capacitor, by its place in the filter.
    Capacitance,
    /// A capacitor of a doubler.
    DoublerCapacitance,
    /// What is left of the line's crest.
    FlatTop,
    /// The capacitor of a heater string.
    StringCapacitance,
    /// The resistor beside a heater of a string.
    HeaterShunt,
    /// The resistors of a branch of a heater string.
    BranchDropper,
    /// Volts of a second supply's winding.
    SecondVolts,
    /// Copper of a second supply's winding.
    SecondResistance,
    /// The resistor in each plate lead of a second supply's rectifier.
    SecondSurge,
    /// Drop of a second supply's own rectifier.
    SecondDrop,
}

impl Number {
    /// That of the set itself.
    pub fn of_set(self) -> Parameter {
        self.of(0)
    }

    /// That of the owner in place `of`.
    pub fn of(self, of: usize) -> Parameter {
        self.at(of, 0)
    }

    /// That in place `at` of the owner in place `of`.
    pub fn at(self, of: usize, at: usize) -> Parameter {
        Parameter { what: self, of, at }
    }
}

impl From<Number> for Parameter {
    fn from(number: Number) -> Parameter {
        number.of_set()
    }
}

/// What a number was fitted to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FittedTo {
    /// The readings of the profile.
    Readings,
    /// Readings before, of which the profile carries the factors.
    Calibration,
}

/// A value that was filled in.
#[derive(Debug, Clone, Default)]
pub struct Assumption {
    /// What it is, in words.
    pub what: String,
    /// The value taken, as text with its unit.
    pub value: String,
    /// Where the value comes from.
    pub rule: String,
    /// How far it may be off, as a share of the value (0.3 is ±30 %).
    pub spread: f64,
    /// The least and the most that it may be, as shares of the value, where these are known; `spread` is half their distance.
    pub bounds: Option<(f64, f64)>,
    /// The number it stands for; `None` where no number of the model depends on it.
    pub parameter: Option<Parameter>,
    /// What it was fitted to, if it was.
    pub fitted: Option<FittedTo>,
}
