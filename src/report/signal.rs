//! The set at rest, at full output and with a strong station.

use super::figures::{amps, or_dash, volts, watts};
use super::page::{Page, Span, bad, fine, heading, plain, table, text};
use super::plan_tables::excess;
use crate::adaptation::Method;
use crate::study::{Choice, Note, Plan, STRONG_AVC_V, SignalPoint, SignalReport};

/// The set as it is, the series resistor, what is advised and the second choice.
pub(super) fn of_plan(plan: &Plan) -> Page {
    const TITLES: [&str; 2] = ["AT REST AND AT FULL OUTPUT", "WITHOUT AND WITH A STRONG STATION"];
    let advice = [plan.advice.choice, plan.advice.runner_up];
    let told = |c: &&Choice| {
        let usual = matches!(c.method, Method::AsIs | Method::SeriesResistor);
        usual || advice.contains(&Some(c.method))
    };
    let told: Vec<&Choice> = plan.choices.iter().filter(told).collect();
    page(&told, plan.outlet.usual_v, TITLES)
}

/// What is fitted, where its output stage is one that draws more when it is loud.
pub(super) fn of_note(note: &Note) -> Page {
    let fitted = note.fitted();
    let swings = fitted.signal.as_ref().is_some_and(|s| s.full.is_some());
    if !swings {
        return Vec::new();
    }
    page(&[fitted], note.plan.outlet.usual_v, ["At rest and at full output"; 2])
}

/// One row for each choice and signal.
fn page(choices: &[&Choice], outlet_v: f64, [loud, quiet]: [&str; 2]) -> Page {
    let all = || choices.iter().filter_map(|c| Some((*c, c.signal.as_ref()?)));
    if all().all(|(_, s)| s.full.is_none() && s.strong_station.is_none() && s.unsolved.is_none()) {
        return Vec::new();
    }
    let full = all().any(|(_, s)| s.full.is_some());
    let title = if full { loud } else { quiet };
    let outlet = format!("at {}", volts(outlet_v));
    let titles = [&outlet, "B+", "heaters", "line", "heat in the part", "plate, one output tube"];
    let mut page = vec![heading(title), table(titles, all().flat_map(|(c, s)| rows(c, s)))];
    let mut words = Vec::new();
    if full {
        words.push(
            "Full output is a steady tone; speech and music stay between rest and that.".to_owned(),
        );
    }
    if !full {
        words.push("A single-ended output stage draws nearly the same loud or quiet.".to_owned());
    }
    if all().any(|(_, s)| s.strong_station.is_some()) {
        words
            .push(format!("A strong station is taken as {STRONG_AVC_V:.0} V of AVC† (5 to 20 V)."));
    }
    page.push(fine(words.join(" ")));
    for (choice, signal) in all() {
        let name = choice.method.facts().name;
        let mut say = |words: String| page.push(text(bad(format!("{name}: {words}"))));
        for limit in &signal.exceeds {
            say(format!("{} exceeds its limit at full output", limit.name));
        }
        if let Some(w) = signal.resistor_w_full.filter(|_| signal.resistor_overloaded) {
            say(format!("no place bears its {} at full output on the high line", watts(w)));
        }
        if let Some(why) = &signal.unsolved {
            say(why.clone());
        }
    }
    page
}

fn rows(choice: &Choice, signal: &SignalReport) -> Vec<Vec<Span>> {
    let points = [
        (choice.method.facts().name, Some(&signal.rest)),
        ("  full output", signal.full.as_ref()),
        ("  strong station", signal.strong_station.as_ref()),
    ];
    let heat = |p: &SignalPoint| or_dash(Some(p.lead_w).filter(|w| *w >= 0.005), watts);
    let row = |(label, point): (&str, Option<&SignalPoint>)| {
        let p = point?;
        Some(vec![
            plain(label),
            plain(volts(p.b_plus_v)),
            excess(p.heater_excess),
            plain(amps(p.line_a)),
            plain(heat(p)),
            plain(or_dash(p.plate_w, watts)),
        ])
    };
    points.into_iter().filter_map(row).collect()
}
