//! Many plans at a glance: what each comes to, and the cautions that all of them share.

use super::{Caution, Limit, Plan, Rating};

/// Plans side by side.
#[derive(Debug, Clone)]
pub struct PlanList<'a> {
    /// A row for each file, in the order asked for.
    pub rows: Vec<PlanRow<'a>>,
    /// What holds for every set.
    pub cautions: Vec<Caution>,
}

/// A file and what came of it.
#[derive(Debug, Clone)]
pub struct PlanRow<'a> {
    /// File.
    pub file: String,
    /// A shorter name of it that no other row has.
    pub short: String,
    /// What came of it.
    pub body: RowBody<'a>,
}

/// What came of a file.
#[derive(Debug, Clone)]
pub enum RowBody<'a> {
    /// A plan.
    Planned {
        /// It.
        plan: &'a Plan,
        /// The limit that the set as it is passes by most: design-center ratings on the usual line, others on the high one.
        worst_limit: Option<&'a Limit>,
    },
    /// No plan.
    Failed {
        /// How many errors.
        errors: usize,
        /// The first.
        first: String,
    },
}

impl RowBody<'_> {
    /// A plan's row.
    pub fn of(plan: &Plan) -> RowBody<'_> {
        let day = plan.choices.first().and_then(|c| c.day.as_ref());
        let passed = day.into_iter().flat_map(|day| {
            let own = |rating: Rating| move |l: &&Limit| l.rating == rating;
            let usual = day.usual.beyond().filter(own(Rating::DesignCentre));
            usual.chain(day.high.beyond().filter(own(Rating::Ceiling)))
        });
        // a least value is passed downwards
        let over = |l: &Limit| if l.is_least() { l.limit / l.value } else { l.value / l.limit };
        RowBody::Planned { plan, worst_limit: passed.max_by(|a, b| over(a).total_cmp(&over(b))) }
    }
}

/// Cautions that every one of `plans` has, word for word, and of the lethal voltages the highest with the longest wait.
/// What belongs to one set (its fuse, its part's heat) stays with its own plan.
pub fn shared_cautions(plans: &[&Plan]) -> Vec<Caution> {
    let Some((first, others)) = plans.split_first() else { return Vec::new() };
    let (mut highest, mut wait) = (0.0_f64, Some(0.0_f64));
    for caution in plans.iter().flat_map(|p| &p.cautions) {
        if let Caution::Lethal { highest_v, hold_s } = caution {
            highest = highest.max(*highest_v);
            // none: nothing discharges them, which is longer than any time
            wait = wait.zip(*hold_s).map(|(a, b)| a.max(b));
        }
    }
    let mut list = vec![Caution::Lethal { highest_v: highest, hold_s: wait }];
    let everywhere = |c: &&Caution| others.iter().all(|p| p.cautions.contains(c));
    let shared = first.cautions.iter().filter(|c| !c.has_figures());
    list.extend(shared.filter(everywhere).cloned());
    list.sort_by_key(Caution::order);
    list
}
