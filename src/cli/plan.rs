//! The `plan` command.

use super::args::PlanArgs;
use super::outcome::{Outcome, Result};
use super::paper::ahead_of_cautions;
use super::plans::{plan_one, plans};
use crate::report::{plan_page, terminal::Style, working_page};

/// Plans one set, or many.
pub(super) fn plan(args: &PlanArgs, style: Style) -> Result {
    let file = match args.files.as_slice() {
        [file] if !file.is_dir() => file,
        _ => return plans(args, style),
    };
    let plan = plan_one(file, &args.request.into())?;
    Outcome::answer(&plan, args.form.json(), style, |plan| {
        let mut page = plan_page(plan);
        if args.working {
            ahead_of_cautions(&mut page, working_page(&plan.working));
        }
        page
    })
}
