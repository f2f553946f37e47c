//! A part as one asks for it over the counter, and where it goes: data first, words last.

use crate::quantity::{Quantity, Resistance, show_plain};
use serde::{Serialize, Serializer};
use std::fmt;

/// Where a part goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Between outlet and set, or at its primary.
    Mains,
    /// In series with the heater string.
    HeaterString,
    /// Ahead of the rectifier's plate.
    PlateLead,
}

/// A part to be bought or set.
#[derive(Debug, Clone, PartialEq)]
pub struct Bought {
    /// What to ask for, such as "22 Ω, 30 W, tubular vitreous".
    pub ware: String,
    /// Where it goes.
    pub place: Place,
    /// Ohms of the set's own part there, which comes out.
    pub in_place_of: Option<f64>,
    /// What goes with it.
    pub with: Option<Box<Bought>>,
}

impl Bought {
    /// Something for the line cord.
    pub fn ware(ware: String) -> Bought {
        Bought { ware, place: Place::Mains, in_place_of: None, with: None }
    }

    /// Itself and where it goes, without what comes out for it and what goes with it.
    pub fn named(&self) -> String {
        let place = match self.place {
            Place::Mains => "",
            Place::HeaterString => " in the heater string",
            Place::PlateLead => " in the rectifier's plate lead",
        };
        format!("{}{place}", self.ware)
    }
}

impl fmt::Display for Bought {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.named())?;
        match (self.in_place_of, self.place) {
            (None, _) => {}
            (Some(_), Place::HeaterString) => f.write_str(", in place of its dropper")?,
            (Some(ohms), _) => {
                write!(f, ", in place of its {}", show_plain(Resistance::from_si(ohms)))?;
            }
        }
        self.with.as_ref().map_or(Ok(()), |with| write!(f, "; {with}"))
    }
}

/// As its words.
impl Serialize for Bought {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}
