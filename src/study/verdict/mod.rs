//! What a wise restorer would say of a set on its outlet: the verdict, what it rests on, and where it turns.

mod advice;
mod decide;
mod finding;
mod level;
mod measure;
mod reason;
mod repair;
mod setting;
mod turn;

pub use advice::{Advice, Strength, ToMeasure, Turn, Verdict};
pub(super) use decide::{advise, contradicted};
pub(super) use level::{LIMIT, Level, RIGHT, Yardstick};
pub(super) use reason::turn as turn_in_words;
pub(super) use repair::{Repairs, wants_resistor};
pub(super) use setting::Setting;
