//! What in the set is wrong and comes before any adaptation.

use super::super::choice::Choice;
use super::super::cold_start::CapacitorAtStart;
use super::super::dry::DryRectifier;
use super::super::fit::{Doubted, ReadingsReport, Suspect};
use super::super::limits::Limited;
use super::super::objection::figure;
use super::super::outlet::OutletVolts;
use super::super::reading::Limit;
use super::finding::{Finding, Scale};
use std::fmt;

/// B+ over that of the tube beyond which a dry rectifier asks for its resistor: what is left of a tube's own spread.
const B_PLUS_GOOD: f64 = 0.05;

/// One thing to put right.
#[derive(Debug, Clone)]
pub(in super::super) enum Repair {
    /// A filter capacitor gets more than it bears.
    Capacitor(CapacitorAtStart),
    /// A dry rectifier stands in a tube's place without the resistor that goes with it.
    Dry(Box<DryRectifier>),
    /// A rectifier that gets more than it bears.
    Rectifier {
        /// What.
        what: String,
        /// Outlet volts.
        outlet_v: f64,
        /// What it gets.
        value: String,
        /// What it bears.
        limit: String,
    },
    /// A part that readings show drifted, in a sentence.
    Drifted(String),
}

/// All of them.
#[derive(Debug, Clone, Default)]
pub(in super::super) struct Repairs(Vec<Repair>);

impl Repairs {
    /// What readings and rectifier tell.
    pub fn of(readings: &ReadingsReport, dry: Option<&DryRectifier>) -> Repairs {
        let mut list = Vec::new();
        if readings.drifted.iter().any(Suspect::is_to_be_renewed) {
            list.extend(readings.drifts().map(Repair::Drifted));
        }
        if let Some(contradiction) = readings.contradiction.as_ref().filter(|_| list.is_empty())
            && let Some(first) = contradiction.explanations.first()
            && contradiction.explanations.iter().all(|e| e.wrong == Doubted::Part)
        {
            list.push(Repair::Drifted(first.to_string()));
        }
        list.extend(dry.filter(|d| wants_resistor(d)).map(|d| Repair::Dry(Box::new(d.clone()))));
        Repairs(list)
    }

    /// Adds what is to be renewed with `choice`.
    pub fn add_of(
        &mut self,
        choice: &Choice,
        (outlet, scale): (&OutletVolts, &Scale<'_>),
        asks: bool,
    ) {
        self.add_capacitors(choice, outlet, scale, asks);
        if let Some(day) = &choice.day {
            self.add_rectifier(&scale.findings(day));
        }
    }

    /// Adds the filter capacitors that get more than they bear with `choice`, at high line where that was read, else on
    /// the usual one; where a reading may be asked for, by more than is not known of the set.
    fn add_capacitors(
        &mut self,
        choice: &Choice,
        outlet: &OutletVolts,
        scale: &Scale<'_>,
        asks: bool,
    ) {
        let share = if outlet.high_read { 1.0 } else { outlet.usual_v / outlet.high_v };
        let all = choice.cold_start.iter().flat_map(|start| &start.capacitors).enumerate();
        let exceeds = |(i, c): &(usize, &CapacitorAtStart)| {
            let own = |(l, _): &&(_, f64)| {
                let l: &Limit = l;
                l.what == Limited::Capacitor && l.of == *i
            };
            let spread = scale.spreads.iter().find(own);
            let open = spread.filter(|_| asks).map_or(0.0, |(l, two_u)| two_u / l.value);
            let over = |volts: f64, bears: Option<f64>| {
                bears.is_some_and(|bears| volts * share * (1.0 - open) > bears)
            };
            over(c.running_v, c.rated_v) || over(c.peak_v, c.surge_v)
        };
        let found = all.filter(exceeds).map(|(_, c)| Repair::Capacitor(c.clone()));
        self.0.extend(found);
    }

    /// Adds the rectifier where it gets more than it bears on that day.
    fn add_rectifier(&mut self, findings: &[Finding]) {
        let found = findings.iter().find(|f| !f.open && f.is_of_rectifier());
        self.0.extend(found.map(|f| Repair::Rectifier {
            what: f.limit.name.clone(),
            outlet_v: f.outlet_v,
            value: figure(f.limit.value, f.limit.unit),
            limit: figure(f.limit.limit, f.limit.unit),
        }));
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// A sentence each.
    pub fn words(&self) -> Vec<String> {
        self.0.iter().map(ToString::to_string).collect()
    }
}

/// Whether a dry rectifier lifts B+ by more than one leaves.
pub(in super::super) fn wants_resistor(dry: &DryRectifier) -> bool {
    !dry.finished && dry.now_v > (1.0 + B_PLUS_GOOD) * dry.with_tube_v
}

impl fmt::Display for Repair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Repair::Capacitor(c) => {
                write!(f, "Renew {}: ", c.name)?;
                let rated = c.rated_v.unwrap_or(0.0);
                if c.running_exceeds {
                    write!(f, "it gets {:.0} V at work and is rated {rated:.0} V", c.running_v)?;
                } else {
                    let bears = c.surge_v.unwrap_or(rated);
                    let dagger = if c.surge_by_rule { "†" } else { "" };
                    write!(
                        f,
                        "it gets {:.0} V at switch-on and bears {bears:.0} V{dagger}",
                        c.peak_v
                    )?;
                }
                match c.fit_v {
                    Some(v) => write!(f, "; fit {v:.0} V"),
                    None => write!(f, "; no single one of the trade bears that"),
                }
            }
            Repair::Dry(dry) => {
                let DryRectifier { tube, kind, with_tube_v, now_v, .. } = &**dry;
                match &dry.resistor {
                    Some(r) => {
                        let watts = r.rated_w.map_or(String::new(), |w| format!(", {w} W,"));
                        let leads =
                            if r.leads > 1 { "in each plate lead" } else { "in the plate lead" };
                        write!(f, "Fit {:.0} Ω{watts} {leads}: ", r.stock_ohms)?;
                    }
                    None => write!(f, "Put the {tube} back: ")?,
                }
                write!(
                    f,
                    "{kind} in place of the {tube} makes B+ {now_v:.0} V where the tube gave {with_tube_v:.0} V"
                )
            }
            Repair::Rectifier { what, outlet_v, value, limit } => write!(
                f,
                "Look at the rectifier: {what} is {value} at {outlet_v:.0} V, and it bears {limit}. Fit one that bears it, or correct its entry"
            ),
            Repair::Drifted(words) => f.write_str(words),
        }
    }
}
