//! What to measure on a part before a set is connected to it: what is right, and what each wrong connection would show.

use super::Serialize;
use crate::{
    adaptation::{Miswired, Part},
    circuit::{Network, Probe, REFERENCE, Settings, Wave, steady_state},
    receiver::Inserted,
};

/// Steps a cycle: sines alone.
const STEPS: usize = 128;

/// The part's output with nothing connected: a voltmeter across the two contacts that the set will have.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Connect {
    /// Right, on the usual line, V RMS.
    pub usual_v: f64,
    /// Right, at the highest outlet volts.
    pub high_v: f64,
    /// What each wrong connection reads.
    pub wrong: Vec<WrongConnection>,
    /// What an ohmmeter reads cold, unplugged, of each winding or resistor.
    pub ohms: Vec<Ohms>,
}

/// A wrong connection.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WrongConnection {
    /// Which.
    pub how: Miswired,
    /// On the usual line, V RMS; none where the iron saturates, and the line fuse must open.
    pub usual_v: Option<f64>,
    /// At the highest outlet volts.
    pub high_v: Option<f64>,
}

/// A resistance to be found.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Ohms {
    /// Of what.
    pub of: String,
    /// Ω, cold; of a winding as its size lets one expect.
    pub ohms: f64,
}

/// What to measure on `part` on outlets of `usual` and `high` volts at `hertz`; `None` for what does not stand in the lead.
pub fn connect(part: &dyn Part, (usual, high): (f64, f64), hertz: f64) -> Option<Connect> {
    // a tap alone stands in the set; with it may go what has an output of its own
    let bare_tap = part.inside().primary_turns.is_some() && part.second().is_none();
    if part.is_nothing() || !part.stands_in_lead() || bare_tap {
        return None;
    }
    let volts = |part: &dyn Part, outlet| output(part, outlet, hertz).map(|(volts, _)| volts);
    let (usual_v, inserted) = output(part, usual, hertz)?;
    let wrong = part.miswired().into_iter().map(|(how, wrong)| WrongConnection {
        how,
        usual_v: wrong.as_deref().and_then(|part| volts(part, usual)),
        high_v: wrong.as_deref().and_then(|part| volts(part, high)),
    });
    let cold = || part.cold().map(|cold| cold.value());
    let plain = part.resistors().first().map(|resistor| resistor.ohms).or_else(cold);
    let ohms = inserted.parts.into_iter();
    let ohms = ohms.filter_map(|p| Some(Ohms { ohms: p.copper_ohms.or(plain)?, of: p.name }));
    Some(Connect {
        usual_v,
        high_v: volts(part, high)?,
        wrong: wrong.collect(),
        ohms: ohms.collect(),
    })
}

/// Volts on the output of `part` with nothing on it, and what stands in it.
fn output(part: &dyn Part, outlet: f64, hertz: f64) -> Option<(f64, Inserted)> {
    let mut net = Network::new(hertz, "neutral").ok()?;
    let hot = net.node("outlet");
    let wave = Wave::Sine { peak: outlet * std::f64::consts::SQRT_2, phase: 0.0 };
    net.voltage("line", hot, REFERENCE, wave).ok()?;
    let inserted = part.insert(&mut net, hot, REFERENCE).ok()?;
    let state = steady_state(&net, &Settings::fixed(STEPS), None).ok()?;
    Some((state.rms(Probe::Volts(inserted.set, REFERENCE)), inserted))
}
