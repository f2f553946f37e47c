//! What may take the place of a heater string's dropper, cord, ballast or barretter: a resistor, a capacitor, and why not a
//! diode. Each is solved in the set's own network for rated heaters on the usual line.

mod capacitor;
mod caveat;
mod found;

pub(super) use capacitor::{PINS, film, film_v, most_across};
pub use caveat::{DropperCaveat, NoSubstitute};
pub use found::{
    BesideLamp, DropperSubstitute, DropperSubstitutes, SubstituteDay, SubstituteKind,
    SubstituteStanding,
};

use super::{
    FaultReport, HEATER_LIMIT, LeadPartReading, OutletVolts, PartKind, RatingReport, Reading,
    Request, Result, StudyError,
    day::run_day,
    faults::Bare,
    fit, outlet, read,
    sentences::plain_ohms,
    sized::{Met, met, sized},
    target::secant,
};
use crate::{
    adaptation::{Adaptation, AnyPart, Dropper, Duty, Joined, StringDropper as StringResistor},
    catalogue::stock::FuseStandard,
    circuit::Probe,
    profile::{DropperKind, PresentFuse, Profile, StringDropper},
    quantity::{Power, Quantity, Resistance, by},
    receiver::{
        AsBuilt, Filament, HeaterLine, HeaterWinding, Model, Operation, Receiver, SectionKind,
        StringSection,
    },
};
use std::{
    f64::consts::{PI, SQRT_2},
    slice::from_ref,
};

/// Heaters count as met within this share.
const MET: f64 = 1e-4;
/// The next pair of two resistors of a series of twelve values in a decade, over the nearest.
const NEXT_PAIR: f64 = 1.06;
/// Heaters at high line over rated beyond which nothing is fitted: no published tolerance exceeds it (as for any choice).
const MOST: f64 = HEATER_LIMIT;

/// What may take the place of the dropper of `profile`'s heater string.
///
/// # Errors
/// A set without a heater string or with nothing in series with it; a set without a solution; an outlet that is not known.
pub fn replace_dropper(profile: &Profile, request: &Request) -> Result<DropperSubstitutes> {
    let string = profile.heater_string.as_ref();
    if string.is_none_or(|s| s.droppers.is_empty()) {
        return Err(StudyError::NoDropper { string: string.is_some() });
    }
    let (outlet, _) = outlet::settle(profile, &request.outlet)?;
    let mut model = fit::settle(profile, Some(outlet.usual_v))?.model;
    outlet.feed(&mut model);
    let receiver = Receiver::new(model, None)?;
    let near = receiver.run(outlet.usual_v, &AsBuilt, None)?;
    let stated = profile.present_fuse().and_then(|fuse| fuse.standard);
    let model = receiver.model();
    let Some(line) = &model.string else {
        return Err(StudyError::NoDropper { string: true });
    };
    let bench = Trial {
        receiver: &receiver,
        near: &near,
        line,
        outlet,
        heaters_v: model.heaters_in_series().iter().sum(),
        standard: stated.unwrap_or_else(|| FuseStandard::for_line(outlet.usual_v)),
        present_fuse: profile.present_fuse(),
    };
    let mut list = vec![bench.resistor()?, bench.capacitor()?, bench.diode()?];
    let mut serving = list.iter_mut().filter(|s| s.refused.is_empty());
    if let Some(first) = serving.next() {
        first.standing = SubstituteStanding::Advised;
    }
    serving.for_each(|other| other.standing = SubstituteStanding::Serves);
    Ok(DropperSubstitutes {
        present: bench.present(),
        in_cord: line.in_cord(),
        outlet,
        frequency_hz: model.frequency,
        heaters_v: bench.heaters_v,
        amps: line.amps,
        beside_lamps: bench.beside_lamps(),
        list,
    })
}

/// What substitutes are solved with.
struct Trial<'a> {
    receiver: &'a Receiver,
    near: &'a Operation,
    line: &'a HeaterLine,
    outlet: OutletVolts,
    heaters_v: f64,
    standard: FuseStandard,
    present_fuse: Option<PresentFuse>,
}

/// A part as the network knows it.
fn section(kind: SectionKind, ohms: f64) -> StringSection {
    StringSection { name: "substitute".to_owned(), kind, ohms, watts: None }
}

impl Trial<'_> {
    fn present(&self) -> Vec<String> {
        let mut names: Vec<String> = self.line.sections.iter().map(|s| s.name.clone()).collect();
        let barretter = self.line.barretter.and_then(|b| self.receiver.model().windings.get(b));
        names.extend(barretter.map(|b| b.name.replacen('-', " ", 1)));
        names
    }

    /// Lamps that lie across a section of what goes.
    fn beside_lamps(&self) -> Vec<BesideLamp> {
        let (line, windings) = (self.line, &self.receiver.model().windings);
        let beside = line.beside.iter().filter_map(|at| {
            let (lamp, ohms) = (windings.get(*at)?.name.clone(), windings[*at].shunt_ohms?);
            Some(BesideLamp { lamp, ohms, heat_w: ohms * line.amps * line.amps })
        });
        beside.collect()
    }

    /// The string with these alone in series.
    fn change(&self, model: &mut Model, parts: &[StringSection]) {
        if let Some(string) = &mut model.string {
            string.sections = parts.to_vec();
            string.barretter = None;
        }
        // a barretter that goes leaves a piece of wire
        if let Some(barretter) = self.line.barretter.and_then(|b| model.windings.get_mut(b)) {
            for filament in &mut barretter.filaments {
                *filament =
                    Filament { volts: 1.0, amps: 1e3, exponent: 1.0, holds: None, ..*filament };
            }
        }
    }

    fn run(&self, line: f64, part: &StringSection) -> Result<Operation> {
        Ok(self
            .receiver
            .run_changed(line, &AsBuilt, self.near, |m| self.change(m, from_ref(part)))?)
    }

    /// The tubes' heaters over rated on the usual line, less one.
    fn excess(&self, part: &StringSection) -> Result<f64> {
        Ok(read(self.receiver, &self.run(self.outlet.usual_v, part)?).heater_excess())
    }

    /// The value with which the heaters are as rated on the usual line, looked for from `guess` on.
    fn exact(
        &self,
        guess: f64,
        rising: bool,
        part: impl Fn(f64) -> StringSection,
    ) -> Result<Option<f64>> {
        let miss = |value| self.excess(&part(value));
        let first = 0.9 * guess;
        let at_first = miss(first)?;
        let within = |value: f64| value.clamp(0.2 * guess, 5.0 * guess);
        secant(miss, (first, at_first), guess, MET, rising, within)
    }

    fn day(&self, part: &StringSection) -> Result<SubstituteDay> {
        let OutletVolts { low_v, usual_v, high_v, .. } = self.outlet;
        let at = [self.run(low_v, part)?, self.run(usual_v, part)?, self.run(high_v, part)?];
        let at = at.map(|operation| read(self.receiver, &operation));
        let cold = self.receiver.run_changed(high_v, &AsBuilt, self.near, |model| {
            self.change(model, from_ref(part));
            model.just_switched_on();
        })?;
        Ok(SubstituteDay::of(&at, cold.state.rms(Probe::Amps(cold.at.line))))
    }

    /// The string's resistance with its heaters cold, Ω.
    fn cold_ohms(&self) -> f64 {
        let windings = self.receiver.model().windings.iter().enumerate();
        let cold = |(place, w): (usize, &HeaterWinding)| {
            if self.line.barretter == Some(place) {
                0.0
            } else {
                w.filaments.iter().map(|f| 1.0 / f.cold_ohms()).sum::<f64>().recip()
            }
        };
        let ohms: Vec<f64> = windings.map(cold).collect();
        let tap = self.line.tap.and_then(|place| ohms.get(place)).copied().unwrap_or(0.0);
        tap + self.line.ohms_below(&ohms)
    }

    /// Nothing is left for a part where the heaters, with what else they need, take the whole line.
    fn no_room(&self, heaters_v: f64) -> Option<NoSubstitute> {
        let line_v = self.outlet.usual_v;
        (line_v <= heaters_v * 1.01).then_some(NoSubstitute::NoRoom { line_v, heaters_v })
    }

    fn resistor(&self) -> Result<DropperSubstitute> {
        let nothing = DropperSubstitute::of(SubstituteKind::Resistor);
        if let Some(why) = self.no_room(self.heaters_v) {
            return Ok(nothing.refused_for(why));
        }
        let part = |ohms| section(SectionKind::Resistor, ohms);
        let amps = self.line.amps;
        let guess = (self.outlet.usual_v - self.heaters_v) / amps;
        let Some(exact) = self.exact(guess, false, part)? else {
            return Ok(nothing.refused_for(NoSubstitute::NoValue));
        };
        let present = self.line.plain_ohms();
        let offers = StringResistor { present, amps, surge: None, own: Vec::new() };
        let duty = Duty { outlet: self.outlet.usual_v, amps, held_amps: None, watts: 0.0 };
        let mut stock = offers.stock(exact, &duty);
        stock.sort_by(by(|part: &AnyPart| (part.value() - exact).abs()));
        // a pair below may run the heaters too high at high line, where the next above does not
        let pairs = [exact, NEXT_PAIR * exact];
        stock.extend(pairs.into_iter().filter_map(|ohms| offers.in_two(ohms, &duty)));
        let set = self.receiver.clone().with_parts(|model| self.change(model, &[]));
        let high = self.receiver.run(self.outlet.high_v, &AsBuilt, Some(self.near))?;
        let bare = Bare::of(self.receiver, &high);
        // the nearest that nothing speaks against, else the nearest
        let mut nearest = None;
        for part in stock {
            let offered = self.fitted(&set, &bare, part, exact)?;
            if offered.refused.is_empty() {
                return Ok(offered);
            }
            nearest.get_or_insert(offered);
        }
        Ok(nearest.unwrap_or_else(|| nothing.refused_for(NoSubstitute::NoValue)))
    }

    /// A resistor of stock in the dropper's place, in the size that a plan takes; `set` has nothing in series with its heaters.
    fn fitted(
        &self,
        set: &Receiver,
        bare: &Bare,
        stock: AnyPart,
        exact: f64,
    ) -> Result<DropperSubstitute> {
        let run = run_day(set, &self.outlet, &*stock, Some(self.near), None)?;
        let day = [&run.low, &run.usual, &run.high].map(|operation| read(set, operation));
        let behind = |standard, part: AnyPart| -> Result<_> {
            let fused = (standard, self.present_fuse);
            let Met { cold, fuse, mut faults } = met(set, fused, (&*part, &run.high), bare)?;
            let (part, ratings) = sized(part, &day[2], &fuse, &mut faults);
            let [rating, _] = ratings.unwrap_or_default();
            Ok((part, rating, cold, fuse, faults))
        };
        let burns = |faults: &[FaultReport]| faults.iter().any(|f| f.burns);
        let mut found = behind(self.standard, stock.copied())?;
        if burns(&found.4) && self.standard != FuseStandard::Iec {
            let other = behind(FuseStandard::Iec, stock)?;
            if !burns(&other.4) {
                found = other;
            }
        }
        let (stock, rating, cold, fuse, faults) = found;
        let day = SubstituteDay::of(&day, cold.inrush_a);
        let heat_w = day.heat_w[2];
        let mut refused = day.too_high();
        let has_place = rating.as_ref().is_some_and(RatingReport::has_place);
        refused.extend((!has_place).then_some(NoSubstitute::NoPlace { heat_w }));
        refused.extend(fuse.rating_a.is_none().then_some(NoSubstitute::NoFuse));
        refused.extend(faults.iter().filter_map(NoSubstitute::of_fault));
        let first = stock.resistors().first().copied().cloned();
        // two in series that are not alike have no round figure together
        let rated = first.as_ref().and_then(Dropper::rated_watts).map(f64::floor);
        let mut caveats = vec![DropperCaveat::Ventilated { heat_w }];
        let heat = |f: &&FaultReport| f.part_w.unwrap_or(0.0);
        let worst = faults.iter().max_by(|a, b| heat(a).total_cmp(&heat(b)));
        let worst = worst.filter(|f| heat(f) > heat_w);
        caveats.extend(worst.zip(fuse.rating_a).map(|(f, fuse_a)| DropperCaveat::SizedForFault {
            fault: f.fault,
            heat_w: heat(&f),
            fuse_a,
            standard: fuse.standard,
        }));
        if first.and_then(|r| r.build).is_none_or(|build| build.joined == Joined::Single) {
            caveats.push(DropperCaveat::TwoHalves { heat_w: 0.5 * heat_w });
        }
        let kind = DropperKind::Resistor(Resistance::from_si(stock.value()));
        Ok(DropperSubstitute {
            refused,
            exact: Some(exact),
            ware: stock.bought().ware,
            written: Some(StringDropper { kind, rated: rated.map(Power::from_si) }),
            caveats,
            day: Some(day),
            rating,
            ..DropperSubstitute::of(SubstituteKind::Resistor)
        })
    }

    fn diode(&self) -> Result<DropperSubstitute> {
        let nothing = DropperSubstitute::of(SubstituteKind::Diode);
        let OutletVolts { usual_v, high_v, .. } = self.outlet;
        let rms_v = usual_v / SQRT_2;
        let part = |ohms| section(SectionKind::Diode, ohms);
        let excess = self.excess(&part(0.0))?;
        if rms_v <= self.heaters_v {
            return Ok(nothing.refused_for(NoSubstitute::DiodeTooLittle { rms_v, excess }));
        }
        let guess = (rms_v - self.heaters_v) / self.line.amps;
        let Some(exact) = self.exact(guess.max(1.0), false, part)? else {
            return Ok(nothing.refused_for(NoSubstitute::NoValue));
        };
        let day = self.day(&part(exact))?;
        let shorted = self.excess(&section(SectionKind::Resistor, exact))?;
        // what a resistor would be by half the line: none where that is less than the heaters ask for
        let believed = (usual_v / 2.0 - self.heaters_v).max(0.0) / self.line.amps;
        let believed = self.excess(&part(believed))?;
        let ohms = plain_ohms(exact.round());
        Ok(DropperSubstitute {
            refused: vec![NoSubstitute::Trap { shorted, direct_a: 2.0 / PI * day.amps }],
            exact: Some(exact),
            ware: format!("silicon diode, 1 A, 1000 V, and {ohms}"),
            day: Some(day),
            caveats: vec![
                DropperCaveat::NotHalf { line_v: usual_v, rms_v, believed },
                DropperCaveat::AveragingMeter { shows_v: usual_v / 2.0, rms_v },
                DropperCaveat::NoTransformer,
                DropperCaveat::Crest { crest_v: SQRT_2 * high_v },
            ],
            ..nothing
        })
    }
}

impl SubstituteDay {
    /// As read at low, usual and high line, with the current of the first cycles.
    fn of(at: &[Reading; 3], inrush_a: f64) -> SubstituteDay {
        // not what stays: resistors in plate leads, branches and the line cord, a barretter
        let fitted = |d: &&LeadPartReading| {
            use PartKind::{Barretter, InBranch, MainsResistor, SecondSurge, Surge};
            !matches!(d.kind, Surge | SecondSurge | MainsResistor | Barretter | InBranch(_))
        };
        let heat = |r: &Reading| r.droppers.iter().filter(fitted).map(|d| d.power_w).sum();
        let last = at[1].droppers.iter().rfind(fitted);
        SubstituteDay {
            heaters: at.each_ref().map(Reading::heater_excess),
            heat_w: at.each_ref().map(heat),
            volts_v: last.map_or(0.0, |d| d.volts_v),
            amps: last.map_or(0.0, |d| d.current_a),
            inrush_a,
        }
    }

    /// What speaks against it at high line.
    fn too_high(&self) -> Vec<NoSubstitute> {
        let excess = self.heaters[2];
        (excess > MOST).then_some(NoSubstitute::HighLine { excess }).into_iter().collect()
    }
}
