//! Why a study has no answer, and what to do.

use super::Caution;
use crate::{
    adaptation::{Method, With},
    receiver::ReceiverError,
};
use thiserror::Error;

/// What a study comes to.
pub type Result<T, E = StudyError> = std::result::Result<T, E>;

/// Why a study has no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StudyError {
    /// The set could not be solved.
    #[error(transparent)]
    Receiver(#[from] ReceiverError),
    /// The outlet is not known and no rule gives it.
    #[error("the outlet voltage is not known")]
    NoOutlet,
    /// A sweep asks for a quantity the set does not have.
    #[error("this set has no quantity \"{asked}\"")]
    NoQuantity {
        /// What was asked for.
        asked: String,
        /// What there is.
        known: Vec<String>,
    },
    /// Nothing stands in series with a heater string, or there is no string.
    #[error("{}", if *string { "nothing stands in series with this set's heaters" } else { "this set has no heaters in series on the line" })]
    NoDropper {
        /// True for a set with a heater string.
        string: bool,
    },
    /// A part that the set does not have, or that cannot be replaced in it.
    #[error("{what}")]
    NotReplaced {
        /// Why.
        what: String,
        /// What to do.
        advice: String,
    },
    /// A fit without a reading.
    #[error("the profile has no readings to fit to")]
    NoReadings,
    /// The fit does not end.
    #[error("the readings cannot be fitted: {0}")]
    NotFitted(String),
    /// A reading that no state of the set gives, or of a point it does not have.
    #[error("{what}")]
    Reading {
        /// What is wrong.
        what: String,
        /// Its place in the profile, such as `readings[0].B+`.
        key: String,
        /// What to do.
        advice: String,
    },
    /// Readings that contradict each other or the set.
    #[error("{0}")]
    Contradicted(String),
    /// A divider that the set does not have, or none named where it has several.
    #[error("{}", no_divider(asked.as_deref(), known))]
    NoDivider {
        /// What was asked for.
        asked: Option<String>,
        /// What there is.
        known: Vec<String>,
    },
    /// A divider that cannot be had.
    #[error("{found}")]
    Divider {
        /// What is wrong.
        found: String,
        /// What to write instead.
        advice: String,
    },
    /// A choice that the plan does not have.
    #[error("this plan has no choice \"{asked}\"")]
    NoChoice {
        /// What was asked for.
        asked: With,
        /// What there is.
        known: Vec<Method>,
    },
    /// A choice with something against it: nothing is written that could be taken for advice.
    #[error("{title}: {}", reasons.join("; "))]
    NotStoodBehind {
        /// What heads the set's screens.
        alarms: Vec<Caution>,
        /// What is refused.
        title: String,
        /// Why.
        reasons: Vec<String>,
        /// What to do.
        next: String,
    },
    /// Low, usual and high outlet volts in the wrong order, V RMS.
    #[error(
        "the outlet voltages are out of order: low {low:.1} V, usual {usual:.1} V, high {high:.1} V"
    )]
    OutletOrder {
        /// Lowest.
        low: f64,
        /// Usual.
        usual: f64,
        /// Highest.
        high: f64,
    },
    /// A number of draws out of range.
    #[error("{draws} draws cannot be made")]
    BadDraws {
        /// Asked for.
        draws: usize,
        /// Fewest.
        least: usize,
        /// Most.
        most: usize,
    },
    /// A sweep's range cannot be walked.
    #[error("{0}")]
    BadRange(&'static str),
}

impl StudyError {
    /// What must head it, where it knows.
    pub fn alarms(&self) -> &[Caution] {
        match self {
            StudyError::NotStoodBehind { alarms, .. } => alarms,
            _ => &[],
        }
    }

    /// What to do about it.
    pub fn advice(&self) -> String {
        let words = match self {
            StudyError::Receiver(error) => error.advice(),
            StudyError::Reading { advice, .. }
            | StudyError::NotReplaced { advice, .. }
            | StudyError::Divider { advice, .. }
            | StudyError::NotStoodBehind { next: advice, .. } => advice,
            StudyError::Contradicted(_) => {
                "take that reading again and correct it in the profile, or leave it out"
            }
            StudyError::NoReadings => {
                "write what the meter showed into the profile, such as `readings: [{ at_line: 112 V, B+: 246 V, heater.main: 6.2 V }]`"
            }
            StudyError::NoDropper { .. } => {
                "state it in the profile: `heater_string: { dropper: { kind: resistor, resistance: 180 Ω } }`, `line-cord`, `ballast` or `barretter`"
            }
            StudyError::NotFitted(_) => {
                "look for a reading of the wrong point, sign or unit, and for the line it was taken at"
            }
            StudyError::NoOutlet => {
                "name the place, `outlet: { range: europe }` or `outlet: { range: north-america }`, or write what a meter showed, `outlet: { low: 118 V, usual: 122 V, high: 126 V }`; on the command line `--range europe` or `--line 122V`"
            }
            StudyError::NoDivider { known, .. } if known.is_empty() => {
                "describe it under `dividers:` in the profile, or give it bare: `mainsfit divider --from 75V --resistors 390k,82k,18k`"
            }
            StudyError::NoDivider { known, .. } => {
                return format!("write --of {}", known.join(" or --of "));
            }
            StudyError::NoChoice { known, .. } => {
                let known: Vec<String> = known.iter().map(ToString::to_string).collect();
                return format!("the choices are: {}", known.join(", "));
            }
            StudyError::NoQuantity { known, .. } => return format!("known: {}", known.join(", ")),
            StudyError::OutletOrder { .. } => {
                "give low ≤ usual ≤ high, such as `--low 118V --line 122V --high 126V`"
            }
            StudyError::BadDraws { least, most, .. } => {
                return format!("ask for {least} to {most}, such as `--draws 1000`");
            }
            StudyError::BadRange(_) => "for example `--from 100V --to 130V --points 7`",
        };
        words.to_owned()
    }
}

fn no_divider(asked: Option<&str>, known: &[String]) -> String {
    match asked {
        Some(asked) => format!("this set has no divider \"{asked}\""),
        None if known.is_empty() => "this set has no divider".to_owned(),
        None => format!("this set has {} dividers", known.len()),
    }
}
