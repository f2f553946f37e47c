//! Two figures between which a reading lies.

use crate::{
    receiver::{Operation, Receiver},
    study::{Reading, Serialize, read, spread::Off},
};

/// Two figures between which a reading lies; the same twice where the model has one.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Range {
    /// Lower.
    pub least: f64,
    /// Higher.
    pub most: f64,
}

impl Range {
    pub(super) fn over(values: impl IntoIterator<Item = f64>) -> Range {
        let start = Range { least: f64::INFINITY, most: f64::NEG_INFINITY };
        values.into_iter().fold(start, |r, v| Range { least: r.least.min(v), most: r.most.max(v) })
    }

    /// Both ends, widened by how far sound sets may be off, as a share.
    pub(super) fn widened(self, off: Off) -> Range {
        Range { least: self.least * (1.0 + off.least()), most: self.most * (1.0 + off.most()) }
    }
}

/// The operating points that one lies between.
pub struct Cases<'a> {
    receiver: &'a Receiver,
    pub at: Vec<Operation>,
    pub readings: Vec<Reading>,
    /// True where a worn rectifier may pass nothing at all.
    pub nothing_certain: bool,
}

impl Cases<'_> {
    pub fn new(receiver: &Receiver, first: Operation) -> Cases<'_> {
        let readings = vec![read(receiver, &first)];
        Cases { receiver, at: vec![first], readings, nothing_certain: false }
    }

    pub fn add(&mut self, case: Operation) {
        self.readings.push(read(self.receiver, &case));
        self.at.push(case);
    }

    /// From the least to the most of those that are solved.
    pub fn sound(&self, what: impl Fn(&Reading) -> f64) -> Range {
        Range::over(self.readings.iter().map(what))
    }

    /// Across the resistor in the line cord; none where it is out.
    pub fn mains_resistor_v(&self) -> Option<Range> {
        let each: Option<Vec<f64>> =
            self.readings.iter().map(|r| Some(r.mains_resistor()?.volts_v)).collect();
        each.map(Range::over)
    }

    /// What the set takes: without the watts of what stands ahead of it, but with those of a dropper in it.
    pub fn set_w(&self, in_lead: bool) -> Range {
        self.sound(|r| r.line_w - if in_lead { r.lead_w } else { 0.0 })
    }

    /// From nothing on where nothing is certain.
    pub fn all(&self, what: impl Fn(&Reading) -> f64) -> Range {
        self.at_least(self.sound(what))
    }

    pub fn at_least(&self, range: Range) -> Range {
        Range { least: if self.nothing_certain { 0.0 } else { range.least }, ..range }
    }
}

/// Rounded up to two digits, as one can watch a limit on a meter.
pub fn two_digits_up(v: f64) -> f64 {
    if v <= 0.0 {
        return 0.0;
    }
    let unit = 10f64.powf(v.log10().floor() - 1.0);
    (v / unit).ceil() * unit
}
