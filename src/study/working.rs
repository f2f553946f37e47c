//! The sums one would write on paper, with this set's numbers, beside what the circuit gives.

use super::plan::{Choice, Plan};
use super::supply::{SupplyElement, SupplySketch};
use crate::adaptation::Method;
use crate::catalogue::stock::FuseStandard;
use serde::Serialize;

/// A piece of a sum.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Term {
    /// A figure, with its unit.
    Figure(f64, &'static str),
    /// A plain number.
    Number(f64),
    /// An operator or a bracket.
    Sign(&'static str),
}

/// A sum with its result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Working {
    /// What it gives.
    pub what: String,
    /// The sum.
    pub terms: Vec<Term>,
    /// Its result.
    pub by_hand: f64,
    /// Unit of the result.
    pub unit: &'static str,
    /// What the circuit gives, where it is solved for.
    pub solved: Option<f64>,
    /// What is taken instead, where parts are made in steps.
    pub taken: Option<f64>,
    /// Why the two differ, where they do by more than a hundredth.
    pub why: Option<&'static str>,
}

use Term::{Figure, Number, Sign};

impl Working {
    pub(super) fn new(what: &str, terms: Vec<Term>, by_hand: f64, unit: &'static str) -> Working {
        Working {
            what: what.to_owned(),
            terms,
            by_hand,
            unit,
            solved: None,
            taken: None,
            why: None,
        }
    }

    /// Sets the solved value beside it; `why` stands only where the two part.
    pub(super) fn beside(mut self, solved: f64, why: &'static str) -> Working {
        let apart = (self.by_hand / solved - 1.0).abs() > 0.01;
        self.solved = Some(solved);
        self.why = apart.then_some(why);
        self
    }
}

/// The sums of a plan for one choice.
pub(super) fn of(plan: &Plan, choice: &Choice, supply: &SupplySketch) -> Vec<Working> {
    let mut list = before(plan);
    list.extend(part(plan, choice));
    list.extend(fuse(choice));
    list.extend(inside(choice, supply));
    list
}

/// The set straight on the outlet, by proportion.
fn before(plan: &Plan) -> Vec<Working> {
    let Some(day) = plan.choices.first().and_then(|c| c.day.as_ref()) else {
        return Vec::new();
    };
    let (design, usual) = (&plan.as_designed, &day.usual);
    let (line, made_for) = (plan.outlet.usual_v, plan.set.design_line_v);
    let proportion = |what: &str, at_design: f64, solved: f64| {
        let terms = vec![
            Figure(at_design, "V"),
            Sign("×"),
            Figure(line, "V"),
            Sign("÷"),
            Figure(made_for, "V"),
        ];
        Working::new(what, terms, at_design * line / made_for, "V").beside(
            solved,
            "not everything follows the line in step: heaters rise in resistance, bias follows the current",
        )
    };
    let mut list = Vec::new();
    if let (Some(d), Some(u)) = (design.tube_heater(), usual.tube_heater()) {
        list.push(proportion("heaters today", d.volts_v, u.volts_v));
    }
    list.push(proportion("B+ today", design.b_plus_v, usual.b_plus_v));
    list
}

/// The part in the lead.
fn part(plan: &Plan, choice: &Choice) -> Vec<Working> {
    let Some(day) = &choice.day else {
        return Vec::new();
    };
    let usual = &day.usual;
    let mut list = Vec::new();
    let line = plan.outlet.usual_v;
    // the line on which the set alone is at its target is what a variac would be set to
    let variac = plan.choices.iter().find(|c| c.method == Method::Variac);
    let wanted = variac.and_then(|c| Some((c.exact?, c.exact_reading.as_ref()?)));
    if let Some((wanted_v, on_wanted)) = wanted
        && choice.method != Method::AsIs
    {
        let excess = vec![Figure(line, "V"), Sign("−"), Figure(wanted_v, "V")];
        list.push(Working::new("volts to take off", excess, line - wanted_v, "V"));
        if choice.method == Method::SeriesResistor {
            let terms = vec![
                Sign("("),
                Figure(line, "V"),
                Sign("−"),
                Figure(wanted_v, "V"),
                Sign(")"),
                Sign("÷"),
                Figure(on_wanted.primary_a, "A"),
            ];
            let hand =
                Working::new("resistor", terms, (line - wanted_v) / on_wanted.primary_a, "Ω");
            list.push(match choice.exact {
                Some(exact) => hand.beside(
                    exact,
                    "the current through a resistor is out of step with the line and its crest is flattened, so part of the drop takes nothing off the set",
                ),
                None => hand,
            });
        }
    }
    if let Some(lead) = usual.lead_parts.first()
        && choice.method == Method::SeriesResistor
        && let Some(ohms) = choice.part_value
    {
        let terms = vec![
            Figure(lead.current_a, "A"),
            Sign("×"),
            Figure(lead.current_a, "A"),
            Sign("×"),
            Figure(ohms, "Ω"),
        ];
        let heat = lead.current_a * lead.current_a * ohms;
        list.push(Working::new("heat in the resistor", terms, heat, "W").beside(usual.lead_w, ""));
    }
    if let (Some(secondary), Some(primary)) = (choice.part_value, choice.part_primary_v) {
        let regulated = "a small transformer gives more than its rated volts when it is not fully loaded, and its copper takes some back";
        let (terms, set_v) = if choice.method == Method::BuckingOutlet {
            let terms = vec![
                Figure(line, "V"),
                Sign("×"),
                Sign("("),
                Number(1.0),
                Sign("−"),
                Figure(secondary, "V"),
                Sign("÷"),
                Figure(primary, "V"),
                Sign(")"),
            ];
            (terms, line * (1.0 - secondary / primary))
        } else {
            let terms = vec![
                Figure(line, "V"),
                Sign("÷"),
                Sign("("),
                Number(1.0),
                Sign("+"),
                Figure(secondary, "V"),
                Sign("÷"),
                Figure(primary, "V"),
                Sign(")"),
            ];
            (terms, line / (1.0 + secondary / primary))
        };
        list.push(
            Working::new("volts at the set", terms, set_v, "V").beside(usual.set_v, regulated),
        );
    }
    list
}

/// The fuse.
fn fuse(choice: &Choice) -> Vec<Working> {
    let Some(fuse) = &choice.fuse else {
        return Vec::new();
    };
    let Some(rating) = fuse.rating_a else {
        return Vec::new();
    };
    let standard =
        [FuseStandard::Ul, FuseStandard::Iec].into_iter().find(|s| s.name() == fuse.standard);
    let Some(standard) = standard else {
        return Vec::new();
    };
    let factor = standard.over_running();
    let terms = vec![Number(factor), Sign("×"), Figure(fuse.running_a, "A")];
    vec![Working {
        taken: Some(rating),
        why: Some("a rating that is made and stands the inrush as well"),
        ..Working::new("fuse, at least", terms, factor * fuse.running_a, "A")
    }]
}

/// The supply by Ohm's law.
fn inside(choice: &Choice, supply: &SupplySketch) -> Vec<Working> {
    let mut list = Vec::new();
    for element in &supply.elements {
        let (name, amps, ohms, drop) = match element {
            SupplyElement::Coil { name, ohms, drop_v, current_a, .. } => {
                (name, *current_a, *ohms, *drop_v)
            }
            _ => continue,
        };
        let terms = vec![Figure(amps, "A"), Sign("×"), Figure(ohms, "Ω")];
        let what = format!("drop across the {name}");
        list.push(Working::new(&what, terms, amps * ohms, "V").beside(drop, ""));
    }
    for divider in &supply.dividers {
        let total: f64 = divider.resistors.iter().sum();
        let mut below = total;
        for (point, ohms) in divider.points.iter().zip(&divider.resistors) {
            below -= ohms;
            let Some(tap) = &point.tap else {
                continue;
            };
            let across = divider.from_v - divider.to_v;
            let mut terms = vec![
                Figure(across, "V"),
                Sign("×"),
                Figure(below, "Ω"),
                Sign("÷"),
                Figure(total, "Ω"),
            ];
            if divider.to_v.abs() > 0.05 {
                terms.extend([Sign("+"), Figure(divider.to_v, "V")]);
            }
            let volts = divider.to_v + across * below / total;
            list.push(
                Working::new(&format!("tap {tap}"), terms, volts, "V")
                    .beside(point.volts_v, "what hangs on the tap loads the divider"),
            );
        }
    }
    let tubes = choice.day.iter().flat_map(|d| &d.usual.tubes);
    let hottest = tubes.max_by(|a, b| a.plate_w.total_cmp(&b.plate_w));
    if let Some(tube) = hottest {
        let mut terms = vec![Figure(tube.plate_v, "V")];
        if tube.cathode_v > 0.05 {
            terms = vec![
                Sign("("),
                Figure(tube.plate_v, "V"),
                Sign("−"),
                Figure(tube.cathode_v, "V"),
                Sign(")"),
            ];
        }
        terms.extend([Sign("×"), Figure(tube.plate_a, "A")]);
        let watts = (tube.plate_v - tube.cathode_v) * tube.plate_a;
        let what = format!("plate dissipation, {}", tube.name);
        list.push(Working::new(&what, terms, watts, "W").beside(tube.plate_w, ""));
    }
    list
}
