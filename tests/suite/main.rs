//! All integration tests, compiled as one program.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
mod catalogue_bad_cells;
mod catalogue_lookup;
mod catalogue_plausible;
mod catalogue_rows;
mod steady_state;
