//! Whether a way to adapt a set is looked at, and why it is not.

use super::{
    Shelf,
    bucking::{Across, Bucking},
    part::Adaptation,
    step::{self, Step, far_off},
};

/// A method for a set.
pub enum Offer {
    /// To be looked at.
    Here(Box<dyn Adaptation>),
    /// Not looked at, and why.
    RuledOut(&'static str),
}

/// Why nothing but a transformer is put between a set and a line it was not made for.
const FAR_OFF_WHY: &str = "the set was made for quite another line: what a resistor or a lamp turned into heat would be as much as the set takes, and a fault would put the whole outlet on the set; it needs a step-down or step-up transformer";

/// Why no small transformer is put ahead of a set with a diode in its heater string.
const DIRECT_WHY: &str = "the diode in the heater string draws direct current from the line, which saturates the iron of a small transformer";

/// Looked at.
pub fn here(adaptation: impl Adaptation + 'static) -> Option<Offer> {
    Some(Offer::Here(Box::new(adaptation)))
}

/// Ruled out where outlet and set are far apart.
pub fn near(shelf: &Shelf, adaptation: impl Adaptation + 'static) -> Option<Offer> {
    if far_off(shelf.outlet, shelf.design_line) {
        return Some(Offer::RuledOut(FAR_OFF_WHY));
    }
    here(adaptation)
}

/// Ruled out where direct current would saturate it as well.
pub fn bucking(shelf: &Shelf, across: Across) -> Option<Offer> {
    if shelf.direct_current {
        return Some(Offer::RuledOut(DIRECT_WHY));
    }
    near(shelf, Bucking::new(across, shelf))
}

/// The small transformer aiding, where the outlet is low and not far off.
pub fn boosting(shelf: &Shelf, across: Across) -> Option<Offer> {
    let low = Bucking::boosting(across, shelf)?;
    if shelf.direct_current {
        return Some(Offer::RuledOut(DIRECT_WHY));
    }
    (!far_off(shelf.outlet, shelf.design_line)).then(|| here(low))?
}

/// A step transformer, where outlet and set are so far apart that it is looked at.
pub fn stepped(shelf: &Shelf, down: bool) -> Option<Offer> {
    let &Shelf { outlet, design_line, .. } = shelf;
    let wanted = step::looked_at(outlet, design_line) && down == (outlet > design_line);
    let own = || shelf.own_transformers(true).into_iter().map(|(p, s, amps)| (p, s, s * amps));
    let most = shelf.iron_v.unwrap_or(f64::INFINITY);
    wanted.then(|| here(Step { outlet, design_line, most, own: own().collect() }))?
}
