//! Shows results; computes none.

mod blank;
mod build;
mod buy;
mod caution;
mod divider;
pub mod drawing;
mod explain;
mod figures;
mod fit;
mod fitted;
pub mod html;
pub mod markdown;
mod marks;
mod note;
mod note_curve;
mod note_front;
mod note_readings;
mod note_safety;
mod origin;
mod outlet_log;
pub mod page;
mod plan;
mod plan_limits;
mod plan_safety;
mod plan_tables;
mod plans;
mod power_up;
mod power_up_stage;
mod readings;
mod replace;
mod set_page;
mod signal;
mod sweep;
mod switch_on;
pub mod terminal;
mod tolerance;
mod tubes;
mod verdict;
mod wiring;
mod words;
mod working;

pub use blank::{text as blank_text, told_page as blank_told_page};
pub use buy::{csv as parts_csv, page as parts_page};
pub use caution::{alarms as alarm_page, begins as cautions_begin};
pub use divider::page as divider_page;
pub use explain::{examples as examples_page, list as explain_list, page as explain_page};
pub use fit::page as fit_page;
pub use note::page as note_page;
pub use note_front::card as note_card;
pub use plan::{
    PlanPart, beginning as plan_beginning, page as plan_page, page_of as plan_page_of,
    whole_page as whole_plan_page,
};
pub use plans::page as plan_list_page;
pub use power_up::page as power_up_page;
pub use replace::page as replace_page;
pub use set_page::html as set_page_html;
pub use sweep::{chart as sweep_chart, csv as sweep_csv, page as sweep_page};
pub use switch_on::{chart as switch_on_chart, page as switch_on_page};
pub use tolerance::page as tolerance_page;
pub use tubes::{
    TubePage, ballast_list, ballast_page, lamp_list, one as type_page, rectifier_list, tube_list,
};
pub use working::{page as working_page, section as working_section};

use crate::study::{
    Band, CapacitorAtStart, Choice, FuseReport, OutletVolts, Plan, Reading, SetSummary,
};
use {
    build::listed,
    figures::{percent, plus_or_minus, volts},
    words::counted,
};

/// That the figures are those of a set fitted to readings.
fn fitted_to(readings: usize) -> Option<String> {
    (readings > 0).then(|| format!("fitted to {} of the profile", counted(readings, "reading")))
}

/// An outlet's volts through the day, and the log or the range they were taken from.
fn outlet_words(outlet: &OutletVolts) -> String {
    let range = outlet.range.map(|name| format!("range {name}"));
    let from = listed(outlet.log.as_ref().map(outlet_log::taken).into_iter().chain(range), "; ");
    let from = from.map(|from| format!(" ({from})")).unwrap_or_default();
    let [usual, low, high] = [outlet.usual_v, outlet.low_v, outlet.high_v].map(volts);
    format!("{usual} usual, {low} low, {high} high{from}")
}

/// A set's name and year.
fn name_and_year(set: &SetSummary) -> String {
    set.year.map_or_else(|| set.name.clone(), |year| format!("{}, {year}", set.name))
}

/// The line a set was made for.
fn made_for(set: &SetSummary) -> String {
    format!("{}, {:.0} Hz", volts(set.design_line_v), set.frequency_hz)
}

/// True for a set without a transformer.
fn on_the_line(plan: &Plan) -> bool {
    plan.as_designed.heaters.iter().any(|h| h.in_string)
}

/// What is left open of the set as it is, as " ±0.15 V".
fn uncertain(plan: &Plan, of: fn(&Band) -> f64) -> String {
    let band = plan.choices.first().and_then(|c| c.band.as_ref());
    band.map_or(String::new(), |b| format!(" {}", plus_or_minus(of(b))))
}

/// B+ of a reading, and how it stands against what the set was designed for.
fn against_design(plan: &Plan, reading: &Reading) -> String {
    let (now, design) = (reading.b_plus_v, plan.as_designed.b_plus_v);
    format!(
        "{}{}: {} against its {} on {}",
        volts(now),
        uncertain(plan, |b| b.b_plus_uncertain_v),
        percent(now / design - 1.0),
        volts(design),
        volts(plan.set.design_line_v)
    )
}

/// Rating and standard of a fuse, where one suits.
fn rated(fuse: &FuseReport) -> Option<(f64, &'static str)> {
    Some((fuse.rating_a?, fuse.standard))
}

/// The filter capacitors at switch-on.
fn at_start(choice: Option<&Choice>) -> &[CapacitorAtStart] {
    choice.and_then(|c| c.cold_start.as_ref()).map_or(&[], |start| &start.capacitors)
}
