//! Profile files: from YAML text to a located tree, from the tree to a validated profile.
//!
//! A profile is written by hand, so every mistake in it is reported in one go, each with the
//! place in the file, what was found there and what to write instead.
//!
//! - [`Document`] turns the bytes of a file into a tree of [`Node`]s, within fixed limits.
//! - [`Reader`] and [`Cursor`] read values from the tree and collect [`Problem`]s.
//! - [`read`] reads a whole [`Profile`]; [`Problems`] lists what is wrong in file order as plain text.

mod circuits;
mod cursor;
mod document;
mod edit;
mod fault;
mod fields;
mod lines;
mod model;
mod model_supply;
mod oddities;
mod problem;
mod reach;
mod read;
mod read_filter;
mod read_no_load;
mod read_outlet;
mod read_parts;
mod read_readings;
mod read_rectifier;
mod read_second;
mod read_string;
mod read_supply;
mod read_tubes;
mod reader;
mod render;
mod schema;
mod walk;
mod write_string;

pub use circuits::{CircuitFacts, OtherEnd};
pub use cursor::{Advised, Cursor};
pub use document::{Document, Kind, MAX_BYTES, MAX_DEPTH, MAX_NODES, MAX_TEXT, Node};
pub use edit::{Change, Unchanged, changed, stands};
pub use fields::Fields;
pub use model::*;
pub use problem::{MAX_SHOWN, Problem, Problems, Severity, quoted};
pub use reach::{CHECK, Place, out_of_reach};
pub use read::{clean_name, problem_at, read};
pub use reader::Reader;
pub use render::fold;
pub use schema::schema as profile_schema;
