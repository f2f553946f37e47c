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
/// Where the part's place begins, and its middle.
pub const PART: f64 = 237.0;
pub const MIDDLE: f64 = PART + 105.0;
/// The set's primary.
pub const PRIMARY: f64 = 530.0;
/// What a drawing is narrower by where nothing stands in the part's place.
pub const NOTHING: f64 = 232.0;
/// How much higher fuse and switch stand where two parts in the lead leave them no room: above a step transformer, above another
/// part. The wire turns there, and comes back so much below them.
pub const LIFTS: [f64; 2] = [43.0, 66.0];
pub const TURN: f64 = 246.0;
pub const BACK: f64 = 33.0;
/// Where it then comes down, and the middle of the part, ahead of taps.
pub const AHEAD: f64 = 98.0;
pub const AHEAD_MIDDLE: f64 = 190.0;
/// Length of a resistor that the set has in its lead.
pub const RESISTOR: f64 = 36.0;
/// Where the primary of a step transformer stands, with another part behind it or alone, and from there to its secondary.
pub const STEP_AHEAD: f64 = 128.0;
pub const STEP_PRIMARY: f64 = MIDDLE - 30.0;
pub const TO_SECONDARY: f64 = 28.0;
