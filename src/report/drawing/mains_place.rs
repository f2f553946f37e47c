//! Where things stand on the mains side.

/// From the neutral lead to the drawing's foot.
pub const FOOT: f64 = 30.0;
/// Hot wire.
pub const LIVE: f64 = 130.0;
/// Neutral lead.
pub const NEUTRAL: f64 = 266.0;
/// The same of a set with a transformer, whose drawing needs less height.
pub const LOW: f64 = 244.0;
/// Ahead of the switch, and behind it.
pub const SWITCH: f64 = 132.0;
pub const SWITCHED: f64 = 172.0;
/// Where the fuse stands.
pub const FUSE: [f64; 2] = [62.0, 122.0];
/// Middle of the arrow of the line current.
pub const CURRENT: f64 = 196.0;
/// Where the part's place begins; from there to its middle and its end.
pub const PART: f64 = 237.0;
pub const TO_MIDDLE: f64 = 105.0;
pub const TO_END: f64 = 160.0;
/// The set's primary.
pub const PRIMARY: f64 = 530.0;
/// What a drawing is narrower by where nothing stands in the part's place.
pub const NOTHING: f64 = 232.0;
/// What it is wider by for a part behind a step transformer, or ahead of taps.
pub const BEHIND: f64 = 190.0;
/// Length of a resistor that the set has in its lead.
pub const RESISTOR: f64 = 36.0;
/// Where the windings of a step transformer stand.
pub const STEP_PRIMARY: f64 = PART + TO_MIDDLE - 30.0;
pub const STEP_SECONDARY: f64 = PART + TO_MIDDLE - 2.0;
