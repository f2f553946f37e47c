//! Profile files: from YAML text to a located tree, from the tree to a validated profile.
//!
//! A profile is written by hand, so every mistake in it is reported in one go, each with the
//! place in the file, what was found there and what to write instead.
//!
//! - [`Document`] turns the bytes of a file into a tree of [`Node`]s, within fixed limits.
//! - [`Reader`] and [`Cursor`] read values from the tree and collect [`Problem`]s.
//! - `declare` makes types, reader and schema from one statement of each key; the sections of a profile are a file each.
//! - [`read`] reads a whole [`Profile`]; [`Problems`] lists what is wrong in file order as plain text.
//!
//! A profile holds what the person typed, with types, nothing filled in: `None` means "not stated". Filling in is the
//! business of `receiver::assume`, which lists each filled-in value.

mod circuits;
mod cursor;
mod declare;
mod described;
mod document;
mod dropper;
mod edit;
mod fault;
mod fields;
mod filter;
mod fitted;
mod key;
mod known;
mod lines;
mod log;
mod node;
mod oddities;
mod outlet;
mod parts;
mod problem;
mod reach;
mod read;
mod reader;
mod readings;
mod rectifier;
mod render;
mod said;
mod second;
mod shipped;
mod shop;
mod sink;
mod string;
mod supply;
mod transformer;
mod tubes;
mod types;
mod values;
mod walk;
mod whole;
mod write_string;
mod yaml;

#[cfg(test)]
mod declare_tests;

pub use circuits::{CircuitFacts, OtherEnd};
pub use cursor::{Advised, Cursor};
pub use described::{KeyAt, KeyRow, Needed, Schema, steps};
pub use document::{Document, MAX_BYTES};
pub use dropper::{DropperKind, StringDropper};
pub use edit::{Change, Unchanged, changed, stands};
pub use fields::Fields;
pub use filter::{Capacitor, Coil, FilterPart, FilterResistor, Lead, Marked};
pub use fitted::{Fitted, FittedKind, FittedPlace, SizedResistor, SmallTransformer, Visit};
pub use known::{Known, StatedKnown};
pub use log::{Aside, LEAST_HOURS, LogReading, MAX_LOG_BYTES, MOST_LOGGED, OutletLog, read_log};
pub use node::{Kind, MAX_DEPTH, MAX_NODES, MAX_TEXT, Node};
pub use outlet::Outlet;
pub use parts::{MainsResistor, OwnParts, PresentFuse};
pub use problem::{MAX_SHOWN, Problem, Problems, Severity, quoted};
pub use reach::{CHECK, Place, out_of_reach};
pub use read::{problem_at, profile_schema, read};
pub use reader::Reader;
pub use readings::{Calibration, MeterLoad, MeterUse, PointReading, ReadingSet, StatedTolerance};
pub use rectifier::{BiasPart, BiasSupply, RectifierCircuit, RectifierUse};
pub use render::Told;
pub use second::SecondSupply;
pub use shipped::{SHIPPED, shipped_sets};
pub use shop::{Paper, Shop, ShopPart, read_shop, shop_schema};
pub use string::{HeaterBranch, HeaterString, MOST_BRANCHES};
pub use supply::{Divider, Load};
pub use transformer::{
    Basis, CopperState, HeaterWinding, NoLoad, Primary, Transformer, TransformerKind, Winding,
    WindingVolts,
};
pub use tubes::{Cathode, Feed, Grid, LampPlace, LampUse, TubeUse};
pub use values::clean_name;
pub use whole::{Profile, Record, SetInfo, SheetReading, Target};
