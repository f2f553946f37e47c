//! Integration tests that take long: every set on paper in a browser, many random inputs, many sets. Compiled as one program;
//! `cargo test` runs them after the others.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

/// Compares a text with its snapshot in `tests/slow/snapshots`.
macro_rules! snap {
    ($name:expr, $text:expr) => {
        insta::with_settings!(
            { prepend_module_to_snapshot => false, omit_expression => true },
            { insta::assert_snapshot!($name, $text) }
        )
    };
}

#[path = "../suite/finite.rs"]
mod finite;
#[path = "../suite/harness.rs"]
mod harness;
#[path = "../suite/second_judge/mod.rs"]
mod second_judge;
#[path = "../suite/verdict_curve.rs"]
mod verdict_curve;

mod advice_properties;
mod alarms;
mod bands;
mod browser;
mod cautions;
mod completions;
mod disk;
mod extremes;
mod fit;
mod fit_drawn;
mod fuzz;
mod fuzz_commands;
mod hostile;
mod html_valid;
mod named_slips;
mod no_part_burns;
mod note;
mod note_paper;
mod power_up;
mod random_sets;
mod random_topologies;
mod set_fuzz;
mod set_page;
mod slips;
mod verdict_properties;
mod whole_catalogue;
mod words;

/// Whether everything is to be tried, not a spread choice of it: `.ci/run --long`.
fn long_run() -> bool {
    std::env::var_os("MAINSFIT_LONG").is_some()
}
