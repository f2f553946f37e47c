//! A plan as a page: the answers first, the tables after.

use super::{
    against_design, at_start,
    build::{joined, list},
    caution,
    figures::{amps, by_rule, percent, volts, watts},
    fitted_to, made_for, name_and_year, outlet_words,
    page::{
        Block, Line, Page, bad, blocks, careful, entry, fine, good, items, line, section, title,
        with_dagger,
    },
    plan_limits::{against_limit, assumptions, limits},
    plan_safety,
    plan_tables::{as_is, heater_tone, side_by_side, through_the_day, today_table, tube_tables},
    readings, signal, uncertain, verdict,
    words::{counted, kept},
};
use crate::{
    adaptation::Method,
    study::{CapacitorAtStart, Day, Limit, Plan, Rating, Reading},
};

/// Lays out a plan.
pub fn page(plan: &Plan) -> Page {
    let page = with_dagger((
        head(plan),
        today_table(plan),
        side_by_side(plan),
        through_the_day(plan),
        signal::of_plan(plan),
        plan_safety::sections(plan),
        tube_tables(plan),
        limits(plan),
        assumptions(&plan.assumptions),
        odd(&plan.warnings),
    ));
    blocks((page, caution::all(&plan.cautions)))
}

/// What the reader of the profile found odd.
pub fn odd(warnings: &[String]) -> Page {
    section("ODD IN THE PROFILE", items(warnings.iter().map(|w| line(careful(w)))).if_any())
}

/// The first lines: what is wrong, what to fit, what it will read, what to be careful of.
pub fn head(plan: &Plan) -> Page {
    // what is told is the set with the repairs done
    let margin = if plan.put_right { "MENDED" } else { "TODAY" };
    let then = plan.advised().and_then(|c| c.day.as_ref());
    blocks((
        caution::alarms(&plan.cautions),
        title(name_and_year(&plan.set)),
        fine(format!("made for {}; outlet {}", made_for(&plan.set), outlet_words(&plan.outlet))),
        readings::head(&plan.readings),
        fitted_to(plan.readings_used).map(fine),
        Block::Gap,
        as_is(plan).map(|day| entry(margin, today(plan, day))),
        Block::Gap,
        verdict::head(plan),
        then.map(|day| entry("THEN", self::then(plan, &day.usual))),
        Block::Gap,
        entry("CARE", caution::first(&plan.cautions, plan.advice.choice)),
        entry("FILTER", capacitors(plan)).if_any(),
    ))
}

fn today(plan: &Plan, day: &Day) -> Vec<Line> {
    let (usual, high) = (&day.usual, &day.high);
    let against = |r: &Reading| heater_tone(r.heater_excess()).of(percent(r.heater_excess()));
    let heaters = usual.tube_heater().map(|heater| {
        line((
            format!(
                "heaters {}{} where {} is rated: ",
                volts(heater.volts_v),
                uncertain(plan, |b| b.heater_uncertain_v),
                volts(heater.rated_v)
            ),
            against(usual),
            (" on ", volts(usual.outlet_v), ", "),
            against(high),
            (" at ", volts(high.outlet_v)),
        ))
    });
    // heaters and iron have lines of their own
    let own =
        |rating: Rating| move |l: &&Limit| l.rating == rating && !l.what.is_of_heaters_or_iron();
    let at_high = high.beyond().filter(own(Rating::Ceiling));
    let beyond: Vec<_> = usual.beyond().filter(own(Rating::DesignCentre)).chain(at_high).collect();
    let beyond = match beyond.as_slice() {
        [] => line(good("exceeds no other limit of the set")),
        [first, rest @ ..] => line((
            bad(("exceeds ", counted(beyond.len(), "limit"), ": ")),
            against_limit(first),
            (!rest.is_empty()).then_some("; more below"),
        )),
    };
    let designed = plan.as_designed.transformer.as_ref();
    let iron = usual.transformer.as_ref().zip(designed).filter(|t| t.0.costs());
    let iron = iron.map(|(iron, designed)| {
        line((
            format!(
                "iron at {:.0} % of its flux: magnetizing current {} ({} as designed), the transformer loses {} ({})",
                100.0 * iron.flux,
                amps(iron.magnetizing_a),
                amps(designed.magnetizing_a),
                watts(iron.loss_w),
                watts(designed.loss_w)
            ),
            iron.is_guessed().then_some("; so far beyond its knee the figures are a guess"),
        ))
    });
    list((heaters, line(("B+ ", against_design(plan, usual))), beyond, iron))
}

fn then(plan: &Plan, r: &Reading) -> [Line; 2] {
    // a name and its figure stay on one line
    let each = |name: &str, v: f64| kept(&format!("{name} {}", volts(v)));
    // in a string one heater speaks for all
    let told = r.heaters.iter().position(|h| h.in_string && h.feeds_tubes);
    let heaters = r.heaters.iter().enumerate().filter_map(|(i, h)| match told {
        None => Some(each(&h.winding, h.volts_v)),
        Some(first) => (first == i).then(|| each(&format!("{} heater", h.winding), h.volts_v)),
    });
    let all: Vec<String> = list((
        heaters,
        each("B+", r.b_plus_v),
        r.coils.iter().map(|c| each(&c.name, c.drop_v)),
        r.filter_resistors.iter().map(|c| each(&c.name, c.drop_v)),
        r.taps.iter().map(|t| each(&t.name, t.volts_v)),
    ));
    let takes = if told.is_some() { "the set takes" } else { "primary" };
    let lost = !r.lead_parts.is_empty();
    [
        line(format!("on {}: {}", volts(plan.outlet.usual_v), joined(all, ", "))),
        line((
            format!("{takes} {} true RMS, {} from the outlet", amps(r.primary_a), watts(r.line_w)),
            lost.then(|| (", ", watts(r.lead_w), " lost in the part")),
        )),
    ]
}

/// Filter capacitors that get more than they bear as the set is, or with what is advised, and what to fit.
fn capacitors(plan: &Plan) -> Vec<Line> {
    let advised = at_start(plan.advised().filter(|c| c.method != Method::AsIs));
    let each = at_start(plan.choices.first()).iter().enumerate().filter_map(|(i, now)| {
        let with = advised.get(i);
        // the worse of the two is what the new one must bear
        let worse = with.filter(|w| w.exceeds() && w.peak_v > now.peak_v).unwrap_or(now);
        let gets = |what: &str, is: fn(&CapacitorAtStart) -> f64, bears: String| {
            let with = with.map(|w| format!(", with the part {}", volts(is(w))));
            format!("{} {what}, {bears}{}", volts(is(now)), with.unwrap_or_default())
        };
        let rated = worse.rated_v.filter(|_| worse.running_exceeds);
        let rated = rated.map(|v| gets("at work", |c| c.running_v, format!("rated {}", volts(v))));
        let surge = worse.surge_v.filter(|_| worse.switch_on_exceeds);
        let surge = surge.map(|v| {
            gets("at switch-on", |c| c.peak_v, format!("bears {}", by_rule(v, worse.surge_by_rule)))
        });
        let fit = match worse.fit_v {
            Some(v) => format!("fit {v:.0} V"),
            None => "no single one of the trade bears that".to_owned(),
        };
        let (at, gets) = (volts(plan.outlet.high_v), joined(rated.into_iter().chain(surge), "; "));
        let words = format!("at {at}: capacitor {} {gets}; {fit}", i + 1);
        worse.exceeds().then(|| line(bad(words)))
    });
    each.collect()
}
