//! What is shown on standard error while one waits: a bar where it is known how much there is to do, else a word.

use std::{
    io::Write,
    sync::{
        Mutex,
        atomic::{AtomicUsize, Ordering},
        mpsc::{RecvTimeoutError, Sender, channel},
    },
    thread::{JoinHandle, spawn},
    time::{Duration, Instant},
};

/// Marks of a full bar.
const BAR: usize = 40;
/// Silence before the first word, and between two.
const PATIENCE: Duration = Duration::from_secs(1);

/// A bar on standard error, where it can be seen; else nothing.
pub struct Bar {
    all: usize,
    /// What is counted, such as "draws".
    what: &'static str,
    seen: bool,
    /// Marks drawn.
    marks: AtomicUsize,
    /// Held while a line is written.
    line: Mutex<()>,
}

impl Bar {
    /// A bar of so many `what`; `seen` where there is a terminal to draw it on.
    pub fn new(all: usize, what: &'static str, seen: bool) -> Bar {
        Bar { all, what, seen, marks: AtomicUsize::new(0), line: Mutex::new(()) }
    }

    /// Draws the bar anew where it has grown by a mark.
    pub fn show(&self, done: usize) {
        let marks = BAR * done.min(self.all) / self.all.max(1);
        if !self.seen || self.marks.fetch_max(marks, Ordering::Relaxed) >= marks {
            return;
        }
        let _held = self.line.lock();
        // a thread that comes late draws what has become of it since
        let marks = self.marks.load(Ordering::Relaxed);
        let text = format!(
            "\r[{}{}] {:>3} % of {} {}",
            "#".repeat(marks),
            " ".repeat(BAR - marks),
            100 * marks / BAR,
            self.all,
            self.what
        );
        write(&text);
    }

    /// Takes the bar away.
    pub fn clear(&self) {
        if self.seen && self.marks.load(Ordering::Relaxed) > 0 {
            away();
        }
    }
}

/// Takes away what stands on the line, with blanks: not every terminal knows a sequence for it.
fn away() {
    write(&format!("\r{:79}\r", ""));
}

/// A word each second, until it is dropped.
pub struct Waiting {
    /// Dropped first: that is what ends the thread.
    done: Option<Sender<()>>,
    told: Option<JoinHandle<()>>,
}

impl Waiting {
    /// From here on, on standard error; nothing where it is not `seen`.
    pub fn begin(seen: bool) -> Waiting {
        if !seen {
            return Waiting { done: None, told: None };
        }
        let (done, ends) = channel::<()>();
        let begun = Instant::now();
        let told = spawn(move || {
            let mut words = false;
            while ends.recv_timeout(PATIENCE) == Err(RecvTimeoutError::Timeout) {
                write(&format!("\rsolving … {} s", begun.elapsed().as_secs()));
                words = true;
            }
            if words {
                away();
            }
        });
        Waiting { done: Some(done), told: Some(told) }
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        drop(self.done.take());
        // what it last wrote is gone before the answer comes
        let _ = self.told.take().map(JoinHandle::join);
    }
}

/// What cannot be drawn is no reason to stop.
fn write(text: &str) {
    let mut stream = std::io::stderr().lock();
    let _ = stream.write_all(text.as_bytes());
    let _ = stream.flush();
}
