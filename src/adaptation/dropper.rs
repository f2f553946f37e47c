//! A resistor of given value and make, as data.

use crate::catalogue::stock::{self, ResistorSize};

/// Parts that a dropper is made of at most.
const MOST_PARTS: usize = 2;

/// How the parts of a dropper are joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Joined {
    /// One part.
    Single,
    /// Two equal parts in series, each half the resistance.
    Series,
    /// Two equal parts in parallel, each twice the resistance.
    Parallel,
    /// Two parts of these stock values in series, Ω, the larger first: it takes most of the heat.
    Two(f64, f64),
}

/// What a dropper is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Build {
    /// Size of each part.
    pub size: ResistorSize,
    /// How joined.
    pub joined: Joined,
    /// True for a part the owner has: no larger one is to be had.
    pub own: bool,
}

impl Build {
    /// How many times the watts of the part that gets most heat the whole may lose.
    fn parts(&self) -> f64 {
        match self.joined {
            Joined::Single => 1.0,
            Joined::Two(larger, smaller) => 1.0 + smaller / larger,
            Joined::Series | Joined::Parallel => MOST_PARTS as f64,
        }
    }
}

/// A resistor of given value and make.
#[derive(Debug, Clone, PartialEq)]
pub struct Dropper {
    /// Ω, all parts together.
    pub ohms: f64,
    /// What it is made of; `None` for a bare value.
    pub build: Option<Build>,
}

impl Dropper {
    /// A bare value.
    pub fn bare(ohms: f64) -> Dropper {
        Dropper { ohms, build: None }
    }

    /// Of stock.
    pub(super) fn made(ohms: f64, size: ResistorSize, joined: Joined) -> Dropper {
        Dropper { ohms, build: Some(Build { size, joined, own: false }) }
    }

    /// Watts it is rated to lose, where its size is known.
    pub fn rated_watts(&self) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.rating_w * b.parts())
    }

    /// What is left of that rating in air of `ambient_c` °C.
    pub fn derated_watts(&self, ambient_c: f64) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.derated_w(ambient_c) * b.parts())
    }

    /// Overload borne for 5 s, as a multiple of the printed rating.
    pub fn overload_5s(&self) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.overload_5s)
    }

    /// Surface temperature in °C when it loses `watts` in air of `ambient_c` °C.
    pub fn surface_c(&self, watts: f64, ambient_c: f64) -> Option<f64> {
        self.build.as_ref().map(|b| b.size.surface_c(watts / b.parts(), ambient_c))
    }

    /// True for a type that opens without a flame when a fault overloads it.
    pub fn is_fusible(&self) -> bool {
        self.build.as_ref().is_some_and(|build| build.size.fusible)
    }

    /// The same ohms of the next larger size of stock.
    pub fn next_size(&self) -> Option<Dropper> {
        let build = self.build.as_ref().filter(|b| !b.own)?;
        let size = stock::resistor_sizes()
            .iter()
            .filter(|s| s.unmounted_share.is_none())
            .filter(|s| s.fusible == build.size.fusible)
            .find(|s| s.rating_w > build.size.rating_w)?;
        Some(Dropper::made(self.ohms, size.clone(), build.joined))
    }
}
