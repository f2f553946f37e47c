//! A set in a few words, and why no profile follows from them.

use crate::{
    catalogue::NoSuchType,
    profile::{Lead, RectifierCircuit},
    quantity::{Capacitance, Frequency, Power, Resistance, Voltage},
    study::{OutletChoice, StudyError},
};
use thiserror::Error;

/// What stands between the filter capacitors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Between {
    /// Field coil of the loudspeaker.
    FieldCoil,
    /// Smoothing choke.
    Choke,
    /// Resistor.
    Resistor,
}

/// What feeds the set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feed {
    /// A transformer with windings of their own.
    Transformer,
    /// One winding with taps: the chassis is live.
    Autotransformer,
    /// The line itself, the heaters in series on it: the chassis is live.
    Line,
}

/// What is printed on a bulb in the string, or what it drops.
#[derive(Debug, Clone, PartialEq)]
pub enum Bulb {
    /// Its type.
    Type(String),
    /// Volts across it.
    Volts(Voltage),
}

/// What drops the volts that a heater string does not need.
#[derive(Debug, Clone, PartialEq)]
pub enum NewDropper {
    /// Nothing does.
    None,
    /// A resistor in the set.
    Resistor(Option<Resistance>),
    /// Resistance wire in the line cord.
    LineCord(Option<Resistance>),
    /// Resistance wire in a bulb.
    Ballast(Option<Bulb>),
    /// A bulb that holds its current, by its type.
    Barretter(Option<String>),
}

/// Where the grids get their bias.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum BiasFrom {
    /// Resistors at the cathodes.
    #[default]
    Cathodes,
    /// Taps across the field coil in the negative lead.
    FieldCoil,
    /// The drop of a resistor in the negative lead.
    Resistor,
    /// A supply with a winding and a rectifier of its own.
    Supply,
}

/// Voltage of the high-voltage winding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Winding {
    /// Each half of one with a center tap.
    PerHalf(Voltage),
    /// The whole of one without.
    Whole(Voltage),
}

/// A set in a few words.
#[derive(Debug, Clone, Default)]
pub struct NewSet {
    /// Name, one line; none yet where it is absent.
    pub name: Option<String>,
    /// Year it was made.
    pub year: Option<i32>,
    /// Mains volts it was made for.
    pub design_line: Voltage,
    /// Mains frequency it was made for.
    pub frequency: Option<Frequency>,
    /// Watts of the nameplate.
    pub nameplate: Option<Power>,
    /// The outlet.
    pub outlet: OutletChoice,
    /// What feeds it; told from its tubes where it is absent.
    pub feed: Option<Feed>,
    /// Types of the tubes; the rectifier may be among them if it is not named below.
    pub tubes: Vec<String>,
    /// The rectifier, its type once for each tube.
    pub rectifiers: Vec<String>,
    /// How its diodes are joined; as is customary where it is absent.
    pub circuit: Option<RectifierCircuit>,
    /// What stands in series with the heaters; worked out where it is absent.
    pub dropper: Option<NewDropper>,
    /// Types of the dial lamps.
    pub lamps: Vec<String>,
    /// True if the rectifier works into a choke.
    pub choke_input: bool,
    /// What stands between the filter capacitors, and in which lead; not known where it is absent.
    pub between: Option<(Between, Lead)>,
    /// True if the loudspeaker's field lies across the supply.
    pub field_across: bool,
    /// Its cold resistance (of the part between the capacitors, else of the field), by ohmmeter.
    pub coil: Option<Resistance>,
    /// The filter capacitors as printed, in their order.
    pub capacitors: Vec<Capacitance>,
    /// Where the grids take their bias from.
    pub bias: BiasFrom,
    /// B+ of the service sheet.
    pub b_plus: Option<Voltage>,
    /// Voltage of the high-voltage winding.
    pub winding: Option<Winding>,
    /// Copper of the primary, by ohmmeter.
    pub primary: Option<Resistance>,
}

impl NewSet {
    /// Whether its lamps lie across a section of its ballast, as they do where there is one of a type.
    pub(super) fn lamp_on_ballast(&self) -> bool {
        matches!(self.dropper, Some(NewDropper::Ballast(Some(Bulb::Type(_)))))
    }
}

/// Why there is no blank.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BlankError {
    /// A type the catalogue does not hold.
    #[error("{}", .0.found())]
    NoSuchType(NoSuchType),
    /// No rectifier was named.
    #[error("the rectifier is not named")]
    NoRectifier,
    /// Rectifiers of several types.
    #[error("{0} and {1} are rectifiers of two types")]
    TwoRectifiers(String, String),
    /// More entries than a profile takes.
    #[error("{0} is more than a profile takes")]
    TooMany(usize),
    /// A log of the outlet that is longer than a profile.
    #[error("a log of {0} readings is too long for a profile")]
    LongLog(usize),
    /// Bias from a coil that does not stand in the negative lead.
    #[error("bias from the field coil needs the field coil in the negative lead")]
    BiasWithoutCoil,
    /// A supply of bias without a transformer.
    #[error("a bias supply needs a winding, and this set has no transformer")]
    BiasWithoutWinding,
    /// Something that belongs to the other kind of set.
    #[error("{0} goes with {1}")]
    Elsewhere(&'static str, &'static str),
    /// A heater string without what it needs.
    #[error(
        "the heaters in series add to {volts_v:.0} V and the line is {line_v:.0} V: something drops the {:.0} V between them",
        line_v - volts_v
    )]
    DropperMissing {
        /// Rated volts of the string.
        volts_v: f64,
        /// Design line.
        line_v: f64,
        /// Ω that would drop the rest.
        ohms: f64,
    },
    /// A heater string of more volts than the line.
    #[error(
        "the heaters in series would add to {volts_v:.0} V, and the line is {line_v:.0} V: they are not all in series"
    )]
    StringTooLong {
        /// Rated volts of the string.
        volts_v: f64,
        /// Design line.
        line_v: f64,
    },
    /// A tube whose heater does not take the current of the string.
    #[error(
        "LIVE CHASSIS: heaters made for a string on the line, which carries {string_a} A, and the {tube} takes {amps_a} A"
    )]
    OtherCurrent {
        /// Its type.
        tube: String,
        /// What it takes, A.
        amps_a: f64,
        /// What the others take, A.
        string_a: f64,
    },
    /// A dial lamp whose volts no heater winding has.
    #[error("no heater winding of these tubes fits the dial lamp {lamp} of {volts_v} V")]
    LampWithoutWinding {
        /// Its type.
        lamp: String,
        /// Its volts.
        volts_v: f64,
    },
    /// What the reader of profiles says of it.
    #[error("{found}")]
    Refused {
        /// Where in the profile.
        path: String,
        /// What it found.
        found: String,
        /// What it advises.
        advice: String,
    },
    /// The set as a whole cannot stand.
    #[error(transparent)]
    Study(#[from] StudyError),
}

impl From<NoSuchType> for BlankError {
    fn from(error: NoSuchType) -> BlankError {
        BlankError::NoSuchType(error)
    }
}

impl From<crate::receiver::ReceiverError> for BlankError {
    fn from(error: crate::receiver::ReceiverError) -> BlankError {
        BlankError::Study(error.into())
    }
}

/// Most lines of a log that a new profile takes up.
pub const MOST_LINES: usize = 1_000;
/// Most tubes or lamps of a profile.
pub const MOST: usize = 40;

impl BlankError {
    /// What to do about it.
    pub fn advice(&self) -> String {
        let words = match self {
            BlankError::NoSuchType(error) => return error.advice(),
            BlankError::Study(error) => return error.advice(),
            BlankError::TwoRectifiers(one, _) => {
                return format!(
                    "name one type, once for each tube, such as `--rectifier {one},{one}`; a second supply is added in the profile"
                );
            }
            BlankError::TooMany(_) => {
                return format!("name at most {MOST} tubes and at most {MOST} lamps");
            }
            BlankError::DropperMissing { ohms, .. } => {
                return format!(
                    "look for a resistor, a resistance cord or a ballast, such as `--dropper resistor={ohms:.0}ohm`; leave `--dropper` out and it is worked out"
                );
            }
            BlankError::LongLog(_) => {
                return format!(
                    "keep {MOST_LINES} of them, or leave it out here and give it to the plan: `mainsfit plan FILE --outlet-log LOG`"
                );
            }
            BlankError::NoRectifier => {
                "add `--rectifier` with its type, or `selenium` or `silicon`"
            }
            BlankError::BiasWithoutCoil => "write `--field-coil negative` with it, or leave it out",
            BlankError::BiasWithoutWinding => "write `--bias cathodes` or `--bias resistor`",
            BlankError::Elsewhere(..) => "leave one of the two out",
            BlankError::StringTooLong { .. } => {
                "check the tubes and the voltage on the nameplate; if a transformer feeds them, write `--supply transformer`"
            }
            BlankError::OtherCurrent { .. } => {
                "check the types; if a transformer feeds the set, write `--supply transformer`. Heaters beside each other in a string are described in a profile, not here"
            }
            BlankError::LampWithoutWinding { .. } => {
                "check its number; a lamp on another winding is written in the profile, with `fed_by:`"
            }
            BlankError::Refused { advice, .. } => advice,
        };
        words.to_owned()
    }
}
