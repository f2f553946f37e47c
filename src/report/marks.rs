//! What charts share: the lines of the outlet's day, of the design voltage and of what is rated, and the axis they lie across.

use super::drawing::{Axis, Mark, MarkOf};
use crate::study::{HEATER_LIMIT, OutletVolts};

fn mark(name: &str, at: f64, of: MarkOf) -> Mark {
    Mark { name: name.to_owned(), at, of }
}

/// The axis of what the outlet gives.
pub fn outlet_axis() -> Axis {
    Axis { name: "outlet voltage".to_owned(), unit: "V RMS" }
}

/// What the outlet gives through the day.
pub fn day(outlet: &OutletVolts) -> Vec<Mark> {
    let of = |name, at| mark(name, at, MarkOf::Outlet);
    vec![of("low", outlet.low_v), of("usual", outlet.usual_v), of("high", outlet.high_v)]
}

/// What the set was designed for.
pub fn design(line_v: f64) -> Mark {
    mark("design", line_v, MarkOf::Design)
}

/// The same and the day's.
pub fn lines(outlet: &OutletVolts, design_line_v: f64) -> Vec<Mark> {
    day(outlet).into_iter().chain([design(design_line_v)]).collect()
}

/// What heaters are rated for, and how far from it they may be: both ends of it by one name.
pub fn rated(v: f64) -> Vec<Mark> {
    let limit = |name, share| mark(name, (1.0 + share) * v, MarkOf::Limit);
    vec![limit("±10 %", HEATER_LIMIT), mark("rated", v, MarkOf::Rating), limit("", -HEATER_LIMIT)]
}
