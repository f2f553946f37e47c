//! What of a set, its outlet and its choices decides which cautions apply.

/// A set, its outlet and what is offered for it.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Situation {
    /// The chassis is joined to the line.
    pub live: bool,
    /// Heaters in series on the line.
    pub string: bool,
    /// Some of them side by side, behind what is in series with all.
    pub branches: bool,
    /// A barretter stands in the string.
    pub barretter: bool,
    /// The string's dropper is the line cord.
    pub cord: bool,
    /// A capacitor stands in the string.
    pub capacitor: bool,
    /// A diode stands in the string.
    pub diode: bool,
    /// What is fitted takes the cord's place.
    pub cord_goes: bool,
    /// The plug can be turned round.
    pub turnable: bool,
    /// A high-voltage winding with a center tap.
    pub center_tap: bool,
    /// A selenium rectifier.
    pub selenium: bool,
    /// Whether the fuse is to UL 248-14, where there is one.
    pub fuse_ul: Option<bool>,
    /// A resistor is on offer that is too hot for wood beside it.
    pub hot: bool,
    /// And hotter than boiling water, in a box.
    pub boiling: bool,
    /// One of them in the hot wire.
    pub resistor_in_lead: bool,
    /// The set has a resistor in its line cord, and keeps it.
    pub mains_resistor: bool,
    /// It was designed with that.
    pub made_with_resistor: bool,
    /// A boosting transformer is on offer.
    pub boosts: bool,
    /// An inrush thermistor is on offer.
    pub thermistor: bool,
    /// A step-down transformer is on offer, or nothing is and the outlet is far too high.
    pub steps_down: bool,
}
