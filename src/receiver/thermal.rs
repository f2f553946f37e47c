//! Copper and its temperature, and what heaters take.

/// A coil's resistance at work over its cold one where only one is stated (range 1.10 to 1.25 †).
pub(super) const COIL_RISE: f64 = 1.15;
/// Current exponent of tube heaters: I ~ V^0.58, between the pure radiator's 0.54 and the 0.606 that
/// "5 % more volts gives 3 % more amps" means (a tube maker's technical note on filaments).
pub const HEATER_EXPONENT: f64 = 0.58;
/// Current exponent of tungsten lamps, the published lamp figure (0.54 to 0.55).
pub const LAMP_EXPONENT: f64 = 0.54;

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

/// Resistance of copper at `celsius` over that at `room_c`.
pub fn copper_factor(room_c: f64, celsius: f64) -> f64 {
    copper_ohms(1.0, celsius) / copper_ohms(1.0, room_c)
}

/// Exponent of a transformer's rise against its losses: natural convection with radiation (0.75 to 0.85; textbooks and
/// loading guides of dry transformers †).
const RISE_EXPONENT: f64 = 0.8;
/// Highest temperature of copper that is reckoned with, °C, as of coils.
const HOTTEST_C: f64 = 500.0;

/// Average rise over the room of a transformer that loses `watts`, `designed` being its rise in K and its losses in W on
/// the design line: `ΔT0·(P/P0)^0.8`.
pub fn transformer_rise(watts: f64, designed: (f64, f64)) -> f64 {
    let (rise, at) = designed;
    if at > 0.0 { rise * (watts.max(0.0) / at).powf(RISE_EXPONENT) } else { 0.0 }
}

/// The same in balance with its own heat: losses of `iron` and of `copper` W, the latter with the copper at `room_c`. The
/// rise falls short of its losses' growth, so that there is a balance for all of them; above 500 °C it is held there.
pub fn transformer_balance(iron: f64, copper: f64, room_c: f64, designed: (f64, f64)) -> f64 {
    let mut rise = 0.0;
    for _ in 0..100 {
        let watts = iron + copper * copper_factor(room_c, room_c + rise);
        let next = transformer_rise(watts, designed).min(HOTTEST_C - room_c);
        let moved = (next - rise).abs();
        rise = next;
        if moved < 1e-7 {
            break;
        }
    }
    rise
}
