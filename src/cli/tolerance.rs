//! The `tolerance` command: thousands of sets drawn and solved, with a bar on a terminal while one waits.

use super::{Outcome, Result, Style, args::ToleranceArgs, bar::Bar};
use crate::api::{Options, Page, Set};

/// Draws, solves and prints; `seen` allows the bar.
pub fn tolerance(args: &ToleranceArgs, style: Style, seen: bool) -> Result {
    let set = Set::load(&args.set.file)?;
    let outlet = args.outlet.outlet()?;
    let bar = Bar::new(args.draws, "draws", seen);
    let options = Options { with: args.with, ..Options::default() };
    let found = set.bench(outlet).and_then(|bench| {
        bench.tolerances(&options, args.draws, args.seed, &|done| bar.show(done))
    });
    bar.clear();
    Outcome::answer(&found?, args.form.json(), style, |found| Page::from(found))
}
