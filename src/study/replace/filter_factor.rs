//! What a section of the filter leaves of the ripple.

/// Share of the ripple at `radians` a second that a lead of `ohms` and `henries` leaves across `farads` behind it, the load
/// left out: 1/|1 − ω²LC + jωRC| (voltage divider of two impedances, textbooks of alternating current).
pub fn filter_factor(henries: f64, ohms: f64, farads: f64, radians: f64) -> f64 {
    let real = 1.0 - radians * radians * henries * farads;
    real.hypot(radians * ohms * farads).recip()
}

/// Farads behind `ohms` alone that leave no more than `factor`.
pub fn farads_for(factor: f64, ohms: f64, radians: f64) -> f64 {
    (factor.powi(-2) - 1.0).max(0.0).sqrt() / (radians * ohms)
}
