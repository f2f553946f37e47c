//! Figures that the catalogue lacks of a type, taken from the type of its class that is nearest by heater watts.

use super::TubeLaw;
use crate::{
    catalogue::{Catalogue, OperatingPoint, TubeType},
    quantity::Quantity,
};

/// How far the current of such a tube may be off, as a share (own judgement: types of a class and a heater differ so).
pub const SPREAD: f64 = 0.5;

/// `point` with what it lacks taken from `other`.
fn filled(point: &OperatingPoint, other: &OperatingPoint) -> OperatingPoint {
    OperatingPoint {
        plate: point.plate.or(other.plate),
        screen: point.screen.or(other.screen),
        grid: point.grid.or(other.grid),
        plate_current: point.plate_current.or(other.plate_current),
        screen_current: point.screen_current.or(other.screen_current),
        extra_current: point.extra_current.or(other.extra_current),
        transconductance: point.transconductance.or(other.transconductance),
        mu: point.mu.or(other.mu),
        ..point.clone()
    }
}

/// The point of `kind` filled up, its law, and whose figures it took; `None` where no type of the class and cathode has them.
pub fn fit(
    kind: &TubeType,
    point: &OperatingPoint,
) -> Option<(OperatingPoint, TubeLaw, &'static TubeType)> {
    let watts = |t: &TubeType| (t.heater_volts * t.heater_amps).si();
    let off = |t: &TubeType| (watts(t) / watts(kind)).ln().abs();
    let make = |t: &TubeType| (t.class, t.cathode, t.sections);
    let mut near: Vec<&TubeType> = Catalogue::built_in().tubes().iter().collect();
    near.retain(|t| make(t) == make(kind) && t.name != kind.name);
    near.sort_by(|a, b| off(a).total_cmp(&off(b)));
    near.into_iter().find_map(|other| {
        let own = other.reference()?;
        TubeLaw::fit(other, own).ok()??;
        let point = filled(point, own);
        let law = TubeLaw::fit(kind, &point).ok()??;
        Some((point, law, other))
    })
}
