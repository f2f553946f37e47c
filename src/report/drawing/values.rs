//! What stands beside parts: their names, what is printed on them, and volts.

use super::{
    frame::Point,
    pen::{Pen, SIZE, Words, bold, plain},
    text::own_width,
};
use crate::{
    report::figures::{nameplate_farads, nameplate_volts, point_volts},
    study::SupplyElement,
};

/// Words of our own, and volts behind them.
pub fn with_volts(pen: &mut Pen, (x, y): Point, words: &str, v: f64) {
    pen.right((x, y), [words]);
    pen.right((x + own_width(words, SIZE) + 5.0, y), [bold(point_volts(v))]);
}

/// A capacitor's name and what is printed on it, in lines.
pub fn nameplate(element: &SupplyElement) -> Vec<Words> {
    let SupplyElement::Capacitor { part, farads, rated_v, .. } = element else {
        return Vec::new();
    };
    let rated = rated_v.map(nameplate_volts);
    [part.clone(), nameplate_farads(*farads)].into_iter().chain(rated).map(plain).collect()
}

/// A capacitor with the volts across it.
pub fn charged(element: &SupplyElement) -> String {
    let SupplyElement::Capacitor { part, farads, positive_v, negative_v, .. } = element else {
        return String::new();
    };
    let across = point_volts(positive_v - negative_v);
    format!("{part}, {} with {across} across it", nameplate_farads(*farads))
}
