//! How values are known.

/// How a value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// Read off a meter on this very set.
    Measured,
    /// Printed: the customary tolerance stands about it.
    Nominal,
    /// Neither.
    Guess,
}

/// What a profile says of a value beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedKnown {
    /// Place, such as `filter[1].field_coil.cold`.
    pub path: String,
    /// How it is known.
    pub known: Known,
    /// How far it may be off, as a share; 0 where that is not said of a guess.
    pub within: f64,
}
