//! Cautions: data first, words last. They stand in every plan, and no option removes them.

mod situation;
mod step;
mod table;

pub use step::Step;
pub use table::Caution;

use serde::{Serialize, Serializer};
pub(super) use situation::Situation;
use std::fmt;

impl Caution {
    /// Its place in a list: by the steps of the work; at each what comes before all else, what carries a number, the rest.
    pub(super) fn order(&self) -> (Step, u8) {
        let rank = if self.is_above_all() { 0 } else { 2 - u8::from(self.has_figures()) };
        (self.step(), rank)
    }

    /// Whether it is the first thing to know before its step.
    pub fn is_above_all(&self) -> bool {
        matches!(self, Caution::PullThePlug | Caution::DeadlyBPlus | Caution::HotWire)
    }

    /// Whether it is about the fuse and the wire that it stands in.
    pub fn is_of_fuse(&self) -> bool {
        matches!(
            self,
            Caution::Fuse { .. }
                | Caution::HotWire
                | Caution::FuseFirst
                | Caution::FuseBreaksUl
                | Caution::FuseBreaksIec
        )
    }

    /// Whether it is about the box and the place of a part, and not about its wires.
    pub fn is_of_place(&self) -> bool {
        matches!(
            self,
            Caution::BoxGrounded
                | Caution::BoxThrough
                | Caution::WoodCool
                | Caution::ThermalFuse
                | Caution::ThermalCrimp
                | Caution::ThermistorClear
        )
    }

    /// Whether it heads every screen and sheet, above all else.
    pub fn is_alarm(&self) -> bool {
        matches!(
            self,
            Caution::DoNotPlugIn { .. }
                | Caution::NotWithoutPart { .. }
                | Caution::NotAsFitted { .. }
                | Caution::LiveChassis { .. }
        )
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.words())
    }
}

/// A caution as machines read it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(rename = "Caution"))]
pub(super) struct Spoken<'a> {
    #[serde(flatten)]
    caution: &'a Caution,
    /// The step it must be read before.
    before: Step,
    /// The sentence.
    text: String,
    /// Where it comes from.
    source: &'static str,
}

/// Cautions as machines read them.
pub(super) fn spoken<S: Serializer>(list: &[Caution], to: S) -> Result<S::Ok, S::Error> {
    to.collect_seq(list.iter().map(|caution| Spoken {
        caution,
        before: caution.step(),
        text: caution.to_string(),
        source: caution.source(),
    }))
}
