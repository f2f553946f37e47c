//! Limits of a set, weighed: which count against it, which decide nothing.
//!
//! A tube's design-center rating is a limit for an average tube on the set's own line, chosen by the tube maker with the
//! line's ±10 % allowed for (RS-239-A, Electronic Industries Association, January 1963 †); what is beyond it by no more than
//! that is at the limit and no finding.

use crate::study::{Day, Limit, limit::Limited};

/// Times its rating, and times what it is on the design line, beyond which a tube's volts count: the line's own 10 %.
pub const VOLTS: (f64, f64) = (1.10, 1.03);
/// The same of watts and currents: 1.10² is 1.21.
const WATTS: (f64, f64) = (1.20, 1.07);
/// How a limit is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// A tube maker's design-center rating: these times the limit, and these times the design line's value.
    DesignCenter((f64, f64)),
    /// Of a rectifier, whatever the line: of a tube a design-center rating too, with the line's own 10 %.
    Rectifier,
    /// Whatever the line.
    Hard,
    /// A bound of the set's own, on the usual line.
    Usual,
    /// Judged apart, or an estimate.
    Never,
}

pub fn rule(what: Limited) -> Rule {
    match what {
        Limited::Plate | Limited::Screen => Rule::DesignCenter(VOLTS),
        Limited::PlateHeat | Limited::ScreenHeat | Limited::DcOutput => Rule::DesignCenter(WATTS),
        Limited::PeakPlate | Limited::PeakInverse => Rule::Rectifier,
        Limited::Capacitor
        | Limited::Barretter
        | Limited::DropperHeat
        | Limited::DropperVolts
        | Limited::FilterHeat => Rule::Hard,
        Limited::Heaters | Limited::Flux => Rule::Usual,
        // what is low is told by the tubes' own heaters, what is warm is an estimate
        Limited::HeatersLow | Limited::BarretterLow | Limited::Coil => Rule::Never,
    }
}

/// A limit that is passed by more than its rule allows.
#[derive(Debug, Clone)]
pub struct Finding {
    /// The limit, with its value.
    pub limit: Limit,
    /// Outlet voltage at which that stands.
    pub outlet_v: f64,
    /// True for what must not stay so; a tube's design-center rating is only worth a part.
    pub must: bool,
    /// The value beyond which it counts.
    pub bound: f64,
    /// True where the excess lies within what is not known of the set: it decides nothing.
    pub open: bool,
}

impl Finding {
    /// Whether it is there in `before`, and no better.
    pub fn improves(&self, before: &Day) -> bool {
        let mut then = [&before.usual, &before.high].into_iter();
        let then = then.find(|r| r.outlet_v == self.outlet_v);
        let then = then.and_then(|r| r.limit(&self.limit));
        then.is_some_and(|l| self.limit.value <= l.value * (1.0 + 1e-9))
    }

    /// Whether one reading is asked for because of it: a tube's rating that hangs on what is assumed decides nothing.
    pub fn asks(&self) -> bool {
        self.open && self.limit.what == Limited::Capacitor
    }

    /// Whether it speaks for lowering the line: not what is known too little, nor what is renewed.
    pub fn counts(&self) -> bool {
        !self.open && !self.is_of_rectifier() && self.limit.what != Limited::Capacitor
    }

    /// True for peak current and inverse volts of the rectifier.
    pub fn is_of_rectifier(&self) -> bool {
        matches!(self.limit.what, Limited::PeakPlate | Limited::PeakInverse)
    }
}
