//! The `tolerance` command: thousands of sets drawn and solved, with a bar on a terminal while one waits.

use super::{Outcome, Result, args::ToleranceArgs, bar::Bar, desk::Desk};
use crate::api::{Options, Page};

/// Draws, solves and prints.
pub fn tolerance(args: &ToleranceArgs, desk: &Desk) -> Result {
    let set = desk.load(&args.set.file)?;
    let outlet = args.outlet.outlet()?;
    let bar = Bar::new(args.draws, "draws", desk.screen.bar);
    let options = Options { with: args.with, ..Options::default() };
    let found = set.bench(outlet).and_then(|bench| {
        bench.tolerances(&options, args.draws, args.seed, &|done| bar.show(done))
    });
    bar.clear();
    Outcome::answer(&found?, args.form.json(), desk.style, |found| Page::from(found))
}
