//! The curve of a note: heaters and B+ against the line, before and after.

use super::drawing::Drawing;
use crate::study::Note;

pub(super) fn figure(note: &Note) -> Drawing {
    Drawing {
        title: String::new(),
        description: note.plan.set.name.clone(),
        svg: String::new(),
    }
}
