//! The steps of the work.

use crate::study::Serialize;

/// The step a caution must be read before, in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// The plug goes in.
    PlugIn,
    /// The set is opened.
    Open,
    /// The first power after years.
    FirstPower,
    /// Something is measured with power on.
    Measure,
    /// A part is fitted.
    Fit,
    /// The set is used.
    Use,
}

impl Step {
    /// All of them, in order.
    pub const ALL: [Step; 6] =
        [Step::PlugIn, Step::Open, Step::FirstPower, Step::Measure, Step::Fit, Step::Use];
}
