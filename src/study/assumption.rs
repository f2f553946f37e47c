//! How much each assumed value matters.

use super::{Limit, Measure, Serialize, What, spread::Spread};
use crate::receiver::{Assumption, FittedTo};

/// An assumed value, its rule, and what the answer does if it is off.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct AssumptionReport {
    /// What.
    pub what: String,
    /// Value with unit.
    pub value: String,
    /// Rule it comes from.
    pub rule: String,
    /// How far it may be off, as a share; 0 where that is not said. Half the distance of `bounds`, where there are any.
    pub spread: f64,
    /// The least and the most that it may be, as shares of the value, where these are known.
    pub bounds: Option<[f64; 2]>,
    /// B+ on the usual line with the value at these, V.
    pub b_plus_at_bounds_v: Option<[f64; 2]>,
    /// Change of the heater volts on the usual line if it is that far off, the set as it is, V: the
    /// larger of both directions. `None` where nothing depends on it or the case has no solution.
    pub heater_change_v: Option<f64>,
    /// Change of B+ likewise, V.
    pub b_plus_change_v: Option<f64>,
    /// True for what the readings of the profile gave.
    #[serde(skip)]
    pub fitted: bool,
}

/// Two standard uncertainties of each limit's value on the usual line, from what is assumed of the set.
pub type Spreads = Vec<(Limit, f64)>;

/// Every assumption of `list`, with what it does to the set as it is, of which `heaters` are the tubes' own.
pub fn report(list: &[Assumption], spread: &Spread, heaters: Measure) -> Vec<AssumptionReport> {
    let one = |a: &Assumption| {
        let change = |m| spread.change(a.parameter.filter(|_| a.spread > 0.0)?, m);
        AssumptionReport {
            what: a.what.clone(),
            value: a.value.clone(),
            rule: a.rule.clone(),
            spread: a.spread,
            bounds: a.bounds.map(|(low, high)| [low, high]),
            b_plus_at_bounds_v: a
                .bounds
                .and(a.parameter)
                .and_then(|p| spread.at_limits(p, What::BPlus.of(0))),
            heater_change_v: change(heaters),
            b_plus_change_v: change(What::BPlus.of(0)),
            fitted: a.fitted == Some(FittedTo::Readings),
        }
    };
    list.iter().map(one).collect()
}
