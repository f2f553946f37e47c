//! Where a sheet comes from: the profile, by name and digest, and the command that makes it again.

use super::page::{Block, fine};
use crate::text::cut;

/// How a note came to be, so that it can be made again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// The profile's file name, without folders.
    pub file: String,
    /// SHA-256 of the profile's bytes, hexadecimal.
    pub digest: String,
    /// The command that writes the note again.
    pub command: String,
}

/// What stands at the foot of each sheet: the set, and the profile that it is from.
pub fn foot(name: &str, origin: &Origin) -> Block {
    let name = cut(name, LONGEST_NAME, &|text| text.chars().count() as f64);
    Block::Foot(format!("{name} · {} {}", origin.file, digest(origin)))
}

/// Characters of a set's name that the foot of a sheet has room for.
const LONGEST_NAME: f64 = 60.0;

/// Digits of the digest that are printed: 64 bits tell one profile from another.
const DIGEST: usize = 16;

/// As much of the profile's digest as is printed.
pub fn digest(origin: &Origin) -> String {
    origin.digest.chars().take(DIGEST).collect()
}

/// The last line of a sheet: how it came to be.
pub fn made_by(version: &str, origin: &Origin) -> Block {
    fine(format!(
        "Written by mainsfit {version} from the profile {} (SHA-256 begins {}); again with: {}",
        origin.file,
        digest(origin),
        origin.command
    ))
}
