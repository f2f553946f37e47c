//! The `power-up` command: the staged schedule on the terminal, or as a sheet of paper.

use super::args::{PlanFormat, PowerUpArgs};
use super::paper;
use super::run::{Outcome, json, load, no_answer, painted, warnings};
use crate::report::page::Block;
use crate::report::{self, terminal};
use crate::study::{self, Request};

/// Prints the schedule, or writes it where a file is named.
pub(super) fn power_up(args: &PowerUpArgs, style: terminal::Style) -> Outcome {
    let output = args.output.as_deref();
    let painter = match output.map(paper::painter).transpose() {
        Ok(painter) => painter,
        Err(outcome) => return outcome,
    };
    let loaded = match load(&args.file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    let request = Request { outlet: args.outlet.into(), target: None };
    let power_up = match study::power_up(&loaded.profile, &request, warnings(&loaded)) {
        Ok(power_up) => power_up,
        Err(error) => return no_answer(&loaded.document, &error),
    };
    if args.format == PlanFormat::Json {
        return json(&power_up);
    }
    let command = ("power-up", "");
    let origin = paper::origin(&loaded, &args.file, command, args.outlet, output);
    let mut page = report::power_up_page(&power_up, &origin);
    if args.working {
        let cautions = |b: &Block| matches!(b, Block::Heading(text) if text == "Cautions");
        let at = page.iter().position(cautions).unwrap_or(page.len());
        page.splice(at..at, report::working_section(&power_up.working));
    }
    match output.zip(painter) {
        None => painted(&page, style),
        Some((path, painter)) => {
            paper::write(path, &painter(&page), args.force, "the power-up schedule")
        }
    }
}
