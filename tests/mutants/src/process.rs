//! One run of a test program.

use anyhow::{Context, Result};
use rustix::process::{Pid, Signal, WaitId, WaitIdOptions, kill_process_group, waitid};
use std::io::{BufRead, BufReader};
use std::os::unix::process::{CommandExt, ExitStatusExt};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

/// Memory a run may have, kB: a mutant may ask for all there is.
const MEMORY_KB: u64 = 8_000_000;
/// By the clock a run may take so many times its limit: others work here as well, and what waits for ever takes no processor.
const BY_THE_CLOCK: u32 = 40;
/// Signals of a run that had no more time, or that was ended from outside.
const OUT_OF_TIME: [i32; 2] = [24, 9];

/// How it went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    Passed,
    /// The test that failed.
    Failed(String),
    /// The test that took too long.
    Late(String),
}

/// What a run is given.
pub struct Run<'a> {
    pub program: &'a Path,
    pub tests: &'a [&'a str],
    pub tree: &'a Path,
    /// Its own folder for files of a moment: two runs at once must not share them.
    pub moment: &'a Path,
    pub mutant: usize,
    /// Where it notes the mutants that it comes by.
    pub reached: Option<&'a Path>,
    /// Time on a processor that it may take.
    pub limit: Duration,
}

impl Run<'_> {
    /// Runs the tests one after the other, up to the first that fails; how it went, and its time on a processor.
    pub fn go(&self) -> Result<(End, Duration)> {
        let mut order = self.tests.to_vec();
        order.sort_unstable();
        let mut command = Command::new("sh");
        command
            .args(["-c", "ulimit -t $0; ulimit -v $1; shift; exec \"$@\""])
            .args([self.limit.as_secs().max(1).to_string(), MEMORY_KB.to_string()])
            .arg(self.program)
            .args(["--test-threads=1", "--exact"])
            .args(&order)
            .current_dir(self.tree)
            .env("MAINSFIT_MUTANT", self.mutant.to_string())
            .env("TMPDIR", self.moment)
            .env("INSTA_UPDATE", "no")
            .env("INSTA_WORKSPACE_ROOT", self.tree)
            .env("PROPTEST_MAX_SHRINK_ITERS", "0")
            .env("PROPTEST_DISABLE_FAILURE_PERSISTENCE", "1")
            .process_group(0)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null());
        if let Some(reached) = self.reached {
            command.env("MAINSFIT_MUTANTS_REACHED", reached);
        }
        let start = Instant::now();
        let mut child = command.spawn().context("a test program")?;
        let output = child.stdout.take().context("no output")?;
        let (send, lines) = channel();
        std::thread::spawn(move || {
            for line in BufReader::new(output).split(b'\n').map_while(Result::ok) {
                if send.send(String::from_utf8_lossy(&line).into_owned()).is_err() {
                    break;
                }
            }
        });
        let until = start + BY_THE_CLOCK * self.limit;
        let (mut end, mut passed) = (None, 0);
        loop {
            match lines.recv_timeout(until.saturating_duration_since(Instant::now())) {
                Ok(line) if line.starts_with("test ") && line.ends_with("... FAILED") => {
                    end = Some(End::Failed(name(&line).to_owned()));
                }
                Ok(line) if line.starts_with("test ") && line.ends_with("... ok") => passed += 1,
                Ok(_) => {}
                Err(RecvTimeoutError::Timeout) => end = Some(End::Late(nth(&order, passed))),
                Err(RecvTimeoutError::Disconnected) => break,
            }
            if end.is_some() {
                // what it started goes with it
                let group = Pid::from_child(&child);
                let _ = kill_process_group(group, Signal::KILL);
                break;
            }
        }
        let took = processor_time(&child)?;
        let status = child.wait()?;
        let end = end.unwrap_or_else(|| match status.signal() {
            None if status.success() => End::Passed,
            Some(signal) if OUT_OF_TIME.contains(&signal) => End::Late(nth(&order, passed)),
            _ => End::Failed(nth(&order, passed)),
        });
        Ok((end, took))
    }
}

/// Time on a processor of a program and what it started, waited for until its end.
fn processor_time(child: &Child) -> Result<Duration> {
    let id = WaitId::Pid(Pid::from_child(child));
    waitid(id, WaitIdOptions::EXITED | WaitIdOptions::NOWAIT)?;
    let stat = std::fs::read_to_string(format!("/proc/{}/stat", child.id()))?;
    // behind the name, which may hold anything: utime, stime, cutime, cstime are fields 14 to 17 (proc_pid_stat(5))
    let behind = stat.rsplit(')').next().unwrap_or_default();
    let fields = behind.split_whitespace().skip(11).take(4);
    let ticks: u64 = fields.map(str::parse::<u64>).sum::<Result<_, _>>()?;
    Ok(Duration::from_secs_f64(ticks as f64 / rustix::param::clock_ticks_per_second() as f64))
}

/// The test that a line is about.
fn name(line: &str) -> &str {
    let name = line.trim_start_matches("test ").split(" ... ").next().unwrap_or_default();
    name.trim_end_matches(" - should panic")
}

fn nth(order: &[&str], passed: usize) -> String {
    order.get(passed).map_or_else(|| "?".to_owned(), |name| (*name).to_owned())
}
