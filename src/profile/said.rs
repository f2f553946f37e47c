//! What the rest of a profile says, as far as it has been read: what others may name, and what they stand on.

use super::cursor::Cursor;
use crate::catalogue::{RectifierType, TubeType};
use std::rc::Rc;

/// What has been said.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// Heater windings, or branches of the heater string.
    pub heated: Vec<String>,
    /// Whether the set has no transformer.
    pub on_the_line: bool,
    /// Whether a service sheet gives the B+.
    pub has_sheet: bool,
    /// Whether the high-voltage winding has no center tap; not known where its volts are not stated.
    pub single_winding: Option<bool>,
    /// Tubes under `types:`, those that are sound.
    pub tubes: Vec<TubeType>,
    /// Rectifiers under `types:`, those that are sound.
    pub rectifiers: Vec<RectifierType>,
    /// Every name under `types:`, those with a fault included.
    pub type_names: Vec<String>,
    /// Supply points.
    pub points: Vec<String>,
    /// Whether a field coil in the negative lead stands alone there, so that its ends are B- and chassis.
    pub negative_coil: Option<bool>,
}

impl Said {
    /// Whether a supply point has that name.
    pub fn has_point(&self, name: &str) -> bool {
        self.points.iter().any(|point| point == name)
    }

    /// Nothing where a type of that name is defined, well or not: what is wrong with it is said there.
    pub fn no_own_type(&self, name: &str) -> Option<()> {
        (!self.type_names.iter().any(|own| own == name)).then_some(())
    }
}

impl Cursor<'_> {
    /// What the rest of the profile says.
    pub fn said(&self) -> Rc<Said> {
        self.sink().told()
    }

    /// Adds to what the rest of the profile says.
    pub fn say(&self, add: impl FnOnce(&mut Said)) {
        let mut said = (*self.said()).clone();
        add(&mut said);
        self.sink().tell(said);
    }
}
