//! A sum as it is written on paper.

use crate::study::Serialize;
use std::ops::{Add, Div, Mul, Sub};

/// A piece of a sum.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Term {
    /// A figure, with its unit.
    Figure(f64, &'static str),
    /// A plain number.
    Number(f64),
    /// An operator or a bracket.
    Sign(&'static str),
}

/// A sum with its result.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Working {
    /// What it gives.
    pub what: String,
    /// The sum.
    pub terms: Vec<Term>,
    /// Its result.
    pub by_hand: f64,
    /// Unit of the result.
    pub unit: &'static str,
    /// What the circuit gives, where it is solved for.
    pub solved: Option<f64>,
    /// What is taken instead, where parts are made in steps.
    pub taken: Option<f64>,
    /// Why the two differ, where they do by more than a hundredth.
    pub why: Option<&'static str>,
}

/// A sum as it is written, and what it comes to. What is multiplied or divided by gets its brackets by itself.
#[derive(Clone)]
pub struct Sum {
    terms: Vec<Term>,
    pub value: f64,
    /// True where a plus or minus stands outside of brackets.
    open: bool,
}

/// A figure in five digits, as it is written: so that who does the sum again comes to the same.
pub fn as_written(value: f64) -> f64 {
    format!("{value:.4e}").parse().unwrap_or(value)
}

/// A figure with its unit, which counts as it is written.
pub fn figure(value: f64, unit: &'static str) -> Sum {
    let value = as_written(value);
    Sum { terms: vec![Term::Figure(value, unit)], value, open: false }
}

pub fn volts(v: f64) -> Sum {
    figure(v, "V")
}

pub fn amps(a: f64) -> Sum {
    figure(a, "A")
}

pub fn ohms(ohms: f64) -> Sum {
    figure(ohms, "Ω")
}

pub fn watts(w: f64) -> Sum {
    figure(w, "W")
}

/// A plain number.
pub fn number(n: f64) -> Sum {
    Sum { terms: vec![Term::Number(n)], value: n, open: false }
}

impl Sum {
    /// Counts as `value`, whatever is written.
    pub fn counting(self, value: f64) -> Sum {
        Sum { value, ..self }
    }

    fn joined(mut self, sign: &'static str, other: Sum, means: fn(f64, f64) -> f64) -> Sum {
        self.terms.push(Term::Sign(sign));
        self.terms.extend(other.terms);
        Sum { value: means(self.value, other.value), ..self }
    }

    fn bracketed(mut self) -> Sum {
        if self.open {
            self.terms.insert(0, Term::Sign("("));
            self.terms.push(Term::Sign(")"));
        }
        Sum { open: false, ..self }
    }
}

impl Add for Sum {
    type Output = Sum;

    fn add(self, other: Sum) -> Sum {
        Sum { open: true, ..self.joined("+", other, f64::add) }
    }
}

impl Sub for Sum {
    type Output = Sum;

    fn sub(self, other: Sum) -> Sum {
        Sum { open: true, ..self.joined("−", other.bracketed(), f64::sub) }
    }
}

impl Mul for Sum {
    type Output = Sum;

    fn mul(self, by: Sum) -> Sum {
        self.bracketed().joined("×", by.bracketed(), f64::mul)
    }
}

impl Div for Sum {
    type Output = Sum;

    fn div(self, by: Sum) -> Sum {
        self.bracketed().joined("÷", by.bracketed(), f64::div)
    }
}

/// Volts that are not worth a term beside those of a supply.
pub const UNWRITTEN_V: f64 = 0.05;

/// A divider's tap by proportion: `across` it stands `below` of `total`, its lower end at `to` volts.
pub fn tap(across: f64, below: f64, total: Sum, to: f64) -> Sum {
    let above_end = volts(across) * ohms(below) / total;
    if to.abs() > UNWRITTEN_V {
        return above_end + volts(to);
    }
    let value = above_end.value + to;
    above_end.counting(value)
}

impl Working {
    pub(crate) fn new(what: impl Into<String>, sum: Sum, unit: &'static str) -> Working {
        Working {
            what: what.into(),
            terms: sum.terms,
            by_hand: sum.value,
            unit,
            solved: None,
            taken: None,
            why: None,
        }
    }

    /// As [`Working::beside`], where there is such a value.
    pub(crate) fn beside_any(self, solved: Option<f64>, why: &'static str) -> Working {
        match solved {
            Some(solved) => self.beside(solved, why),
            None => self,
        }
    }

    /// Sets the solved value beside it; `why` stands only where the two part.
    pub(crate) fn beside(mut self, solved: f64, why: &'static str) -> Working {
        let apart = (self.by_hand / solved - 1.0).abs() > 0.01;
        self.solved = Some(solved);
        self.why = apart.then_some(why);
        self
    }
}
