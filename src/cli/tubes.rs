//! The `tubes` command.

use super::args::TubesArgs;
use super::outcome::{Outcome, Result};
use crate::catalogue::Catalogue;
use crate::report::{TubePage, lamp_list, rectifier_list, terminal::Style, tube_list, type_page};
use crate::study::law_misses;

/// Shows the catalogue, or one type of it.
pub(super) fn tubes(args: &TubesArgs, style: Style) -> Result {
    let all = Catalogue::built_in();
    let page = match &args.name {
        None => [tube_list(all.tubes()), rectifier_list(all.rectifiers()), lamp_list(all.lamps())]
            .concat(),
        Some(name) => match (all.tube(name), all.rectifier(name), all.lamp(name)) {
            (Err(error), Err(_), Err(_)) => return Err(error.into()),
            (tube, rectifier, lamp) => type_page(
                tube.as_ref().ok().map(|found| TubePage {
                    misses: law_misses(found.item),
                    kin: all.kin_of_tube(found.item),
                    found,
                }),
                rectifier.as_ref().ok().map(|found| (found, all.kin_of_rectifier(found.item))),
                lamp.ok().map(|f| f.item),
            ),
        },
    };
    Ok(Outcome::page(&page, style))
}
