//! The `page` command: all states of a set solved, with a bar on a terminal while one waits, and written as one file of HTML.

use super::{Outcome, Result, args::PageArgs, bar::Bar, desk::Desk, save::save};
use crate::api::typed::shown;
use std::sync::OnceLock;

/// Solves and writes.
pub fn page(args: &PageArgs, desk: &Desk) -> Result {
    let bench = desk.load(&args.set.file)?.bench(args.request.outlet.outlet()?)?;
    let bar: OnceLock<Bar> = OnceLock::new();
    let found = bench.page(&args.request.options(), &|done, all| {
        bar.get_or_init(|| Bar::new(all, "states of the set", desk.screen.bar)).show(done);
    });
    if let Some(bar) = bar.get() {
        bar.clear();
    }
    let html = found?.html();
    let Some(path) = &args.output else { return Ok(Outcome::done(html)) };
    save(path, &html, args.force)?;
    Ok(Outcome::done(format!("{}: the page is written; open it in a browser\n", shown(path))))
}
