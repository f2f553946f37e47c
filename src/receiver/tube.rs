//! Tube laws: cathode current from electrode volts, fitted to a published operating point.
//!
//! Pentodes, tetrodes and beam tubes: `Ik = K (Vg1 + Vg2/µ12)^1.5`, triodes
//! `Ip = K (Vg1 + Vp/µ + e)^1.5` (space charge, Child and Langmuir, with van der Bijl's equivalent voltage).
//! Equations and their checks against second published points: `docs/model.md`, section "Tubes".

use super::stated::Stated;
use crate::{
    catalogue::{OperatingPoint, TubeClass, TubeType},
    quantity::Quantity,
};

/// How the cathode current depends on the electrodes, SI units, volts against the cathode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeLaw {
    /// Perveance, A/V^1.5.
    pub perveance: f64,
    /// Weight of the control grid in the driving voltage: 1, or 0 where the inner grids alone set the
    /// current (pentagrid converters, indicators).
    pub grid: f64,
    /// Weight of the screen, 1/µ12; 0 in triodes.
    pub screen: f64,
    /// Weight of the plate, 1/µ; 0 in pentodes.
    pub plate: f64,
    /// Offset in volts (contact potential and the like); triodes only.
    pub offset: f64,
    /// Share of the cathode current that reaches the plate at the published point.
    pub plate_share: f64,
    /// Share taken by an extra electrode fed from the plate supply (oscillator anode, indicator target).
    pub extra_share: f64,
    /// Plate volts over screen volts at the published point; the knee is fixed relative to it.
    pub reference_ratio: f64,
}

/// Electrode currents and their slopes at one set of volts.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Currents {
    /// Plate, screen and extra current in amperes.
    pub plate: f64,
    /// Screen current.
    pub screen: f64,
    /// Extra electrode's current.
    pub extra: f64,
    /// d/d(grid, screen, plate volts) of the three currents, S.
    pub slopes: [[f64; 3]; 3],
}

impl Currents {
    /// The same behind a cathode that emits no more than `limit` amperes in all: each is multiplied by
    /// `1/√(1 + (i/limit)²)`, i being their sum, as a rectifier's law bends.
    #[must_use]
    pub fn limited(mut self, limit: f64) -> Currents {
        let share = (self.plate + self.screen + self.extra) / limit;
        let below = 1.0 / share.hypot(1.0);
        let [p, s, e] = self.slopes;
        // d(below) = −below³·i/limit²·di
        let bends: [f64; 3] =
            std::array::from_fn(|v| -below.powi(3) * share / limit * (p[v] + s[v] + e[v]));
        let amps = [&mut self.plate, &mut self.screen, &mut self.extra];
        for (amps, row) in amps.into_iter().zip(&mut self.slopes) {
            for (slope, bend) in row.iter_mut().zip(bends) {
                *slope = below * *slope + *amps * bend;
            }
            *amps *= below;
        }
        self
    }
}

/// Converters and indicators, whose rows carry no transconductance: their cathode current is taken to follow
/// the screens (or the target) alone, `Ik ~ V^1.5`, since the signal grid of a pentagrid only divides it.
/// In a mixer or hexode the inner signal grid does act; there the bias is taken to slide with the screen.
fn set_by_screens(class: TubeClass) -> bool {
    matches!(
        class,
        TubeClass::Indicator
            | TubeClass::Mixer
            | TubeClass::Octode
            | TubeClass::Pentagrid
            | TubeClass::TriodeHeptode
            | TubeClass::TriodeHexode
    )
}

/// Volts that count as none: a supply shorted out decays towards zero without end, and a share of volts of 1e-308 is no
/// number.
const NOTHING: f64 = 1e-12;

/// Plate volts, as a share of the screen volts, in which a pentode's plate current rises from nothing.
/// Shape and figure assumed (no source): small at normal volts, where it changes less than 0.01 %, it only
/// keeps a plate fed through a large resistor from being driven below zero.
const KNEE: f64 = 0.1;

/// What the law of `tube` misses at each of its further points; none of a type without a law.
pub fn law_misses(tube: &TubeType) -> Vec<Option<LawMiss>> {
    let law = tube.reference().and_then(|point| TubeLaw::fit(tube, point).ok().flatten());
    law.map_or(vec![], |law| law.misses(tube))
}

/// How far a law is off at a published point that it was not fitted to: what it says over what is published, minus one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LawMiss {
    /// Of the plate current.
    pub plate: f64,
    /// Of the screen current, where the point has one.
    pub screen: Option<f64>,
}

impl TubeLaw {
    /// What the law of `tube`, fitted to its first point, misses at each of its further ones; `None` at a point that lacks
    /// a figure.
    pub fn misses(&self, tube: &TubeType) -> Vec<Option<LawMiss>> {
        let miss = |point: &OperatingPoint| {
            let (plate, published) = (point.plate.si()?, point.plate_current.si()?);
            let found = self.currents(point.grid.si_or(0.0), point.screen.si_or(plate), plate);
            let screen = point.screen_current.map(|amps| found.screen / amps.si() - 1.0);
            Some(LawMiss { plate: found.plate / published - 1.0, screen })
        };
        tube.points.iter().skip(1).map(miss).collect()
    }

    /// The law through the published point `point` of `tube`. `None` where the type draws no B+ current
    /// (signal diodes).
    ///
    /// # Errors
    /// The figure the row lacks.
    pub fn fit(tube: &TubeType, point: &OperatingPoint) -> Result<Option<TubeLaw>, &'static str> {
        if !tube.class.draws_from_b_plus() {
            return Ok(None);
        }
        let vp = point.plate.si().ok_or("the plate voltage")?;
        let ip = point.plate_current.si().ok_or("the plate current")?;
        let is = point.screen_current.si_or(0.0);
        let ie = point.extra_current.si_or(0.0);
        let gm = point.transconductance.si();
        let (vg, vs) = (point.grid.si(), point.screen.si());
        let ik = ip + is + ie;
        let shares =
            |law: TubeLaw| Some(TubeLaw { plate_share: ip / ik, extra_share: ie / ik, ..law });
        let blank = TubeLaw {
            perveance: 0.0,
            grid: 1.0,
            screen: 0.0,
            plate: 0.0,
            offset: 0.0,
            plate_share: 1.0,
            extra_share: 0.0,
            reference_ratio: vs.map_or(1.0, |vs| vp / vs),
        };
        if gm.is_none() && set_by_screens(tube.class) {
            // total current by the screens (or the target) alone: the signal grid only divides it
            // an indicator's target stands on the supply, whatever its plate does behind its resistor
            let drive = vs.unwrap_or(vp);
            return Ok(shares(TubeLaw {
                perveance: ik / drive.powf(1.5),
                grid: 0.0,
                screen: 1.0,
                ..blank
            }));
        }
        let gm = gm.ok_or("the transconductance")?;
        let vg = vg.ok_or("the grid voltage")?;
        if let Some(vs) = vs.filter(|_| is > 0.0) {
            // Ik = K u^1.5 and gm_k = 1.5 Ik/u with gm_k = gm Ik/Ip, so u = 1.5 Ip/gm and µ12 follows
            let drive = 1.5 * ip / gm;
            let mu12 = vs / (drive - vg);
            if mu12 <= 0.0 || !mu12.is_finite() {
                return Err("a consistent set of grid voltage and transconductance");
            }
            return Ok(shares(TubeLaw {
                perveance: ik / drive.powf(1.5),
                screen: 1.0 / mu12,
                ..blank
            }));
        }
        let mu = point.mu.ok_or("the amplification factor")?;
        let drive = 1.5 * ip / gm;
        Ok(shares(TubeLaw {
            perveance: ik / drive.powf(1.5),
            plate: 1.0 / mu,
            offset: drive - (vg + vp / mu),
            ..blank
        }))
    }

    /// Currents at grid, screen and plate volts against the cathode.
    pub fn currents(&self, grid: f64, screen: f64, plate: f64) -> Currents {
        let drive = self.grid * grid + self.screen * screen + self.plate * plate + self.offset;
        if drive <= NOTHING {
            return Currents::default();
        }
        let root = drive.sqrt();
        let ik = self.perveance * drive * root;
        let slope = 1.5 * self.perveance * root;
        let drives = [self.grid * slope, self.screen * slope, self.plate * slope];
        // what a starved plate does not take, the screen takes
        let (share, bends) = self.plate_part(screen, plate);
        let rest = 1.0 - self.extra_share - share;
        let row = |share: f64, bent: f64| -> [f64; 3] {
            std::array::from_fn(|x| share * drives[x] + bent * ik * bends[x])
        };
        Currents {
            plate: share * ik,
            screen: rest * ik,
            extra: self.extra_share * ik,
            slopes: [row(share, 1.0), row(rest, -1.0), row(self.extra_share, 0.0)],
        }
    }

    /// The plate's share with its knee, and its slopes in grid, screen and plate volts.
    fn plate_part(&self, screen: f64, plate: f64) -> (f64, [f64; 3]) {
        // in a triode all that nothing else takes
        if self.screen == 0.0 {
            return (1.0 - self.extra_share, [0.0; 3]);
        }
        if screen <= NOTHING || plate <= NOTHING {
            return (0.0, [0.0; 3]);
        }
        let full = 1.0 - (-self.reference_ratio / KNEE).exp();
        let x = plate / (KNEE * screen);
        let left = (-x).exp();
        let scale = self.plate_share / full;
        let bends = [0.0, -scale * left * x / screen, scale * left / (KNEE * screen)];
        (scale * (1.0 - left), bends)
    }
}
