//! A coverage-guided run of what `tests/slow/fuzz_commands.rs` draws by chance: libFuzzer's bytes are the decisions by which
//! a set is changed and a command is asked. DEVELOPERS.md says how it is built and run; nothing of it is in the package.
//!
//! `MAINSFIT_FUZZ_WRITE=folder` writes each set that `check` accepts, by the name of libFuzzer's own file for its bytes.
#![no_main]
#![allow(dead_code, unused_imports, missing_docs)]

#[path = "../suite/finite.rs"]
mod finite;
#[path = "../suite/harness.rs"]
mod harness;
#[path = "../slow/html_valid.rs"]
mod html_valid;
#[path = "../slow/random_sets.rs"]
mod random_sets;
#[path = "../slow/random_topologies.rs"]
mod random_topologies;
#[path = "../slow/set_fuzz/mod.rs"]
mod set_fuzz;

use libfuzzer_sys::fuzz_target;
use set_fuzz::{
    Changes, Checks, Desk, Dice, Maker, Seeds, Subject, Tried, accepted, of_sets, try_command,
};
use std::sync::LazyLock;
use std::time::Duration;

/// Longest time of a run: what counts coverage is some times slower.
const SLOWEST: Duration = Duration::from_secs(60);

struct Bench {
    maker: Maker,
    seeds: Seeds,
    checks: Checks,
    desk: Desk,
    commands: Vec<String>,
}

static BENCH: LazyLock<Bench> = LazyLock::new(|| {
    // the files of the crate are named from its top folder
    assert!(std::path::Path::new("profiles").is_dir(), "run it in the top folder");
    let maker = Maker::new();
    let desk = Desk::new("guided", &maker);
    Bench {
        seeds: Seeds::new(&maker.schema, 1936),
        checks: Checks::new(),
        commands: of_sets(&desk),
        desk,
        maker,
    }
});

fuzz_target!(|bytes: &[u8]| {
    let Bench { maker, seeds, checks, desk, commands } = &*BENCH;
    let mut dice = Dice::read(bytes);
    // what is asked first, so that changes to the set may grow behind it
    let command = dice.of(commands).clone();
    let mut tree = seeds.first(&mut dice).clone();
    let changes = Changes { maker, seeds, scratch: None };
    for _ in 0..dice.below(6) {
        changes.change(&mut tree, &mut dice);
    }
    let path = desk.kept("set.yaml");
    let text = serde_yaml::to_string(&tree).unwrap();
    std::fs::write(&path, &text).unwrap();
    let code = accepted(&path);
    assert!(code.is_some_and(|code| code <= 2), "check: {code:?}\n{text}");
    if code != Some(0) {
        return;
    }
    let subject = Subject::new(path, &tree, text);
    if let Some(folder) = std::env::var_os("MAINSFIT_FUZZ_WRITE") {
        let mut name = std::hash::DefaultHasher::new();
        std::hash::Hash::hash(bytes, &mut name);
        let name = format!("{:016x}.yaml", std::hash::Hasher::finish(&name));
        std::fs::write(std::path::Path::new(&folder).join(name), &subject.text).unwrap();
    }
    if let Tried::Ran(run) = try_command(desk, &command, Some(&subject), &mut dice) {
        let mut faults = checks.faults(&run);
        if run.took > SLOWEST {
            faults.push(format!("it took {:.1?}", run.took));
        }
        assert!(
            faults.is_empty(),
            "{}\n{}\n{}",
            run.args.join(" "),
            faults.join("\n"),
            subject.text
        );
    }
});
