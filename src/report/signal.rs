//! The set at rest, at full output and with a strong station.

use super::{
    figures::{amps, or_dash, volts, watts},
    page::{Line, Page, bad, fine, row, section, table, text},
    plan_tables::excess,
};
use crate::{
    adaptation::Method,
    study::{Choice, Note, Plan, STRONG_AVC_V, SignalPoint, SignalReport},
};

/// The set as it is, the series resistor, what is advised and the second choice.
pub fn of_plan(plan: &Plan) -> Option<Page> {
    let advice = [plan.advice.choice, plan.advice.runner_up];
    let told = |c: &&Choice| {
        let usual = matches!(c.method, Method::AsIs | Method::SeriesResistor);
        usual || advice.contains(&Some(c.method))
    };
    let titles = ["AT REST AND AT FULL OUTPUT", "WITHOUT AND WITH A STRONG STATION"];
    page(plan.choices.iter().filter(told), plan.outlet.usual_v, titles)
}

/// What is fitted, where its output stage is one that draws more when it is loud.
pub fn of_note(note: &Note) -> Option<Page> {
    note.fitted().signal.as_ref()?.full.as_ref()?;
    page([note.fitted()], note.plan.outlet.usual_v, ["At rest and at full output"; 2])
}

/// One row for each choice and signal.
fn page<'a>(
    choices: impl IntoIterator<Item = &'a Choice>,
    outlet_v: f64,
    [loud, quiet]: [&str; 2],
) -> Option<Page> {
    let all: Vec<_> = choices.into_iter().filter_map(|c| Some((c, c.signal.as_ref()?))).collect();
    let any = |is: fn(&SignalReport) -> bool| all.iter().any(|(_, signal)| is(signal));
    let (full, station) = (any(|s| s.full.is_some()), any(|s| s.strong_station.is_some()));
    let station = station
        .then(|| format!(" A strong station is taken as {STRONG_AVC_V:.0} V of AVC† (5 to 20 V)."));
    let words = match full {
        true => "Full output is a steady tone; speech and music stay between rest and that.",
        false => "A single-ended output stage draws nearly the same loud or quiet.",
    };
    let warned = all.iter().flat_map(|(choice, signal)| {
        let exceeds = signal.exceeds.iter();
        let exceeds = exceeds.map(|l| format!("{} exceeds its limit at full output", l.name));
        let hot = signal.resistor_w_full.filter(|_| signal.resistor_overloaded);
        let hot =
            hot.map(|w| format!("no place bears its {} at full output on the high line", watts(w)));
        let name = choice.method.facts().name;
        let all = exceeds.chain(hot).chain(signal.unsolved.clone());
        all.map(move |words| text(bad((name, ": ", words))))
    });
    let outlet = format!("at {}", volts(outlet_v));
    let titles = [&outlet, "B+", "heaters", "line", "heat in the part", "plate, one output tube"];
    let page = section(
        if full { loud } else { quiet },
        (
            table(titles, all.iter().flat_map(|(c, s)| rows(c, s)).flatten()),
            fine((words, station.clone())),
            warned.collect::<Page>(),
        ),
    );
    (full || station.is_some() || any(|s| s.unsolved.is_some())).then_some(page)
}

fn rows(choice: &Choice, signal: &SignalReport) -> [Option<Line>; 3] {
    let points = [
        (choice.method.facts().name, Some(&signal.rest)),
        ("  full output", signal.full.as_ref()),
        ("  strong station", signal.strong_station.as_ref()),
    ];
    points.map(|(label, point): (_, Option<&SignalPoint>)| {
        let p = point?;
        Some(row((
            label,
            volts(p.b_plus_v),
            excess(p.heater_excess),
            amps(p.line_a),
            or_dash(Some(p.lead_w).filter(|w| *w >= 0.005), watts),
            or_dash(p.plate_w, watts),
        )))
    })
}
