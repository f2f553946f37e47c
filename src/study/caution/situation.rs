//! What of a set, its outlet and its choices decides which cautions apply.

use super::super::flags::Direct;
use super::super::outlet::OutletVolts;
use super::super::plan::Choice;
use crate::adaptation::{Method, Stands};
use crate::catalogue::RectifierKind;
use crate::catalogue::stock::FuseStandard;
use crate::receiver::{Model, RectifierCircuit};

/// Outlets above this have plugs that can be turned round, V RMS: those of the 230 V countries, but for a few.
const TURNABLE_V: f64 = 150.0;

/// What wood bears for years, °C (Fire and Materials 31, 2007, pp. 125-135: 77 °C †), and water.
const WOOD_C: f64 = 75.0;
const BOILING_C: f64 = 100.0;

/// A set, its outlet and what is offered for it.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Situation {
    /// The chassis is joined to the line.
    pub live: bool,
    /// The windings of its transformer are separate.
    pub separate: bool,
    /// Heaters in series on the line.
    pub string: bool,
    /// The string's dropper is the line cord.
    pub cord: bool,
    /// What is fitted takes the cord's place.
    pub cord_goes: bool,
    /// The plug can be turned round.
    pub turnable: bool,
    /// A high-voltage winding with a center tap.
    pub center_tap: bool,
    /// A selenium rectifier.
    pub selenium: bool,
    /// Whether the fuse is to UL 248-14, where there is one.
    pub fuse_ul: Option<bool>,
    /// A resistor is on offer that is too hot for wood beside it.
    pub hot: bool,
    /// And hotter than boiling water, in a box.
    pub boiling: bool,
    /// One of them in the hot wire.
    pub resistor_in_lead: bool,
    /// An inrush thermistor is on offer.
    pub thermistor: bool,
    /// A step-down transformer is on offer, or nothing is and the outlet is far too high.
    pub steps_down: bool,
}

impl Situation {
    /// Of a set alone, on its outlet where that is known.
    pub fn of(model: &Model, outlet: Option<&OutletVolts>) -> Situation {
        let live = model.is_live();
        Situation {
            live,
            separate: !live,
            string: model.string.is_some(),
            cord: model.string.as_ref().is_some_and(|s| s.in_cord),
            turnable: outlet.map_or(model.design_line, |o| o.usual_v) > TURNABLE_V,
            center_tap: model.string.is_none()
                && model.rectifier.circuit == RectifierCircuit::FullWave,
            selenium: model.rectifier.kind == RectifierKind::Selenium,
            ..Situation::default()
        }
    }

    /// With what is `offered` for it, of which `fitted` is taken; `surface_c` is that of the hottest resistor.
    pub fn with(
        self,
        direct: Direct,
        offered: &[&Choice],
        fitted: Option<&Choice>,
        surface_c: Option<f64>,
    ) -> Situation {
        let any = |of: fn(Method) -> bool| offered.iter().any(|c| c.part.is_some() && of(c.method));
        let nothing = fitted.is_none_or(|c| c.method == Method::AsIs);
        let fuse = fitted.or(offered.first().copied()).and_then(|c| c.fuse.as_ref());
        let in_lead = any(|m| m.facts().makes_heat && m.facts().stands == Stands::InLead);
        let above = |c: f64| surface_c.is_some_and(|surface| surface > c);
        Situation {
            cord_goes: fitted.is_some_and(|c| c.method.facts().replaces_cord),
            fuse_ul: fuse
                .filter(|f| f.rating_a.is_some())
                .map(|f| f.standard == FuseStandard::Ul.name()),
            hot: above(WOOD_C),
            boiling: in_lead && above(BOILING_C),
            resistor_in_lead: in_lead,
            thermistor: any(|m| m == Method::Thermistor),
            steps_down: any(|m| m == Method::StepDown) || nothing && direct == Direct::DoNotPlugIn,
            ..self
        }
    }
}
