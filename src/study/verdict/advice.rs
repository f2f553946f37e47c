//! A verdict with what goes with it.

use crate::{
    adaptation::Method,
    study::{Serialize, flags::Direct},
};

/// What is to be done for the outlet voltage.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Nothing is to be fitted.
    Leave,
    /// Nothing yet: one reading decides.
    LeaveAndMeasure,
    /// Another tap of the primary.
    ChangeTap,
    /// The resistor comes out that a repairer put into the line cord.
    TakeOut,
    /// A part that lowers the voltage.
    Fit,
    /// A part that raises it.
    Boost,
    /// A transformer for another mains.
    StepDown,
    /// What is fitted stays.
    LeaveFitted,
    /// Something else takes the place of what is fitted.
    ChangeFitted,
    /// What is fitted comes out, and nothing takes its place.
    RemoveFitted,
    /// Something in the set is wrong and comes before any adaptation.
    RepairFirst,
    /// Profile or readings contradict themselves, or nothing that can be bought is acceptable.
    #[default]
    CannotSay,
}

/// How much a part is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Strength {
    /// The set may as well be left as it is.
    Optional,
    /// It must not be left as it is.
    Needed,
}

/// Where the verdict changes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Turn {
    /// Usual outlet voltage, V RMS, the day moving in proportion.
    pub voltage: f64,
    /// True where the other verdict holds above it, false below it.
    pub above: bool,
    /// Verdict on the other side.
    pub verdict: Verdict,
}

/// The one reading that decides a verdict.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ToMeasure {
    /// Point, as `readings` in a profile name it.
    pub point: String,
    /// Where the probes go, in words.
    #[serde(rename = "where")]
    pub place: String,
    /// What the meter is set to, such as `AC, 20 V`.
    pub range: String,
    /// Outlet voltage to read it at, V RMS.
    pub at_line_v: f64,
    /// The figure at which the verdict tips; null for a reading to be taken again.
    pub tips_at: Option<f64>,
    /// Unit of that figure.
    pub unit: &'static str,
    /// Verdict below it.
    pub below: Option<Verdict>,
    /// Verdict above it.
    pub above: Option<Verdict>,
}

/// The advice of a plan.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Advice {
    /// Verdict.
    pub verdict: Verdict,
    /// How much the part is wanted; null for a verdict without one.
    pub strength: Option<Strength>,
    /// True where the outlet is so far above what the set was made for that it must not be plugged in straight.
    pub do_not_plug_in: bool,
    /// True where the set must not be left on the outlet without the part.
    pub not_without_part: bool,
    /// Reasons: cause, figure, effect, at most four sentences.
    pub reasons: Vec<String>,
    /// Where the verdict changes, the outlet voltage moving.
    pub changes_at: Vec<Turn>,
    /// The one reading that decides it.
    pub measure: Option<ToMeasure>,
    /// What is to be put right first.
    pub repairs: Vec<String>,
    /// Choice advised; the plan with the repairs done, where there are any. Null if none can be stood behind.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub choice: Option<Method>,
    /// Second best.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub runner_up: Option<Method>,
    /// What would change the advice, in words.
    pub would_change: Vec<String>,
}

impl Verdict {
    /// The verdict that advises `method`.
    pub(crate) fn of(method: Method) -> Verdict {
        match method {
            Method::AsIs => Verdict::Leave,
            Method::Tap => Verdict::ChangeTap,
            Method::TakeOut => Verdict::TakeOut,
            Method::StepDown => Verdict::StepDown,
            Method::StepUp => Verdict::Boost,
            other if other.facts().boosts => Verdict::Boost,
            _ => Verdict::Fit,
        }
    }

    /// True for what is fitted or moved, and may be optional or needed.
    pub(crate) fn has_strength(self) -> bool {
        matches!(self, Verdict::Fit | Verdict::ChangeTap | Verdict::TakeOut | Verdict::Boost)
    }

    /// True where a set may be used as the verdict leaves it: a note can be written.
    pub fn leaves_usable(self) -> bool {
        !matches!(self, Verdict::RepairFirst | Verdict::CannotSay)
    }
}

impl Advice {
    /// True where the verdict leaves the set as it is on its outlet.
    pub(in crate::study) fn leaves_it_on(&self) -> bool {
        let left = matches!(
            self.verdict,
            Verdict::Leave | Verdict::LeaveAndMeasure | Verdict::RemoveFitted
        );
        left && !self.do_not_plug_in && !self.not_without_part
    }

    /// True where the set may stay as it is: nothing is wanted, not yet, or not needed.
    pub fn may_be_left(&self) -> bool {
        let direct = !self.do_not_plug_in && !self.not_without_part;
        self.leaves_it_on() || direct && self.strength == Some(Strength::Optional)
    }

    /// Nothing is advised, for this reason.
    pub(in crate::study) fn none(reason: String, direct: Direct) -> Advice {
        Advice {
            do_not_plug_in: direct == Direct::DoNotPlugIn,
            not_without_part: direct == Direct::NotWithoutPart,
            reasons: vec![reason],
            ..Advice::default()
        }
    }
}
