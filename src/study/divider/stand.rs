//! What a divider stands between: a source alone, or a whole set.

use crate::{
    circuit::{Network, Probe, REFERENCE, Settings, Wave, steady_state},
    receiver::{Load, Operation, Receiver, ReceiverError, Spot, Straight},
    study::{Serialize, supply},
};

/// What a tap feeds, to chassis.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum TapLoad {
    /// Nothing.
    Nothing,
    /// A current that stays the same, A; it loads the divider whatever the polarity.
    Amps(f64),
    /// A resistance, Ω.
    Ohms(f64),
}

impl TapLoad {
    /// Current at `volts` on the tap, A, without sign.
    pub(super) fn amps(self, volts: f64) -> f64 {
        match self {
            TapLoad::Nothing => 0.0,
            TapLoad::Amps(amps) => amps,
            TapLoad::Ohms(ohms) => volts.abs() / ohms,
        }
    }
}

/// A meter's leads on a divider. Points are counted from the upper end, which is 0.
#[derive(Clone, Copy)]
pub struct Clip {
    /// First lead.
    pub upper: usize,
    /// Second lead, on the next point below; `None` for chassis.
    pub lower: Option<usize>,
    /// Resistance of the meter.
    pub ohms: f64,
}

/// Something that answers with the volts of every point of a divider, from its upper to its lower end, V against
/// chassis.
pub trait Stand {
    /// Solves the divider with `arms`, Ω from the upper end down, and with a meter on it.
    ///
    /// # Errors
    /// Whatever keeps the circuit from being solved.
    fn volts(&self, arms: &[f64], clip: Option<Clip>) -> Result<Vec<f64>, ReceiverError>;
}

/// Two ends that hold their volts, and loads at the joints.
pub struct Alone {
    pub from_v: f64,
    pub to_v: f64,
    /// A load for each joint; joints without one here have none.
    pub loads: Vec<TapLoad>,
}

impl Stand for Alone {
    fn volts(&self, arms: &[f64], clip: Option<Clip>) -> Result<Vec<f64>, ReceiverError> {
        // direct current only: any frequency will do
        let mut net = Network::new(50.0, "chassis")?;
        let mut points = vec![net.node("upper end")];
        for (i, ohms) in arms.iter().enumerate() {
            let above = points.last().copied().unwrap_or(REFERENCE);
            let point = if i + 1 == arms.len() && self.to_v == 0.0 {
                REFERENCE
            } else {
                net.node(&format!("point {}", i + 1))
            };
            net.resistor(format_args!("R{}", i + 1), above, point, *ohms)?;
            points.push(point);
        }
        let at = |place| points.get(place).copied().unwrap_or(REFERENCE);
        net.voltage("source", at(0), REFERENCE, Wave::Constant(self.from_v))?;
        if self.to_v != 0.0 {
            let end = Wave::Constant(self.to_v);
            net.voltage("lower end", at(arms.len()), REFERENCE, end)?;
        }
        for (i, load) in self.loads.iter().enumerate() {
            let (name, tap) = (format!("load {}", i + 1), at(i + 1));
            match *load {
                TapLoad::Nothing => continue,
                TapLoad::Amps(amps) => {
                    net.current(&name, tap, REFERENCE, amps.copysign(self.from_v))?
                }
                TapLoad::Ohms(ohms) => net.resistor(&name, tap, REFERENCE, ohms)?,
            };
        }
        if let Some(clip) = clip {
            net.resistor("meter", at(clip.upper), clip.lower.map_or(REFERENCE, at), clip.ohms)?;
        }
        let state = steady_state(&net, &Settings::fixed(16), None)?;
        Ok(points.into_iter().map(|node| state.mean(Probe::Volts(node, REFERENCE))).collect())
    }
}

/// A set at work: it answers a meter and a changed arm as a whole.
pub struct SetAtWork<'r> {
    pub receiver: &'r Receiver,
    /// Solved without a change.
    pub base: Operation,
    /// Place of the divider in the model.
    pub index: usize,
}

impl Stand for SetAtWork<'_> {
    fn volts(&self, arms: &[f64], clip: Option<Clip>) -> Result<Vec<f64>, ReceiverError> {
        let (index, base) = (self.index, &self.base);
        let operation = self.receiver.run_changed(base.line, &Straight, base, |model| {
            let resistors = &mut model.dividers[index].resistors;
            *resistors = arms.to_vec();
            match clip {
                None => {}
                // a meter across an arm is a resistor beside it
                Some(Clip { upper, lower: Some(_), ohms }) => {
                    resistors[upper] = 1.0 / (1.0 / resistors[upper] + 1.0 / ohms);
                }
                Some(Clip { upper, lower: None, ohms }) => model.loads.push(Load {
                    name: "meter".to_owned(),
                    from: Spot::Divider(index, upper),
                    ohms: Some(ohms),
                    amps: 0.0,
                }),
            }
        })?;
        let sketch = &supply::dividers(self.receiver, &operation)[index];
        let points = sketch.points.iter().map(|p| p.volts_v);
        Ok([sketch.from_v].into_iter().chain(points).chain([sketch.to_v]).collect())
    }
}
