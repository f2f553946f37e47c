//! Every command in this process, on a set or without one.

use super::{Dice, Watch, checks::Run, figures::Figure, generate::Maker, options::Options};
use crate::harness::{printed, run_on_screen};
use clap::{Command, CommandFactory};
use mainsfit::cli::{Cli, Outcome, Screen};
use serde_yaml::Value;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;

/// Commands that are asked something without a set.
const WITHOUT: [&str; 7] = ["new", "tubes", "explain", "example", "schema", "completions", "man"];
/// Files that are not what a command wrote.
const OWN: [&str; 3] = ["set.yaml", "scratch.yaml", "log.csv"];
/// Draws until the command line takes what was drawn: some options do not go together.
const TRIES: usize = 12;

/// A set that `check` accepted, in a file.
pub struct Subject {
    /// The file.
    pub path: String,
    /// What stands in it.
    pub text: String,
    /// Its design line, V.
    pub line_v: f64,
    /// Whether its chassis is on the line.
    pub live: bool,
    /// Names of its dividers.
    pub dividers: Vec<String>,
    /// Whether there is something to fit to.
    pub readings: bool,
    /// Whether its heaters are in series on the line.
    pub string: bool,
}

/// Where files stand, and words to ask for.
pub struct Desk {
    folder: PathBuf,
    /// Types of the catalogue.
    pub types: Vec<String>,
    /// Terms, choices and keys.
    pub words: Vec<String>,
    /// Profiles that the program holds.
    pub examples: Vec<String>,
    /// Ranges of outlets.
    pub ranges: Vec<String>,
    /// All commands.
    pub commands: Vec<String>,
    program: Command,
}

/// What came of a command.
pub enum Tried {
    /// It ran.
    Ran(Box<Run>),
    /// The command line was not taken.
    NotTaken,
}

/// The design line of a set, V; a usual one where it is not to be read.
pub fn line_of(tree: &Value) -> f64 {
    let written = tree.get("set").and_then(|set| set.get("design_line"));
    let figure = written.and_then(Value::as_str).and_then(Figure::of);
    let volts = figure.map_or(117.0, |f| match f.unit {
        "kV" => 1e3 * f.number,
        "mV" => 1e-3 * f.number,
        _ => f.number,
    });
    volts.clamp(20.0, 500.0)
}

impl Subject {
    /// The set of a tree, whose text stands in `path`.
    pub fn new(path: String, tree: &Value, text: String) -> Subject {
        let string = tree.get("heater_string").is_some();
        let kind = tree.get("transformer").and_then(|t| t.get("kind")).and_then(Value::as_str);
        let dividers = tree.get("dividers").and_then(Value::as_mapping);
        let readings = tree.get("readings").and_then(Value::as_sequence);
        Subject {
            path,
            text,
            line_v: line_of(tree),
            live: string || kind == Some("autotransformer"),
            dividers: dividers.map_or_else(Vec::new, |d| {
                d.keys().filter_map(Value::as_str).map(str::to_owned).collect()
            }),
            string,
            readings: readings.is_some_and(|list| !list.is_empty()),
        }
    }
}

impl Desk {
    /// A folder of its own by this name.
    pub fn new(name: &str, maker: &Maker) -> Desk {
        let folder = std::env::temp_dir().join(format!("mainsfit-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let mut program = Cli::command();
        program.build();
        let told = printed(&["explain"]);
        // keys stand behind bullets, terms and choices between semicolons
        let words: Vec<String> = crate::harness::flat(&told)
            .split([';', '•'])
            .filter_map(|piece| piece.split(':').next())
            .map(|word| word.trim().to_owned())
            .filter(|word| !word.is_empty() && word.len() < 60)
            .collect();
        let names = |list: &str| -> Vec<String> {
            let rows = list.lines().filter_map(|l| l.strip_prefix("• ")?.split(':').next());
            rows.map(str::to_owned).collect()
        };
        let ranges = maker.schema.definitions().find(|d| d.name == "RangeName").unwrap();
        let ranges = maker.schema.forms(ranges.node);
        Desk {
            folder,
            types: maker.types.clone(),
            words,
            examples: names(&printed(&["example"])),
            ranges: ranges
                .iter()
                .filter_map(|f| f.node["const"].as_str())
                .map(str::to_owned)
                .collect(),
            commands: program.get_subcommands().map(|c| c.get_name().to_owned()).collect(),
            program,
        }
    }

    /// A file that a command may write.
    pub fn file(&self, name: &str) -> String {
        self.folder.join(name).to_str().unwrap().to_owned()
    }

    /// A file that is none of what commands write.
    pub fn kept(&self, name: &str) -> String {
        assert!(OWN.contains(&name));
        self.file(name)
    }

    /// What commands have written, taken away.
    fn written(&self) -> Vec<(String, String)> {
        let mut list = Vec::new();
        for entry in std::fs::read_dir(&self.folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            if !OWN.contains(&name.as_str()) {
                list.push((name, std::fs::read_to_string(&path).unwrap()));
                std::fs::remove_file(&path).unwrap();
            }
        }
        list.sort();
        list
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// All commands, as the command line has them.
pub fn all_commands(desk: &Desk) -> Vec<String> {
    desk.commands.iter().filter(|c| *c != "help").cloned().collect()
}

/// Those that are asked about a set.
pub fn of_sets(desk: &Desk) -> Vec<String> {
    let mut list = all_commands(desk);
    list.retain(|name| !WITHOUT.contains(&name.as_str()));
    list
}

/// What `check` said of a set: accepted, refused, or not to be solved; `None` where it panicked.
pub fn accepted(path: &str) -> Option<u8> {
    catch_unwind(|| crate::harness::mainsfit(&["check", path]).code).ok()
}

/// Runs a command with options drawn for it.
pub fn try_command(desk: &Desk, name: &str, subject: Option<&Subject>, dice: &mut Dice) -> Tried {
    let command = desk.program.find_subcommand(name).unwrap();
    let options = Options { desk, subject, command };
    let columns = *dice.of(&[96, 80, 60, 40, 132, 200]);
    let screen = Screen { columns, ..Screen::PAGE };
    for _ in 0..TRIES {
        let mut args = vec![name.to_owned()];
        args.extend(options.draw(dice));
        let line = std::iter::once("mainsfit".to_owned()).chain(args.clone());
        if desk.program.clone().try_get_matches_from(line).is_ok() {
            return Tried::Ran(Box::new(run(desk, args, screen, subject)));
        }
    }
    Tried::NotTaken
}

/// The same once more.
pub fn again(desk: &Desk, run: &Run, subject: Option<&Subject>) -> Run {
    self::run(desk, run.args.clone(), run.screen, subject)
}

/// A command as it was typed once.
pub fn exactly(desk: &Desk, args: Vec<String>, subject: &Subject) -> Run {
    run(desk, args, Screen::PAGE, Some(subject))
}

/// Runs it once and looks what it wrote.
fn run(desk: &Desk, args: Vec<String>, screen: Screen, subject: Option<&Subject>) -> Run {
    let watch = Watch::start();
    let ran = catch_unwind(AssertUnwindSafe(|| run_on_screen(args.clone(), screen)));
    let took = watch.spent();
    let panicked = ran.is_err();
    let empty = || Outcome { out: String::new(), err: String::new(), code: 0 };
    let outcome = ran.unwrap_or_else(|_| empty());
    Run {
        of_set: subject.is_some(),
        live: subject.is_some_and(|s| s.live),
        outcome,
        panicked,
        took,
        screen,
        files: desk.written(),
        args,
    }
}
