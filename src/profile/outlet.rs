//! The outlet: volts through the day, or the range that gives them.

use super::{
    cursor::Cursor,
    declare::{Key, Read, Sound, form, keys},
    fields::Fields,
    log::{LogLines, OutletLog},
    node::Kind,
    values::{MainsVolts, Of, Volts},
};
use crate::{
    catalogue::{OutletRange, outlet_range, outlet_ranges},
    quantity::{Frequency, Quantity, Sign, Voltage, parse, show_plain},
};
use serde_json::json;

form! {
    /// The outlet, or the name of a range
    OutletForm -> Outlet: RangeName | Outlet,
    |at| match at.kind() {
        Kind::Text => RangeName::read(at).map(Outlet::of),
        _ => Outlet::read(at),
    }
}

keys! {
    /// Outlet voltage through the day
    pub struct Outlet {
        /// What a meter usually shows in the outlet; required unless `range` or `log` is given, and then that of the log or
        /// the range if absent
        usual: UsualVolts,
        /// Lowest of the day, not above `usual`; absent: that of the range, else 4 % below `usual`
        low: Option<MainsVolts>,
        /// Highest of the day, not below `usual`; absent: that of the range, else 3 % above `usual`
        high: Option<MainsVolts>,
        /// Place whose range gives what is not written
        range: Sound<RangeName>,
        /// What a meter showed through a few days, at least five readings, instead of `usual`, `low` and `high`: these become
        /// the median, the 5th percentile and the 95th. Where the readings are few, `low` and `high` are no nearer to the usual
        /// than without a log
        log: Sound<LogLines>,
        /// Mains frequency at the outlet; absent: that of the range, else the set's
        frequency: Option<Of<Frequency>>,
    }
    also {
        "anyOf": [{ "required": ["usual"] }, { "required": ["range"] }, { "required": ["log"] }],
        "dependentSchemas": { "log": { "not": { "anyOf": [
            { "required": ["usual"] }, { "required": ["low"] }, { "required": ["high"] }
        ] } } }
    };
    => Outlet: in_order;
}

/// Volts that must be there where no range gives them.
pub struct UsualVolts;

impl Key for UsualVolts {
    type Value = Option<Voltage>;
    type Form = Volts;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Option<Voltage>> {
        let at = if fields.has("range") || fields.has("log") {
            fields.optional(key)
        } else {
            fields.required(key)
        };
        Some(at.and_then(|at| MainsVolts::read(&at)))
    }
}

impl Outlet {
    /// An outlet of which the range alone is known.
    pub fn of(range: &'static OutletRange) -> Outlet {
        Outlet {
            usual: None,
            low: None,
            high: None,
            range: Some(range),
            log: None,
            frequency: None,
        }
    }

    /// Usual volts as written, else those of the log or the range.
    pub fn usual_volts(&self) -> Option<Voltage> {
        let logged = || self.log.as_deref().map(OutletLog::median);
        self.or_of_range(self.usual.or_else(logged), |r| r.usual_v)
    }

    /// Lowest volts as written, else those of the range.
    pub fn low_volts(&self) -> Option<Voltage> {
        self.or_of_range(self.low, |r| r.low_v)
    }

    /// Highest volts as written, else those of the range.
    pub fn high_volts(&self) -> Option<Voltage> {
        self.or_of_range(self.high, |r| r.high_v)
    }

    fn or_of_range(
        &self,
        written: Option<Voltage>,
        figure: impl Fn(&OutletRange) -> f64,
    ) -> Option<Voltage> {
        written.or(self.range.map(|r| Voltage::from_si(figure(r))))
    }
}

/// Volts are told once: by a log, or by hand.
fn in_order(outlet: Outlet, at: &Cursor<'_>) -> Option<Outlet> {
    let told = ["usual", "low", "high"].map(|key| at.find(key));
    if outlet.log.is_some()
        && let Some(told) = told.into_iter().flatten().next()
    {
        told.fail_key(
            "the outlet has a log, and its voltage is written as well",
            "leave out `usual`, `low` and `high`, or the log; `range` and `frequency` may stand beside one",
        );
        return None;
    }
    if outlet.log.is_some() {
        return Some(outlet);
    }
    let usual = outlet.usual_volts()?;
    if outlet.low_volts().is_none_or(|low| low <= usual)
        && outlet.high_volts().is_none_or(|high| high >= usual)
    {
        return Some(outlet);
    }
    let advice = match outlet.range {
        None => {
            "write low ≤ usual ≤ high, such as { low: 118 V, usual: 122 V, high: 126 V }".to_owned()
        }
        Some(range) => {
            let [usual, low, high] = [range.usual_v, range.low_v, range.high_v]
                .map(|si| show_plain(Voltage::from_si(si)));
            format!(
                "write low ≤ usual ≤ high; the range {} gives {usual} usual, {low} low, {high} high where they are not written",
                range.name
            )
        }
    };
    at.refuse("the outlet voltages are out of order", advice)
}

form! {
    /// A range: outlet volts by the name of its place
    RangeName -> &'static OutletRange = {
        "oneOf": outlet_ranges().iter().map(|range| {
            json!({ "const": range.name, "description": range.told() })
        }).collect::<Vec<_>>()
    },
    |at| {
        let text = at.text()?;
        let error = match outlet_range(text) {
            Ok(range) => return Some(range),
            Err(error) => error,
        };
        let advice = match parse::<Voltage>(text, Sign::Positive) {
            Ok(usual) => format!("write `outlet: {{ usual: {} }}`", show_plain(usual)),
            Err(_) => error.advice(),
        };
        at.refuse(error.to_string(), advice)
    }
}
