//! Every command on sets that `check` accepts, however odd, and `check` on those that it refuses.
//!
//! `tests/slow/set_fuzz` has how sets are changed, what is asked and what every answer must hold to; `tests/data/fuzz` the
//! hard ones, which every run asks everything. An ordinary run is short; the long one is
//! `MAINSFIT_FUZZ=1000000 cargo test --release --test slow fuzz_commands -- --nocapture`: so many refused inputs, a
//! fiftieth of it in runs on accepted ones and a thousandth in runs of each command. `MAINSFIT_FUZZ_SEED` draws others.
#![allow(clippy::print_stdout, reason = "a long run tells how far it is")]

use super::harness::yaml_files;
use super::set_fuzz::{
    Changes, Checks, Desk, Dice, Maker, Run, Seeds, Subject, Tried, accepted, again, all_commands,
    exactly, most_memory, of_sets, try_command,
};
use mainsfit::profile::{Document, read};
use serde_yaml::Value;
use std::collections::BTreeMap;
use std::panic::catch_unwind;
use std::path::Path;
use std::time::{Duration, Instant};

/// Runs on accepted inputs that are answered, such runs of each command, and refused inputs, of the ordinary run.
const ORDINARY: Wanted = Wanted { runs: 80, each: 3, refused: 3000 };
/// Seed of the ordinary run, and of the random sets among those to begin with.
const SEED: u64 = 1936;
/// Longest time of a run in the long run, in a release build.
const SLOWEST: Duration = Duration::from_secs(5);
/// The same in the ordinary run, which shares its machine with the rest of the suite: a hang is longer.
const SLOWEST_SHARED: Duration = Duration::from_secs(30);
/// One refused input in so many is given to a command; the others are only read.
const BY_COMMAND: usize = 50;
/// Commands asked about one accepted set before the next.
const ASKED: usize = 6;
/// One set in so many is given readings.
const FOR_A_FIT: usize = 6;
/// After so many accepted sets a long run tells how far it is.
const TOLD: usize = 100;
/// Most memory the process may ever have held, KiB.
const MOST_KIB: u64 = 1_500_000;

/// How much is to be tried.
#[derive(Clone, Copy)]
struct Wanted {
    runs: usize,
    each: usize,
    refused: usize,
}

/// Runs of a command on accepted inputs.
#[derive(Default)]
struct Runs {
    /// How many ended with exit codes 0, 1 and 2.
    codes: [usize; 3],
    /// All of them together.
    spent: Duration,
    /// The longest any took, and what that was: as a file of the corpus has it.
    slowest: Duration,
    slow: String,
}

/// What was tried.
#[derive(Default)]
struct Tally {
    /// Runs on accepted inputs by command.
    runs: BTreeMap<String, Runs>,
    accepted: usize,
    refused: usize,
    unsolved: usize,
    wrong: Vec<String>,
}

impl Tally {
    /// Runs of a command that were answered.
    fn of(&self, command: &str) -> usize {
        self.runs.get(command).map_or(0, |runs| runs.codes[0])
    }

    /// Runs of all commands that were answered.
    fn all(&self) -> usize {
        self.runs.values().map(|runs| runs.codes[0]).sum()
    }

    fn table(&self) -> String {
        let mut text = format!(
            "{} sets accepted, {} refused, {} without a solution\n",
            self.accepted, self.refused, self.unsolved
        );
        for (command, Runs { codes, slowest, spent, .. }) in &self.runs {
            let [done, unanswered, refused] = codes;
            text += &format!(
                "{command:12} {done:6} done {unanswered:6} no answer {refused:6} refused, {spent:.1?}, slowest {slowest:.2?}\n"
            );
        }
        text + &format!("{} runs done, most memory {:?} KiB", self.all(), most_memory())
    }
}

/// All that a run of the test needs.
struct Bench {
    maker: Maker,
    seeds: Seeds,
    checks: Checks,
    desk: Desk,
    dice: Dice,
    limit: Duration,
    started: Instant,
    tally: Tally,
}

impl Bench {
    fn new(name: &str, seed: u64, limit: Duration) -> Bench {
        let maker = Maker::new();
        Bench {
            seeds: Seeds::new(&maker.schema, SEED),
            desk: Desk::new(name, &maker),
            maker,
            checks: Checks::new(),
            dice: Dice::drawn(seed),
            limit,
            started: Instant::now(),
            tally: Tally::default(),
        }
    }

    /// A set changed `times`, solved on the way where it is to be sound, with the rounds it has behind it.
    fn changed(&mut self, times: usize, sound: bool) -> (Value, usize) {
        let (mut tree, rounds) = self.seeds.one(&mut self.dice);
        let scratch = self.desk.kept("scratch.yaml");
        let scratch = sound.then_some(scratch.as_str());
        let changes = Changes { maker: &self.maker, seeds: &self.seeds, scratch };
        for _ in 0..times {
            changes.change(&mut tree, &mut self.dice);
        }
        // few sets have readings by themselves
        if sound && self.dice.once_in(FOR_A_FIT) {
            changes.read_for_a_fit(&mut tree, &mut self.dice);
        }
        (tree, rounds)
    }

    /// What `check` says of a set; one that it accepts, as the subject of other commands.
    fn checked(&mut self, tree: &Value, text: String) -> Option<Subject> {
        let path = self.desk.kept("set.yaml");
        std::fs::write(&path, &text).unwrap();
        let said = accepted(&path);
        match said {
            Some(0) => self.tally.accepted += 1,
            Some(1) => self.tally.unsolved += 1,
            Some(2) => self.tally.refused += 1,
            other => self.tally.wrong.push(format!("check: {other:?}\n{text}")),
        }
        (said == Some(0)).then(|| Subject::new(path, tree, text))
    }

    /// One command on a set, or without one.
    fn ask(&mut self, command: &str, subject: Option<&Subject>) {
        if let Tried::Ran(run) = try_command(&self.desk, command, subject, &mut self.dice) {
            self.judge(*run, subject);
        }
    }

    /// Counts a run and looks what is wrong with it.
    fn judge(&mut self, mut run: Run, subject: Option<&Subject>) {
        // a slow one is tried again: the machine or other tests may have been busy
        for _ in 0..2 {
            if run.took > self.limit {
                let second = again(&self.desk, &run, subject);
                run.took = run.took.min(second.took);
            }
        }
        let runs = self.tally.runs.entry(run.args[0].clone()).or_default();
        runs.codes[usize::from(run.outcome.code.min(2))] += 1;
        if let Some(set) = subject.filter(|_| run.took > runs.slowest) {
            let folder = self.desk.file("");
            let asked = run.args.join(" ").replace(&set.path, "SET").replace(&folder, "FOLDER/");
            runs.slow = format!("# The slowest, {:.1?}.\n# asked: {asked}\n{}", run.took, set.text);
        }
        runs.slowest = runs.slowest.max(run.took);
        runs.spent += run.took;
        let mut faults = self.checks.faults(&run);
        if run.took > self.limit {
            faults.push(format!("it took {:.1?}", run.took));
        }
        faults.extend(self.of_changed_profiles(&run));
        self.told(&run, faults, subject);
    }

    /// Keeps what is wrong with a run, and shows it at once: the long run goes on.
    fn told(&mut self, run: &Run, faults: Vec<String>, subject: Option<&Subject>) {
        if !faults.is_empty() {
            let set = subject.map_or("", |s| &s.text);
            let faults = faults.join("\n  WRONG ");
            let told = format!("RUN {}\n  WRONG {faults}\n{set}", run.args.join(" "));
            println!("{told}");
            self.tally.wrong.push(told);
        }
    }

    /// A profile that a command wrote is one that `check` reads; guesses about an odd set need not have a solution.
    fn of_changed_profiles(&self, run: &Run) -> Vec<String> {
        let written = run.files.iter().filter(|(name, _)| name.ends_with(".yaml"));
        let mut list = Vec::new();
        for (name, text) in written {
            let path = self.desk.kept("scratch.yaml");
            std::fs::write(&path, text).unwrap();
            // of one that is new every figure is a guess: it need only be read
            let sound = match run.args[0].as_str() {
                "new" => Document::parse(name, text.as_bytes()).is_ok_and(|d| read(&d).is_ok()),
                _ => accepted(&path).is_some_and(|code| code < 2),
            };
            if !sound {
                list.push(format!("{name}, which it wrote, is not accepted:\n{text}"));
            }
        }
        list
    }

    /// Sets until enough was tried.
    fn run(&mut self, wanted: Wanted) {
        let (with, all) = (of_sets(&self.desk), all_commands(&self.desk));
        let without: Vec<String> =
            all.iter().filter(|c| !with.contains(c) || *c == "divider").cloned().collect();
        while self.tally.all() < wanted.runs || all.iter().any(|c| self.tally.of(c) < wanted.each) {
            let times = 1 + self.dice.below(4);
            let (tree, rounds) = self.changed(times, true);
            let text = serde_yaml::to_string(&tree).unwrap();
            let Some(subject) = self.checked(&tree, text) else { continue };
            if self.tally.accepted.is_multiple_of(TOLD) {
                println!("{:.0?}: {} runs done", self.started.elapsed(), self.tally.all());
            }
            // every command on a set with readings fits it first, which takes most of its time: such sets do not go on
            if !subject.readings {
                self.seeds.keep(tree, &subject.text, rounds + 1, &mut self.dice);
            }
            for _ in 0..ASKED {
                let one = self.next_for(&subject, &with);
                self.ask(&one, Some(&subject));
            }
            for _ in 0..ASKED {
                let one = without.iter().min_by_key(|c| self.tally.of(c)).unwrap();
                self.ask(one, None);
            }
        }
        println!("{:.0?}: {} runs done", self.started.elapsed(), self.tally.all());
        while self.tally.refused < wanted.refused {
            self.refuse(&with);
        }
    }

    /// What is asked next of a set: half of the time what lacks most runs.
    fn next_for(&mut self, subject: &Subject, with: &[String]) -> String {
        let apt = |c: &&String| match c.as_str() {
            "fit" => subject.readings,
            "divider" => !subject.dividers.is_empty(),
            _ => true,
        };
        let apt: Vec<&String> = with.iter().filter(apt).collect();
        match self.dice.once_in(2) {
            true => (*apt.iter().min_by_key(|c| self.tally.of(c)).unwrap()).clone(),
            false if subject.readings && self.dice.once_in(2) => "fit".to_owned(),
            false => (*self.dice.of(&apt)).clone(),
        }
    }

    /// A set of the corpus: what its head says was asked when it was kept, then every command.
    fn replay(&mut self, path: &str) {
        let text = std::fs::read_to_string(path).unwrap();
        let tree: Value = serde_yaml::from_str(&text).unwrap();
        let asked: Vec<String> =
            text.lines().filter_map(|l| l.strip_prefix("# asked: ")).map(str::to_owned).collect();
        let subject = self.checked(&tree, text).unwrap_or_else(|| panic!("{path} is not accepted"));
        for line in asked {
            let word = |word: &str| {
                word.replace("SET", &subject.path).replace("FOLDER/", &self.desk.file(""))
            };
            let args = line.split(' ').map(word).collect();
            let run = exactly(&self.desk, args, &subject);
            self.judge(run, Some(&subject));
        }
        for command in of_sets(&self.desk) {
            self.ask(&command, Some(&subject));
        }
    }

    /// A set changed so much that its profile most often is not read: that is told in words, by every command.
    fn refuse(&mut self, with: &[String]) {
        let times = 3 + self.dice.below(12);
        let (tree, _) = self.changed(times, false);
        let text = serde_yaml::to_string(&tree).unwrap();
        let Ok(document) = Document::parse("set.yaml", text.as_bytes()) else { return };
        let Ok(problems) = catch_unwind(|| read(&document).err()) else {
            self.tally.wrong.push(format!("reading panicked\n{text}"));
            return;
        };
        // one that is read is for the runs above
        let Some(problems) = problems else { return };
        self.tally.refused += 1;
        assert!(!problems.render().is_empty(), "{text}");
        if !self.dice.once_in(BY_COMMAND) {
            return;
        }
        let path = self.desk.kept("set.yaml");
        std::fs::write(&path, &text).unwrap();
        let subject = Subject { live: false, ..Subject::new(path, &tree, text) };
        let command = self.dice.of(with).clone();
        if let Tried::Ran(run) = try_command(&self.desk, &command, Some(&subject), &mut self.dice) {
            let mut faults = self.checks.faults(&run);
            // a list has a row for the other one
            if run.outcome.code != 2 {
                faults.push(format!("a refused profile, and exit code {}", run.outcome.code));
            }
            self.told(&run, faults, Some(&subject));
        }
    }
}

/// The hard ones: sets on which a fault was found, the slowest, and those that reached what others do not.
#[test]
fn the_corpus_is_answered_by_every_command() {
    let mut bench = Bench::new("fuzz-corpus", SEED, SLOWEST_SHARED);
    let files = yaml_files("tests/data/fuzz");
    files.iter().for_each(|path| bench.replay(path));
    let Tally { accepted, wrong, .. } = &bench.tally;
    println!("{}", bench.tally.table());
    assert!(wrong.is_empty(), "{} wrong\n{}", wrong.len(), wrong.join("\n\n"));
    assert!(*accepted == files.len() && files.len() > 12, "{accepted} of {}", files.len());
    // most are answered, not only refused
    assert!(bench.tally.all() > 6 * files.len(), "{}", bench.tally.table());
}

#[test]
fn every_command_answers_for_every_set_that_is_accepted() {
    let number = |name: &str| std::env::var(name).ok().and_then(|n| n.parse::<usize>().ok());
    let asked = number("MAINSFIT_FUZZ");
    let wanted = asked.map_or(ORDINARY, |n| Wanted { runs: n / 50, each: n / 1000, refused: n });
    let seed = number("MAINSFIT_FUZZ_SEED").map_or(SEED, |n| n as u64);
    let limit = if asked.is_some() { SLOWEST } else { SLOWEST_SHARED };
    let mut bench = Bench::new("fuzz-commands", seed, limit);
    bench.run(wanted);
    // candidates for the corpus
    if let Some(folder) = std::env::var_os("MAINSFIT_FUZZ_KEEP") {
        for (command, runs) in bench.tally.runs.iter().filter(|(_, runs)| !runs.slow.is_empty()) {
            let path = Path::new(&folder).join(format!("slow_{command}_{seed}.yaml"));
            std::fs::write(path, &runs.slow).unwrap();
        }
    }
    let Tally { accepted, refused, wrong, .. } = &bench.tally;
    println!("seed {seed}, {:.0?}: {}", bench.started.elapsed(), bench.tally.table());
    assert!(wrong.is_empty(), "{} wrong\n{}", wrong.len(), wrong.join("\n\n"));
    // neither all harmless nor all fatal
    assert!(*accepted * 10 > wanted.runs && *refused * 4 > *accepted, "{}", bench.tally.table());
    assert!(most_memory().is_none_or(|kib| kib < MOST_KIB), "{:?} KiB", most_memory());
}
