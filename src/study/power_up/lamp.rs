//! Which lamp to put in series.

use crate::{
    adaptation::{LitLamp, SeriesLamp},
    circuit::Probe,
    quantity::by,
    receiver::{Fault, Operation, Receiver},
    study::{Serialize, settle},
};

/// How a lamp looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Glow {
    /// No light in daylight.
    Dark,
    /// The wire shows dull red.
    DullRed,
    /// Orange.
    Orange,
    /// Yellowish, clearly weaker than usual.
    Yellowish,
    /// As in a lampholder at home, or nearly.
    Full,
}

/// Brightness by the share of its rated volts a lamp gets (common practice, no source; the steps go with the colour
/// temperature's rise by the power 0.42 of the volts, from some 1000 K up).
pub fn glow(share: f64) -> Glow {
    match share {
        s if s < 0.07 => Glow::Dark,
        s if s < 0.20 => Glow::DullRed,
        s if s < 0.40 => Glow::Orange,
        s if s < 0.75 => Glow::Yellowish,
        _ => Glow::Full,
    }
}

/// A lamp in series with the whole set, warm, on the usual outlet.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LampTrial {
    /// Name in the trade.
    pub name: String,
    /// Rated watts.
    pub rated_w: f64,
    /// Rated volts.
    pub rated_v: f64,
    /// Voltage at the set, V RMS.
    pub set_v: f64,
    /// What the lamp takes, V RMS.
    pub lamp_v: f64,
    /// How it looks.
    pub glow: Glow,
    /// Current, A RMS.
    pub amps: f64,
    /// Current with the set's primary shorted, A RMS.
    pub shorted_a: f64,
    /// The lamp, as a part.
    #[serde(skip)]
    pub(super) part: LitLamp,
}

/// Least and most watts of a lamp over those of the set (common practice, no source).
const SUITS: (f64, f64) = (1.0, 2.0);

/// Tries every household lamp sold for `outlet` volts in series with the set, and says which to take: the one nearest
/// to the middle between once and twice the set's watts. A lamp with which there is no solution is left out.
pub fn trials(receiver: &Receiver, outlet: f64, set_w: f64) -> (Vec<LampTrial>, Option<usize>) {
    let mut lamps = SeriesLamp { outlet }.lamps();
    // the largest first: it is nearest to the set as designed
    lamps.sort_by(by(|lamp: &LitLamp| -lamp.watts()));
    let mut near: Option<Operation> = None;
    let tried = lamps.into_iter().filter_map(|part| {
        let (trial, operation) = trial(receiver, outlet, part, near.as_ref())?;
        near = Some(operation);
        Some(trial)
    });
    let mut list: Vec<LampTrial> = tried.collect();
    list.reverse();
    let middle = (SUITS.0 * SUITS.1).sqrt() * set_w;
    let off = |place: &usize| (list[*place].rated_w / middle).ln().abs();
    let best = (0..list.len()).min_by(by(off));
    (list, best)
}

fn trial(
    receiver: &Receiver,
    outlet: f64,
    part: LitLamp,
    near: Option<&Operation>,
) -> Option<(LampTrial, Operation)> {
    let operation = settle::run(receiver, &part, outlet, near).ok()?.operation;
    let shorted = settle::by(&part, &operation, |lamp, at| {
        receiver.run_fault(outlet, lamp, Fault::PrimaryShorted, at)
    });
    let amps = |o: &Operation| o.state.rms(Probe::Amps(o.at.line));
    let shorted_a = amps(&shorted.ok()?.operation);
    let lamp_v = lamp_volts(&operation);
    let trial = LampTrial {
        name: part.name.clone(),
        rated_w: part.watts(),
        rated_v: part.volts,
        set_v: operation.set_volts(),
        lamp_v,
        glow: glow(lamp_v / part.volts),
        amps: amps(&operation),
        shorted_a,
        part,
    };
    Some((trial, operation))
}

/// Volts across what stands in the lead.
pub fn lamp_volts(operation: &Operation) -> f64 {
    let part = operation.at.inserted.parts.first();
    part.map_or(0.0, |p| operation.state.rms(p.volts))
}
