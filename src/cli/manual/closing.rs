//! The sections at the end of the manual page.

use crate::cli::{Exit, environment::Variable};
use clap_mangen::roff::{Inline, Roff, bold, roman};

/// What the program reads and writes.
const FILES: [(&str, &str); 5] = [
    (
        "`FILE`",
        "the profile of a set, in YAML; `-` reads standard input. `mainsfit new` writes one to fill in, `mainsfit explain` tells its keys, and `mainsfit check` says what is wrong in it.",
    ),
    (
        "`NAME.yaml`",
        "a profile that comes with the program: `mainsfit example` lists them, and `mainsfit example NAME -o NAME.yaml` writes one.",
    ),
    (
        "`-o FILE`, `--svg PATH`",
        "what a command writes. It is written whole or not at all. A file that is there is kept unless `--force` is given; one that is read or write-protected is kept even then.",
    ),
    (
        "`NAME-fitted.yaml`",
        "the calibrated profile that `mainsfit fit NAME.yaml --write` writes beside the original.",
    ),
    (
        "`mainsfit/shop.yaml`",
        "the defaults of the shop, in the folder that the system has for such files: `$XDG_CONFIG_HOME` or `~/.config` on Linux and macOS, `%APPDATA%` on Windows.",
    ),
];
/// What it does not.
const NO_OTHER: &str =
    "The program reads no other file and uses no network: catalogue and stock lists are built in.";

/// What one does one after the other, and the commands.
const EXAMPLES: [(&str, &str); 7] = [
    (
        "Take a profile that comes with the program:",
        "mainsfit example console-1936 -o console-1936.yaml",
    ),
    ("Compare what could stand in its line cord:", "mainsfit plan console-1936.yaml --line 124V"),
    ("Read two parts of that plan alone:", "mainsfit plan console-1936.yaml --show heat,faults"),
    (
        "Write the sheet that stays in the cabinet:",
        "mainsfit note console-1936.yaml -o console-note.html",
    ),
    (
        "Give B+ and heaters to a spreadsheet:",
        "mainsfit sweep console-1936.yaml --show B+,heater.main --format csv",
    ),
    (
        "Begin a profile of another set:",
        "mainsfit new --design-line 117V --tubes 12SA7,12SK7,12SQ7,50L6GT,35Z5GT -o myset.yaml",
    ),
    ("See what is wrong in it, and what a plan will assume:", "mainsfit check myset.yaml"),
];

/// All of them, in the order that is usual.
pub fn all() -> [Roff; 4] {
    [exit_status(), environment(), files(), examples()]
}

/// The exit codes.
pub fn exit_status() -> Roff {
    let mut roff = headed("EXIT STATUS");
    for (exit, words) in Exit::ALL {
        entry(&mut roff, &format!("`{}`", exit.code()), words);
    }
    roff.control("PP", []);
    roff.text(marked(Exit::OF_A_LIST));
    roff
}

/// The variables that the program reads.
fn environment() -> Roff {
    let mut roff = headed("ENVIRONMENT");
    for Variable { name, effect } in Variable::ALL {
        entry(&mut roff, &format!("`{name}`"), effect);
    }
    roff
}

fn files() -> Roff {
    let mut roff = headed("FILES");
    for (name, words) in FILES {
        entry(&mut roff, name, words);
    }
    roff.control("PP", []);
    roff.text([roman(NO_OTHER)]);
    roff
}

fn examples() -> Roff {
    let mut roff = headed("EXAMPLES");
    for (at, (words, command)) in EXAMPLES.into_iter().enumerate() {
        if at > 0 {
            roff.control("PP", []);
        }
        roff.text([roman(words)]);
        roff.control("RS", []);
        roff.text([bold(command)]);
        roff.control("RE", []);
    }
    roff
}

fn headed(title: &str) -> Roff {
    let mut roff = Roff::new();
    roff.control("SH", [title]);
    roff
}

/// A term and what it means.
fn entry(roff: &mut Roff, term: &str, means: &str) {
    roff.control("TP", []);
    roff.text(marked(term));
    roff.text(marked(means));
}

/// Text in which code stands between backticks.
fn marked(text: &str) -> Vec<Inline> {
    let pieces = text.split('`').enumerate().filter(|(_, piece)| !piece.is_empty());
    pieces.map(|(at, piece)| if at % 2 == 1 { bold(piece) } else { roman(piece) }).collect()
}
