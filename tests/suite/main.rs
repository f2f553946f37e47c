//! All integration tests, compiled as one program.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

/// Compares a text with its snapshot in `tests/suite/snapshots`.
macro_rules! snap {
    ($name:expr, $text:expr) => {
        insta::with_settings!(
            { prepend_module_to_snapshot => false, omit_expression => true },
            { insta::assert_snapshot!($name, $text) }
        )
    };
}

mod architecture;
mod bad_profiles;
mod catalogue_bad_cells;
mod catalogue_lookup;
mod catalogue_plausible;
mod catalogue_rows;
mod cautions;
mod harness;
mod hostile;
mod plan_json;
mod readme;
mod screens;
mod steady_state;
