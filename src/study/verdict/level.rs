//! How far a set on its outlet is from right: the one measure by which verdicts step.

use crate::{
    adaptation::Shelf,
    receiver::HEATER_EXPONENT,
    study::{Goal, HEATER_AT_HIGH, HEATER_GOOD, HEATER_LIMIT, Reading, band::Common},
};

/// Current of a heater string that is right, as a share: 5 % of its volts, in current.
const STRING_GOOD: f64 = 0.03;
/// Severity up to which nothing is to be done: heaters within ±5 %, a string's current within ±3 %.
pub const RIGHT: f64 = 1.0;
/// Severity above which a part is needed: heaters 10 % high ("Valve heater voltages", Radio Constructor, April 1962), a
/// string's current 6 %.
pub const LIMIT: f64 = HEATER_LIMIT / HEATER_GOOD;
/// The same at a high line that was read: heaters 12 % high (reasoned: 7 % on the average and the line's own 5 %).
pub const LIMIT_AT_HIGH: f64 = HEATER_AT_HIGH / HEATER_GOOD;
/// Two standard uncertainties of the severity from which one reading is worth asking for: half of the way from right to
/// the limit.
const TELLING: f64 = 0.5;
/// Usual line over the design line below which it may be raised.
pub const LOW_LINE: f64 = 0.90;

/// Taps whose turns differ by less are one.
const SAME_TAP: f64 = 1e-6;

/// What the outlet does to the set, from too little to too much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Too low to leave, where something can raise it.
    Low,
    /// Perhaps.
    LowOpen,
    /// Nothing is to be done.
    Right,
    /// Perhaps too high: a reading tells.
    HighOpen,
    /// A part is worth fitting.
    Optional,
    /// It must not stay so.
    Needed,
}

/// By what the set's state is measured.
#[derive(Debug, Clone)]
pub struct Yardstick {
    /// The goal, where it is not the heaters' rating.
    pub goal: Option<Goal>,
    /// True for a heater string, which is judged by its current.
    pub string: bool,
    /// Lowest severity that a choice may come to: heaters may stay low where the iron bears no more.
    pub least: f64,
    /// Two standard uncertainties that all choices share, as a share of what is judged.
    pub open: f64,
    /// Turns of the tap in use over those of each other tap of the primary.
    pub taps: Vec<f64>,
}

impl Yardstick {
    /// That of a set at `usual` straight on its outlet; `goal` where something else than the heaters' rating is asked
    /// for, `lowered` where the iron keeps the heaters below it.
    pub fn new(
        shelf: &Shelf,
        goal: Option<Goal>,
        lowered: bool,
        common: Common,
        usual: &Reading,
    ) -> Yardstick {
        let turns = shelf.taps.iter().map(|volts| shelf.design_line / volts);
        Yardstick {
            goal,
            string: usual.heaters.iter().any(|h| h.in_string),
            least: if lowered { -LIMIT } else { -RIGHT },
            open: match goal {
                Some(Goal::BPlus(_)) => common.b_plus.both() / usual.b_plus_v,
                _ => common.heater.both() / usual.tube_heater().map_or(1.0, |h| h.volts_v),
            },
            taps: turns.filter(|turns| (turns - 1.0).abs() > SAME_TAP).collect(),
        }
    }

    /// How far a reading is from right, in units of what is still right: 1 is heaters 5 % high.
    pub fn severity(&self, reading: &Reading) -> f64 {
        self.of_miss(self.miss(reading))
    }

    /// How far what is judged is above what is wanted, as a share.
    fn miss(&self, reading: &Reading) -> f64 {
        self.goal.map_or_else(|| reading.heater_excess(), |goal| goal.miss(reading))
    }

    /// Severity of that.
    fn of_miss(&self, miss: f64) -> f64 {
        if self.goal.is_some() { miss / HEATER_GOOD } else { self.of_heaters(miss) }
    }

    /// That of heaters a share above their rating.
    fn of_heaters(&self, excess: f64) -> f64 {
        if self.string {
            ((1.0 + excess).powf(HEATER_EXPONENT) - 1.0) / STRING_GOOD
        } else {
            excess / HEATER_GOOD
        }
    }

    /// How far what is told is from what is wanted: of a string its current, as a share.
    pub fn share(&self, reading: &Reading) -> f64 {
        match self.goal {
            None if self.string => self.current_share(reading),
            _ => self.miss(reading),
        }
    }

    /// How far a string's current is above its rating, as a share.
    pub fn current_share(&self, reading: &Reading) -> f64 {
        STRING_GOOD * self.of_heaters(reading.heater_excess())
    }

    /// What is not known of that, or of what is judged in any other set: ± as a share.
    pub fn open_share(&self) -> f64 {
        if self.string { HEATER_EXPONENT * self.open } else { self.open }
    }

    /// The same in severity, from where one reading is worth asking for; else 0.
    fn open(&self) -> f64 {
        let open = self.open_share() / self.good();
        if open >= TELLING { open } else { 0.0 }
    }

    /// Share of their rating at which the heaters come to `severity`.
    pub fn heaters_at(&self, severity: f64) -> f64 {
        if self.string {
            (1.0 + severity * STRING_GOOD).powf(1.0 / HEATER_EXPONENT)
        } else {
            1.0 + severity * HEATER_GOOD
        }
    }

    /// Whether a choice that comes to `severity` on the usual line brings the set right; a tap costs nothing, and may
    /// leave it as low as is left alone.
    pub fn is_right(&self, severity: f64, is_tap: bool) -> bool {
        let least = if is_tap { -LIMIT } else { self.least };
        (least..=RIGHT).contains(&severity)
    }

    /// Whether the heaters are beyond what they bear for long, whatever is asked for.
    pub fn heaters_too_high(&self, reading: &Reading) -> bool {
        self.of_heaters(reading.heater_excess()) > LIMIT
    }

    /// Whether a high line that was read is too much.
    pub fn is_high_at_high(&self, severity: f64) -> bool {
        severity > LIMIT_AT_HIGH
    }

    /// Severity above which the set is no longer simply left: what is not known goes with the line.
    pub fn turns_up(&self) -> f64 {
        // s + open (1 + good s) = limit
        RIGHT.min((LIMIT - self.open()) / (1.0 + self.good() * self.open()))
    }

    /// Severity up to which a reading is asked for.
    pub fn known_above(&self) -> f64 {
        // s − open (1 + good s) = right
        (RIGHT + self.open()) / (1.0 - self.good() * self.open())
    }

    /// Severity below zero down to which a reading is asked for.
    pub fn known_below(&self) -> f64 {
        (LIMIT + self.open()) / (1.0 + self.good() * self.open())
    }

    /// Share off that is still right.
    pub fn good(&self) -> f64 {
        if self.string { STRING_GOOD } else { HEATER_GOOD }
    }

    pub fn is_open(&self) -> bool {
        self.open() > 0.0
    }

    /// Whether a free tap would serve a set that reads so: all goes with the turns.
    pub fn is_tapped(&self, reading: &Reading) -> bool {
        let miss = self.miss(reading);
        let other = |turns: f64| self.of_miss((1.0 + miss) * turns - 1.0);
        self.taps.iter().any(|turns| self.is_right(other(*turns), true))
    }
}
