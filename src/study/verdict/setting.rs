//! What a verdict on a set goes by: its limits weighed, and how far it is from right. What is decided by that.

use super::{
    advice::{Strength, Verdict},
    finding::{Finding, Rule, VOLTS, rule},
    level::{LIMIT, LOW_LINE, Level, RIGHT, Yardstick},
};
use crate::{
    receiver::Receiver,
    study::{
        Choice, Day, Limit, OutletVolts, Reading, assumption::Spreads, flags::Direct,
        limit::Limited,
    },
};

/// What the set's maker exceeded counts from so many times what it is on the design line.
const AS_DESIGNED: f64 = 1.10;

/// Share of a tube's figure up to which it counts as known.
const KNOWN: f64 = 0.01;

/// What a value may exceed its bound by as numbers are kept: 121 V on 110 V is not more than a tenth.
const LAST_DIGITS: f64 = 1.0 + 1e-9;

/// What a verdict goes by.
#[derive(Clone, Copy)]
pub struct Setting<'a> {
    pub receiver: &'a Receiver,
    /// The outlet: where its high line was read, hard limits hold there, else on the usual one.
    pub outlet: OutletVolts,
    pub direct: Direct,
    pub yard: &'a Yardstick,
    /// The set on its design line.
    pub design: &'a Reading,
    /// What is not known.
    pub spreads: &'a Spreads,
}

impl Setting<'_> {
    /// What counts against the set on this day, and what would if it were known better.
    pub fn findings(&self, day: &Day) -> Vec<Finding> {
        let of = |reading: &Reading, hard: bool| -> Vec<Finding> {
            let at_any = |l: &Limit| matches!(rule(l.what), Rule::Hard | Rule::Rectifier);
            let here = reading.limits.iter().filter(|l| at_any(l) == hard);
            here.filter_map(|l| self.weigh(l, reading)).collect()
        };
        let hard_at = if self.outlet.high_read { &day.high } else { &day.usual };
        [of(&day.usual, false), of(hard_at, true)].concat()
    }

    fn weigh(&self, limit: &Limit, reading: &Reading) -> Option<Finding> {
        let designed = self.design.limit(limit).map(|d| d.value);
        let dry = self.receiver.model().rectifier.kind.is_dry();
        let (rule, value, most) = (rule(limit.what), limit.value, limit.limit);
        let bound = match rule {
            Rule::Never => return None,
            // the tubes' own are judged by how far they are off, those of a string by its current
            _ if limit.what.is_of_heaters() && judged_apart(reading, limit.of) => return None,
            // what is renewed is not excused by who made the set
            // the peak current of a tube hangs on copper that hardly a profile states
            Rule::Rectifier if !dry && limit.what == Limited::PeakPlate => return None,
            Rule::Rectifier if !dry => VOLTS.0 * most,
            Rule::Rectifier | Rule::Hard => most,
            Rule::DesignCenter(_) | Rule::Usual if designed.is_some_and(|d| d > most) => {
                AS_DESIGNED * designed?
            }
            Rule::DesignCenter((of_limit, of_design)) => {
                designed.map_or(0.0, |d| of_design * d).max(of_limit * most)
            }
            Rule::Usual => most,
        };
        let spread = self.spreads.iter().find(|(l, _)| l.is(limit));
        let two_u = spread.map_or(0.0, |(l, two_u)| two_u * value / l.value);
        // an assumed part decides nothing on a tube, nor does it excuse a rectifier
        let open = match rule {
            Rule::DesignCenter(_) => two_u > KNOWN * value,
            Rule::Rectifier => false,
            Rule::Hard | Rule::Usual | Rule::Never => value - most <= two_u,
        };
        (value > bound * LAST_DIGITS).then(|| Finding {
            open,
            bound,
            limit: limit.clone(),
            outlet_v: reading.outlet_v,
            must: !matches!(rule, Rule::DesignCenter(_)),
        })
    }

    /// The level of the set straight on its outlet, with what counts against it.
    pub fn level(&self, day: &Day) -> (Level, Vec<Finding>) {
        let (yard, usual) = (self.yard, &day.usual);
        let (s, findings) = (yard.severity(usual), self.findings(day));
        // a tube's rating alone asks for no part: the line it hangs on is within a few per cent of right
        let must = findings.iter().any(|f| f.counts() && f.must);
        let at_high = self.outlet.high_read && yard.is_high_at_high(yard.severity(&day.high));
        // what a free tap would mend is moved, and measured after
        let ask = yard.is_open() && !yard.is_tapped(usual);
        let known_above = if ask { yard.known_above() } else { RIGHT };
        let low_line = LOW_LINE * self.receiver.model().line_as_found();
        let level = match () {
            () if must || at_high || s > LIMIT.max(known_above) => Level::Needed,
            () if self.direct != Direct::Allowed => Level::Needed,
            () if ask && s > yard.turns_up() && s <= known_above => Level::HighOpen,
            () if s > RIGHT => Level::Optional,
            () if findings.iter().any(Finding::asks) => Level::HighOpen,
            () if s >= -LIMIT || usual.outlet_v >= low_line => Level::Right,
            () if ask && s >= -yard.known_below() => Level::LowOpen,
            () => Level::Low,
        };
        (level, findings)
    }
}

fn judged_apart(reading: &Reading, of: usize) -> bool {
    of == reading.tube_heater_place() || reading.heaters.get(of).is_some_and(|h| h.in_string)
}

/// What is decided, before it is put into words.
pub struct Decided<'a> {
    pub verdict: Verdict,
    pub strength: Option<Strength>,
    pub level: Level,
    pub choice: Option<&'a Choice>,
    pub runner_up: Option<&'a Choice>,
    /// What counts against the set as it is, and what would if it were known.
    pub findings: Vec<Finding>,
    /// All there are, the set as it is first.
    pub choices: &'a [Choice],
}
