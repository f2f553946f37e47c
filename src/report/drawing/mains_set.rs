//! The set's end of the mains side: its transformer, or its autotransformer.

use super::{
    mains_place::{LIVE, LOW},
    mains_string::{Parts, Strung},
    pen::{Pen, WIRE, bold, line},
    symbol::{self, Turns},
};
use crate::{
    receiver::TRANSFORMER,
    report::figures::volts,
    study::{Caution, Plan, Reading},
};

/// What takes the mains in a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Set {
    /// A transformer with windings of their own.
    Transformer,
    /// One winding with taps, chassis on its common end.
    Auto,
    /// No transformer: heaters in series and the rectifier, both across the line.
    Line,
}

impl Set {
    /// What a plan's set has.
    pub fn of(plan: &Plan) -> Set {
        let auto = |c: &Caution| matches!(c, Caution::LiveChassis { auto: true, .. });
        if plan.as_designed.heaters.iter().any(|h| h.in_string) {
            Set::Line
        } else if plan.cautions.iter().any(auto) {
            Set::Auto
        } else {
            Set::Transformer
        }
    }

    /// What the lead ends at.
    pub fn noun(self) -> &'static str {
        match self {
            Set::Transformer => "the primary",
            Set::Auto => "the winding",
            Set::Line => "the set",
        }
    }

    /// Draws it with its ends at `x` on both leads. `net` is the hot wire's. A transformer with taps has its primary
    /// drawn already.
    pub fn draw(
        self,
        pen: &mut Pen,
        usual: Option<&Reading>,
        (net, back, x, tapped): (&str, &str, f64, bool),
    ) {
        match self {
            Set::Transformer => {
                if !tapped {
                    primary(pen, x, &[]);
                }
                transformer(pen, usual, x);
            }
            Set::Auto => auto(pen, usual, (x, back), tapped),
            Set::Line => Strung::at(x, (net, back), usual).draw(pen),
        }
    }

    /// What it is, in words.
    pub fn describe(self, usual: Option<&Reading>, back: &str) -> String {
        match self {
            Set::Transformer => format!(
                "{back} goes straight to the other end of the primary of the set's power transformer {TRANSFORMER}, which has a high-voltage winding and heater windings."
            ),
            Set::Auto => format!(
                "{back} goes straight to the common end of the set's autotransformer, a single winding with taps for the line, the heaters and the high voltage. The chassis is joined to that common end: it is live."
            ),
            Set::Line => format!(
                "The set has no transformer: its heater string lies across the line{}. {back} goes straight to both. The chassis belongs to that supply: it is live.",
                usual.map(|usual| Parts::of(usual).words()).unwrap_or_default()
            ),
        }
    }
}

/// A primary at `x`, with taps.
pub fn primary(pen: &mut Pen, x: f64, taps: &[f64]) {
    symbol::winding(pen, "primary", x, [LIVE, LOW], Turns(8, -7.0), taps);
}

/// Voltage of the tubes' heaters, beside `at`.
fn heater_volts(pen: &mut Pen, usual: Option<&Reading>, at: (f64, f64)) {
    let heater = usual.and_then(|u| u.heaters.iter().find(|h| h.feeds_tubes));
    if let Some(heater) = heater {
        pen.right(at, [bold(volts(heater.volts_v))]);
    }
}

/// The transformer beside its primary: core, and a hint of what is on it.
fn transformer(pen: &mut Pen, usual: Option<&Reading>, primary: f64) {
    let core = primary + 16.0;
    symbol::core(pen, (core, LIVE + 18.0), (core, LOW - 18.0));
    let x = primary + 34.0;
    symbol::winding(pen, "high-voltage winding", x, [136.0, 180.0], Turns(4, 5.0), &[158.0]);
    symbol::winding(pen, "heater winding", x, [190.0, 238.0], Turns(3, 6.5), &[]);
    for y in [136.0, 158.0, 180.0, 190.0, 238.0] {
        pen.mark(line(&[(x, y), (x + 12.0, y)], WIRE));
    }
    let x = x + 20.0;
    pen.right((x, 156.0), ["high", "voltage"]);
    pen.right((x, 212.0), ["heaters"]);
    heater_volts(pen, usual, (x, 227.0));
    pen.left(
        (primary + 114.0, LOW + 26.0),
        [format!("power transformer {TRANSFORMER} of the set")],
    );
}

/// One winding: from above the end for the high voltage, the line, the heaters, the common end with the chassis.
fn auto(pen: &mut Pen, usual: Option<&Reading>, (x, back): (f64, &str), tapped: bool) {
    // the line's tap lies two half circles from one end, the heaters' two from the other
    let radius = (LOW - LIVE) / 16.0;
    let (high, heaters) = (LIVE - 4.0 * radius, LOW - 4.0 * radius);
    // where its line taps are the part, those of the heaters and the high voltage are left out
    if !tapped {
        let (ends, taps) = ([high, LOW], [LIVE, heaters]);
        symbol::winding(pen, "tapped winding", x, ends, Turns(10, -radius), &taps);
        let out = x + 44.0;
        for (y, net) in [(high, "high voltage"), (heaters, "heaters")] {
            pen.level(net, (x, y), [out]);
            pen.terminal((out, y));
        }
        let at = out + 9.0;
        pen.right((at, high + 4.0), ["high", "voltage"]);
        pen.right((at, heaters - 3.0), ["heaters"]);
        heater_volts(pen, usual, (at, heaters + 12.0));
    }
    let foot = x + 14.0;
    pen.level(back, (x, LOW), [foot]);
    symbol::chassis(pen, (foot, LOW));
    pen.right((foot + 15.0, LOW + 18.0), [bold("chassis LIVE")]);
    symbol::warning(pen, (foot + 60.0, LOW - 11.0));
    pen.left((x - 10.0, LOW + 26.0), ["autotransformer of the set:"]);
}
