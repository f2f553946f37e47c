//! Limits of a set, weighed: which count against it, which decide nothing.
//!
//! A tube's design-center rating is a limit for an average tube on the set's own line, chosen by the tube maker with the
//! line's ±10 % allowed for (RS-239-A, Electronic Industries Association, January 1963 †); what is beyond it by no more than
//! that is at the limit and no finding.

use super::super::assumption::Spreads;
use super::super::day::Day;
use super::super::limits::Limited;
use super::super::reading::{Limit, Reading};

/// Times its rating, and times what it is on the design line, beyond which a tube's volts count: the line's own 10 %.
const VOLTS: (f64, f64) = (1.10, 1.03);
/// The same of watts and currents: 1.10² is 1.21.
const WATTS: (f64, f64) = (1.20, 1.07);
/// What the set's maker exceeded counts from so many times what it is on the design line.
const AS_DESIGNED: f64 = 1.10;

/// Share of a tube's figure up to which it counts as known.
const KNOWN: f64 = 0.01;

/// What a value may exceed its bound by as numbers are kept: 121 V on 110 V is not more than a tenth.
const LAST_DIGITS: f64 = 1.0 + 1e-9;

/// How a limit is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Rule {
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

fn rule(what: Limited) -> Rule {
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
pub(in super::super) struct Finding {
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

/// What limits are weighed with.
pub(in super::super) struct Scale<'a> {
    /// The set on its design line.
    pub design: &'a Reading,
    /// What is not known.
    pub spreads: &'a Spreads,
    /// True where the high line was read: then hard limits hold there, else on the usual line.
    pub high_read: bool,
    /// True for a rectifier that is no tube.
    pub dry: bool,
}

impl Scale<'_> {
    /// What counts against the set on this day, and what would if it were known better.
    pub fn findings(&self, day: &Day) -> Vec<Finding> {
        let hard_at = if self.high_read { &day.high } else { &day.usual };
        let of = |reading: &Reading, hard: bool| -> Vec<Finding> {
            let at_any = |l: &Limit| matches!(rule(l.what), Rule::Hard | Rule::Rectifier);
            let here = |l: &&Limit| at_any(l) == hard;
            let weighed = |l: &Limit| self.weigh(l, reading);
            reading.limits.iter().filter(here).filter_map(weighed).collect()
        };
        [of(&day.usual, false), of(hard_at, true)].concat()
    }

    fn weigh(&self, limit: &Limit, reading: &Reading) -> Option<Finding> {
        let designed = self.design.limits.iter().find(|d| d.is(limit)).map(|d| d.value);
        let (value, most) = (limit.value, limit.limit);
        let bound = match rule(limit.what) {
            Rule::Never => return None,
            // the tubes' own are judged by how far they are off, those of a string by its current
            _ if limit.what.is_of_heaters() && judged_apart(reading, limit.of) => return None,
            // what is renewed is not excused by who made the set
            // the peak current of a tube hangs on copper that hardly a profile states
            Rule::Rectifier if !self.dry && limit.what == Limited::PeakPlate => return None,
            Rule::Rectifier if !self.dry => VOLTS.0 * most,
            Rule::Rectifier | Rule::Hard => most,
            Rule::DesignCenter((of_limit, of_design)) => match designed {
                Some(d) if d > most => AS_DESIGNED * d,
                d => d.map_or(0.0, |d| of_design * d).max(of_limit * most),
            },
            Rule::Usual => designed.map_or(most, |d| if d > most { AS_DESIGNED * d } else { most }),
        };
        let spread = self.spreads.iter().find(|(l, _)| l.is(limit));
        let two_u = spread.map_or(0.0, |(l, two_u)| two_u * value / l.value);
        // an assumed part decides nothing on a tube, nor does it excuse a rectifier
        let open = match rule(limit.what) {
            Rule::DesignCenter(_) => two_u > KNOWN * value,
            Rule::Rectifier => false,
            _ => value - most <= two_u,
        };
        (value > bound * LAST_DIGITS).then(|| Finding {
            open,
            bound,
            limit: limit.clone(),
            outlet_v: reading.outlet_v,
            must: !matches!(rule(limit.what), Rule::DesignCenter(_)),
        })
    }
}

fn judged_apart(reading: &Reading, of: usize) -> bool {
    of == reading.tube_heater_place() || reading.heaters.get(of).is_some_and(|h| h.in_string)
}

impl Finding {
    /// Whether it is there in `before`, and no better.
    pub fn improves(&self, before: &Day) -> bool {
        let same = |r: &&Reading| r.outlet_v == self.outlet_v;
        let then = [&before.usual, &before.high].into_iter().find(same);
        let then = then.and_then(|r| r.limits.iter().find(|l| l.is(&self.limit)));
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
