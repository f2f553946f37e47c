//! Work shared out among threads, its results in order whatever thread did what.

use std::sync::atomic::{AtomicUsize, Ordering};

/// Most pieces of work a thread takes at a time.
const HANDFUL: usize = 8;

/// Threads that the machine runs at once.
pub fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, |n| n.get())
}

/// `work(0)`, `work(1)`, … `work(count − 1)`, in that order, done by `threads` threads. `progress` hears how many are
/// done.
pub fn out<T: Send>(
    count: usize,
    threads: usize,
    work: &(dyn Fn(usize) -> T + Sync),
    progress: &(dyn Fn(usize) + Sync),
) -> Vec<T> {
    // few pieces are taken one by one, so that no thread stands idle
    let handful = (count / (16 * threads.max(1))).clamp(1, HANDFUL);
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let take = || {
        let mut mine = Vec::new();
        loop {
            let from = next.fetch_add(handful, Ordering::Relaxed);
            if from >= count {
                return mine;
            }
            let to = (from + handful).min(count);
            mine.extend((from..to).map(|i| (i, work(i))));
            progress(done.fetch_add(to - from, Ordering::Relaxed) + to - from);
        }
    };
    let mut all = std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads.max(1)).map(|_| scope.spawn(take)).collect();
        let mut all = take();
        for other in others {
            match other.join() {
                Ok(list) => all.extend(list),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        all
    });
    all.sort_by_key(|(i, _)| *i);
    all.into_iter().map(|(_, result)| result).collect()
}

/// `work` on each of `items`, which are independent of one another, in order, by as many threads as the machine runs at
/// once.
pub fn each<I: Sync, T: Send>(items: &[I], work: impl Fn(&I) -> T + Sync) -> Vec<T> {
    out(items.len(), cores(), &|i| work(&items[i]), &|_| ())
}

/// As [`each`], for `work(0)` to `work(count − 1)`, which may fail.
///
/// # Errors
/// The first failure by number.
pub fn all<T: Send, E: Send>(
    count: usize,
    work: impl Fn(usize) -> Result<T, E> + Sync,
) -> Result<Vec<T>, E> {
    out(count, cores(), &work, &|_| ()).into_iter().collect()
}
