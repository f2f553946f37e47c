//! Heaters as a meter reads them: those of a winding, or of a link of a heater string.

use super::Serialize;
use crate::receiver::{HeaterWinding, Model, Operation};

/// RMS over mean absolute value of a sine, π/(2√2): an average-responding meter shows the mean of |i| times it, which is
/// the RMS of a sine and of nothing else (any textbook of electrical measurement).
pub const FORM_FACTOR: f64 = std::f64::consts::PI / (2.0 * std::f64::consts::SQRT_2);

/// A heater winding.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeaterReading {
    /// Winding.
    pub winding: String,
    /// The same for people.
    #[serde(skip)]
    pub(crate) said: String,
    /// Volts RMS at the tubes.
    pub volts_v: f64,
    /// What an average-responding meter shows there.
    #[serde(skip)]
    pub(super) averaged_v: f64,
    /// Rated volts.
    pub rated_v: f64,
    /// True if it feeds tubes.
    pub feeds_tubes: bool,
    /// True for a link of a heater string: all of them carry one current.
    pub in_string: bool,
    /// Branch of the string that it lies in; none for what is in series with all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub branch: Option<String>,
    /// Place of that branch, and its group.
    #[serde(skip)]
    pub(crate) side_by_side: Option<(usize, u32)>,
    /// True with a resistor beside it.
    #[serde(skip)]
    pub(crate) shunted: bool,
    /// True for a barretter, which heats nothing.
    #[serde(skip)]
    pub(crate) is_barretter: bool,
    /// True for the tapped part of the rectifier's heater, ahead of all of a heater string.
    #[serde(skip)]
    pub(crate) is_tap: bool,
    /// True for a dial lamp that is a link of a heater string.
    #[serde(skip)]
    pub(crate) is_lamp: bool,
    /// True where a lamp lies across part of something: a section of a dropper, the tapped part of the rectifier's heater.
    #[serde(skip)]
    pub(crate) lamp_across: bool,
}

impl HeaterReading {
    /// What it is, in a word or two.
    pub(super) fn kind(&self) -> &'static str {
        match self {
            h if !h.in_string => "heater winding",
            h if h.is_barretter => "barretter",
            h if h.is_lamp => "dial lamp",
            _ => "heater",
        }
    }
}

/// Every winding, or every link of a heater string, at `operation`.
pub fn heaters(model: &Model, operation: &Operation) -> Vec<HeaterReading> {
    let string = model.string.as_ref();
    let read = |(i, w): (usize, &HeaterWinding)| {
        let place = string.and_then(|s| s.branch_of(i));
        let branch = string.zip(place).and_then(|(s, place)| s.branches.get(place));
        let is_tap = string.is_some_and(|s| s.tap == Some(i));
        HeaterReading {
            winding: w.name.clone(),
            said: match is_tap {
                true => format!("{}, tapped part", model.rectifier.name),
                false => w.name.clone(),
            },
            volts_v: operation.heater_volts(i),
            averaged_v: FORM_FACTOR * operation.heater_mean_volts(i),
            // nothing hangs on the winding of a rectifier that gave way to a dry one
            rated_v: if w.filaments.is_empty() { 0.0 } else { w.rated },
            feeds_tubes: w.feeds_tubes,
            in_string: string.is_some(),
            branch: branch.map(|b| b.name.clone()),
            side_by_side: place.zip(branch.map(|b| b.group)),
            shunted: w.shunt_ohms.is_some(),
            is_barretter: string.is_some_and(|s| s.barretter == Some(i)),
            is_tap,
            is_lamp: model.is_dial_lamp(i),
            lamp_across: string.is_some_and(|s| {
                s.beside.contains(&i) || s.tap == Some(i) && w.filaments.len() > 1
            }),
        }
    };
    model.windings.iter().enumerate().map(read).collect()
}

/// Volts over rated volts, minus one, of the tubes' heaters that get most, those that are out of their sockets at `operation` left
/// out: side by side with one that is out, some get far more than the first.
pub fn most_excess(heaters: &[HeaterReading], operation: &Operation) -> f64 {
    let fed = heaters.iter().enumerate().filter(|(_, h)| h.feeds_tubes && h.rated_v > 0.0);
    fed.filter(|(place, _)| operation.has_heater(*place))
        .map(|(_, h)| h.volts_v / h.rated_v - 1.0)
        .reduce(f64::max)
        .unwrap_or(-1.0)
}
