//! What in the set is wrong and comes before any adaptation.

use super::{finding::Finding, setting::Setting};
use crate::study::{
    CapacitorAtStart, Choice, Doubted, DryRectifier, ReadingsReport, Suspect, limit::Limited,
    objection::figures,
};

/// B+ over that of the tube beyond which a dry rectifier asks for its resistor: what is left of a tube's own spread.
const B_PLUS_GOOD: f64 = 0.05;

/// What is to be put right, a sentence each.
#[derive(Debug, Clone, Default)]
pub struct Repairs(pub Vec<String>);

impl Repairs {
    /// What readings and rectifier tell.
    pub fn of((readings, dry): (&ReadingsReport, Option<&DryRectifier>)) -> Repairs {
        let mut list = Vec::new();
        if readings.drifted.iter().any(Suspect::is_to_be_renewed) {
            list.extend(readings.drifts());
        }
        if let Some(contradiction) = readings.contradiction.as_ref().filter(|_| list.is_empty())
            && let Some(first) = contradiction.explanations.first()
            && contradiction.explanations.iter().all(|e| e.wrong == Doubted::Part)
        {
            list.push(first.to_string());
        }
        list.extend(dry.filter(|d| wants_resistor(d)).map(resistor_for));
        Repairs(list)
    }

    /// Adds what is to be renewed with `choice`.
    pub fn add_of(&mut self, choice: &Choice, set: &Setting, asks: bool) {
        self.add_capacitors(choice, set, asks);
        // the rectifier where it gets more than it bears on that day
        let findings = choice.day.as_ref().map_or(Vec::new(), |day| set.findings(day));
        self.0.extend(findings.iter().find(|f| !f.open && f.is_of_rectifier()).map(rectifier));
    }

    /// Adds the filter capacitors that get more than they bear with `choice`, at high line where that was read, else on
    /// the usual one; where a reading may be asked for, by more than is not known of the set.
    fn add_capacitors(&mut self, choice: &Choice, set: &Setting, asks: bool) {
        let outlet = &set.outlet;
        let share = if outlet.high_read { 1.0 } else { outlet.usual_v / outlet.high_v };
        let all = choice.cold_start.iter().flat_map(|start| &start.capacitors).enumerate();
        let weak = all.filter(|(i, c)| {
            let own = set.spreads.iter().find(|(l, _)| l.what == Limited::Capacitor && l.of == *i);
            let open = own.filter(|_| asks).map_or(0.0, |(l, two_u)| two_u / l.value);
            let over = |volts: f64, bears: Option<f64>| {
                bears.is_some_and(|bears| volts * share * (1.0 - open) > bears)
            };
            over(c.running_v, c.rated_v) || over(c.peak_v, c.surge_v)
        });
        self.0.extend(weak.map(|(_, c)| capacitor(c)));
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// Whether a dry rectifier lifts B+ by more than one leaves.
pub fn wants_resistor(dry: &DryRectifier) -> bool {
    !dry.finished && dry.now_v > (1.0 + B_PLUS_GOOD) * dry.with_tube_v
}

/// A filter capacitor gets more than it bears.
fn capacitor(c: &CapacitorAtStart) -> String {
    let rated = c.rated_v.unwrap_or(0.0);
    let gets = if c.running_exceeds {
        format!("{:.0} V at work and is rated {rated:.0} V", c.running_v)
    } else {
        let dagger = if c.surge_by_rule { "†" } else { "" };
        let bears = c.surge_v.unwrap_or(rated);
        format!("{:.0} V at switch-on and bears {bears:.0} V{dagger}", c.peak_v)
    };
    let fit = c
        .fit_v
        .map_or("no single one of the trade bears that".to_owned(), |v| format!("fit {v:.0} V"));
    format!("Renew {}: it gets {gets}; {fit}", c.name)
}

/// A dry rectifier stands in a tube's place without the resistor that goes with it.
fn resistor_for(dry: &DryRectifier) -> String {
    let DryRectifier { tube, kind, with_tube_v, now_v, .. } = dry;
    let fit = match &dry.resistor {
        Some(r) => {
            let watts = r.rated_w.map_or(String::new(), |w| format!(", {w} W,"));
            let leads = if r.leads > 1 { "in each plate lead" } else { "in the plate lead" };
            format!("Fit {:.0} Ω{watts} {leads}", r.stock_ohms)
        }
        None => format!("Put the {tube} back"),
    };
    format!(
        "{fit}: {kind} in place of the {tube} makes B+ {now_v:.0} V where the tube gave {with_tube_v:.0} V"
    )
}

/// A rectifier that gets more than it bears.
fn rectifier(finding: &Finding) -> String {
    let [value, limit] = figures(&finding.limit);
    format!(
        "Look at the rectifier: {} is {value} at {:.0} V, and it bears {limit}. Fit one that bears it, or correct its entry",
        finding.limit.name, finding.outlet_v
    )
}
