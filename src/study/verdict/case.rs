//! What a verdict is made of, and what is decided before it is put into words.

use super::super::assumption::AssumptionReport;
use super::super::choice::Choice;
use super::super::flags::Direct;
use super::super::outlet::OutletVolts;
use super::advice::{Strength, Verdict};
use super::finding::{Finding, Scale};
use super::level::{Level, Yardstick};
use super::repair::Repairs;
use crate::receiver::{Operation, Receiver};

/// What a verdict is made of.
pub(in super::super) struct Case<'a> {
    pub receiver: &'a Receiver,
    pub outlet: &'a OutletVolts,
    pub direct: Direct,
    pub yard: &'a Yardstick,
    pub scale: &'a Scale<'a>,
    /// The choices, the set as it is first.
    pub choices: &'a [Choice],
    /// The set straight on the usual line.
    pub near: &'a Operation,
    pub assumptions: &'a [AssumptionReport],
    /// What is to be put right, as far as the set alone tells.
    pub repairs: Repairs,
}

/// What is decided, before it is put into words.
pub(super) struct Decided<'a> {
    pub verdict: Verdict,
    pub strength: Option<Strength>,
    pub level: Level,
    pub choice: Option<&'a Choice>,
    pub runner_up: Option<&'a Choice>,
    /// What counts against the set as it is, and what would if it were known.
    pub findings: Vec<Finding>,
}
