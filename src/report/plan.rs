//! A plan as a page: the answers first, the tables after.

use super::figures::{amps, percent, volts, watts};
use super::page::{
    Block, KEEP, Page, Span, bad, careful, dagger, entry, fine, good, heading, items, plain,
};
use super::plan_limits::{assumptions, figure, limits};
use super::plan_tables::{
    as_is, heater_tone, side_by_side, through_the_day, today_table, tube_tables,
};
use super::{
    against_design, caution, made_for, name_and_year, outlet_words, plan_safety, uncertain, verdict,
};
use crate::adaptation::Method;
use crate::study::{CapacitorAtStart, Choice, Day, Limit, Plan, Rating, Reading};

/// Lays out a plan.
pub fn page(plan: &Plan) -> Page {
    let mut page = head(plan);
    page.extend(today_table(plan));
    page.extend(side_by_side(plan));
    page.extend(through_the_day(plan));
    page.extend(super::signal::of_plan(plan));
    page.extend(plan_safety::sections(plan));
    page.extend(tube_tables(plan));
    page.extend(limits(plan));
    page.extend(assumptions(&plan.assumptions));
    page.extend(odd(&plan.warnings));
    page.extend(dagger(&page));
    page.extend(caution::all(&plan.cautions));
    page
}

/// What the reader of the profile found odd.
pub(super) fn odd(warnings: &[String]) -> Page {
    if warnings.is_empty() {
        return Vec::new();
    }
    vec![heading("ODD IN THE PROFILE"), items(warnings.iter().map(|w| vec![careful(w)]))]
}

/// The first lines: what is wrong, what to fit, what it will read, what to be careful of.
pub fn head(plan: &Plan) -> Page {
    let mut page = caution::alarms(&plan.cautions);
    page.extend([
        Block::Title(name_and_year(&plan.set)),
        fine(format!("made for {}; outlet {}", made_for(&plan.set), outlet_words(&plan.outlet))),
    ]);
    page.extend(super::readings::head(&plan.readings));
    if let Some(words) = super::fitted_to(plan.readings_used) {
        page.push(fine(words));
    }
    page.push(Block::Gap);
    if let Some(day) = as_is(plan) {
        // what is told is the set with the repairs done
        let margin = if plan.put_right { "MENDED" } else { "TODAY" };
        page.push(entry(margin, today(plan, day)));
    }
    page.push(Block::Gap);
    page.extend(verdict::head(plan));
    if let Some(day) = plan.advised().and_then(|c| c.day.as_ref()) {
        page.push(entry("THEN", then(plan, &day.usual)));
    }
    page.push(Block::Gap);
    page.push(entry("CARE", caution::first(&plan.cautions, plan.advice.choice)));
    let capacitors = capacitors(plan);
    if !capacitors.is_empty() {
        page.push(entry("FILTER", capacitors));
    }
    page
}

fn today(plan: &Plan, day: &Day) -> Vec<Vec<Span>> {
    let (usual, high) = (&day.usual, &day.high);
    let mut lines = Vec::new();
    if let Some(heater) = usual.tube_heater() {
        let excess = usual.heater_excess();
        lines.push(vec![
            plain(format!(
                "heaters {}{} where {} is rated: ",
                volts(heater.volts_v),
                uncertain(plan, |b| b.heater_uncertain_v),
                volts(heater.rated_v)
            )),
            Span::new(percent(excess), heater_tone(excess)),
            plain(format!(" on {}, ", volts(usual.outlet_v))),
            Span::new(percent(high.heater_excess()), heater_tone(high.heater_excess())),
            plain(format!(" at {}", volts(high.outlet_v))),
        ]);
    }
    lines.push(vec![plain(format!("B+ {}", against_design(plan, usual)))]);
    let passed = |r: &'_ Reading, rating: Rating| -> Vec<Limit> {
        // heaters and iron have lines of their own
        let own = |l: &&Limit| l.rating == rating && !l.what.is_of_heaters_or_iron();
        r.beyond().filter(own).cloned().collect()
    };
    let mut beyond = passed(usual, Rating::DesignCentre);
    beyond.extend(passed(high, Rating::Ceiling));
    lines.push(match beyond.as_slice() {
        [] => vec![good("exceeds no other limit of the set")],
        [first, rest @ ..] => vec![
            bad(format!("exceeds {}: ", count(beyond.len()))),
            plain(format!(
                "{} {} of {}{}",
                first.name.replace(", ", " "),
                figure(first.value, first.unit),
                figure(first.limit, first.unit),
                if rest.is_empty() { "" } else { "; more below" }
            )),
        ],
    });
    let designed = plan.as_designed.transformer.as_ref();
    if let Some((iron, designed)) = usual.transformer.as_ref().zip(designed).filter(|t| t.0.costs())
    {
        lines.push(vec![plain(format!(
            "iron at {:.0} % of its flux: magnetizing current {} ({} as designed), the transformer loses {} ({}){}",
            100.0 * iron.flux,
            amps(iron.magnetizing_a),
            amps(designed.magnetizing_a),
            watts(iron.loss_w),
            watts(designed.loss_w),
            if iron.is_guessed() { "; so far beyond its knee the figures are a guess" } else { "" }
        ))]);
    }
    lines
}

fn count(n: usize) -> String {
    if n == 1 { "1 limit".to_owned() } else { format!("{n} limits") }
}

fn then(plan: &Plan, r: &Reading) -> Vec<Vec<Span>> {
    let mut parts = Vec::new();
    // a name and its figure stay on one line
    let mut add =
        |name: &str, v: f64| parts.push(format!("{name} {}", volts(v)).replace(' ', KEEP));
    // in a string one heater speaks for all
    let told = r.heaters.iter().position(|h| h.in_string && h.feeds_tubes);
    for (i, h) in r.heaters.iter().enumerate() {
        match told {
            None => add(&h.winding, h.volts_v),
            Some(first) if first == i => add(&format!("{} heater", h.winding), h.volts_v),
            Some(_) => {}
        }
    }
    add("B+", r.b_plus_v);
    for c in &r.coils {
        add(&c.name, c.drop_v);
    }
    for c in &r.filter_resistors {
        add(&c.name, c.drop_v);
    }
    for t in &r.taps {
        add(&t.name, t.volts_v);
    }
    let lost = if r.lead_parts.is_empty() {
        String::new()
    } else {
        format!(", {} lost in the part", watts(r.lead_w))
    };
    vec![
        vec![plain(format!("on {}: {}", volts(plan.outlet.usual_v), parts.join(", ")))],
        vec![plain(format!(
            "{} {} true RMS, {} from the outlet{lost}",
            if told.is_some() { "the set takes" } else { "primary" },
            amps(r.primary_a),
            watts(r.line_w)
        ))],
    ]
}

/// Filter capacitors that get more than they bear as the set is, or with what is advised, and what to fit.
fn capacitors(plan: &Plan) -> Vec<Vec<Span>> {
    let of = |choice: Option<&'_ Choice>| -> Vec<CapacitorAtStart> {
        choice.and_then(|c| c.cold_start.as_ref()).map_or(Vec::new(), |s| s.capacitors.clone())
    };
    let as_found = of(plan.choices.first());
    let advised = of(plan.advised().filter(|c| c.method != Method::AsIs));
    let mut lines = Vec::new();
    for (i, now) in as_found.iter().enumerate() {
        let with = advised.get(i);
        // the worse of the two is what the new one must bear
        let worse = with.filter(|w| w.exceeds() && w.peak_v > now.peak_v).unwrap_or(now);
        if !worse.exceeds() {
            continue;
        }
        let mut words = Vec::new();
        let mut add = |what: &str, is: fn(&CapacitorAtStart) -> f64, bears: String| {
            let with = with.map(|w| format!(", with the part {}", volts(is(w))));
            words.push(format!("{} {what}, {bears}{}", volts(is(now)), with.unwrap_or_default()));
        };
        if let Some(rated) = worse.rated_v.filter(|_| worse.running_exceeds) {
            add("at work", |c| c.running_v, format!("rated {}", volts(rated)));
        }
        if let Some(surge) = worse.surge_v.filter(|_| worse.switch_on_exceeds) {
            let dagger = if worse.surge_by_rule { "†" } else { "" };
            add("at switch-on", |c| c.peak_v, format!("bears {}{dagger}", volts(surge)));
        }
        let fit = match worse.fit_v {
            Some(v) => format!("fit {v:.0} V"),
            None => "no single one of the trade bears that".to_owned(),
        };
        let (line, name) = (volts(plan.outlet.high_v), format!("capacitor {}", i + 1));
        lines.push(vec![bad(format!("at {line}: {name} {}; {fit}", words.join("; ")))]);
    }
    lines
}
