//! The integration tests that a day's work runs again and again, compiled as one program. Those that take long are in `tests/slow`.
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

mod accuracy;
mod adaptations;
mod architecture;
mod as_assumed;
mod as_changed;
mod as_read;
mod as_strung;
mod averaging;
mod back_bias;
mod bad_profiles;
mod blank;
mod boost;
mod branches;
mod bucking_table;
mod by_hand;
mod catalogue_bad_cells;
mod catalogue_lookup;
mod catalogue_plausible;
mod catalogue_rows;
mod cautions_table;
mod chart;
mod chart_data;
mod closed_forms;
mod copper_and_dividers;
mod dependencies;
mod divider;
mod doubled;
mod drawing;
mod drawing_geometry;
mod drawing_print;
mod drawing_source;
mod drawing_supply;
mod drawing_two_parts;
mod droppers;
mod explain;
mod fault_integrator;
mod files;
mod finite;
mod fitted;
mod flat_top;
mod gaps;
mod harness;
mod integrator;
mod interview;
mod iron;
mod known;
mod laws;
mod line_ups;
mod mains_resistor;
mod manual;
mod measures;
mod new_sets;
mod ohmmeter;
mod one_fuse;
mod one_uncertainty;
mod open_faults;
mod other_json;
mod outlet_log;
mod outlet_ranges;
#[cfg(unix)]
mod pager;
mod part_names;
mod parts;
mod parts_consistency;
mod parts_outside;
mod pictures;
mod plan_json;
mod plan_list;
mod probes;
mod profile_doc;
mod reach;
mod readme;
mod rectifier_rows;
mod rectifier_types;
mod regions;
mod replace;
mod replace_dropper;
mod robustness;
mod save_file;
mod schema;
mod schema_keys;
mod screens;
mod second_judge;
mod second_judge_plans;
mod second_judge_tampered;
mod second_supply;
mod shelf;
mod shop;
mod signal;
mod size;
mod steady_state;
mod step;
#[cfg(unix)]
mod stop;
mod string_dropper;
mod substitution;
mod supply;
#[cfg(unix)]
mod surroundings;
mod sweep_svg;
mod switch_on;
mod table;
mod taps;
mod tolerance;
mod topologies;
mod topologies_cases;
mod topologies_equations;
mod topologies_forms;
mod topologies_line;
mod tubes;
mod verdict_curve;
mod verdict_properties;
mod verdict_words;
mod verdicts;
mod verification;
mod warm_copper;
mod windings;
mod wiring;
mod working;
