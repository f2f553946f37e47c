//! The outlet that a set is to run on.

use super::Error;
use crate::{
    catalogue::outlet_range,
    quantity::{Voltage, show_plain},
    study::OutletChoice,
};
use std::fmt;

/// The outlet through the day. [`Outlet::default`] is that of the profile; what is given here overrides it.
///
/// Volts are RMS.
///
/// ```
/// use mainsfit::Outlet;
/// use mainsfit::units::{Voltage, volt};
///
/// let [low, usual, high] = [120.0, 124.0, 127.0].map(Voltage::new::<volt>);
/// let read = Outlet::usual(usual).between(low, high);
/// assert_eq!(read.to_string(), " --line 124V --low 120V --high 127V");
/// assert!(Outlet::named("europe").is_ok());
/// assert!(Outlet::named("europ").unwrap_err().advice().contains("europe"));
/// ```
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Outlet(pub(super) OutletChoice);

impl Outlet {
    /// A place by name, such as `europe`: its usual, lowest and highest volts, and its frequency.
    ///
    /// # Errors
    /// The name is not known; the nearest one is told.
    pub fn named(place: &str) -> Result<Outlet, Error> {
        let range = Some(outlet_range(place)?);
        Ok(Outlet(OutletChoice { range, ..OutletChoice::default() }))
    }

    /// Usual volts as a meter read them.
    pub fn usual(volts: Voltage) -> Outlet {
        Outlet(OutletChoice { usual: Some(volts), ..OutletChoice::default() })
    }

    /// The same outlet with its lowest and highest volts of the day.
    pub fn between(self, low: Voltage, high: Voltage) -> Outlet {
        Outlet(OutletChoice { low: Some(low), high: Some(high), ..self.0 })
    }
}

impl From<OutletChoice> for Outlet {
    fn from(choice: OutletChoice) -> Outlet {
        Outlet(choice)
    }
}

/// As options of the command line, a blank before each.
impl fmt::Display for Outlet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let OutletChoice { usual, low, high, range } = self.0;
        if let Some(range) = range {
            write!(f, " --range {}", range.name)?;
        }
        for (option, volts) in [("line", usual), ("low", low), ("high", high)] {
            if let Some(volts) = volts {
                write!(f, " --{option} {}", bare(volts))?;
            }
        }
        Ok(())
    }
}

/// Volts without the blank before the unit.
pub(super) fn bare(volts: Voltage) -> String {
    show_plain(volts).replace(' ', "")
}
