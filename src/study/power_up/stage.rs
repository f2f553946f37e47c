//! The stages, each solved with the set as it then stands, sound and with each fault.

use super::{
    lamp::{Glow, LampTrial, glow, lamp_volts},
    range::Range,
};
use crate::{
    adaptation::{Method, Part},
    circuit::Probe,
    receiver::{
        Fault, HEATER_EXPONENT, Model, Number, Operation, Receiver, Straight, Uncertain,
        emission::emission_share,
    },
    study::{HeaterReading, Reading, StudyError, checkpoint::METER, reading, settle, spread::Off},
};
use serde::Serialize;

/// Heater volts over rated below which the tubes' laws are not stood behind (assumed: at 80 % a sound cathode still
/// gives more than its plate asks for).
const LAWFUL: f64 = 0.8;
/// How far a stop limit stands above the most of a sound set, and a fault above the stop limit, as factors.
const CLEAR: f64 = 1.05;

/// What is in the sockets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum InSockets {
    /// Nothing: rectifier and tubes are out, dial lamps in.
    Nothing,
    /// Every tube but the rectifier.
    Tubes,
    /// Everything.
    All,
}

/// What the rectifier's cathode gives at a stage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Emission {
    /// Its heater volts over rated.
    pub heater: f64,
    /// Its emission over that at rated volts.
    pub share: f64,
    /// That share of the rated peak plate current, A; `None` where that rating is not known.
    pub worn_a: Option<f64>,
}

/// A fault at a stage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageFault {
    /// The fault.
    pub fault: &'static str,
    /// Current the ammeter shows, A RMS: least with a worn and cool rectifier, most with no limit of emission.
    pub amps: Range,
    /// The lamp then, where it is in; the darker one of the two cases.
    pub glow: Option<Glow>,
    /// B+ then, V: the higher of the two cases.
    pub b_plus_v: f64,
    /// The same of B2+; null in a set without a second supply.
    pub second_v: Option<f64>,
    /// True if the ammeter tells it from a sound set.
    pub told: bool,
}

/// A stage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stage {
    /// Place in the full schedule, from 1: a set without a transformer begins at 3.
    pub step: usize,
    /// What is in the sockets.
    pub sockets: InSockets,
    /// True if the lamp is in the lead.
    pub lamp_in: bool,
    /// The part between bench and set: of what the verdict advises, in the last stage.
    pub through: Option<Method>,
    /// Volts to set on the variac, RMS.
    pub variac_v: f64,
    /// Minutes, from and to.
    pub minutes: (u32, u32),
    /// At the set's own plug, V RMS.
    pub set_v: Range,
    /// Heater windings.
    pub heaters: Vec<HeaterStage>,
    /// Each half of the high-voltage winding, plate to centre tap, or the whole of one without, V RMS, with the
    /// rectifier out.
    pub half_v: Option<f64>,
    /// Across the first filter capacitor, V DC, with the rectifier in.
    pub first_capacitor_v: Option<Range>,
    /// B+ to chassis, V DC, with the rectifier in.
    pub b_plus_v: Option<Range>,
    /// B2+ of a second supply to chassis, V DC, with its rectifier in.
    pub second_v: Option<Range>,
    /// What the meter shows on B+ in 95 of 100 sound sets.
    pub sound_b_plus_v: Option<Range>,
    /// Current on the ammeter, A true RMS.
    pub primary_a: Range,
    /// Watts the set takes, without the lamp.
    pub set_w: Range,
    /// Lamp, where it is in: volts across it, RMS.
    pub lamp_v: Option<Range>,
    /// How the lamp looks at the higher of them.
    pub glow: Option<Glow>,
    /// The rectifier's cathode, where it is in and below its rated volts.
    pub emission: Option<Emission>,
    /// True where tubes and rectifier are too cool for one figure: loads drawing by law and a worn rectifier, or no
    /// tube drawing and an ample one.
    pub two_sided: bool,
    /// The least a sound set draws here, A: band and meter counted.
    pub sound_least_a: f64,
    /// The most a sound set draws here, A: band and meter counted.
    pub sound_most_a: f64,
    /// Stop above, A.
    pub stop_a: f64,
    /// Stop above this B+, V, with the rectifier in.
    pub stop_b_plus_v: Option<f64>,
    /// Faults, each solved here.
    pub faults: Vec<StageFault>,
    /// Faults without a solution.
    pub unsolved: Vec<&'static str>,
}

/// A heater winding at a stage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeaterStage {
    /// Winding.
    pub winding: String,
    /// Volts RMS.
    pub volts_v: f64,
    /// Rated volts.
    pub rated_v: f64,
}

/// What the stages are worked out from.
pub(super) struct Stages<'a> {
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
pub(super) struct End<'a> {
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
    /// Volts of the variac, RMS.
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
        match self.sockets {
            InSockets::Nothing => {
                model.pull_tubes();
                model.pull_rectifier();
            }
            InSockets::Tubes => {
                model.still_tubes();
                model.pull_rectifier();
            }
            InSockets::All => {}
        }
        if !self.draws {
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
pub(super) fn no_load_spread(uncertain: &[Uncertain]) -> f64 {
    let shares = uncertain.iter().filter(|u| u.parameter.what == Number::NoLoadCurrent);
    shares.map(|u| u.spread).fold(0.0, f64::max)
}

/// What is in the sockets, lamp in, share of the line it was designed for, minutes.
type Step = (InSockets, bool, Option<f64>, (u32, u32));

/// The schedule (a composite of what practitioners write; common practice, no one source): what is in the sockets,
/// whether the lamp is in, share of the design line (none: where the verdict ends), minutes.
const SCHEDULE: [Step; 6] = [
    (InSockets::Nothing, true, Some(1.0), (15, 30)),
    (InSockets::Tubes, true, Some(1.0), (5, 10)),
    (InSockets::All, true, Some(0.5), (15, 30)),
    (InSockets::All, false, Some(0.7), (15, 30)),
    (InSockets::All, false, Some(0.875), (15, 20)),
    (InSockets::All, false, None, (60, 60)),
];

impl Stages<'_> {
    /// The stages.
    ///
    /// # Errors
    /// A stage that has no solution.
    pub fn all(&self) -> Result<Vec<Stage>, StudyError> {
        let design = self.receiver.model().line_as_found();
        let mut list: Vec<Stage> = Vec::new();
        // in a heater string nothing can be pulled without breaking it
        let string = self.receiver.model().string.is_some();
        for (place, (sockets, lamp, share, minutes)) in SCHEDULE.into_iter().enumerate() {
            if string && sockets != InSockets::All {
                continue;
            }
            // a variac is set to a volt, and at the end to half of one
            let bare = End { line: 0.0, part: &Straight, method: None };
            let lead = match share {
                Some(share) => End { line: (share * design).round(), ..bare },
                None => End { line: (2.0 * self.end.line).round() / 2.0, ..self.end },
            };
            let no_load_a = list.first().map(|s| s.primary_a.most);
            let lamp = self.lamp.filter(|_| lamp);
            let stage = self.stage(sockets, lamp, lead, no_load_a)?;
            list.push(Stage { step: place + 1, minutes, ..stage });
        }
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
    ) -> Result<Operation, StudyError> {
        let plain = manner.draws
            && manner.emission.is_none()
            && manner.sockets == InSockets::All
            && manner.loads_as_ohms.is_none();
        let line = manner.line;
        let part = manner.lamp.map_or(manner.part, |lamp| &lamp.part);
        let settled = settle::by(part, Some(near), |part, at| {
            let at = at.unwrap_or(near);
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

    fn stage(
        &self,
        sockets: InSockets,
        lamp: Option<&LampTrial>,
        lead: End<'_>,
        no_load_a: Option<f64>,
    ) -> Result<Stage, StudyError> {
        let End { line, part, method } = lead;
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
        let all_in = sockets == InSockets::All;
        let emission = all_in.then(|| self.emission(&base)).flatten();
        let worn = emission.and_then(|e| e.worn_a);
        let base_reading = reading::read(self.receiver, &base);
        let two_sided = all_in && 1.0 + base_reading.heater_excess() < LAWFUL;
        // the cases a sound set lies between
        let mut cases = vec![base];
        let mut nothing_certain = false;
        if two_sided {
            let ample = Manner { draws: false, ..lawful };
            let worn_out = Manner { emission: worn, ..lawful };
            cases.push(self.solve(ample, None, &cases[0])?);
            let found = worn.and_then(|_| self.solve(worn_out, None, &cases[0]).ok());
            nothing_certain = found.is_none() && !self.is_dry();
            cases.extend(found);
        }
        let readings: Vec<Reading> =
            cases.iter().map(|o| reading::read(self.receiver, o)).collect();
        let primary_a = Range::of(&readings, |r| r.line_a);
        let (sound_least_a, sound_most_a) = match (sockets, no_load_a) {
            (InSockets::All, _) => primary_a.widened(self.primary),
            (_, no_load) => {
                let off = self.no_load_spread * no_load.unwrap_or(primary_a.most);
                ((primary_a.least - off) * (1.0 - METER), (primary_a.most + off) * (1.0 + METER))
            }
        };
        let stop_a = two_digits_up(CLEAR * sound_most_a);
        let volts = |what: fn(&Reading) -> f64| {
            let mut range = all_in.then(|| Range::of(&readings, what))?;
            if nothing_certain {
                range.least = 0.0;
            }
            Some(range)
        };
        let half = Probe::Volts(cases[0].at.high_voltage.0, cases[0].at.high_voltage.1);
        let b_plus_v = volts(|r| r.b_plus_v);
        let lamp_v = lamp.map(|_| Range::over(cases.iter().map(lamp_volts)));
        let mut stage = Stage {
            step: 0,
            sockets,
            lamp_in: lamp.is_some(),
            through: method,
            variac_v: line,
            minutes: (0, 0),
            set_v: Range::of(&readings, |r| r.set_v),
            heaters: heaters(&base_reading.heaters, sockets, self.receiver.model()),
            half_v: (!all_in).then(|| cases[0].state.rms(half)),
            first_capacitor_v: volts(|r| r.capacitors.first().map_or(0.0, |c| c.volts_v)),
            b_plus_v,
            second_v: volts(second_v).filter(|_| self.receiver.model().second.is_some()),
            sound_b_plus_v: b_plus_v.map(|b| {
                let (least, most) = b.widened(self.b_plus);
                Range { least, most }
            }),
            primary_a,
            set_w: Range::of(&readings, |r| r.line_w - r.lead_w),
            lamp_v,
            glow: lamp.zip(lamp_v).map(|(l, v)| glow(v.most / l.rated_v)),
            emission,
            two_sided,
            sound_least_a,
            sound_most_a,
            stop_a,
            stop_b_plus_v: b_plus_v.map(|b| (CLEAR * b.most * (1.0 + self.b_plus.most())).ceil()),
            faults: Vec::new(),
            unsolved: Vec::new(),
        };
        for fault in faults(sockets, self.receiver.model()) {
            match self.fault(&stage, fault, lawful, &cases[0]) {
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
    ) -> Result<StageFault, StudyError> {
        let worn = stage.emission.and_then(|e| e.worn_a);
        let vacuum = self.receiver.model().rectifier.drop_amps.is_some();
        // nobody knows what it emits
        let own = self.receiver.model().second.as_ref().filter(|second| !second.shared);
        let own = own.filter(|_| fault == Fault::SecondCapacitorShorted).map(|s| &s.rectifier);
        let unrated = own.is_some_and(|own| !own.kind.is_dry() && own.max_peak_plate.is_none());
        let mut nothing_certain = through_rectifier(fault)
            && worn.is_none()
            && (stage.two_sided || vacuum)
            && !self.is_dry()
            || unrated;
        let solve = |manner| match self.solve(manner, Some(fault), near) {
            // behind a shorted winding the heaters get next to nothing, and take as much
            Err(_) if !through_rectifier(fault) => {
                self.solve(Manner { dark: true, ..manner }, Some(fault), near)
            }
            other => other,
        };
        let mut cases = vec![solve(lawful)?];
        if through_rectifier(fault) && worn.is_some() {
            match solve(Manner { emission: worn, ..lawful }) {
                Ok(worn_out) => cases.push(worn_out),
                Err(_) => nothing_certain = true,
            }
        }
        let readings: Vec<Reading> =
            cases.iter().map(|o| reading::read(self.receiver, o)).collect();
        let mut amps = Range::of(&readings, |r| r.line_a);
        let mut lamp_v = Range::over(cases.iter().map(lamp_volts));
        if nothing_certain {
            (amps.least, lamp_v.least) = (0.0, 0.0);
        }
        Ok(StageFault {
            fault: fault.title(),
            amps,
            glow: lawful.lamp.map(|l| glow(lamp_v.least / l.rated_v)),
            b_plus_v: Range::of(&readings, |r| r.b_plus_v).most,
            second_v: stage.second_v.map(|_| Range::of(&readings, second_v).most),
            told: amps.least > CLEAR * stage.stop_a,
        })
    }
}

/// Faults that can be there with these in their sockets.
fn faults(sockets: InSockets, model: &Model) -> Vec<Fault> {
    let behind = |f: &Fault| through_rectifier(*f);
    let mains = |f: &Fault| {
        matches!(
            f,
            Fault::HalfWindingShorted
                | Fault::WindingShorted
                | Fault::PrimaryShorted
                | Fault::LineShorted
                | Fault::StringShorted
                | Fault::DropperCapacitorShorted
        )
    };
    let mut list = Fault::of(model);
    list.retain(|f| mains(f) || sockets == InSockets::All && behind(f));
    list.sort_by_key(|f| !behind(f));
    list
}

fn second_v(reading: &Reading) -> f64 {
    reading.second.as_ref().map_or(0.0, |second| second.b_plus_v)
}

fn through_rectifier(fault: Fault) -> bool {
    matches!(
        fault,
        Fault::FirstCapacitorShorted
            | Fault::SecondCapacitorShorted
            | Fault::BPlusShorted
            | Fault::PlateToFilament
    )
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

/// Rounded up to two digits, as one can watch a limit on a meter.
fn two_digits_up(v: f64) -> f64 {
    if v <= 0.0 {
        return 0.0;
    }
    let unit = 10f64.powf(v.log10().floor() - 1.0);
    (v / unit).ceil() * unit
}
