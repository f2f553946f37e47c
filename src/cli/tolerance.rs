//! The `tolerance` command: thousands of sets drawn and solved, with a bar on a terminal while one waits.

use super::{Outcome, Result, Style, args::ToleranceArgs};
use crate::api::{Options, Page, Set};
use std::{
    io::Write,
    sync::{
        Mutex,
        atomic::{AtomicUsize, Ordering},
    },
};

/// Marks of a full bar.
const BAR: usize = 40;

/// Draws, solves and prints; `seen` allows the bar.
pub fn tolerance(args: &ToleranceArgs, style: Style, seen: bool) -> Result {
    let set = Set::load(&args.set.file)?;
    let outlet = args.outlet.outlet()?;
    let bar = Bar::new(args.draws, seen);
    let options = Options { with: args.with, ..Options::default() };
    let found = set.bench(outlet).and_then(|bench| {
        bench.tolerances(&options, args.draws, args.seed, &|done| bar.show(done))
    });
    bar.clear();
    Outcome::answer(&found?, args.form.json(), style, |found| Page::from(found))
}

/// A bar on standard error, where it can be seen; else nothing.
struct Bar {
    all: usize,
    seen: bool,
    /// Marks drawn.
    marks: AtomicUsize,
    /// Held while a line is written.
    line: Mutex<()>,
}

impl Bar {
    fn new(all: usize, seen: bool) -> Bar {
        Bar { all, seen, marks: AtomicUsize::new(0), line: Mutex::new(()) }
    }

    /// Draws the bar anew where it has grown by a mark.
    fn show(&self, done: usize) {
        let marks = BAR * done.min(self.all) / self.all.max(1);
        if !self.seen || self.marks.fetch_max(marks, Ordering::Relaxed) >= marks {
            return;
        }
        let _held = self.line.lock();
        // a thread that comes late draws what has become of it since
        let marks = self.marks.load(Ordering::Relaxed);
        let text = format!(
            "\r[{}{}] {:>3} % of {} draws",
            "#".repeat(marks),
            " ".repeat(BAR - marks),
            100 * marks / BAR,
            self.all
        );
        write(&text);
    }

    /// Takes the bar away.
    fn clear(&self) {
        if self.seen && self.marks.load(Ordering::Relaxed) > 0 {
            write("\r\u{1b}[K");
        }
    }
}

/// A bar that cannot be drawn is no reason to stop.
fn write(text: &str) {
    let mut stream = std::io::stderr().lock();
    let _ = stream.write_all(text.as_bytes());
    let _ = stream.flush();
}
