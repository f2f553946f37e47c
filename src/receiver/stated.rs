//! Quantities that may be stated or not, as numbers.

use crate::quantity::Quantity;

/// A quantity that may not be known.
pub trait Stated: Sized {
    /// In SI units.
    fn si(self) -> Option<f64>;

    /// The same, or `none` where it is not stated.
    fn si_or(self, none: f64) -> f64 {
        self.si().unwrap_or(none)
    }
}

impl<Q: Quantity> Stated for Option<Q> {
    fn si(self) -> Option<f64> {
        self.map(Quantity::si)
    }
}
