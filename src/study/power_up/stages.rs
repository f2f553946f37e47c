//! The stages, each solved with the set as it then stands, sound and with each fault.

use super::{
    lamp::{LampTrial, glow, lamp_volts},
    range::{Cases, Range, two_digits_up},
    stage::{Emission, HeaterStage, InSockets, Stage, StageFault},
};
use crate::{
    adaptation::{Method, Part},
    circuit::Probe,
    receiver::{
        Fault, HEATER_EXPONENT, Model, Number, Operation, Receiver, Straight, Uncertain,
        emission::emission_share,
    },
    study::{HeaterReading, Reading, Result, checkpoint::METER, settle, spread::Off},
};

/// Heater volts over rated below which the tubes' laws are not stood behind (assumed: at 80 % a sound cathode still
/// gives more than its plate asks for).
const LAWFUL: f64 = 0.8;
/// How far a stop limit stands above the most of a sound set, and a fault above the stop limit, as factors.
const CLEAR: f64 = 1.05;

/// What the stages are worked out from.
pub struct Stages<'a> {
    pub receiver: &'a Receiver,
    pub lamp: Option<&'a LampTrial>,
    /// Where the last stage ends.
    pub end: End<'a>,
    /// Where the primary current of sound sets lies on the usual line, meter counted, as a share.
    pub primary: Off,
    /// The same of B+.
    pub b_plus: Off,
    /// How far its no-load current may be off, as a share.
    pub no_load_spread: f64,
}

/// Where the last stage ends: volts of the variac, and the part between it and the set.
#[derive(Clone, Copy)]
pub struct End<'a> {
    pub line: f64,
    pub part: &'a dyn Part,
    pub method: Option<Method>,
}

/// How the set is run at a stage, and how its tubes and rectifier are taken to behave.
#[derive(Clone, Copy)]
struct Manner<'a> {
    sockets: InSockets,
    /// The lamp, where it is in the lead.
    lamp: Option<&'a LampTrial>,
    /// What is in the lead else.
    part: &'a dyn Part,
    /// Voltage of the variac, RMS.
    line: f64,
    /// False: no tube draws.
    draws: bool,
    /// Limit of the rectifier's emission, A per plate.
    emission: Option<f64>,
    /// True: nothing is left on the heater windings, not even dial lamps.
    dark: bool,
    /// Volts at which loads of a stated current are taken as resistances: at low volts no load draws a constant current.
    loads_as_ohms: Option<(f64, f64)>,
}

impl Manner<'_> {
    fn apply(self, model: &mut Model) {
        if self.sockets == InSockets::Nothing {
            model.pull_tubes();
        }
        if self.sockets != InSockets::All {
            model.pull_rectifier();
        }
        if !self.draws || self.sockets == InSockets::Tubes {
            model.still_tubes();
        }
        if self.dark {
            for winding in &mut model.windings {
                winding.filaments.clear();
            }
        }
        // each as worn as the other, by its own rating
        let worn = self.emission.zip(model.rectifier.max_peak_plate).map(|(a, peak)| a / peak);
        for rectifier in model.rectifiers_mut() {
            rectifier.emission = worn.zip(rectifier.max_peak_plate).map(|(worn, peak)| worn * peak);
        }
        if let Some(volts) = self.loads_as_ohms {
            model.loads_as_ohms(volts);
        }
    }
}

/// How far the no-load current may be off, as a share: as assumed, or as is customary.
pub fn no_load_spread(uncertain: &[Uncertain]) -> f64 {
    let shares = uncertain.iter().filter(|u| u.parameter.what == Number::NoLoadCurrent);
    shares.map(|u| u.spread).fold(0.0, f64::max)
}

/// A row of the schedule.
type Planned = (InSockets, bool, Option<f64>, (u32, u32));

/// The first stage with all tubes in, as a share of the design line.
pub const FIRST_STAGE: f64 = 0.5;

/// The schedule (a composite of what practitioners write; common practice, no one source): what is in the sockets,
/// whether the lamp is in, share of the design line (none: where the verdict ends), minutes.
const SCHEDULE: [Planned; 6] = [
    (InSockets::Nothing, true, Some(1.0), (15, 30)),
    (InSockets::Tubes, true, Some(1.0), (5, 10)),
    (InSockets::All, true, Some(FIRST_STAGE), (15, 30)),
    (InSockets::All, false, Some(0.7), (15, 30)),
    (InSockets::All, false, Some(0.875), (15, 20)),
    (InSockets::All, false, None, (60, 60)),
];

impl Stages<'_> {
    /// The stages.
    ///
    /// # Errors
    /// A stage that has no solution.
    pub fn all(&self) -> Result<Vec<Stage>> {
        let design = self.receiver.model().line_as_found();
        let mut list: Vec<Stage> = Vec::new();
        // in a heater string nothing can be pulled without breaking it
        let string = self.receiver.model().string.is_some();
        let schedule = SCHEDULE.into_iter().enumerate();
        let schedule = schedule.filter(|(_, (sockets, ..))| !string || *sockets == InSockets::All);
        for (place, (sockets, lamp, share, minutes)) in schedule {
            // a variac is set to a volt, and at the end to half of one
            let lead = match share {
                Some(share) => {
                    End { line: (share * design).round(), part: &Straight, method: None }
                }
                None => End { line: (2.0 * self.end.line).round() / 2.0, ..self.end },
            };
            let no_load_a = list.first().map(|s| s.primary_a.most);
            let lamp = self.lamp.filter(|_| lamp);
            let stage = self.stage(sockets, lamp, lead, no_load_a)?;
            list.push(Stage { step: place + 1, minutes, ..stage });
        }
        lower_stops(&mut list);
        Ok(list)
    }

    /// B+ as designed, where the line is low and a load is stated as a current.
    fn loads_as_ohms(&self, sockets: InSockets, line: f64) -> Option<(f64, f64)> {
        let model = self.receiver.model();
        let low = sockets != InSockets::All || line < LAWFUL * model.line_as_found();
        let any = model.loads.iter().any(|l| l.ohms.is_none());
        (low && any).then(|| self.receiver.at_design().both_b_plus())
    }

    fn solve(
        &self,
        manner: Manner<'_>,
        fault: Option<Fault>,
        near: &Operation,
    ) -> Result<Operation> {
        let plain = manner.draws
            && manner.emission.is_none()
            && manner.sockets == InSockets::All
            && manner.loads_as_ohms.is_none();
        let line = manner.line;
        let part = manner.lamp.map_or(manner.part, |lamp| &lamp.part);
        let settled = settle::by(part, near, |part, at| {
            match fault {
                Some(fault) => {
                    self.receiver.run_fault_changed(line, part, fault, at, |m| manner.apply(m))
                }
                // the same figures as those of a plan or a sweep on this line
                None if plain => self.receiver.run(line, part, Some(at)),
                None => self.receiver.run_changed(line, part, at, |m| manner.apply(m)),
            }
        });
        settled.map(|s| s.operation)
    }

    /// Current of a sound set without its tubes, read by a meter: its iron may take more or less than is known.
    fn without_tubes(&self, primary_a: Range, no_load_a: Option<f64>) -> Range {
        let off = self.no_load_spread * no_load_a.unwrap_or(primary_a.most);
        Range {
            least: (primary_a.least - off) * (1.0 - METER),
            most: (primary_a.most + off) * (1.0 + METER),
        }
    }

    fn stage(
        &self,
        sockets: InSockets,
        lamp: Option<&LampTrial>,
        End { line, part, method }: End<'_>,
        no_load_a: Option<f64>,
    ) -> Result<Stage> {
        let model = self.receiver.model();
        let all_in = sockets == InSockets::All;
        let lawful = Manner {
            sockets,
            lamp,
            part,
            line,
            draws: true,
            emission: None,
            dark: false,
            loads_as_ohms: self.loads_as_ohms(sockets, line),
        };
        let base = self.solve(lawful, None, self.receiver.at_design())?;
        let emission = all_in.then(|| self.emission(&base)).flatten();
        let worn = emission.and_then(|e| e.worn_a);
        let mut cases = Cases::new(self.receiver, base);
        let two_sided = all_in && 1.0 + cases.readings[0].heater_excess() < LAWFUL;
        // the cases a sound set lies between
        if two_sided {
            let near = cases.at[0].clone();
            cases.add(self.solve(Manner { draws: false, ..lawful }, None, &near)?);
            let worn_out = Manner { emission: worn, ..lawful };
            match worn.and_then(|_| self.solve(worn_out, None, &near).ok()) {
                Some(found) => cases.add(found),
                None => cases.nothing_certain = !self.is_dry(),
            }
        }
        let in_lead = lamp.is_some() || part.stands_in_lead();
        let primary_a = cases.sound(|r| r.line_a);
        let sound = match all_in {
            true => primary_a.widened(self.primary),
            false => self.without_tubes(primary_a, no_load_a),
        };
        let volts = |what: fn(&Reading) -> f64| all_in.then(|| cases.all(what));
        let b_plus_v = volts(|r| r.b_plus_v);
        let lamp_v = lamp.map(|_| Range::over(cases.at.iter().map(lamp_volts)));
        let (plate, centre) = cases.at[0].at.high_voltage;
        let mut stage = Stage {
            step: 0,
            sockets,
            lamp_in: lamp.is_some(),
            through: method,
            variac_v: line,
            minutes: (0, 0),
            set_v: cases.sound(|r| r.set_v),
            heaters: heaters(&cases.readings[0].heaters, sockets, model),
            half_v: (!all_in).then(|| cases.at[0].state.rms(Probe::Volts(plate, centre))),
            first_capacitor_v: volts(|r| r.capacitors.first().map_or(0.0, |c| c.volts_v)),
            b_plus_v,
            second_v: volts(second_v).filter(|_| model.second.is_some()),
            mains_resistor_v: cases.mains_resistor_v(),
            sound_b_plus_v: b_plus_v.map(|b| b.widened(self.b_plus)),
            primary_a,
            set_w: cases.set_w(in_lead),
            lamp_v,
            glow: lamp.zip(lamp_v).map(|(l, v)| glow(v.most / l.rated_v)),
            emission,
            two_sided,
            sound_least_a: sound.least,
            sound_most_a: sound.most,
            stop_a: two_digits_up(CLEAR * sound.most),
            stop_b_plus_v: b_plus_v.map(|b| (CLEAR * b.most * (1.0 + self.b_plus.most())).ceil()),
            faults: Vec::new(),
            unsolved: Vec::new(),
        };
        for fault in faults(sockets, model) {
            match self.fault(&stage, fault, lawful, &cases.at[0]) {
                Ok(found) => stage.faults.push(found),
                Err(_) => stage.unsolved.push(fault.title()),
            }
        }
        Ok(stage)
    }

    /// True for a rectifier without a cathode to heat: nothing limits what it passes.
    fn is_dry(&self) -> bool {
        self.receiver.model().rectifier.kind.is_dry()
    }

    fn emission(&self, operation: &Operation) -> Option<Emission> {
        let model = self.receiver.model();
        let filament = model.rectifier_filament()?;
        // a mercury type's drop is no law of space charge
        model.rectifier.drop_amps?;
        let heater = operation.heater_volts(model.rectifier.winding?) / filament.volts;
        let share = emission_share(heater, HEATER_EXPONENT).min(1.0);
        Some(Emission {
            heater,
            share,
            worn_a: model.rectifier.max_peak_plate.map(|amps| share * amps),
        })
    }

    fn fault(
        &self,
        stage: &Stage,
        fault: Fault,
        lawful: Manner<'_>,
        near: &Operation,
    ) -> Result<StageFault> {
        let worn = stage.emission.and_then(|e| e.worn_a);
        let vacuum = self.receiver.model().rectifier.drop_amps.is_some();
        // nobody knows what it emits
        let own = self.receiver.model().second.as_ref().filter(|second| !second.shared);
        let own = own.filter(|_| fault == Fault::SecondCapacitorShorted).map(|s| &s.rectifier);
        let unrated = own.is_some_and(|own| !own.kind.is_dry() && own.max_peak_plate.is_none());
        let through = through_rectifier(fault);
        let solve = |manner| match self.solve(manner, Some(fault), near) {
            // behind a shorted winding the heaters get next to nothing, and take as much
            Err(_) if !through => self.solve(Manner { dark: true, ..manner }, Some(fault), near),
            other => other,
        };
        let mut cases = Cases::new(self.receiver, solve(lawful)?);
        let unsure = worn.is_none() && (stage.two_sided || vacuum) && !self.is_dry();
        cases.nothing_certain = through && unsure || unrated;
        if through && worn.is_some() {
            match solve(Manner { emission: worn, ..lawful }) {
                Ok(worn_out) => cases.add(worn_out),
                Err(_) => cases.nothing_certain = true,
            }
        }
        let amps = cases.all(|r| r.line_a);
        let lamp_v = cases.at_least(Range::over(cases.at.iter().map(lamp_volts)));
        Ok(StageFault {
            fault: fault.title(),
            amps,
            glow: lawful.lamp.map(|l| glow(lamp_v.least / l.rated_v)),
            b_plus_v: cases.sound(|r| r.b_plus_v).most,
            second_v: stage.second_v.map(|_| cases.sound(second_v).most),
            told: amps.least > CLEAR * stage.stop_a,
        })
    }
}

/// Faults that can be there with these in their sockets.
fn faults(sockets: InSockets, model: &Model) -> Vec<Fault> {
    let of_mains = |f: &Fault| {
        matches!(
            f,
            Fault::HalfWindingShorted
                | Fault::WindingShorted
                | Fault::PrimaryShorted
                | Fault::LineShorted
                | Fault::StringShorted(_)
                | Fault::DropperCapacitorShorted
        )
    };
    let behind = |f: &Fault| through_rectifier(*f);
    let mut list = Fault::of(model);
    list.retain(|f| of_mains(f) || sockets == InSockets::All && behind(f));
    list.sort_by_key(|f| !behind(f));
    list
}

/// With all in its sockets a set takes more from stage to stage: what would be too much later is too much now, also where the
/// tubes may not draw yet and more would be no fault by itself.
fn lower_stops(list: &mut [Stage]) {
    let (mut amps, mut volts) = (f64::INFINITY, f64::INFINITY);
    for stage in list.iter_mut().rev().filter(|s| s.sockets == InSockets::All) {
        amps = amps.min(stage.stop_a);
        stage.stop_a = amps;
        volts = stage.stop_b_plus_v.map_or(volts, |stop| volts.min(stop));
        stage.stop_b_plus_v = stage.stop_b_plus_v.map(|_| volts);
        if let Some(range) = &mut stage.b_plus_v {
            range.most = range.most.min(volts);
        }
        stage.faults.iter_mut().for_each(|f| f.told = f.amps.least > CLEAR * amps);
    }
}

fn second_v(reading: &Reading) -> f64 {
    reading.second.as_ref().map_or(0.0, |second| second.b_plus_v)
}

fn through_rectifier(fault: Fault) -> bool {
    [
        Fault::FirstCapacitorShorted,
        Fault::SecondCapacitorShorted,
        Fault::BPlusShorted,
        Fault::PlateToFilament,
    ]
    .contains(&fault)
}

/// The heater windings; without the rectifier's own while it alone is out.
fn heaters(all: &[HeaterReading], sockets: InSockets, model: &Model) -> Vec<HeaterStage> {
    let idle = |(i, h): &(usize, &HeaterReading)| {
        let own = model.second.as_ref().and_then(|second| second.rectifier.winding);
        let rectifiers = [model.rectifier.winding, own];
        sockets == InSockets::Tubes && rectifiers.contains(&Some(*i)) && !h.feeds_tubes
    };
    let kept = all.iter().enumerate().filter(|row| !idle(row));
    kept.map(|(_, h)| HeaterStage {
        winding: h.winding.clone(),
        volts_v: h.volts_v,
        rated_v: h.rated_v,
    })
    .collect()
}
