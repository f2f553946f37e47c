//! All integration tests, compiled as one program.
#![allow(clippy::unwrap_used)] // a test that cannot go on fails, and `unwrap` says where

mod accuracy;
mod back_bias;
mod by_hand;
mod catalogue_bad_cells;
mod catalogue_lookup;
mod catalogue_plausible;
mod catalogue_rows;
mod closed_forms;
mod copper_and_dividers;
mod integrator;
mod rectifier_rows;
mod robustness;
mod steady_state;
mod supply;
mod table;
mod tubes;
mod verification;
