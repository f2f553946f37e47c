//! Time and memory of this process.

use std::time::{Duration, Instant};

/// Processor time of this process, all threads together; nothing where the system does not tell.
fn processor_time() -> Option<Duration> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    // the name in parentheses may hold anything; user and system time are the 12th and 13th field behind it, in
    // hundredths of a second
    let mut fields = stat.rsplit_once(')')?.1.split_whitespace().skip(11);
    let mut next = || fields.next()?.parse::<u64>().ok();
    Some(Duration::from_millis(10 * (next()? + next()?)))
}

/// Most memory ever held by this process, KiB; nothing where the system does not tell.
pub fn most_memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Time from its start: by the clock or by the processors' time, whichever is less, as the machine may do other things.
pub struct Watch(Instant, Option<Duration>);

impl Watch {
    /// From now on.
    pub fn start() -> Watch {
        Watch(Instant::now(), processor_time())
    }

    /// Time until now.
    pub fn spent(&self) -> Duration {
        let clock = self.0.elapsed();
        let worked = self.1.zip(processor_time()).map_or(clock, |(from, to)| to - from);
        clock.min(worked)
    }
}
