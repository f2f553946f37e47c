//! Tolerances as a page: what to expect, percentiles, shares, what matters most, what was drawn.

use super::{
    caution,
    figures::{amps, volts, watts},
    page::{
        Block, KEEP, Page, Span, Tone, bad, entry, faint, fine, heading, items, notes, plain,
        strong, table, text,
    },
    plan::odd,
};
use crate::study::{
    InputFrom, Lever, LimitShare, Spreading, ToleranceChoice, ToleranceInput, ToleranceOutput,
    Tolerances, What,
};

/// Levers named for one quantity.
const NAMED: usize = 5;
/// Levers below this share of the variance are not named.
const WORTH_NAMING: f64 = 0.01;
/// R² below which the ranking is only a hint (common practice, no source).
const TRUSTED: f64 = 0.9;
/// Limits listed for one choice.
const LISTED: usize = 8;
/// Share of the draws below which a heater limit is no longer met comfortably.
const MOST_DRAWS: f64 = 0.95;

/// Lays out a study of tolerances.
pub fn page(study: &Tolerances) -> Page {
    let mut page = head(study);
    for choice in &study.choices {
        page.extend(percentiles(choice));
        page.extend(limits(choice));
        page.extend(levers(choice));
    }
    page.extend(drawn(study));
    page.extend(odd(&study.warnings));
    page.extend(caution::all(&study.cautions));
    page
}

fn head(study: &Tolerances) -> Page {
    let Tolerances { draws, seed, outlet, .. } = study;
    let [low, high, usual] = [outlet.low_v, outlet.high_v, outlet.usual_v].map(volts);
    let mut page = caution::alarms(&study.cautions);
    page.extend([
        Block::Title(super::name_and_year(&study.set)),
        fine(format!(
            "{draws} sets drawn within their tolerances, Latin hypercube, seed {seed}; outlet {low} to {high}, mostly about {usual}"
        )),
    ]);
    page.extend(super::readings::head(&study.readings));
    page.extend(super::fitted_to(study.readings_used).map(fine));
    for (place, choice) in study.choices.iter().enumerate() {
        let margin = if place == 0 { "TODAY" } else { "WITH" };
        page.extend([Block::Gap, entry(margin, expect(choice, place > 0))]);
    }
    if !study.no_choice.is_empty() {
        let why = vec![bad("no advice: "), plain(study.no_choice.join("; "))];
        page.extend([Block::Gap, entry("WITH", vec![why])]);
    }
    let fitted = study.choices.last().map(|c| c.method);
    page.extend([Block::Gap, entry("SAFETY", caution::first(&study.cautions, fitted))]);
    page
}

/// The answer for one choice in a few lines.
fn expect(choice: &ToleranceChoice, named: bool) -> Vec<Vec<Span>> {
    let mut lines = Vec::new();
    if named {
        let part = choice.part.as_ref().map(|p| format!(": {p}")).unwrap_or_default();
        lines.push(vec![strong(format!("{}{part}", choice.title))]);
    }
    if choice.solved == 0 {
        lines.push(vec![bad("no draw has a solution")]);
    }
    for heater in &choice.heaters {
        if let Some(o) = choice.outputs.iter().find(|o| o.measure == heater.measure) {
            lines.push(vec![
                plain(format!("{} {}; within ±5 % in ", o.label, most_of_them(o))),
                met(heater.within_5),
                plain(", within ±10 % in "),
                met(heater.within_10),
            ]);
        }
    }
    for what in [What::BPlus, What::LeadPower] {
        if let Some(o) = choice.outputs.iter().find(|o| o.measure.what == what) {
            lines.push(vec![plain(format!("{} {}", o.label, most_of_them(o)))]);
        }
    }
    let passed = choice.beyond_ceiling;
    if choice.solved > 0 {
        lines.push(vec![
            plain("a limit that holds on any line is exceeded in "),
            Span::new(in_hundred(passed), if passed > 0.0 { Tone::Bad } else { Tone::Good }),
        ]);
    }
    for unsolved in &choice.unsolved {
        lines.push(vec![bad(format!(
            "{} of the draws without a solution, left out of every share: {}",
            unsolved.draws, unsolved.reason
        ))]);
    }
    lines
}

fn most_of_them(o: &ToleranceOutput) -> String {
    let [low, high] = [o.p2_5, o.p97_5].map(|v| figure(v, o.unit));
    format!("{low}{KEEP}to{KEEP}{high} in 95 draws of 100")
}

/// A share of the draws that should be all of them.
fn met(share: f64) -> Span {
    Span::new(in_hundred(share), if share >= MOST_DRAWS { Tone::Good } else { Tone::Careful })
}

/// A share of the draws.
fn in_hundred(share: f64) -> String {
    match 100.0 * share {
        p if p > 0.0 && p < 0.1 => "under 0.1 %".to_owned(),
        p if p < 100.0 && p > 99.9 => "over 99.9 %".to_owned(),
        p if p == 0.0 || p == 100.0 || (10.0..=90.0).contains(&p) => format!("{p:.0} %"),
        p => format!("{p:.1} %"),
    }
}

fn percentiles(choice: &ToleranceChoice) -> Page {
    let titles = ["", "stated", "least", "2.5 %", "25 %", "50 %", "75 %", "97.5 %", "most"];
    let rows = choice.outputs.iter().map(|o| {
        let values = [o.nominal, o.least, o.p2_5, o.p25, o.p50, o.p75, o.p97_5, o.most];
        let mut row = vec![plain(&o.label)];
        row.extend(values.iter().map(|v| plain(figure(*v, o.unit))));
        row
    });
    vec![
        heading(format!("{}: WHERE IT FALLS", choice.title.to_uppercase())),
        table(titles, rows),
        fine(
            "\"stated\": all as the profile has it, on the usual line. 2.5 %: one draw in forty lies below.",
        ),
    ]
}

fn limits(choice: &ToleranceChoice) -> Page {
    let mut rows: Vec<Vec<Span>> = Vec::new();
    for h in &choice.heaters {
        for (words, share) in [("±5 %", h.within_5), ("±10 %", h.within_10)] {
            rows.push(vec![
                plain(format!("{} heaters within {words} of {}", h.winding, volts(h.rated_v))),
                met(share),
            ]);
        }
    }
    let line = |l: &LimitShare| {
        let design = if l.by_design { " (on its own line too)" } else { "" };
        vec![plain(format!("exceeded: {}{design}", l.what)), plain(in_hundred(l.share))]
    };
    rows.extend(choice.limits.iter().take(LISTED).map(line));
    let mut words = format!(
        "Shares of {} draws, known to ±{:.1} in a hundred.",
        choice.solved,
        100.0 / (choice.solved.max(1) as f64).sqrt()
    );
    if let more @ 1.. = choice.limits.len().saturating_sub(LISTED) {
        words += &format!(" {more} more limits are exceeded less often.");
    }
    if choice.limits.is_empty() {
        words += " No draw exceeds any limit.";
    }
    if choice.beyond_design_centre > 0.0 {
        words += " Tube ratings are design-center figures: they hold on the usual line and leave the line its 10 % swing, so a draw above one is no fault by itself.";
    }
    vec![Block::Gap, table(["", "draws"], rows), fine(words)]
}

fn levers(choice: &ToleranceChoice) -> Page {
    let asked = |o: &&ToleranceOutput| {
        matches!(o.measure.what, What::Heater | What::BPlus | What::LeadPower)
    };
    let mut weak = false;
    let mut ranked = Vec::new();
    for o in choice.outputs.iter().filter(asked) {
        let Some(r_squared) = o.r_squared else {
            ranked.push(vec![
                strong(format!("{}: ", o.label)),
                plain("no ranking: it stands still, or there are fewer than five draws for each number drawn"),
            ]);
            continue;
        };
        weak |= r_squared < TRUSTED;
        let named = o.levers.iter().filter(|l| l.share >= WORTH_NAMING);
        let words: Vec<String> = named.take(NAMED).map(lever).collect();
        ranked.push(vec![
            strong(format!("{}: ", o.label)),
            plain(words.join(", ")),
            faint(format!(" (R² {r_squared:.3})")),
        ]);
    }
    let mut words = "Share of the variance, by a linear model of all that was drawn; + or − says which way it moves. R² is how much of the variance that model explains: near 1 the ranking can be trusted.".to_owned();
    if weak {
        words += " Below 0.9, as here, it is only a hint.";
    }
    vec![Block::Gap, text(strong("what matters most")), items(ranked), fine(words)]
}

fn lever(l: &Lever) -> String {
    let sign = if l.coefficient < 0.0 { "−" } else { "+" };
    format!("{} {sign}{:.0}{KEEP}%", l.what, 100.0 * l.share)
}

fn drawn(study: &Tolerances) -> Page {
    let one = |i: &ToleranceInput| {
        let from = match i.from {
            InputFrom::Outlet => "assumed: triangular, peak at the usual",
            InputFrom::Stated => "stated in the profile",
            InputFrom::Assumed => "of a value filled in or fitted",
            InputFrom::Customary => "customary",
            InputFrom::Part => "of the part",
        };
        let span = match i.spreading {
            Spreading::Triangular { low, high, .. } => {
                format!("{} to {}", volts(low), volts(high))
            }
            Spreading::Rectangular { low, high } if (low + high - 2.0).abs() > 1e-9 => {
                let plus = if high > 1.0 { "+" } else { "" };
                format!("−{:.0} to {plus}{:.0} %", 100.0 * (1.0 - low), 100.0 * (high - 1.0))
            }
            Spreading::Rectangular { low, high } => percent(0.5 * (high - low)),
        };
        vec![plain(format!("{} {span}", i.what)), faint(format!(" ({from})"))]
    };
    vec![
        heading("WHAT WAS DRAWN"),
        notes(study.inputs.iter().map(one)),
        fine(
            "Each is drawn for itself; what goes together in truth (two resistors of one batch, a meter that read all too high) is not known here. ± are limits with every value between them as likely as any other. `tolerances:` in the profile states your own.",
        ),
    ]
}

fn percent(share: f64) -> String {
    let p = 100.0 * share;
    let digits = if p < 10.0 && (p - p.round()).abs() > 0.05 { 1 } else { 0 };
    format!("±{p:.digits$} %")
}

fn figure(value: f64, unit: &str) -> String {
    match unit {
        "A" => amps(value),
        "W" => watts(value),
        _ => volts(value).replace('-', "−"),
    }
}
