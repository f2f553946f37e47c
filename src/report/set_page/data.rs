//! The states as the script takes them.

use crate::{
    adaptation::Method,
    report::figures::whole_volts,
    study::{
        Grid, LeadKind, Limit, METERS, Meter, MeterOnLeads, NO_FIGURE, Start, StateSum, StateTable,
        StateTerm, States, Wrong, way_drawn,
    },
};
use data_encoding::BASE64;
use serde_json::{Value, json};

/// Name and version of the form.
const SCHEMA: &str = "mainsfit.page/1";

/// All of it, safe within a page.
pub fn json(states: &States) -> String {
    let plan = &states.plan;
    let stored = Stored::of(&states.tables);
    let tables = states.tables.iter().map(|table| {
        let mut grid = carried(&table.grid, &stored.kept);
        grid["lead"] = json!(lead_id(states, table.lead));
        grid["case"] = json!(case_id(states, table.case));
        grid
    });
    let line = states.line;
    let all = json!({
        "schema": SCHEMA,
        "name": plan.set.name,
        "line": { "least": line.least, "most": line.most, "usual": line.usual, "design": line.design },
        "columns": columns(states),
        "stored": stored.of,
        "leads": (0..states.leads.len()).map(|place| lead(states, place)).collect::<Vec<_>>(),
        "advised": states.leads.iter().any(|l| l.kind == LeadKind::Advised).then_some("advised"),
        "cases": (0..states.cases.len()).map(|place| case(states, place)).collect::<Vec<_>>(),
        "tables": tables.collect::<Vec<_>>(),
        "sources": states.sources.as_ref().map(|grid| carried(grid, &(0..grid.spans.len()).collect::<Vec<_>>())),
        "nothing": states.nothing.iter().map(|v| short(*v)).collect::<Vec<_>>(),
        "spots": states.loaded.len(),
        "meters": meters(),
        "ranges": MeterOnLeads::ranges(),
        "limits": limits(states),
        "near": crate::study::NEAR_LIMIT,
        "sums": states.sums.iter().map(|sum| self::sum(states, sum)).collect::<Vec<_>>(),
        "minute": minute(states),
    });
    // no end of a script stands in it
    all.to_string().replace('<', "\\u003c")
}

/// Columns that are carried, and for each column which of them it is: many a figure is the same as another in every state.
struct Stored {
    kept: Vec<usize>,
    of: Vec<usize>,
}

impl Stored {
    fn of(tables: &[StateTable]) -> Stored {
        let columns = tables.first().map_or(0, |table| table.grid.spans.len());
        let mut stored = Stored { kept: Vec::new(), of: Vec::new() };
        for column in 0..columns {
            let same = |kept: &usize| tables.iter().all(|table| alike(&table.grid, *kept, column));
            let place = stored.kept.iter().position(same).unwrap_or_else(|| {
                stored.kept.push(column);
                stored.kept.len() - 1
            });
            stored.of.push(place);
        }
        stored
    }
}

/// Figures that differ by less, as a share, are the same.
const ALIKE: f64 = 1e-6;

/// Whether two columns of a grid hold the same figures wherever both hold one.
fn alike(grid: &Grid, one: usize, other: usize) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= ALIKE * a.abs().max(b.abs());
    let gaps =
        |of: usize| grid.gaps.iter().filter(move |gap| gap.0 == of).map(|gap| (gap.1, gap.2));
    let spans = match (grid.spans[one], grid.spans[other]) {
        (Some(a), Some(b)) => near(a.0, b.0) && near(a.1, b.1),
        (None, None) => true,
        _ => false,
    };
    let codes = || match (grid.codes_of(one), grid.codes_of(other)) {
        (Some(a), Some(b)) => a
            .iter()
            .zip(b)
            .all(|(a, b)| a.abs_diff(*b) <= 1 && (*a == NO_FIGURE) == (*b == NO_FIGURE)),
        _ => true,
    };
    spans && codes() && gaps(one).eq(gaps(other))
}

/// A grid's columns that are kept: spans as 32-bit floats, codes of those whose figure is not the same throughout as 16-bit
/// integers, both with the low byte first.
fn carried(grid: &Grid, kept: &[usize]) -> Value {
    let (mut spans, mut codes, mut gaps) = (Vec::new(), Vec::new(), Vec::new());
    for (place, column) in kept.iter().enumerate() {
        let (low, high) = grid.spans[*column].unwrap_or((f64::NAN, f64::NAN));
        for end in [low, high] {
            spans.extend((end as f32).to_le_bytes());
        }
        if let Some(list) = grid.codes_of(*column).filter(|_| low as f32 != high as f32) {
            codes.extend(list.iter().flat_map(|code| code.to_le_bytes()));
        }
        let own = grid.gaps.iter().filter(|gap| gap.0 == *column);
        gaps.extend(own.map(|(_, first, last)| (place, *first, *last)));
    }
    json!({
        "volts": grid.volts,
        "ohms": grid.ohms,
        "spans": BASE64.encode(&spans),
        "data": BASE64.encode(&codes),
        "gaps": gaps,
    })
}

fn columns(states: &States) -> Vec<Value> {
    let meter = |meter: Meter| match meter {
        Meter::Ac => "ac",
        Meter::Dc => "dc",
        Meter::None => "none",
    };
    let figures = states.columns.iter().enumerate().map(|(place, column)| {
        let point = states.checkpoints.iter().find(|point| point.key == column.key);
        let normal = point.filter(|p| p.expected != 0.0);
        let normal = normal.map(|p| [p.least / p.expected, p.most / p.expected]);
        json!({
            "key": column.key,
            "name": column.name,
            "unit": column.unit,
            "meter": meter(column.meter),
            "part": column.part,
            "spot": states.loaded.iter().position(|spot| *spot == place),
            "normal": normal,
        })
    });
    let limits = states.limits.iter().enumerate().map(|(place, limit)| {
        json!({
            "key": format!("limit{place}"),
            "name": name(limit),
            "unit": limit.unit,
            "meter": "none",
            "part": limit.part,
            "spot": null,
            "normal": null,
        })
    });
    figures.chain(limits).collect()
}

fn lead_id(states: &States, place: usize) -> String {
    let kind = &states.leads[place].kind;
    let (way, _) = way_drawn(kind, None);
    match kind {
        LeadKind::Small(volts, _) => format!("{way}-{volts}"),
        _ => way,
    }
}

fn lead(states: &States, place: usize) -> Value {
    let lead = &states.leads[place];
    let (mains, _) = way_drawn(&lead.kind, states.plan.advice.choice);
    let mut told = json!({ "id": lead_id(states, place), "words": lead.words, "mains": mains });
    match &lead.kind {
        LeadKind::AsIs => told["kind"] = json!(Method::AsIs.facts().id),
        LeadKind::Resistor(most) => {
            told["kind"] = json!("resistor");
            told["most"] = json!(most);
        }
        LeadKind::Small(volts, connection) => {
            told["kind"] = json!("transformer");
            told["volts"] = json!(volts);
            told["connection"] = json!(mains);
            let primary = whole_volts(lead.primary_v.unwrap_or(0.0));
            told["words"] = json!(format!("{primary} to {volts} V"));
            let turned = states.leads.iter().position(|other| match &other.kind {
                LeadKind::Small(v, c) => {
                    v == volts && c.on_set == connection.on_set && c.adds != connection.adds
                }
                _ => false,
            });
            told["reversed"] = json!(turned.map(|place| lead_id(states, place)));
        }
        LeadKind::Tap(_) => told["kind"] = json!("tap"),
        LeadKind::Advised => told["kind"] = json!("advised"),
    }
    told
}

fn case_id(states: &States, place: usize) -> String {
    match states.cases[place].wrong {
        Wrong::Nothing => "sound".to_owned(),
        Wrong::TubeOut(socket) => format!("out-{}", socket + 1),
        Wrong::RectifierOut => "rectifier-out".to_owned(),
        Wrong::Faulty(fault) => {
            let letter =
                |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
            format!("fault-{}", fault.title().chars().map(letter).collect::<String>())
        }
    }
}

fn case(states: &States, place: usize) -> Value {
    let case = &states.cases[place];
    let kind = match case.wrong {
        Wrong::Nothing => "sound",
        Wrong::TubeOut(_) | Wrong::RectifierOut => "tube",
        Wrong::Faulty(_) => "fault",
    };
    json!({ "id": case_id(states, place), "kind": kind, "words": case.words })
}

fn meters() -> Vec<Value> {
    let none = json!({ "id": "none", "words": "none: the figure itself" });
    let each = METERS.into_iter().map(|meter| match meter {
        MeterOnLeads::Ohms(ohms) => {
            json!({ "id": format!("{}M", ohms / 1e6), "words": format!("{} MΩ", ohms / 1e6), "ohms": ohms })
        }
        MeterOnLeads::PerVolt(ohms) => {
            let k = ohms / 1e3;
            json!({ "id": format!("{k}k"), "words": format!("{k} kΩ per volt"), "per_volt": ohms })
        }
    });
    [none].into_iter().chain(each).collect()
}

fn limits(states: &States) -> Vec<Value> {
    let first = states.columns.len();
    let limit = |(place, limit): (usize, &Limit)| {
        json!({
            "name": name(limit),
            "column": first + place,
            "limit": limit.limit,
            "least": limit.is_least(),
            "unit": limit.unit,
        })
    };
    states.limits.iter().enumerate().map(limit).collect()
}

fn sum(states: &States, sum: &StateSum) -> Value {
    let term = |term: &StateTerm| match term {
        StateTerm::Column(column) => json!({ "c": column }),
        StateTerm::Figure(value, unit) => json!({ "f": value, "u": unit }),
        StateTerm::Number(n) => json!({ "n": n }),
        StateTerm::Outlet => json!({ "s": "outlet" }),
        StateTerm::Ohms => json!({ "s": "ohms" }),
        StateTerm::Sign(sign) => json!(sign),
    };
    json!({
        "of": sum.of,
        "what": sum.what,
        "terms": sum.terms.iter().map(term).collect::<Vec<_>>(),
        "unit": states.columns[sum.of].unit,
        "why": sum.why,
        "lead": sum.lead.map(|place| lead_id(states, place)),
    })
}

/// A limit's name, with the part that it is of.
pub fn name(limit: &Limit) -> String {
    match &limit.part {
        Some(part) => format!("{part}, {}", limit.name),
        None => limit.name.clone(),
    }
}

/// Points of a curve of the first minute.
const MOST_POINTS: usize = 160;

fn minute(states: &States) -> Option<Value> {
    let start = |start: &Start| {
        let curve = &start.curve;
        let every = curve.time_s.len().div_ceil(MOST_POINTS).max(1);
        // the first second, in which most happens, moment by moment
        let kept: Vec<usize> = (0..curve.time_s.len())
            .filter(|i| {
                i % every == 0
                    || curve.time_s[*i] < 1.0 && i % 3 == 0
                    || i + 1 == curve.time_s.len()
            })
            .collect();
        let taken = |list: &[f64]| -> Vec<f64> {
            kept.iter().filter_map(|i| list.get(*i)).map(|v| short(*v)).collect()
        };
        let curves = [
            ("B+", "V", &curve.b_plus_v),
            ("first filter capacitor, highest", "V", &curve.capacitor_v),
            ("heaters", "V", &curve.heater_v),
            ("current from the outlet", "A", &curve.line_a),
        ];
        let curves = curves.into_iter().filter(|(.., list)| !list.is_empty());
        let what = start.id.facts().column;
        json!({
            "title": format!("{what}, from cold"),
            "time": taken(&curve.time_s),
            "curves": curves.map(|(name, unit, list)| json!({ "name": name, "unit": unit, "values": taken(list) })).collect::<Vec<_>>(),
        })
    };
    let starts: Vec<Value> = states.starts.iter().map(start).collect();
    (!starts.is_empty()).then(|| json!({ "line": states.plan.outlet.high_v, "starts": starts }))
}

/// A figure in five digits.
fn short(value: f64) -> f64 {
    format!("{value:.4e}").parse().unwrap_or(value)
}
