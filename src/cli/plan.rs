//! The `plan` command.

use super::args::{PlanArgs, PlanFormat};
use super::plans::plans;
use super::run::{Outcome, json, load, no_answer, painted, warnings};
use crate::report::page::Block;
use crate::report::{self, terminal};
use crate::study::{self, OutletChoice, Request};

/// Plans one set, or many.
pub(super) fn plan(args: &PlanArgs, style: terminal::Style) -> Outcome {
    let file = match args.files.as_slice() {
        [file] if !file.is_dir() => file,
        _ => return plans(args, style),
    };
    let loaded = match load(file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    let request = Request { outlet: OutletChoice::from(args.outlet), target: args.target };
    match study::plan(&loaded.profile, &request, warnings(&loaded)) {
        Err(error) => no_answer(&loaded.document, &error),
        Ok(plan) => match args.format {
            PlanFormat::Text => {
                let mut page = report::plan_page(&plan);
                if args.working {
                    // ahead of the cautions, which end every report
                    let at = page.iter().rposition(|b| matches!(b, Block::Heading(_)));
                    let working = report::working_page(&plan.working);
                    page.splice(at.unwrap_or(page.len())..at.unwrap_or(page.len()), working);
                }
                painted(&page, style)
            }
            PlanFormat::Json => json(&plan),
        },
    }
}
