//! The part of a plan that says whether it is safe to follow: band, heat, fuse, switch-on, faults.

use super::figures::{amps, celsius, plus_or_minus, signed_percent, volts, watts};
use super::page::{Block, Page, Span, Table, Tone};
use crate::study::{Choice, ChoiceStanding, FaultReport, HEATER_LIMIT, Plan};

fn dash() -> String {
    "-".to_owned()
}

fn titles<const N: usize>(list: [&str; N]) -> Vec<String> {
    list.map(str::to_owned).to_vec()
}

/// All of it.
pub(super) fn sections(plan: &Plan) -> Page {
    let mut page = band(plan);
    page.extend(heat(plan));
    page.extend(switch_on(plan));
    page.extend(faults(plan));
    page
}

fn band(plan: &Plan) -> Page {
    let rows = plan
        .choices
        .iter()
        .filter_map(|c| {
            let b = c.band.as_ref()?;
            let edge = |v: f64| {
                let share = v / b.heater_rated_v - 1.0;
                let tone = if share.abs() > HEATER_LIMIT { Tone::Bad } else { Tone::Plain };
                Span::new(signed_percent(share), tone)
            };
            Some(vec![
                Span::plain(c.method.facts().name),
                edge(b.heater_low_v),
                edge(b.heater_high_v),
                Span::plain(plus_or_minus(b.heater_uncertain_v)),
                Span::plain(volts(b.b_plus_low_v)),
                Span::plain(volts(b.b_plus_high_v)),
                Span::plain(plus_or_minus(b.b_plus_uncertain_v)),
            ])
        })
        .collect();
    vec![
        Block::Heading(
            "THE BAND (the outlet's day, with all that is assumed or toleranced)".to_owned(),
        ),
        Block::Table(Table {
            titles: titles(["", "heaters from", "to", "of it", "B+ from", "to", "of it"]),
            rows,
        }),
    ]
}

fn heat(plan: &Plan) -> Page {
    let mut page = Vec::new();
    for (part, rating) in plan.choices.iter().flat_map(Choice::ratings) {
        // what comes out for it is told with the choice
        page.push(Block::Heading(format!("HEAT AND PLACE OF {}", part.named())));
        page.push(Block::Text(vec![Span::plain(format!(
            "{} at high line and worst tolerance, printed rating {}.",
            watts(rating.worst_w),
            watts(rating.rated_w)
        ))]));
        let rows = rating
            .places
            .iter()
            .map(|p| {
                let (word, tone) =
                    if p.acceptable { ("yes", Tone::Good) } else { ("no", Tone::Bad) };
                vec![
                    Span::plain(p.place),
                    Span::plain(celsius(p.ambient_c)),
                    Span::plain(watts(p.derated_w)),
                    Span::plain(format!("{:.0} %", 100.0 * p.load)),
                    Span::plain(celsius(p.surface_c)),
                    Span::new(word, tone),
                ]
            })
            .collect();
        page.push(Block::Table(Table {
            titles: titles(["place", "air", "rating left", "used", "surface", "will do"]),
            rows,
        }));
        let reasons = rating
            .places
            .iter()
            .map(|p| vec![Span::new(format!("{}: {}", p.place, p.rule), Tone::Faint)])
            .collect();
        page.push(Block::Items(reasons));
    }
    page
}

fn switch_on(plan: &Plan) -> Page {
    let first =
        plan.choices.iter().find_map(|c| c.cold_start.as_ref()).is_some_and(|c| c.rectifier_first);
    let count = plan
        .choices
        .iter()
        .filter_map(|c| c.cold_start.as_ref())
        .map(|c| c.capacitors.len())
        .max()
        .unwrap_or(0);
    let mut head = titles(["", "inrush", "× running", "fuse", "heaters warm in"]);
    for i in 0..count {
        head.push(format!("C{} sees", i + 1));
        head.push("rated".to_owned());
    }
    let rows = plan
        .choices
        .iter()
        .filter_map(|c| {
            let cold = c.cold_start.as_ref()?;
            let fuse = c.fuse.as_ref().map_or_else(dash, |f| match f.rating_a {
                Some(rating) => format!("{rating} A {}", short_standard(f.standard)),
                None => "none suits".to_owned(),
            });
            let mut row = vec![
                Span::plain(c.method.facts().name),
                Span::plain(amps(cold.inrush_a)),
                Span::plain(format!("{:.1}", cold.inrush_over_running)),
                Span::plain(fuse),
                Span::plain(format!("{:.1} s", cold.warm_up_s)),
            ];
            for capacitor in &cold.capacitors {
                let passed = capacitor.rated_v.is_some_and(|r| capacitor.peak_v > r);
                let tone = if passed { Tone::Bad } else { Tone::Plain };
                row.push(Span::new(volts(capacitor.peak_v), tone));
                row.push(Span::plain(capacitor.rated_v.map_or_else(dash, volts)));
            }
            Some(row)
        })
        .collect();
    let mut page = vec![
        Block::Heading(format!("SWITCH-ON AT {}", volts(plan.outlet.high_v))),
        Block::Table(Table { titles: head, rows }),
        Block::Text(vec![Span::new(
            if first {
                "The rectifier is directly heated: it is ready seconds before the tubes draw, and the capacitors stand near the crest until then."
            } else {
                "The rectifier is indirectly heated and warms with the tubes: the capacitors see little more than at work. If it is ready early, they see the crest."
            },
            Tone::Faint,
        )]),
    ];
    for choice in &plan.choices {
        let Some(fuse) = choice.fuse.as_ref().filter(|f| f.must_change) else {
            continue;
        };
        if let (Some(present), Some(rating)) = (fuse.present_a, fuse.rating_a)
            && choice.standing == ChoiceStanding::Advised
        {
            page.push(Block::Text(vec![Span::new(
                format!(
                    "The {present} A fuse now in the set must change to {rating} A slow ({}): the set then runs at {}.",
                    fuse.standard,
                    amps(fuse.running_a)
                ),
                Tone::Careful,
            )]));
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
    let mut page = vec![
        Block::Heading(format!("FAULTS AT {}", volts(plan.outlet.high_v))),
        Block::Text(vec![Span::new(words, Tone::Faint)]),
    ];
    for choice in plan.choices.iter().filter(|c| !c.faults.is_empty()) {
        let fuse = choice
            .fuse
            .as_ref()
            .and_then(|f| f.rating_a.map(|r| format!("{r} A slow, {}", f.standard)));
        page.push(Block::Gap);
        page.push(Block::Text(vec![Span::new(
            format!(
                "{}{}, fuse {}",
                choice.title,
                choice.part.as_ref().map_or(String::new(), |p| format!(": {p}")),
                fuse.unwrap_or_else(dash)
            ),
            Tone::Strong,
        )]));
        let mut titles =
            titles(["", "line", "× fuse", "within", "part", "bears", "heaters", "B+", "C1"]);
        let mut rows: Vec<_> = choice.faults.iter().map(fault_row).collect();
        if !choice.faults.iter().any(apart) {
            titles.truncate(8);
            rows.iter_mut().for_each(|row| row.truncate(8));
        }
        page.push(Block::Table(Table { titles, rows }));
        let passed: Vec<String> = choice
            .faults
            .iter()
            .filter_map(|f| {
                let name = f.capacitor_passed.as_ref()?;
                Some(format!("{}: {name} passes its working volts.", f.fault))
            })
            .collect();
        if !passed.is_empty() {
            page.push(Block::Text(vec![Span::new(passed.join(" "), Tone::Careful)]));
        }
    }
    page
}

fn whole(v: f64) -> String {
    format!("{:.0} V", v.max(0.0))
}

fn fault_row(f: &FaultReport) -> Vec<Span> {
    if let Some(reason) = &f.unsolved {
        return vec![
            Span::plain(f.fault.to_string()),
            Span::new(format!("no answer: {reason}"), Tone::Careful),
        ];
    }
    let opens =
        f.fuse.map_or_else(dash, |fuse| fuse.opens_within_s.map_or("holds".to_owned(), seconds));
    let tone = if f.burns { Tone::Bad } else { Tone::Plain };
    vec![
        Span::plain(f.fault.to_string()),
        Span::plain(f.line_a.map_or_else(dash, amps)),
        Span::plain(f.fuse.map_or_else(dash, |x| format!("{:.2}", x.multiple))),
        Span::plain(opens),
        Span::new(
            f.part_w.map_or_else(dash, |w| {
                let burns = if f.burns { " BURNS" } else { "" };
                format!("{}{burns}", watts(w))
            }),
            tone,
        ),
        Span::plain(f.part_allowed_w.map_or_else(dash, watts)),
        Span::plain(f.heater_excess.map_or_else(dash, signed_percent)),
        Span::plain(f.b_plus_v.map_or_else(dash, whole)),
        Span::plain(f.reservoir_v.map_or_else(dash, whole)),
    ]
}
