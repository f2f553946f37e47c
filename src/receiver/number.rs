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

/// Which number, by its row in the table of `parameters/rows.rs`, which has a constant for each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Number(pub(super) usize);

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
