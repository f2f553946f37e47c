//! A profile to fill in: a set named by a few words, with what a plan would take where nothing is known.
//!
//! The usual values are those of the rules a plan fills in by: the set is completed and solved as any other.

use super::alarms::alarms;
use super::caution::Caution;
use super::outlet::{self, OutletVolts};
use super::reading::read;
use super::{OutletChoice, StudyError};
use crate::catalogue::{Catalogue, DropBasis, LampKind, NoSuchType, RectifierDrop, Wave};
use crate::preferred::{Series, nearest};
use crate::profile::{
    Coil, FilterPart, LampUse, Lead, Marked, OwnParts, Profile, Record, RectifierCircuit,
    RectifierUse, SetInfo, SheetReading, Target, Transformer, TubeUse, WindingVolts,
};
use crate::quantity::{Capacitance, Current, Power, Quantity, Resistance, Voltage};
use crate::receiver::{Receiver, complete, published_amps};
use std::f64::consts::SQRT_2;
use thiserror::Error;

/// B+ of a set whose output tube says nothing, V (common practice, no source).
const USUAL_B_PLUS: f64 = 250.0;
/// Filter capacitors of the trade, F (common practice, no source).
const USUAL_CAPACITOR: f64 = 8e-6;
/// Cold ohms of a field coil, a choke and a filter resistor (common practice, no source).
const USUAL_OHMS: [f64; 3] = [1000.0, 400.0, 1000.0];
/// Drop of one plate of a rectifier that publishes none: that of the common full-wave types with 5 V filaments
/// (common practice, no source).
const USUAL_DROP: (f64, f64) = (50.0, 125e-3);
/// Hot over cold, as [`complete`] takes it.
const COIL_RISE: f64 = 1.15;
/// Bias of a radio-frequency stage, V: that of most published points.
const RF_BIAS: f64 = 3.0;
/// Bias of an output tube that publishes none, V.
const OUTPUT_BIAS: f64 = 16.5;
/// The whole of a bias chain across a field coil, Ω (common practice, no source).
const BIAS_CHAIN: f64 = 350e3;
/// A chain of taps needs more volts across the coil than the output tube's bias, by this factor.
const BIAS_ROOM: f64 = 1.5;

/// What stands between the filter capacitors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Between {
    /// Field coil of the loudspeaker.
    FieldCoil,
    /// Smoothing choke.
    Choke,
    /// Resistor.
    Resistor,
}

/// A set in a few words.
#[derive(Debug, Clone)]
pub struct NewSet {
    /// Name, one line; none yet where it is absent.
    pub name: Option<String>,
    /// Year it was made.
    pub year: Option<i32>,
    /// Mains volts it was made for.
    pub design_line: Voltage,
    /// Watts of the nameplate.
    pub nameplate: Option<Power>,
    /// The outlet.
    pub outlet: OutletChoice,
    /// Types of the tubes, the rectifier excepted.
    pub tubes: Vec<String>,
    /// Type of the rectifier.
    pub rectifier: String,
    /// Types of the dial lamps.
    pub lamps: Vec<String>,
    /// What stands between the filter capacitors, and in which lead; not known where it is absent.
    pub between: Option<(Between, Lead)>,
    /// Whether the grids take their bias from taps across the field coil.
    pub bias_from_coil: bool,
    /// B+ of the service sheet.
    pub b_plus: Option<Voltage>,
    /// Volts of each half of the high-voltage winding.
    pub per_half: Option<Voltage>,
}

/// A tube of the blank.
#[derive(Debug, Clone)]
pub struct BlankTube {
    /// Type as the catalogue spells it.
    pub name: String,
    /// The catalogue's word for what it is.
    pub class: &'static str,
    /// Its feeds, where it draws from B+.
    pub feeds: Option<BlankFeeds>,
}

/// What a plan takes for the connections of a tube.
#[derive(Debug, Clone, Copy)]
pub struct BlankFeeds {
    /// Ω from B+ to the plate.
    pub plate_ohms: f64,
    /// Ω from B+ to the screen; none without a screen.
    pub screen_ohms: Option<f64>,
    /// Cathode resistor, Ω; none where the cathode is at chassis.
    pub cathode_ohms: Option<f64>,
    /// Tap of the bias chain its grid returns to.
    pub tap: Option<&'static str>,
}

/// The blank: what was said, and the usual values beside it.
#[derive(Debug, Clone)]
pub struct Blank {
    /// What was said.
    pub set: NewSet,
    /// What heads it.
    pub alarms: Vec<Caution>,
    /// The rectifier as the catalogue spells it.
    pub rectifier: String,
    /// Volts of one plate and the current they hold at, where the catalogue has no drop: V, A.
    pub usual_drop: Option<(f64, f64)>,
    /// Mains frequency, Hz.
    pub frequency_hz: f64,
    /// Watts from the line on the design line.
    pub watts_w: f64,
    /// The outlet through the day.
    pub outlet: OutletVolts,
    /// Copper of the primary, Ω.
    pub primary_ohms: f64,
    /// Primary current with every load off, A.
    pub no_load_a: f64,
    /// Primary watts with every load off, W.
    pub no_load_w: f64,
    /// Copper of each half of the high-voltage winding, Ω.
    pub half_ohms: f64,
    /// Volts of each half with nothing connected, V RMS.
    pub half_v: f64,
    /// Heater windings by name, V RMS.
    pub windings: Vec<(String, f64)>,
    /// B+, V.
    pub b_plus_v: f64,
    /// Each filter capacitor, F.
    pub capacitor_f: f64,
    /// Working volts that bear the crest of the winding, V.
    pub rated_v: f64,
    /// Ω of the field coil, choke and resistor, cold.
    pub ohms: [f64; 3],
    /// Ω of the field coil and the choke after an hour.
    pub hot_ohms: [f64; 2],
    /// The bias chain across the field coil, from the centre tap to chassis, Ω.
    pub bias_chain: Option<[f64; 3]>,
    /// Tubes in the order given.
    pub tubes: Vec<BlankTube>,
    /// Lamps as the catalogue spells them, with their number.
    pub lamps: Vec<(String, u32)>,
    /// A dial lamp for the first heater winding.
    pub usual_lamp: Option<String>,
}

/// Why there is no blank.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BlankError {
    /// A type the catalogue does not hold.
    #[error("{}", .0.found())]
    NoSuchType(NoSuchType),
    /// A tube of sets without a transformer: their chassis is on the line.
    #[error(
        "LIVE CHASSIS: a {0} has a heater of {1:.0} V, made for a heater string straight on the line, without a transformer"
    )]
    OnTheLine(String, f64),
    /// A half-wave rectifier.
    #[error("{0} is a half-wave rectifier")]
    HalfWave(String),
    /// More entries than a profile takes.
    #[error("{0} is more than a profile takes")]
    TooMany(usize),
    /// Bias from a coil that does not stand in the negative lead.
    #[error("bias from the field coil needs the field coil in the negative lead")]
    BiasWithoutCoil,
    /// The set as a whole cannot stand.
    #[error(transparent)]
    Study(#[from] StudyError),
}

impl From<NoSuchType> for BlankError {
    fn from(error: NoSuchType) -> BlankError {
        BlankError::NoSuchType(error)
    }
}

impl From<crate::receiver::ReceiverError> for BlankError {
    fn from(error: crate::receiver::ReceiverError) -> BlankError {
        BlankError::Study(error.into())
    }
}

impl BlankError {
    /// What to do about it.
    pub fn advice(&self) -> String {
        match self {
            BlankError::NoSuchType(error) => error.advice(),
            BlankError::OnTheLine(..) => "this command cannot write such a set yet: copy profiles/universal-1947.yaml, describe yours in it (docs/profile.md, `heater_string`), then `mainsfit check`; touch no metal on it while it is plugged in, work from an isolation transformer, and follow local electrical codes".to_owned(),
            BlankError::HalfWave(_) => "this version models full-wave supplies with a centre-tapped winding: name a full-wave type".to_owned(),
            BlankError::TooMany(_) => format!("name at most {MOST} tubes and at most {MOST} lamps"),
            BlankError::BiasWithoutCoil => "write `--field-coil negative` with it, or leave it out".to_owned(),
            BlankError::Study(error) => error.advice(),
        }
    }
}

/// Most tubes or lamps of a profile.
const MOST: usize = 40;

/// Looks the set up and solves it with the usual values, so that what is written from it can be planned.
///
/// # Errors
/// An unknown type (with the nearest names), a half-wave rectifier, bias without its coil, an outlet that no
/// rule gives, or a set that cannot be solved.
pub fn blank(set: &NewSet) -> Result<Blank, BlankError> {
    if set.bias_from_coil && set.between != Some((Between::FieldCoil, Lead::Negative)) {
        return Err(BlankError::BiasWithoutCoil);
    }
    let most = set.tubes.len().max(set.lamps.len());
    if most > MOST {
        return Err(BlankError::TooMany(most));
    }
    let mut profile = bare(set)?;
    let kind = &mut profile.rectifier.kind;
    let usual_drop = kind.drop.is_none().then_some(USUAL_DROP);
    if let Some((volts, amps)) = usual_drop {
        kind.drop = Some(RectifierDrop {
            volts: Voltage::from_si(volts),
            at_current_per_plate: Some(Current::from_si(amps)),
            bounds: None,
            basis: DropBasis::Practice,
        });
    }
    let b_plus_v = set.b_plus.map_or_else(|| usual_b_plus(&profile), Quantity::si);
    if set.per_half.is_none() {
        profile.sheet_b_plus =
            Some(SheetReading { volts: Voltage::from_si(b_plus_v), at_line: None });
    }
    let (outlet, _) = outlet::settle(&profile, &set.outlet)?;
    let (model, _) = complete(&profile)?;
    let amps: f64 = model.tubes.iter().map(published_amps).sum();
    let output_v = model
        .tubes
        .iter()
        .filter(|t| t.output)
        .filter_map(|t| published_grid(&profile, t.socket))
        .fold(0.0, f64::max);
    let output_v = if output_v > 0.0 { output_v } else { OUTPUT_BIAS };
    let mut ohms = USUAL_OHMS;
    let mut bias_chain = None;
    if set.bias_from_coil {
        let hot = ohms[0] * COIL_RISE;
        let coil_v = (hot * amps).max(BIAS_ROOM * output_v);
        ohms[0] = part(coil_v / amps / COIL_RISE);
        let rf_v = RF_BIAS.min(output_v / 3.0);
        let share = |v: f64| part(BIAS_CHAIN * v / coil_v);
        bias_chain = Some([share(coil_v - output_v), share(output_v - rf_v), share(rf_v)]);
    }
    profile.filter = filter(set.between, first_capacitor(&profile), ohms);
    let (model, _) = complete(&profile)?;
    let receiver = Receiver::new(model, None)?;
    let model = receiver.model();

    let tubes = profile.tubes.iter().enumerate().map(|(socket, use_)| {
        let tube = model.tubes.iter().find(|t| t.socket == socket);
        let feeds = tube.map(|t| BlankFeeds {
            plate_ohms: part(t.plate.ohms),
            screen_ohms: t.screen.as_ref().map(|s| part(s.ohms)),
            cathode_ohms: (t.cathode_ohms > 0.0).then(|| part(t.cathode_ohms)),
            tap: match (set.bias_from_coil, t.output, &t.screen) {
                (true, true, _) => Some("output"),
                (true, false, Some(_)) if published_grid(&profile, socket) > Some(0.0) => {
                    Some("rf")
                }
                _ => None,
            },
        });
        BlankTube { name: use_.kind.name.clone(), class: use_.kind.class.word(), feeds }
    });
    let tubes = tubes.collect();
    let half_v = model.design_line * receiver.core().no_load_ratio * receiver.turns().high_voltage;
    Ok(Blank {
        rectifier: profile.rectifier.kind.name.clone(),
        usual_drop,
        frequency_hz: model.frequency,
        watts_w: read(&receiver, receiver.at_design()).line_w,
        outlet,
        primary_ohms: model.primary.resistance,
        no_load_a: model.primary.no_load_amps,
        no_load_w: model.primary.no_load_watts,
        half_ohms: model.high_voltage.resistance_per_half,
        half_v,
        windings: model.windings.iter().map(|w| (w.name.clone(), w.rated)).collect(),
        b_plus_v,
        capacitor_f: first_capacitor(&profile),
        // the next of the trade's steps of 50 V above the crest at the day's highest line
        rated_v: (half_v * SQRT_2 * (outlet.high_v / model.design_line).max(1.0) / 50.0).ceil()
            * 50.0,
        ohms,
        hot_ohms: [ohms[0], ohms[1]].map(|cold| COIL_RISE * cold),
        bias_chain,
        tubes,
        lamps: profile.lamps.iter().map(|l| (l.kind.name.clone(), l.count)).collect(),
        alarms: alarms(model, Some(&outlet)),
        usual_lamp: model.windings.first().and_then(|w| lamp_for(w.rated)),
        set: set.clone(),
    })
}

/// Volts below the cathode at which a socket's tube publishes its grid.
fn published_grid(profile: &Profile, socket: usize) -> Option<f64> {
    let point = profile.tubes.get(socket)?.kind.reference()?;
    point.grid.map(|v| -v.si())
}

/// A value as parts come; nothing stays nothing.
fn part(ohms: f64) -> f64 {
    nearest(Series::E24, ohms).unwrap_or(ohms)
}

/// A dial lamp whose volts are nearest to a winding's, within a tenth.
fn lamp_for(volts: f64) -> Option<String> {
    let off = |v: Voltage| (v.si() / volts - 1.0).abs();
    Catalogue::built_in()
        .lamps()
        .iter()
        .filter(|l| l.kind == LampKind::Dial && off(l.volts) < 0.1)
        .min_by(|a, b| off(a.volts).total_cmp(&off(b.volts)))
        .map(|l| l.name.clone())
}

/// The published plate volts of the output tube, which sets were built round.
fn usual_b_plus(profile: &Profile) -> f64 {
    let points = profile.tubes.iter().filter_map(|t| {
        let point = t.kind.reference()?;
        Some((point.plate_current?.si(), point.plate?.si()))
    });
    points
        .filter(|(amps, _)| *amps > 15e-3)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map_or(USUAL_B_PLUS, |(_, volts)| volts)
}

/// The usual first capacitor, within what the rectifier is rated for.
fn first_capacitor(profile: &Profile) -> f64 {
    let most = profile.rectifier.kind.max_input_capacitor;
    USUAL_CAPACITOR.min(most.map_or(USUAL_CAPACITOR, Quantity::si))
}

fn filter(between: Option<(Between, Lead)>, farads: f64, ohms: [f64; 3]) -> Vec<FilterPart> {
    let capacitor =
        FilterPart::Capacitor { value: Capacitance::from_si(farads), marked: Marked::default() };
    let [field, choke, resistor] = ohms.map(Resistance::from_si);
    let coil = |lead, cold| Coil { lead, cold: Some(cold), hot: None, inductance: None };
    let part = between.map(|(what, lead)| match what {
        Between::FieldCoil => FilterPart::FieldCoil(coil(lead, field)),
        Between::Choke => FilterPart::Choke(coil(lead, choke)),
        Between::Resistor => FilterPart::Resistor { lead, value: resistor },
    });
    let mut list = vec![capacitor.clone()];
    list.extend(part);
    list.push(capacitor);
    list
}

/// Heaters above this are made for a string on the line, V: the highest for a winding are 12.6 V, the lowest output
/// tubes and rectifiers of strings have 25 V.
const STRING_V: f64 = 20.0;

/// Refuses a tube that tells of a heater string.
fn on_the_line(name: &str, heater: Voltage) -> Result<(), BlankError> {
    match heater.si() {
        volts if volts > STRING_V => Err(BlankError::OnTheLine(name.to_owned(), volts)),
        _ => Ok(()),
    }
}

/// The set as a profile with nothing but what was said.
fn bare(set: &NewSet) -> Result<Profile, BlankError> {
    let catalogue = Catalogue::built_in();
    let rectifier = catalogue.rectifier(&set.rectifier)?;
    on_the_line(&rectifier.item.name, rectifier.item.filament_volts)?;
    if rectifier.item.wave == Wave::Half {
        return Err(BlankError::HalfWave(rectifier.item.name.clone()));
    }
    let mut tubes = Vec::new();
    for name in &set.tubes {
        let found = catalogue.tube(name)?;
        on_the_line(&found.item.name, found.item.heater_volts)?;
        tubes.push(TubeUse {
            label: found.name.clone(),
            kind: found.named(),
            matched: Some(found.matched),
            count: 1,
            plate: None,
            screen: None,
            grid: None,
            cathode: None,
            heater: None,
            push_pull: None,
            load: None,
        });
    }
    let mut lamps: Vec<LampUse> = Vec::new();
    for name in &set.lamps {
        let found = catalogue.lamp(name)?;
        match lamps.iter_mut().find(|l| l.kind.name == found.item.name) {
            Some(lamp) => lamp.count += 1,
            None => lamps.push(LampUse {
                across: None,
                shunt: None,
                kind: found.item.clone(),
                count: 1,
                fed_by: None,
            }),
        }
    }
    let mut profile = Profile {
        known: Vec::new(),
        heater_string: None,
        bias_supply: None,
        set: SetInfo {
            name: set.name.clone().unwrap_or_default(),
            year: set.year,
            design_line: set.design_line,
            frequency: None,
            nameplate_power: set.nameplate,
        },
        outlet: None,
        room: None,
        transformer: Transformer {
            auto: false,
            copper_warm: false,
            rise: None,
            primary_hot: None,
            single_winding: false,
            bias: None,
            primary_taps: vec![set.design_line],
            primary_resistance: None,
            no_load_current: None,
            no_load_power: None,
            no_load: Vec::new(),
            knee: None,
            high_voltage: set.per_half.map(|volts| WindingVolts {
                volts,
                basis: None,
                at_line: None,
            }),
            resistance_per_half: None,
            heater_windings: Vec::new(),
        },
        rectifier: RectifierUse {
            circuit: RectifierCircuit::FullWave,
            count: 1,
            surge: None,
            doubler: Vec::new(),
            replaces: None,
            replaces_resistor: None,
            kind: rectifier.named(),
            matched: Some(rectifier.matched),
            fed_by: None,
        },
        filter: Vec::new(),
        dividers: Vec::new(),
        loads: Vec::new(),
        tubes,
        lamps,
        sheet_b_plus: None,
        target: Target::Heaters,
        fuse: None,
        parts: OwnParts::default(),
        record: Record::default(),
        readings: Vec::new(),
        calibration: Vec::new(),
        tolerances: Vec::new(),
    };
    profile.filter = filter(set.between, first_capacitor(&profile), USUAL_OHMS);
    Ok(profile)
}
