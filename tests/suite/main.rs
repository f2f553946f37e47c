//! All integration tests, compiled as one program.
mod catalogue_bad_cells;
mod catalogue_lookup;
mod catalogue_plausible;
mod catalogue_rows;
mod scratch;
mod steady_state;
