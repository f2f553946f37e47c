//! A plan as a page: what to do, what the meter will read, and what could change it; tables of the rest on demand.

use super::{
    at_start,
    build::{joined, list},
    caution,
    figures::{amps, by_rule, figure, volts, watts},
    fitted, fitted_to, made_for, name_and_year, note_readings,
    origin::of_shop,
    outlet_log, outlet_words,
    page::{
        Block, Line, Page, bad, blocks, careful, entry, fine, items, line, plain, row, section,
        strong, table, title, with_dagger,
    },
    plan_limits::{against_limit, assumptions, limits},
    plan_safety,
    plan_tables::{
        as_is, excess, finding, side_by_side, through_the_day, today_table, tube_tables,
    },
    readings, signal, verdict,
    words::{capital, counted, from_to},
    working,
};
use crate::{
    adaptation::Method,
    study::{CapacitorAtStart, Checkpoint, Limit, Meter, Plan, Rating, What},
};

/// A part of a plan that is shown on demand.
#[derive(Debug, Clone, Copy)]
pub struct PlanPart {
    /// What it is asked for by.
    pub key: &'static str,
    page: fn(&Plan) -> Page,
}

impl PlanPart {
    /// All of them, in their order on the page.
    pub const ALL: [PlanPart; 12] = [
        PlanPart { key: "choices", page: side_by_side },
        PlanPart {
            key: "day",
            page: |plan| blocks((today_table(plan), through_the_day(plan), from_the_log(plan))),
        },
        PlanPart { key: "band", page: plan_safety::band },
        PlanPart { key: "heat", page: plan_safety::heat },
        PlanPart { key: "switch-on", page: plan_safety::switch_on },
        PlanPart { key: "faults", page: plan_safety::faults },
        PlanPart { key: "tubes", page: |plan| blocks((tube_tables(plan), signal::of_plan(plan))) },
        PlanPart { key: "limits", page: |plan| blocks(limits(plan)) },
        PlanPart { key: "fitted", page: fitted::page },
        PlanPart { key: "assumed", page: |plan| assumptions(&plan.assumptions) },
        PlanPart { key: "working", page: |plan| working::page(&plan.working) },
        PlanPart { key: "cautions", page: |plan| caution::of_plan(plan) },
    ];
}

/// The plan in short: what one takes to the bench.
pub fn page(plan: &Plan) -> Page {
    with_dagger((head(plan), short(plan), more(plan)))
}

/// The same, and every other part.
pub fn whole_page(plan: &Plan) -> Page {
    with_dagger((head(plan), short(plan), PlanPart::ALL.map(|part| (part.page)(plan))))
}

/// The head, and of the rest these parts only.
pub fn page_of(plan: &Plan, parts: &[PlanPart]) -> Page {
    with_dagger((head(plan), parts.iter().map(|part| (part.page)(plan))))
}

/// What every page of a plan begins with: the set, what to do, what to be careful of.
fn head(plan: &Plan) -> Page {
    blocks((
        caution::alarms(&plan.cautions),
        title(name_and_year(&plan.set)),
        fine(format!(
            "Made for {}. Your outlet: {}.",
            made_for(&plan.set),
            outlet_words(&plan.outlet)
        )),
        of_shop(plan),
        readings::head(&plan.readings),
        fitted_to(plan.readings_used).map(|fitted| fine((capital(&fitted), "."))),
        Block::Gap,
        verdict::head(plan),
        entry("SAFETY", caution::first(&plan.cautions, plan.advice.choice)),
    ))
}

/// The head, and why: all that is told of a set that was just described.
pub fn beginning(plan: &Plan) -> Page {
    blocks((head(plan), verdict::why(plan)))
}

/// What stands below the head of a plan in short.
fn short(plan: &Plan) -> Page {
    blocks((
        fitted::short(plan),
        meter(plan),
        Block::Gap,
        today(plan).map(|lines| entry(if plan.put_right { "MENDED" } else { "TODAY" }, lines)),
        verdict::why(plan),
        entry("FILTER", capacitors(plan)).if_any(),
        entry("FUSE", fuse(plan)).if_any(),
        plan_safety::dry_rectifier(plan),
        choices(plan),
        odd(&plan.warnings),
    ))
}

/// Where to find the rest.
fn more(plan: &Plan) -> [Block; 2] {
    let parts = joined(PlanPart::ALL.map(|part| part.key), ", ");
    let note = plan.advice.choice.map(|_| "; the sheet for the cabinet: mainsfit note");
    let all = ("all of it: --full; a part of it: --show ", parts);
    [Block::Gap, entry("MORE", [line(all), line(("first run: mainsfit power-up", note))])]
}

/// From what the day was taken, where it was read.
fn from_the_log(plan: &Plan) -> Page {
    let told = plan.outlet_log.as_ref().map(|log| outlet_log::told(log, &plan.outlet));
    let told = told.map(|lines| (items(lines), outlet_log::figure(plan)));
    section("FROM WHAT THE DAY WAS TAKEN: THE OUTLET'S LOG", told)
}

/// What the reader of the profile found odd.
pub fn odd(warnings: &[String]) -> Page {
    section("CHECK IN THE PROFILE", items(warnings.iter().map(|w| line(careful(w)))).if_any())
}

/// Readings that a page in short has room for.
const MOST_READINGS: usize = 12;

/// What the meter reads, now and with the part.
fn meter(plan: &Plan) -> Page {
    // nothing is read straight on an outlet to which the set must not be connected
    let straight = !(plan.advice.do_not_plug_in || plan.advice.not_without_part);
    let method = plan.advised().map(|c| c.method).filter(|method| *method != Method::AsIs);
    let added = method.is_some_and(|method| !method.facts().added.is_empty());
    let changed = method.is_some();
    let metered = |c: &&Checkpoint| c.meter != Meter::None && c.measure.what != What::LinePower;
    let many = plan.checkpoints.iter().filter(metered).count() > MOST_READINGS;
    let wanted = |c: &&Checkpoint| {
        let of_a_tube = matches!(c.measure.what, What::Plate | What::Screen | What::Cathode);
        metered(c) && !(many && of_a_tube)
    };
    let rows = plan.checkpoints.iter().filter(wanted).map(|c| {
        let show = |v| figure(v, c.unit);
        let [from, to] = note_readings::in_order(c).map(show);
        let now = (changed && straight).then(|| show(c.before));
        row((note_readings::label(c, plan), now, strong(show(c.expected)), from_to(&from, &to)))
    });
    // what is told is the set with the repairs done; one with a part in is as it is with it
    let bare = plan.fitted.is_some();
    let now = if plan.put_right {
        "mended"
    } else if bare {
        "bare"
    } else {
        "now"
    };
    let names = match (changed, straight) {
        (true, true) if added => ["", now, "with part", "normal with part"].to_vec(),
        (true, true) => ["", now, "after", "normal after"].to_vec(),
        (true, false) => ["", "with part", "normal with part"].to_vec(),
        (false, _) => ["", now, "normal"].to_vec(),
    };
    section(
        format!(
            "WHAT YOU WILL READ at {}, warm, no signal; line and heaters AC, others DC",
            volts(plan.outlet.usual_v)
        ),
        table(names, rows).if_any(),
    )
}

/// Heat that is none, W.
const LEAST_HEAT: f64 = 0.005;

/// The choices in a row each.
fn choices(plan: &Plan) -> Page {
    let rows = plan.choices.iter().filter_map(|c| {
        let usual = &c.day.as_ref()?.usual;
        let value = c.part_value.zip(c.unit).map(|(v, unit)| (", ", figure(v, unit)));
        let heat = if usual.lead_w >= LEAST_HEAT { watts(usual.lead_w) } else { "-".to_owned() };
        let bare = plan.fitted.is_some() && c.method == Method::AsIs;
        let name = if bare { "Without it" } else { c.method.facts().name };
        Some(row((
            plain((name, value)),
            excess(usual.heater_excess()),
            volts(usual.b_plus_v),
            heat,
            finding(plan, c),
        )))
    });
    section(
        ("CHOICES at ", volts(plan.outlet.usual_v)),
        table(["", "heater volts", "B+", "heat", "finding"], rows).if_any(),
    )
}

/// Where the fuse may hold, and what to do then.
fn fuse(plan: &Plan) -> Vec<Line> {
    let choice = plan.advised().or(plan.choices.first());
    let holds = choice.and_then(|c| plan_safety::may_hold(&c.faults));
    let other = plan.advised().and_then(|c| plan_safety::fuse_words(plan, c));
    list((holds.map(|words| line(("may hold. ", words))), other.map(line)))
}

/// Limits that the set exceeds today, its heaters apart, and iron that costs.
fn today(plan: &Plan) -> Option<Vec<Line>> {
    let fitted = plan.fitted.as_ref().and_then(|f| f.choice.day.as_ref());
    let day = fitted.or(as_is(plan))?;
    let (usual, high) = (&day.usual, &day.high);
    // heaters and iron have lines of their own
    let own =
        |rating: Rating| move |l: &&Limit| l.rating == rating && !l.what.is_of_heaters_or_iron();
    let at_high = high.beyond().filter(own(Rating::Ceiling));
    let beyond: Vec<_> = usual.beyond().filter(own(Rating::DesignCentre)).chain(at_high).collect();
    let beyond = beyond.split_first().map(|(first, rest)| {
        let more = (!rest.is_empty()).then_some("; all: --show limits");
        line((bad(("exceeds ", counted(beyond.len(), "limit"), ": ")), against_limit(first), more))
    });
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
    Some(list((beyond, iron))).filter(|lines: &Vec<Line>| !lines.is_empty())
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
