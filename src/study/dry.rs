//! A dry rectifier in the place of a tube: what B+ becomes, and the resistor that brings it back.

use super::{Caution, Result, Serialize, surge::plate_amps, target::secant};
use crate::{
    adaptation::{Part, RATING_MARGIN},
    catalogue::stock::resistor_sizes,
    preferred::{Series, nearest},
    receiver::{AsBuilt, Operation, Receiver, RectifierKind},
};

/// B+ counts as met within this share.
const MET: f64 = 1e-4;
/// B+ within this share of the tube's: nothing is left to do.
const DONE: f64 = 0.02;

/// A dry rectifier in the place of a tube.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DryRectifier {
    /// The tube.
    pub tube: String,
    /// What is in its place.
    pub kind: String,
    /// True for selenium, which ages.
    pub ages: bool,
    /// B+ on the usual line with the tube, V.
    pub with_tube_v: f64,
    /// B+ now, V.
    pub now_v: f64,
    /// Crest voltage of the supply at high line, which it gives within a cycle.
    pub crest_v: f64,
    /// Watts of the tube's heater that no longer load the transformer.
    pub heater_w: f64,
    /// The resistor in each plate lead that came with it, Ω; null where the profile names none.
    pub fitted_ohms: Option<f64>,
    /// True if B+ is that of the tube: the repair is finished.
    pub finished: bool,
    /// The resistor to fit, in place of the one that is there; null where none is needed, or none helps.
    pub resistor: Option<PlateResistor>,
}

/// A resistor in each plate lead.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlateResistor {
    /// Plate leads, one in each.
    pub leads: usize,
    /// The value that brings back the tube's B+ on the usual line, Ω.
    pub exact_ohms: f64,
    /// The nearest value of series E24, Ω.
    pub stock_ohms: f64,
    /// Heat in each at high line, W: its RMS current squared times its ohms.
    pub heat_w: f64,
    /// Watts to buy, twice the heat at least; null where no single stock resistor has them.
    pub rated_w: Option<f64>,
    /// B+ on the usual line with it, V.
    pub b_plus_v: f64,
}

impl DryRectifier {
    pub(super) fn caution(&self) -> Caution {
        Caution::DryRectifier {
            tube: self.tube.clone(),
            with_tube_v: self.with_tube_v,
            now_v: self.now_v,
            crest_v: self.crest_v,
            resistor_ohms: self.resistor.as_ref().map(|r| r.exact_ohms),
        }
    }
}

/// What to know of a set whose tube rectifier gave way to a dry one; `None` for any other set.
///
/// # Errors
/// A point that could not be solved.
pub fn replaced(receiver: &Receiver, (usual, high): (f64, f64)) -> Result<Option<DryRectifier>> {
    let made = receiver.as_made();
    let (model, with_tube) = (receiver.model(), &made.model().rectifier);
    if model.replaced.is_none() {
        return Ok(None);
    }
    let wanted = made.run(usual, &AsBuilt, None)?.b_plus();
    let now = receiver.run(usual, &AsBuilt, None)?;
    let original = with_tube.surge_ohms;
    let fitted = model.rectifier.surge_ohms - original;
    let finished = (now.b_plus() / wanted - 1.0).abs() <= DONE;
    let filament = made.model().rectifier_filament();
    Ok(Some(DryRectifier {
        tube: with_tube.name.clone(),
        kind: model.rectifier.name.clone(),
        ages: model.rectifier.kind == RectifierKind::Selenium,
        with_tube_v: wanted,
        now_v: now.b_plus(),
        crest_v: receiver.crest_volts(high),
        heater_w: filament.map_or(0.0, |f| f.volts * f.amps),
        fitted_ohms: (fitted > 0.0).then_some(fitted),
        finished,
        resistor: if finished {
            None
        } else {
            resistor(receiver, (usual, high), &now, wanted, (original, fitted))?
        },
    }))
}

/// The resistor that brings B+ back to `wanted`, in place of the one of `fitted` ohms beside the `original` one.
pub fn resistor(
    receiver: &Receiver,
    (usual, high): (f64, f64),
    now: &Operation,
    wanted: f64,
    (original, fitted): (f64, f64),
) -> Result<Option<PlateResistor>> {
    let with = |line: f64, ohms: f64| {
        receiver.run_changed(line, &AsBuilt as &dyn Part, now, |model| {
            model.rectifier.surge_ohms = original + ohms;
        })
    };
    let over = |ohms: f64| Ok(with(usual, ohms)?.b_plus() / wanted - 1.0);
    let Some(bare) = over(0.0).ok().filter(|bare| *bare > MET) else {
        return Ok(None);
    };
    let guess = if fitted > 0.0 { fitted } else { 100.0 };
    let least = |ohms: f64| ohms.max(1.0);
    let Ok(Some(exact_ohms)) = secant(over, (0.0, bare), guess, MET, false, least) else {
        return Ok(None);
    };
    let stock_ohms = nearest(Series::E24, exact_ohms).unwrap_or(exact_ohms);
    let at_high = with(high, stock_ohms)?;
    let heat_w = plate_amps(&at_high).powi(2) * stock_ohms;
    Ok(Some(PlateResistor {
        leads: at_high.at.surge.len().max(1),
        exact_ohms,
        stock_ohms,
        heat_w,
        rated_w: to_buy(heat_w),
        b_plus_v: with(usual, stock_ohms)?.b_plus(),
    }))
}

/// Watts to buy for `heat_w` at high line: twice that at least, of what is sold; none where no single resistor has them.
pub(super) fn to_buy(heat_w: f64) -> Option<f64> {
    let mut sizes = resistor_sizes().iter().map(|size| size.rating_w);
    sizes.find(|w| *w >= RATING_MARGIN * heat_w)
}
