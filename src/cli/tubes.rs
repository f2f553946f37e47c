//! The `tubes` command.

use super::{Outcome, Result, Style};
use crate::api::Page;

/// Shows the catalogue, or one type of it.
pub fn tubes(name: Option<&str>, style: Style) -> Result {
    Ok(Outcome::page(&Page::of_types(name)?, style))
}
