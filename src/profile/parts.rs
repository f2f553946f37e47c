//! The fuse in the set, a resistor in its lead, and the owner's own parts.

use super::{
    declare::{List, Sound, choice, form, keys},
    values::{Amps, MainsVolts, Ohms, Volts, Watts},
};
use crate::{
    catalogue::stock::{FuseStandard, ResistorSize, resistor_sizes},
    quantity::{Current, Quantity, Resistance, Voltage},
};

keys! {
    /// Fuse now in the set
    pub struct PresentFuse as "Fuse" [Copy] {
        /// Its rating
        rating: Amps,
        /// Its standard; absent, for the plan's fuses: `UL` where the usual outlet is below 150 V, else `IEC`
        standard: Option<Standard>,
    }
}

choice! {
    /// A standard of fuses
    Standard as "FuseStandard" -> FuseStandard {
        /// UL 248-14
        "UL" => FuseStandard::Ul,
        /// IEC 60127-2
        "IEC" => FuseStandard::Iec,
    }
    "is not a fuse standard", "write `UL` (UL 248-14) or `IEC` (IEC 60127-2)"
}

keys! {
    /// A resistor in the line cord
    pub struct MainsResistor [Copy] {
        /// Its resistance
        value "resistance": Ohms,
        /// Watts it is rated for; absent: its heat has no limit
        rated: Option<Watts>,
        /// `maker`: the set was designed with it, and it stays; `repairer`: it came later, and whatever is fitted takes its place
        by_maker "fitted_by": FittedBy,
    }
    example "{ resistance: 18 Ω, rated: 20 W, fitted_by: maker }";
}

choice! {
    /// Who fitted a part
    FittedBy -> bool {
        /// The set was designed with it
        "maker" => true,
        /// It came later
        "repairer" => false,
    }
    "did not fit it", "write `maker` (the set was designed with it) or `repairer` (it came later)"
}

keys! {
    /// Parts you have; a kind that is listed replaces the stock of that kind
    pub struct OwnParts as "Parts" [Default] {
        /// Power resistors; absent: stock of the trade
        resistors: List<OwnResistor>,
        /// Small transformers; absent: stock of the trade
        transformers: List<OwnTransformer>,
    }
}

keys! {
    /// A power resistor
    pub struct OwnResistor {
        /// Its resistance
        value: Ohms,
        /// Watts as printed
        rating: Watts,
        /// Its make, which decides the derating; `ceramic-cased` if absent
        family: Sound<Family>,
    }
    => (Resistance, ResistorSize): |OwnResistor { value, rating, family }, _| {
        let like = family.or_else(|| of_family("ceramic-cased"))?;
        Some((value, ResistorSize::of_family(&like.family, rating.si())?))
    };
}

form! {
    /// A family of wirewound resistors
    Family -> &'static ResistorSize = { "enum": families() },
    |at| at.parsed(
        of_family,
        "is not a family of resistors",
        format!("write one of: {}", families().join(", ")),
    )
}

/// The first resistor of a family.
fn of_family(name: &str) -> Option<&'static ResistorSize> {
    resistor_sizes().iter().find(|size| size.family == name)
}

fn families() -> Vec<&'static str> {
    let mut names: Vec<&str> = resistor_sizes().iter().map(|s| s.family.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names
}

keys! {
    /// A small transformer
    pub struct OwnTransformer {
        /// Rated primary voltage
        primary: Option<MainsVolts>,
        /// Rated secondary voltage, at the rated current
        secondary: Option<Volts>,
        /// Rated current of the secondary
        current: Option<Amps>,
    }
    rule (
        "required",
        &["primary", "secondary", "current"],
        "a small transformer needs its three figures",
        "write { primary: 115 V, secondary: 6.3 V, current: 2 A }",
    );
    => (Voltage, Voltage, Current): |keys, _| Some((keys.primary?, keys.secondary?, keys.current?));
}
