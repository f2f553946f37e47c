//! What can stand in the line cord, behind one trait.
//!
//! An adaptation knows its elements, its one free number, and which parts of the trade come near a wanted
//! value. It solves nothing and advises nothing; `study` does that.

mod behind;
mod bought;
mod bucking;
mod dropper;
mod lamp;
mod methods;
mod offer;
mod part;
mod resistor;
mod shelf;
mod step;
mod string;
mod tap;
mod thermistor;
mod transformer;
mod variac;
mod with;

pub use crate::receiver::OPEN_OHMS;
pub use behind::remainders;
pub use bought::{Bought, Place};
pub use bucking::{Across, Bucking, BuckingPart, PRIMARY_SWING, every_small};
pub use dropper::{Build, Dropper, Joined};
pub use lamp::{LitLamp, SeriesLamp};
pub use methods::{Facts, Method, Stands, Station, offers};
pub use offer::Offer;
pub use part::{
    Adaptation, AnyPart, Copied, Duty, Failure, Miswired, Part, Sought, Tolerance, Unknown,
};
pub use resistor::{COOLEST_PLACE_C, RATING_MARGIN, SeriesResistor, UNDER_CHASSIS_C};
pub use shelf::Shelf;
pub use step::{SIZE_MARGIN, Step, StepPart, far_off};
pub use string::{StringDropper, StringPart, Surge};
pub use tap::{Tap, Taps};
pub use thermistor::{HotThermistor, InrushThermistor};
pub use variac::{Variac, VariacSetting};
pub use with::With;
