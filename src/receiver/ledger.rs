//! What is filled in, as it is filled in.

use super::{Assumption, Parameter, parameters::shown};
use crate::{profile::Profile, quantity::Quantity};
use std::fmt::Display;

/// A profile while it is completed: collects what is assumed.
pub struct Ledger<'p> {
    pub profile: &'p Profile,
    /// Its design line, V.
    pub line: f64,
    pub list: Vec<Assumption>,
}

impl Ledger<'_> {
    /// Lists a value and what it rests on.
    pub fn add(
        &mut self,
        what: impl Display,
        value: impl Display,
        spread: f64,
        parameter: Option<Parameter>,
        rule: impl Display,
    ) {
        self.list.push(Assumption {
            what: what.to_string(),
            value: value.to_string(),
            rule: rule.to_string(),
            spread,
            parameter,
            ..Assumption::default()
        });
    }

    /// Takes `si` for a number, by `rule`.
    pub fn take(
        &mut self,
        number: impl Into<Parameter>,
        what: impl Display,
        si: f64,
        spread: f64,
        rule: impl Display,
    ) -> f64 {
        let number = number.into();
        self.add(what, shown(si, number.what.unit()), spread, Some(number), rule);
        si
    }

    /// What is stated of a number, else the value and spread that `rule` gives.
    pub fn or<Q: Quantity>(
        &mut self,
        stated: Option<Q>,
        number: impl Into<Parameter>,
        what: impl Display,
        si: f64,
        spread: f64,
        rule: impl Display,
    ) -> f64 {
        stated.map_or_else(|| self.take(number, what, si, spread, rule), Quantity::si)
    }
}
