//! Shares that parts of a sound set may be off by: customary ones, restated from the trade (common practice, no source,
//! unless said otherwise).

/// Heaters of one type at one current took 5.60 to 6.25 V (audioXpress, September 2004, on filaments †): ±5 %.
pub const HEATER: f64 = 0.05;
/// Plate current of a sound tube about its type's published figure.
pub const TUBE: f64 = 0.15;
/// The same of an output tube, which works hard and ages first.
pub const OUTPUT_TUBE: f64 = 0.25;
/// A rectifier's drop about its type's published figure: tubes differ, and selenium ages.
pub const RECTIFIER: f64 = 0.25;
/// Carbon resistors of the time were sold to ±10 and ±20 %; a checked set holds the narrower figure.
pub const RESISTOR: f64 = 0.10;
/// Winding volts about what was measured or printed: turns do not drift, meters do.
pub const VOLTS: f64 = 0.02;
/// B+ about what a service sheet prints, which is that of an average set.
pub const SHEET_B_PLUS: f64 = 0.05;
/// Copper resistance about what was measured.
pub const COPPER: f64 = 0.05;
/// Inductance of coils and the no-load current of a transformer.
pub const IRON: f64 = 0.20;
/// Electrolytics are sold to -20 and +50 %: half of the way between, and the middle of it.
pub const ELECTROLYTIC: (f64, f64) = (0.35, 0.15);
/// Film capacitors for alternating current are sold to ±5 and ±10 %.
pub const FILM: f64 = 0.10;
/// Loads with rectifiers flatten the mains by 0 to 5 % of the crest, 2 % as a rule (own judgement, from distortions of 3 %
/// measured at outlets †): half of that, and the middle of it.
pub const FLAT_TOP: (f64, f64) = (0.025, -0.025);
/// Where a number is known, or only a rule fills it in.
pub const NONE: f64 = 0.0;
