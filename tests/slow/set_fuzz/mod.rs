//! Sets as a person might write them, changed by their structure, and every command run on those that `check` accepts.
//!
//! What a profile may hold is read from its own schema (`mainsfit schema profile`), what a command may be asked from the
//! command line's own definitions: a new key, word or option is tried by itself. Every decision is taken from [`Dice`],
//! drawn from a seed or read from bytes, so that a coverage-guided engine can steer them (`tests/fuzz`).

mod changes;
mod checks;
mod clock;
mod commands;
mod dice;
mod figures;
mod generate;
mod options;
#[cfg(test)]
mod planted;
mod readings;
mod schema;
mod seeds;

pub use changes::Changes;
pub use checks::{Checks, Run};
pub use clock::{Watch, most_memory};
pub use commands::{
    Desk, Subject, Tried, accepted, again, all_commands, exactly, of_sets, try_command,
};
pub use dice::Dice;
pub use generate::Maker;
pub use seeds::Seeds;
