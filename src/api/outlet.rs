//! The outlet that a set is to run on.

use super::{
    Error,
    file::{bytes_of, name, quoted},
};
use crate::{
    catalogue::outlet_range,
    profile::{MAX_LOG_BYTES, OutletLog, read_log},
    quantity::{Voltage, show_plain},
    study::OutletChoice,
    text::shown,
};
use std::{fmt, path::Path, sync::Arc};

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
#[derive(Debug, Clone, Default, PartialEq)]
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

    /// Low, usual and high from a log, and frequency as before.
    ///
    /// ```
    /// use mainsfit::{Outlet, OutletLog, Set};
    ///
    /// let log = OutletLog::load("profiles/outlet-log.csv")?;
    /// let bench = Set::load("profiles/table-1948.yaml")?.bench(Outlet::logged(log))?;
    /// # Ok::<(), mainsfit::Error>(())
    /// ```
    pub fn logged(log: OutletLog) -> Outlet {
        Outlet(OutletChoice { log: Some(Arc::new(log)), ..OutletChoice::default() })
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
        let OutletChoice { usual, low, high, range, log } = &self.0;
        if let Some(range) = range {
            write!(f, " --range {}", range.name)?;
        }
        for (option, volts) in [("line", usual), ("low", low), ("high", high)] {
            if let Some(volts) = volts {
                write!(f, " --{option} {}", bare(*volts))?;
            }
        }
        if let Some(file) = log.as_ref().and_then(|log| log.file.as_ref()) {
            write!(f, " --outlet-log {}", quoted(file))?;
        }
        Ok(())
    }
}

impl OutletLog {
    /// Reads the log at `path`, comma-separated time and volts; `-` is standard input.
    ///
    /// # Errors
    /// A file that cannot be read, or every line that is wrong with what to write instead.
    pub fn load(path: impl AsRef<Path>) -> Result<OutletLog, Error> {
        let path = path.as_ref();
        let bytes = bytes_of(path, MAX_LOG_BYTES).map_err(|error| Error::unread(path, &error))?;
        Ok(read_log(&shown(path), &name(path), &bytes)?)
    }

    /// Reads a log from its bytes; problems and reports call it `name`.
    ///
    /// # Errors
    /// As [`OutletLog::load`].
    ///
    /// ```
    /// let error = mainsfit::OutletLog::parse("mine", b"2026-11-03 07:40,121.8").unwrap_err();
    /// assert!(error.found().contains("1 clock hour"));
    /// ```
    pub fn parse(name: &str, bytes: &[u8]) -> Result<OutletLog, Error> {
        Ok(read_log(name, name, bytes)?)
    }
}

/// Volts without the blank before the unit.
pub(super) fn bare(volts: Voltage) -> String {
    show_plain(volts).replace(' ', "")
}
