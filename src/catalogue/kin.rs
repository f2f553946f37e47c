//! Types of the same figures: with another heater, or in another socket.

use super::{Catalogue, OperatingPoint, RectifierType, TubeType};

/// Whether two points are known and of the same figures.
fn alike(a: &OperatingPoint, b: &OperatingPoint) -> bool {
    let figures = |p: &OperatingPoint| {
        let volts = (p.plate, p.screen, p.grid);
        let amps = (p.plate_current, p.screen_current, p.extra_current);
        (volts, amps, p.transconductance)
    };
    a.plate_current.is_some() && figures(a) == figures(b)
}

impl Catalogue {
    /// The other tubes of the class of `of` that share a published point with it.
    pub fn kin_of_tube(&self, of: &TubeType) -> Vec<&TubeType> {
        let same = |t: &&TubeType| {
            let make = (t.class, t.sections, t.cathode) == (of.class, of.sections, of.cathode);
            let shared = || t.points.iter().any(|p| of.points.iter().any(|own| alike(p, own)));
            t.name != of.name && make && shared()
        };
        self.tubes().iter().filter(same).collect()
    }

    /// The other rectifiers of the make, drop and ratings of `of`.
    pub fn kin_of_rectifier(&self, of: &RectifierType) -> Vec<&RectifierType> {
        let figures = |r: &RectifierType| {
            let make = (r.kind, r.heating, r.wave);
            let drop = r.drop.map(|d| (d.volts, d.at_current_per_plate));
            (make, drop, r.max_dc_current, r.max_ac_volts_capacitor_input)
        };
        let same = |r: &&RectifierType| r.name != of.name && figures(r) == figures(of);
        self.rectifiers().iter().filter(same).collect()
    }
}
