//! The `tubes` command.

use super::{Outcome, Result, Style};
use crate::{
    catalogue::{Catalogue, ballast_by_code, ballasts, barretter},
    report::{
        TubePage, ballast_list, ballast_page, lamp_list, rectifier_list, tube_list, type_page,
    },
    study::law_misses,
};

/// Shows the catalogue, or one type of it.
pub fn tubes(name: Option<&str>, style: Style) -> Result {
    let all = Catalogue::built_in();
    let page = match name {
        None => [
            tube_list(all.tubes()),
            rectifier_list(all.rectifiers()),
            lamp_list(all.lamps()),
            ballast_list(ballasts()),
        ]
        .concat(),
        Some(name) => match (all.tube(name), all.rectifier(name), all.lamp(name)) {
            (Err(error), Err(_), Err(_)) => {
                let printed = || barretter(name).cloned().or_else(|| ballast_by_code(name));
                ballast_page(&printed().ok_or(error)?)
            }
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
