//! The part of a plan that says whether it is safe to follow: band, heat, fuse, switch-on, faults.

use super::figures::{amps, celsius, or_dash, plus_or_minus, signed_percent, volts, watts};
use super::page::{
    Block, Page, Span, Tone, bad, careful, faint, fine, good, heading, items, plain, strong, table,
    text,
};
use super::wiring;
use crate::study::{
    Choice, ChoiceStanding, FaultReport, HEATER_LIMIT, PlaceReport, Plan, RatingReport,
};

/// All of it.
pub(super) fn sections(plan: &Plan) -> Page {
    let mut page = band(plan);
    page.extend(heat(plan));
    page.extend(switch_on(plan));
    page.extend(faults(plan));
    page
}

fn band(plan: &Plan) -> Page {
    let rows = plan.choices.iter().filter_map(|c| {
        let b = c.band.as_ref()?;
        let edge = |v: f64| {
            let share = v / b.heater_rated_v - 1.0;
            let tone = if share.abs() > HEATER_LIMIT { Tone::Bad } else { Tone::Plain };
            Span::new(signed_percent(share), tone)
        };
        Some(vec![
            plain(c.method.facts().name),
            edge(b.heater_low_v),
            edge(b.heater_high_v),
            plain(plus_or_minus(b.heater_uncertain_v)),
            plain(volts(b.b_plus_low_v)),
            plain(volts(b.b_plus_high_v)),
            plain(plus_or_minus(b.b_plus_uncertain_v)),
        ])
    });
    vec![
        heading("THE BAND (the outlet's day, with all that is assumed or toleranced)"),
        table(["", "heaters from", "to", "of it", "B+ from", "to", "of it"], rows),
    ]
}

fn heat(plan: &Plan) -> Page {
    let mut page = Vec::new();
    let ratings =
        |choice| Choice::ratings(choice).map(move |(part, rating)| (choice, part, rating));
    for (choice, part, rating) in plan.choices.iter().flat_map(ratings) {
        // what comes out for it is told with the choice
        page.push(heading(format!("HEAT AND PLACE OF {}", part.named())));
        page.push(text(format!(
            "{} at high line and worst tolerance, printed rating {}. Hot wire, in order: {}.",
            watts(rating.worst_w),
            watts(rating.rated_w),
            wiring::hot_wire(choice)
        )));
        page.push(places(rating, &good("yes"), &bad("no")));
        let reason = |p: &PlaceReport| vec![faint(format!("{}: {}", p.place, p.rule))];
        page.push(items(rating.places.iter().map(reason)));
    }
    page
}

/// How a resistor stands in each place; the last cell is `yes` where it will do.
pub(super) fn places(rating: &RatingReport, yes: &Span, no: &Span) -> Block {
    let rows = rating.places.iter().map(|p| {
        vec![
            plain(p.place),
            plain(celsius(p.ambient_c)),
            plain(watts(p.derated_w)),
            plain(format!("{:.0} %", 100.0 * p.load)),
            plain(celsius(p.surface_c)),
            if p.acceptable { yes.clone() } else { no.clone() },
        ]
    });
    table(["place", "air", "rating left", "used", "surface", "will do"], rows)
}

fn switch_on(plan: &Plan) -> Page {
    let starts = || plan.choices.iter().filter_map(|c| c.cold_start.as_ref());
    let first = starts().next().is_some_and(|c| c.rectifier_first);
    let count = starts().map(|c| c.capacitors.len()).max().unwrap_or(0);
    let head = ["", "inrush", "× running", "fuse", "heaters warm in"];
    let mut head = head.map(str::to_owned).to_vec();
    for i in 0..count {
        head.push(format!("C{} sees", i + 1));
        head.push("rated".to_owned());
    }
    let rows = plan.choices.iter().filter_map(|c| {
        let cold = c.cold_start.as_ref()?;
        let fuse = or_dash(c.fuse.as_ref(), |f| match f.rating_a {
            Some(rating) => format!("{rating} A {}", short_standard(f.standard)),
            None => "none suits".to_owned(),
        });
        let mut row = vec![
            plain(c.method.facts().name),
            plain(amps(cold.inrush_a)),
            plain(format!("{:.1}", cold.inrush_over_running)),
            plain(fuse),
            plain(format!("{:.1} s", cold.warm_up_s)),
        ];
        for capacitor in &cold.capacitors {
            let passed = capacitor.rated_v.is_some_and(|r| capacitor.peak_v > r);
            let tone = if passed { Tone::Bad } else { Tone::Plain };
            row.push(Span::new(volts(capacitor.peak_v), tone));
            row.push(plain(or_dash(capacitor.rated_v, volts)));
        }
        Some(row)
    });
    let mut page = vec![
        heading(format!("SWITCH-ON AT {}", volts(plan.outlet.high_v))),
        table(head, rows),
        fine(if first {
            "The rectifier is directly heated: it is ready seconds before the tubes draw, and the capacitors stand near the crest until then."
        } else {
            "The rectifier is indirectly heated and warms with the tubes: the capacitors see little more than at work. If it is ready early, they see the crest."
        }),
    ];
    for choice in &plan.choices {
        if let Some(fuse) = &choice.fuse
            && let (Some(present), Some(rating)) = (fuse.present_a, fuse.rating_a)
            && fuse.must_change
            && choice.standing == ChoiceStanding::Advised
        {
            page.push(text(careful(format!(
                    "The {present} A fuse now in the set must change to {rating} A slow ({}): the set then runs at {}.",
                    fuse.standard,
                    amps(fuse.running_a)
                ))));
        }
    }
    page
}

fn short_standard(standard: &str) -> &str {
    standard.split(' ').next().unwrap_or(standard)
}

fn seconds(s: f64) -> String {
    if s >= 3600.0 {
        "1 h".to_owned()
    } else if s >= 120.0 {
        format!("{:.0} min", s / 60.0)
    } else {
        format!("{s} s")
    }
}

fn faults(plan: &Plan) -> Page {
    let apart = |f: &FaultReport| f.reservoir_v.is_some();
    let mut words = "Within what time the fuse must open by its standard, and what the part loses until then; \"holds\": it need not open. A dead short is taken as 0.5 Ω; currents through a shorted rectifier are upper bounds. Where the fuse holds, the set itself overheats: a small fuse in the centre tap of the HV winding catches what the mains fuse cannot. The part is taken to be in the first place that will do.".to_owned();
    if plan.choices.iter().any(|c| c.faults.iter().any(apart)) {
        words += " C1: the first filter capacitor's + side, where it stands above B+.";
    }
    let mut page = vec![heading(format!("FAULTS AT {}", volts(plan.outlet.high_v))), fine(words)];
    for choice in plan.choices.iter().filter(|c| !c.faults.is_empty()) {
        let fuse = choice.fuse.as_ref().and_then(|f| Some((f.rating_a?, f.standard)));
        let fuse = or_dash(fuse, |(rating, standard)| format!("{rating} A slow, {standard}"));
        let part = choice.part.as_ref().map(|p| format!(": {p}")).unwrap_or_default();
        page.push(Block::Gap);
        page.push(text(strong(format!("{}{part}, fuse {fuse}", choice.title))));
        let titles = ["", "line", "× fuse", "within", "part", "bears", "heaters", "B+", "C1"];
        // the last column only where it says anything
        let columns = if choice.faults.iter().any(apart) { 9 } else { 8 };
        let rows = choice.faults.iter().map(|f| fault_row(f).into_iter().take(columns).collect());
        page.push(table(titles.into_iter().take(columns), rows));
        let passed: Vec<String> = choice
            .faults
            .iter()
            .filter_map(|f| {
                let name = f.capacitor_passed.as_ref()?;
                Some(format!("{}: {name} passes its working volts.", f.fault))
            })
            .collect();
        if !passed.is_empty() {
            page.push(text(careful(passed.join(" "))));
        }
    }
    page
}

fn whole(v: f64) -> String {
    format!("{:.0} V", v.max(0.0))
}

fn fault_row(f: &FaultReport) -> Vec<Span> {
    if let Some(reason) = &f.unsolved {
        return vec![plain(f.fault.to_string()), careful(format!("no answer: {reason}"))];
    }
    let opens = or_dash(f.fuse, |fuse| fuse.opens_within_s.map_or("holds".to_owned(), seconds));
    let tone = if f.burns { Tone::Bad } else { Tone::Plain };
    vec![
        plain(f.fault.to_string()),
        plain(or_dash(f.line_a, amps)),
        plain(or_dash(f.fuse, |x| format!("{:.2}", x.multiple))),
        plain(opens),
        Span::new(
            or_dash(f.part_w, |w| {
                let burns = if f.burns { " BURNS" } else { "" };
                format!("{}{burns}", watts(w))
            }),
            tone,
        ),
        plain(or_dash(f.part_allowed_w, watts)),
        plain(or_dash(f.heater_excess, signed_percent)),
        plain(or_dash(f.b_plus_v, whole)),
        plain(or_dash(f.reservoir_v, whole)),
    ]
}
