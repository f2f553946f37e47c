//! What is asked for beside a set and its outlet.

use super::{Method, Target, With, outlet::bare};
use crate::{
    quantity::{Quantity, Resistance, Voltage},
    study::{OutletChoice, Over, SweepRequest},
};
use std::fmt;

/// Points of a sweep where none are asked for.
const USUAL_POINTS: usize = 11;

/// What is asked for beside set and outlet, in a plan and whatever goes on from one.
///
/// ```
/// use mainsfit::{Method, Options};
///
/// let for_the_resistor = Options::default().with(Method::SeriesResistor);
/// # let _ = for_the_resistor;
/// ```
#[derive(Debug, Clone, Copy, Default, PartialEq)]
#[non_exhaustive]
pub struct Options {
    /// What the part is to reach; what the profile says where none is named.
    pub target: Option<Target>,
    /// The choice that a note, a switch-on or tolerances are for; the advised one where none is named.
    pub with: Option<With>,
}

impl Options {
    /// The same for one choice.
    pub fn with(self, method: Method) -> Options {
        Options { with: Some(With::One(method)), ..self }
    }

    /// The same with another target.
    pub fn reaching(self, target: Target) -> Options {
        Options { target: Some(target), ..self }
    }
}

/// As options of the command line, a blank before each.
impl fmt::Display for Options {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(with) = self.with {
            write!(f, " --with {with}")?;
        }
        match self.target {
            Some(Target::Heaters) => write!(f, " --target heaters"),
            Some(Target::BPlus(volts)) => write!(f, " --target B+={}", bare(volts)),
            Some(Target::AsOnLine(volts)) => write!(f, " --target line={}", bare(volts)),
            None => Ok(()),
        }
    }
}

/// What a sweep goes over, and what it shows.
///
/// ```
/// use mainsfit::SweepOptions;
/// use mainsfit::units::{Resistance, ohm};
///
/// let [none, most] = [0.0, 40.0].map(Resistance::new::<ohm>);
/// let what_a_resistor_does = SweepOptions::resistor(none, most).points(9).show(["B+", "heater.main"]);
/// # let _ = what_a_resistor_does;
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct SweepOptions(pub(super) SweepRequest);

impl SweepOptions {
    /// Line volts, the set straight on them; the ends that are usual where they are left open.
    pub fn line(from: impl Into<Option<Voltage>>, to: impl Into<Option<Voltage>>) -> SweepOptions {
        SweepOptions::over(Over::Line, from.into().map(Quantity::si), to.into().map(Quantity::si))
    }

    /// A resistor in the lead, on the usual outlet volts.
    pub fn resistor(
        from: impl Into<Option<Resistance>>,
        to: impl Into<Option<Resistance>>,
    ) -> SweepOptions {
        SweepOptions::over(
            Over::Resistor,
            from.into().map(Quantity::si),
            to.into().map(Quantity::si),
        )
    }

    /// Either of them, its ends in SI.
    pub(crate) fn over(over: Over, from: Option<f64>, to: Option<f64>) -> SweepOptions {
        let (show, outlet) = (Vec::new(), OutletChoice::default());
        SweepOptions(SweepRequest { over, from, to, points: USUAL_POINTS, show, outlet })
    }

    /// In so many points, 2 to 1000.
    pub fn points(mut self, points: usize) -> SweepOptions {
        self.0.points = points;
        self
    }

    /// These quantities by their keys, such as `B+`; the usual ones where none is named.
    pub fn show<T: Into<String>>(mut self, keys: impl IntoIterator<Item = T>) -> SweepOptions {
        self.0.show = keys.into_iter().map(Into::into).collect();
        self
    }
}
