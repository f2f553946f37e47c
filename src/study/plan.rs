//! The main job: the set today, the choices side by side, and which is advised.

use super::{
    Advice, AsLeft, AssumptionReport, Caution, Checkpoint, Choice, DryRectifier, FittedReport,
    LogReport, OutletChoice, OutletVolts, Reading, ReadingsReport, Serialize, SetFuse, Visits,
    Working, caution, choice::Standing,
};
use crate::{
    adaptation::Method,
    profile::{Profile, ShopPart, Target},
    quantity::Quantity,
    receiver::{HeaterLine, Model},
};

/// Name and version of the JSON form of a plan.
pub const PLAN_SCHEMA: &str = "mainsfit.plan/1";

/// What a plan is asked for beside the profile.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Request {
    /// Outlet volts that override the profile's.
    pub outlet: OutletChoice,
    /// Target that overrides the profile's.
    pub target: Option<Target>,
}

/// A plan.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
// this crate's own tests make some by hand
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct Plan {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// Those of them that hold only for a part that is not advised.
    #[serde(skip)]
    pub of_other_parts: Vec<Caution>,
    /// Name and version of this form.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// The set.
    pub set: SetSummary,
    /// Outlet.
    pub outlet: OutletVolts,
    /// What the log says that the outlet's volts are taken from; null where there is none.
    pub outlet_log: Option<LogReport>,
    /// What was taken from the defaults of a shop; null where nothing was.
    pub shop: Option<ShopUse>,
    /// How many readings of the profile the set is fitted to.
    pub readings_used: usize,
    /// What the readings come to.
    pub readings: ReadingsReport,
    /// What the adaptations are solved for, in words.
    pub target: String,
    /// True where a repair that changes its figures comes first, and all below are those of the set with it done.
    pub put_right: bool,
    /// The set on its design line.
    pub as_designed: Reading,
    /// The choices; the first is the set as it is.
    pub choices: Vec<Choice>,
    /// What is fitted already, and what becomes of it; null where nothing is.
    pub fitted: Option<FittedReport>,
    /// What was read when the work was done; null where nothing is fitted and nothing was read.
    pub as_left: Option<AsLeft>,
    /// Later visits beside the first readings; null where there are none.
    pub visits: Option<Visits>,
    /// Advice.
    pub advice: Advice,
    /// The fuse of the set.
    pub fuse: Option<SetFuse>,
    /// A dry rectifier in the place of a tube.
    pub dry_rectifier: Option<DryRectifier>,
    /// Filled-in values.
    pub assumptions: Vec<AssumptionReport>,
    /// Warnings of the profile reader.
    pub warnings: Vec<String>,
    /// The sums one would do on paper, for the advised choice; for the set as it is where none is.
    #[serde(skip)]
    pub working: Vec<Working>,
    /// What a meter should read with the advised choice, of the set as it is where none is.
    #[serde(skip)]
    pub checkpoints: Vec<Checkpoint>,
}

/// What a plan has of the defaults of a shop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ShopUse {
    /// The file, without its folder.
    pub file: String,
    /// What was taken from it.
    pub used: Vec<ShopPart>,
}

/// The set's identity.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SetSummary {
    /// Name.
    pub name: String,
    /// Year.
    pub year: Option<i32>,
    /// Design line, V RMS.
    pub design_line_v: f64,
    /// Hz.
    pub frequency_hz: f64,
    /// The fuse now in it, A, where it is stated.
    pub fuse_a: Option<f64>,
    /// A resistor that a repairer put into its line cord, Ω: whatever is fitted takes its place. Null where there is none.
    pub mains_resistor_ohms: Option<f64>,
    /// True where the line cord is the dropper of its heaters, or a part of that.
    #[serde(skip)]
    pub resistance_cord: bool,
}

impl SetSummary {
    /// Of a profile and its completed model.
    pub(super) fn of(profile: &Profile, model: &Model) -> SetSummary {
        SetSummary {
            name: model.name.clone(),
            year: profile.set.year,
            design_line_v: model.design_line,
            frequency_hz: model.design_frequency,
            fuse_a: profile.fuse.map(|f| f.rating.si()),
            mains_resistor_ohms: model.mains_resistor.filter(|r| !r.by_maker).map(|r| r.ohms),
            resistance_cord: model.string.as_ref().is_some_and(HeaterLine::in_cord),
        }
    }
}

impl Plan {
    /// The choice of a method, where one is meant.
    pub fn choice(&self, method: impl Into<Option<Method>>) -> Option<&Choice> {
        self.choices.get(self.place(method.into())?)
    }

    /// The place of the choice of that method.
    pub(super) fn place(&self, method: Option<Method>) -> Option<usize> {
        self.choices.iter().position(|c| Some(c.method) == method)
    }

    /// The advised choice, if the plan stands behind one.
    pub fn advised(&self) -> Option<&Choice> {
        self.choices.iter().find(|c| c.standing == Standing::Advised)
    }
}
