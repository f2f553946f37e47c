//! Ctrl-C while many files are worked through: what is done is printed.

use super::Exit;
use std::sync::atomic::{AtomicU8, Ordering};

/// What the program is at, for the one who presses Ctrl-C.
static AT: AtomicU8 = AtomicU8::new(State::Other as u8);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
enum State {
    /// Nothing that can be stopped halfway: the program ends.
    Other,
    /// A list of files.
    List,
    /// A list that was told to stop; whoever asks twice does not wait.
    Stopping,
    /// A pager, whose own matter it is.
    Pager,
}

/// A list that Ctrl-C may stop, until it is dropped.
pub struct Stoppable(());

impl Stoppable {
    /// From here on; `catch` where the program runs by itself, and not as a part of another.
    pub fn begin(catch: bool) -> Stoppable {
        AT.store(State::List as u8, Ordering::SeqCst);
        if catch {
            // where it cannot be caught, Ctrl-C ends the program as it always does
            let _ = ctrlc::set_handler(pressed);
        }
        Stoppable(())
    }

    /// Whether it was told to stop.
    pub fn told(&self) -> bool {
        AT.load(Ordering::SeqCst) == State::Stopping as u8
    }
}

impl Drop for Stoppable {
    fn drop(&mut self) {
        AT.store(State::Other as u8, Ordering::SeqCst);
    }
}

/// From here on Ctrl-C is for the pager.
pub fn paging() {
    AT.store(State::Pager as u8, Ordering::SeqCst);
}

fn pressed() {
    let told = AT.compare_exchange(
        State::List as u8,
        State::Stopping as u8,
        Ordering::SeqCst,
        Ordering::SeqCst,
    );
    if told.is_err_and(|at| at != State::Pager as u8) {
        std::process::exit(Exit::Stopped.code().into());
    }
}
