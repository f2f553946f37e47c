//! The names under which the crate is used: by other programs, and by the command line of this one. Nothing is solved here.

mod bench;
pub mod divider;
pub mod draft;
mod error;
mod file;
mod fitted;
mod options;
mod outlet;
#[cfg(feature = "pages")]
mod page;
mod reading;
mod set;
mod set_page;
mod sheet;
mod shop;
#[doc(hidden)]
pub mod typed;
pub mod units;

pub use crate::{
    adaptation::{Method, With},
    catalogue::{Catalogue, TubeType as Tube},
    profile::{OutletLog, Problem, Problems as ProfileError, Severity, Target},
    study::{
        Caution, Choice, Fit, Item, ItemFor, Measure, Objection, Plan, Reading, Replacement, Sweep,
        SwitchOn, Tolerances,
    },
};
pub use bench::Bench;
pub use error::Error;
pub use fitted::Fitted;
pub use options::{Options, SweepOptions};
pub use outlet::Outlet;
#[cfg(feature = "pages")]
pub use page::Page;
pub use set::{Checked, Set};
pub use set_page::SetPage;
pub use sheet::{Note, PartsList, PowerUp};
pub use shop::Shop;
