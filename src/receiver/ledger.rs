//! What is filled in, as it is filled in.

use super::number::{Number, Parameter};
use crate::quantity::{Quantity, show};

/// A value that was filled in.
#[derive(Debug, Clone)]
pub struct Assumption {
    /// What it is, in words.
    pub what: String,
    /// The value taken, as text with its unit.
    pub value: String,
    /// Where the value comes from.
    pub rule: String,
    /// How far it may be off, as a share of the value (0.3 is ±30 %).
    pub spread: f64,
    /// The least and the most that it may be, as shares of the value, where these are known; `spread` is half their distance.
    pub bounds: Option<(f64, f64)>,
    /// The number it stands for; `None` where no number of the model depends on it.
    pub parameter: Option<Parameter>,
}

/// Collects assumptions while a model is completed.
pub(super) struct Ledger {
    pub list: Vec<Assumption>,
}

impl Ledger {
    pub fn take<Q: Quantity>(
        &mut self,
        what: &str,
        si: f64,
        rule: &str,
        spread: f64,
        parameter: Option<Parameter>,
    ) -> f64 {
        self.list.push(Assumption {
            what: what.to_owned(),
            value: show(Q::from_si(si)),
            rule: rule.to_owned(),
            spread,
            bounds: None,
            parameter,
        });
        si
    }

    /// A share, as the knee of the iron is one.
    pub fn knee(&mut self, share: f64, rule: &str, spread: f64) -> f64 {
        self.list.push(Assumption {
            what: "knee of the iron".to_owned(),
            value: format!("{:.0} %", 100.0 * share),
            rule: rule.to_owned(),
            spread,
            bounds: None,
            parameter: Some(Number::KneeShare.of_set()),
        });
        share
    }

    pub fn note(&mut self, what: &str, value: &str, rule: &str) {
        self.list.push(Assumption {
            what: what.to_owned(),
            value: value.to_owned(),
            rule: rule.to_owned(),
            spread: 0.0,
            bounds: None,
            parameter: None,
        });
    }
}
