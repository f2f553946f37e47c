//! Copper and its temperature.

/// Temperature coefficient of annealed copper at 20 °C, 1/K (IEC 60028, "International standard of
/// resistance for copper" †).
pub const COPPER_COEFFICIENT: f64 = 0.00393;

/// Resistance at `celsius` of copper that has `ohms_at_20` at 20 °C: `R20 (1 + 0.00393 (T − 20))`.
/// Valid from about −40 to 200 °C.
pub fn copper_ohms(ohms_at_20: f64, celsius: f64) -> f64 {
    ohms_at_20 * (1.0 + COPPER_COEFFICIENT * (celsius - 20.0))
}

/// Temperature at which copper of `cold_ohms` at `cold_c` reads `hot_ohms`, in °C.
pub fn copper_celsius(cold_ohms: f64, cold_c: f64, hot_ohms: f64) -> f64 {
    // 1/0.00393 − 20 = 234.45: the "234.5" of the trade's rise-by-resistance formula
    let k = 1.0 / COPPER_COEFFICIENT - 20.0;
    hot_ohms / cold_ohms * (k + cold_c) - k
}

/// Resistance of a coil in balance with its own heat: `T = room + rth·I²·R(T)`.
///
/// `cold` ohms at `room_c`, `rth` in K/W, `amps` RMS. At constant current the heat grows with the resistance: with
/// `R20·0.00393·rth·I²` at 1 or above no balance exists. There, and above 500 °C, the resistance is held at that of
/// 500 °C and the caller's limit check speaks.
pub fn coil_ohms(cold: f64, room_c: f64, rth: f64, amps: f64) -> f64 {
    let r20 = cold / (1.0 + COPPER_COEFFICIENT * (room_c - 20.0));
    // R = R20 (1 + a (room − 20) + a rth I² R)  is linear in R
    let gain = r20 * COPPER_COEFFICIENT * rth * amps * amps;
    let ceiling = copper_ohms(r20, 500.0);
    if gain >= 1.0 {
        return ceiling;
    }
    (cold / (1.0 - gain)).min(ceiling)
}

/// Resistance of everything on a winding at `volts` RMS.
pub(super) fn heater_ohms(filaments: &[super::model::Filament], volts: f64) -> f64 {
    let amps: f64 = filaments.iter().map(|f| f.amps * (volts / f.volts).powf(f.exponent)).sum();
    if amps > 0.0 {
        // below a tenth of a volt a filament is simply cold
        (volts / amps).max(1e-3)
    } else {
        1e6
    }
}
