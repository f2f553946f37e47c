//! A set on an outlet, and the questions asked of it.

use super::{
    Error, Measure, Note, Options, Outlet, PartsList, Plan, PowerUp, Reading, Set, Sweep,
    SweepOptions, SwitchOn, Tolerances, With,
    divider::{Divider, Voltmeter},
    sheet::origin,
};
use crate::{
    quantity::{Quantity, Voltage},
    study::{self, OnOutlet, Solved, SweepRequest, ToleranceRequest},
};
use std::sync::Arc;

/// A set on an outlet: fitted to its readings and solved on its design line once, then asked as often as one likes.
///
/// ```
/// use mainsfit::units::{Voltage, volt};
/// use mainsfit::{Outlet, Set};
///
/// let bench = Set::load("profiles/console-1936.yaml")?.bench(Outlet::default())?;
/// let on_110 = bench.at(Voltage::new::<volt>(110.0))?;
/// let on_124 = bench.at(Voltage::new::<volt>(124.0))?;
/// assert!(on_124.b_plus() > on_110.b_plus());
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Bench {
    set: Set,
    outlet: Outlet,
    on: Arc<OnOutlet>,
}

impl Bench {
    /// The set straight on `line`, RMS, as a meter reads it.
    ///
    /// # Errors
    /// The set has no solution there.
    pub fn at(&self, line: Voltage) -> Result<Reading, Error> {
        self.set.answer(self.on.at(line.si()))
    }

    /// The plan: the set today, what could be done for it side by side, and which is advised.
    ///
    /// # Errors
    /// A point that has no solution.
    ///
    /// ```
    /// use mainsfit::{Options, Outlet, Set};
    ///
    /// let bench = Set::load("profiles/console-1936.yaml")?.bench(Outlet::default())?;
    /// let plan = bench.plan(&Options::default())?;
    /// assert_eq!(plan.choices[0].title, "As it is");
    /// # Ok::<(), mainsfit::Error>(())
    /// ```
    pub fn plan(&self, options: &Options) -> Result<Plan, Error> {
        let mut plan = self.set.answer(study::plan_of(self.solve(options)?))?;
        self.set.told(&mut plan, &self.outlet);
        Ok(plan)
    }

    /// The modification note of one choice.
    ///
    /// # Errors
    /// As [`Bench::plan`]; the plan does not have the choice, or something speaks against it: then nothing is written that
    /// could be taken for advice.
    pub fn note(&self, options: &Options) -> Result<Note, Error> {
        let (solved, profile) = (self.solve(options)?, &self.set.read.profile);
        let mut found = self.set.answer(study::note(solved, profile, options.with))?;
        self.set.told(&mut found.plan, &self.outlet);
        let with = Options { with: Some(With::One(found.fitted().method)), ..*options };
        let origin = origin(&self.set, "note", format_args!("{with}{}", self.outlet));
        Ok(Note { found, origin })
    }

    /// What to buy: the part of one choice with its fuse and box, what is to be repaired, the capacitors to renew. Where repairs
    /// come first, the list has no part for the outlet.
    ///
    /// # Errors
    /// As [`Bench::note`].
    pub fn parts(&self, options: &Options) -> Result<PartsList, Error> {
        let (solved, profile) = (self.solve(options)?, &self.set.read.profile);
        let mut found = self.set.answer(study::parts(solved, profile, options.with))?;
        self.set.told(&mut found.plan, &self.outlet);
        let with = Options { with: found.choice.map(With::One).or(options.with), ..*options };
        let origin = origin(&self.set, "parts", format_args!("{with}{}", self.outlet));
        Ok(PartsList { found, origin })
    }

    /// The first power-up, in stages.
    ///
    /// # Errors
    /// As [`Bench::plan`].
    pub fn power_up(&self) -> Result<PowerUp, Error> {
        let mut found = self.set.answer(study::power_up(self.solve(&Options::default())?))?;
        self.set.told(&mut found.plan, &self.outlet);
        Ok(PowerUp { found, origin: origin(&self.set, "power-up", &self.outlet) })
    }

    /// The first minute from switch-on, as it is and with one choice.
    ///
    /// # Errors
    /// As [`Bench::note`].
    pub fn switch_on(&self, options: &Options) -> Result<SwitchOn, Error> {
        let (solved, profile) = (self.solve(options)?, &self.set.read.profile);
        self.set.answer(study::switch_on(solved, profile, options.with))
    }

    /// Sets drawn within their tolerances, as it is and with one choice; `progress` hears how many are done.
    ///
    /// # Errors
    /// As [`Bench::note`]; fewer than 10 draws, or more than 100,000.
    pub fn tolerances(
        &self,
        options: &Options,
        draws: usize,
        seed: u64,
        progress: &(dyn Fn(usize) + Sync),
    ) -> Result<Tolerances, Error> {
        let request = ToleranceRequest { draws, seed, threads: None, with: options.with };
        let (solved, profile) = (self.solve(options)?, &self.set.read.profile);
        self.set.answer(study::tolerances(solved, profile, &request, progress))
    }

    /// An answer about the set.
    pub(super) fn answer<T>(&self, found: crate::study::Result<T>) -> Result<T, Error> {
        self.set.answer(found)
    }

    /// What its plan says beside what was solved.
    pub(super) fn told(&self, plan: &mut Plan) {
        self.set.told(plan, &self.outlet);
    }

    /// Everything that could be done for the set, judged.
    pub(super) fn solve(&self, options: &Options) -> Result<Solved, Error> {
        let (set, on) = (&self.set, OnOutlet::clone(&self.on));
        let target = options.target;
        set.answer(study::solve_on(on, &set.read.profile, target, set.warning_lines()))
    }
}

impl Set {
    /// The set on an outlet, fitted to its readings and solved once. [`Outlet::default`] is the profile's own.
    ///
    /// # Errors
    /// No outlet is known, a value is missing that no rule supplies, the readings contradict each other, or the set has no
    /// solution.
    ///
    /// ```
    /// use mainsfit::{Outlet, Set};
    ///
    /// let set = Set::load("profiles/mantel-1938.yaml")?;
    /// let bench = set.bench(Outlet::named("north-america")?)?;
    /// # Ok::<(), mainsfit::Error>(())
    /// ```
    pub fn bench(&self, outlet: Outlet) -> Result<Bench, Error> {
        let on = self.answer(OnOutlet::of(&self.read.profile, &outlet.0))?;
        Ok(Bench { set: self.clone(), outlet, on: Arc::new(on) })
    }

    /// A divider of the set by its name, or the one it has, on an outlet: its taps, and what meters read there.
    ///
    /// # Errors
    /// The set has no such divider, or several and none is named.
    ///
    /// ```
    /// use mainsfit::{Outlet, Set, divider::Voltmeter};
    ///
    /// let set = Set::load("profiles/console-1936.yaml")?;
    /// let bias = set.divider(Some("bias"), Outlet::default(), &Voltmeter::USUAL)?;
    /// assert!(bias.taps.iter().all(|tap| tap.volts_v < 0.0));
    /// # Ok::<(), mainsfit::Error>(())
    /// ```
    pub fn divider(
        &self,
        name: Option<&str>,
        outlet: Outlet,
        meters: &[Voltmeter],
    ) -> Result<Divider, Error> {
        self.answer(study::divider_of(&self.read.profile, name, &outlet.0, meters))
    }

    /// Keys of all that a sweep of the set can show.
    ///
    /// # Errors
    /// As [`Set::bench`].
    pub(crate) fn quantities(&self) -> Result<Vec<String>, Error> {
        let reading = self.bench(Outlet::default())?.at(self.read.profile.set.design_line)?;
        Ok(Measure::all(&reading).iter().map(|measure| measure.key(&reading)).collect())
    }

    /// Quantities against line volts or ohms in the lead. Line volts need no outlet; ohms stand on its usual volts.
    ///
    /// # Errors
    /// A range that cannot be walked, a quantity the set does not have, a point without a solution.
    ///
    /// ```
    /// use mainsfit::units::{Voltage, volt};
    /// use mainsfit::{Outlet, Set, SweepOptions};
    ///
    /// let set = Set::load("profiles/console-1936.yaml")?;
    /// let [from, to] = [100.0, 130.0].map(Voltage::new::<volt>);
    /// let options = SweepOptions::line(from, to).points(4).show(["B+"]);
    /// let sweep = set.sweep(&options, Outlet::default())?;
    /// assert!(sweep.rows.windows(2).all(|two| two[0][1] < two[1][1]));
    /// # Ok::<(), mainsfit::Error>(())
    /// ```
    pub fn sweep(&self, options: &SweepOptions, outlet: Outlet) -> Result<Sweep, Error> {
        let request = SweepRequest { outlet: outlet.0, ..options.0.clone() };
        self.answer(study::sweep(&self.read.profile, &request))
    }
}
