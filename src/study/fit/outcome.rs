//! What the readings of a profile come to, and that in sentences.

use crate::{receiver::shown, study::Serialize};

/// What the readings of a profile come to.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReadingsReport {
    /// How many the set is fitted to; 0 where they contradict.
    pub used: usize,
    /// Least sum of squares of readings and of what was known before, in standard uncertainties.
    pub misfit: f64,
    /// What chance exceeds once in a hundred.
    pub chance: f64,
    /// Readings that contradict each other or the set: nothing is advised on them.
    pub contradiction: Option<Contradiction>,
    /// Readings to take again.
    pub take_again: Vec<TakeAgain>,
    /// Parts found drifted.
    pub drifted: Vec<Suspect>,
}

/// A part that drifted, most likely.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Suspect {
    /// Which, in words.
    pub what: String,
    /// Name in profiles.
    pub key: String,
    /// Unit.
    pub unit: &'static str,
    /// What the profile says or a rule fills in.
    pub stated: f64,
    /// What it behaves as.
    pub behaves_as: f64,
    /// Standard uncertainty of that.
    pub uncertainty: f64,
    /// How far that is off, as a multiple of what the part may customarily be off by.
    pub spreads: f64,
    /// What setting it free takes off the sum of squares.
    pub gain: f64,
    /// Others that would explain the readings nearly as well.
    pub or: Vec<String>,
}

/// Of its own spreads, beyond which a part is to be renewed before anything else.
const MOST_SPREADS: f64 = 3.0;

impl Suspect {
    /// True if it is too far off to be left in the set.
    pub(crate) fn is_to_be_renewed(&self) -> bool {
        self.spreads > MOST_SPREADS
    }
}

/// What the fit does to the answer.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Answer {
    /// Line, V RMS.
    pub line_v: f64,
    /// Heater volts before.
    pub heater_before_v: f64,
    /// Heater volts after.
    pub heater_after_v: f64,
    /// Their standard uncertainty before.
    pub heater_uncertain_before_v: f64,
    /// After.
    pub heater_uncertain_after_v: f64,
    /// B+ before.
    pub b_plus_before_v: f64,
    /// B+ after.
    pub b_plus_after_v: f64,
    /// Its standard uncertainty before.
    pub b_plus_uncertain_before_v: f64,
    /// After.
    pub b_plus_uncertain_after_v: f64,
}

impl Answer {
    /// ± of heaters and B+ after the fit, V: twice the standard uncertainty.
    pub fn uncertain(&self) -> (f64, f64) {
        (2.0 * self.heater_uncertain_after_v, 2.0 * self.b_plus_uncertain_after_v)
    }
}

/// Readings that cannot all be right in this set.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Contradiction {
    /// What would explain it, one thing wrong and the rest right, the most likely first; empty if no one thing does.
    pub explanations: Vec<Explanation>,
    /// True if the readings tell which.
    pub told_apart: bool,
    /// The reading that would tell the first two apart.
    pub tells: Option<Telling>,
}

/// What may be wrong.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Doubted {
    /// A reading.
    Reading,
    /// The line volts a setting was taken at.
    Line,
    /// A part of the set.
    #[default]
    Part,
}

/// One thing that may be wrong.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Explanation {
    /// What.
    pub wrong: Doubted,
    /// Point, `at_line`, or name of a number in profiles.
    pub key: String,
    /// In words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// Line of the setting, V RMS; `None` for a part.
    pub at_line_v: Option<f64>,
    /// As the profile has it.
    pub stated: f64,
    /// What the rest makes it.
    pub would_be: f64,
    /// Standard uncertainty of that.
    pub uncertainty: f64,
    /// How far a part is off, as a multiple of what it may customarily be off by; `None` for a reading.
    pub spreads: Option<f64>,
    /// Sum of squares left.
    pub misfit: f64,
    /// Value with one digit, two adjacent digits or the decimal point changed that would fit.
    pub slip: Option<f64>,
    /// True if an average-responding meter would show what was read.
    pub average_meter: bool,
}

impl Explanation {
    /// Whether how it came about is plain: a slip of the pen, or what the meter is.
    pub(super) fn is_plain(&self) -> bool {
        self.slip.is_some() || self.average_meter
    }
}

/// A reading to take again.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TakeAgain {
    /// Point, or `at_line`.
    pub key: String,
    /// Line it was taken at, V RMS.
    pub at_line_v: f64,
}

/// A reading that two explanations put at different values.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Telling {
    /// Point.
    pub key: String,
    /// In words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// Line, V RMS.
    pub at_line_v: f64,
    /// If the first explanation holds.
    pub if_first: f64,
    /// If the second does.
    pub if_second: f64,
}

impl ReadingsReport {
    /// The headline where the readings contradict.
    pub fn headline(&self) -> Option<&'static str> {
        self.contradiction.as_ref().map(|c| match c.explanations.as_slice() {
            all if !all.is_empty() && all.iter().all(|e| e.wrong == Doubted::Part) => {
                "READINGS CONTRADICT THE PROFILE: a part has drifted. Nothing is advised before it is put right"
            }
            _ => "READINGS CONTRADICT EACH OTHER OR THE SET: nothing is advised on them",
        })
    }

    /// What to do about it, most likely first.
    pub fn sentences(&self) -> Vec<String> {
        let Some(contradiction) = &self.contradiction else { return Vec::new() };
        let mut list: Vec<String> =
            contradiction.explanations.iter().map(ToString::to_string).collect();
        let again: Vec<String> =
            self.take_again.iter().map(|t| format!("{} at {:.1} V", t.key, t.at_line_v)).collect();
        if list.is_empty() {
            list.push(format!(
                "No one wrong reading or part explains them. Take again first: {}",
                again.join(", ")
            ));
        } else if contradiction.explanations.iter().all(|e| e.wrong == Doubted::Part) {
            list.push(format!("Take again to be sure: {}", again.join(", ")));
        }
        if !contradiction.told_apart && list.len() > 1 {
            let tell = contradiction.tells.as_ref().map(|t| {
                format!(
                    "; {} ({}) at {:.1} V would: {} or {}",
                    t.label,
                    t.key,
                    t.at_line_v,
                    shown(t.if_first, t.unit),
                    shown(t.if_second, t.unit)
                )
            });
            list.push(format!("These readings cannot tell them apart{}", tell.unwrap_or_default()));
        }
        list
    }

    /// Headline and sentences in one, as a reason.
    pub fn reason(&self) -> Option<String> {
        Some(format!("{}. {}.", self.headline()?, self.sentences().join(". ")))
    }

    /// Parts found drifted, a sentence each.
    pub fn drifts(&self) -> impl Iterator<Item = String> {
        self.drifted.iter().map(|d| {
            let others = match d.or.as_slice() {
                [] => String::new(),
                or => format!("; nearly as likely: {}", or.join(", ")),
            };
            format!(
                "{} acts like {} ±{}, not {}{others}",
                d.what,
                shown(d.behaves_as, d.unit),
                shown(2.0 * d.uncertainty, d.unit),
                shown(d.stated, d.unit)
            )
        })
    }
}

impl std::fmt::Display for Explanation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let show = |v| shown(v, self.unit);
        let rest = format!("{} ±{}", show(self.would_be), show(2.0 * self.uncertainty));
        let (key, label, stated) = (&self.key, &self.label, show(self.stated));
        let line = self.at_line_v.unwrap_or_default();
        match self.wrong {
            Doubted::Reading if self.average_meter => write!(
                f,
                "{key} at {line:.1} V reads {stated}, the rest gives {rest} true RMS: an average-responding meter reads this low here. If yours is one, add that: `meter: {{ load: 10 MΩ, ac: average }}`"
            )?,
            Doubted::Reading => write!(
                f,
                "Take {key} at {line:.1} V again: {stated} was read, the rest gives {rest}"
            )?,
            Doubted::Line => write!(
                f,
                "Measure the line voltage again: at_line says {stated}, the readings fit {rest}"
            )?,
            Doubted::Part => write!(
                f,
                "Drifted, if no reading is wrong: {label} ({key}) acts like {rest}, not {stated}"
            )?,
        }
        match self.slip {
            Some(slip) => write!(f, ". A slip of the pen? {} would fit", show(slip)),
            None => Ok(()),
        }
    }
}
