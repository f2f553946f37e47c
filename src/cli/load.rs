//! Reads a profile from a file or from standard input.

use super::{Failure, Result};
use crate::{
    profile::{self, Document, MAX_BYTES, Problems, Profile},
    study::{self, StudyError},
};
use sha2::{Digest, Sha256};
use std::{
    fs::File,
    io::{self, Read},
    path::Path,
};

/// A profile with the document it came from.
pub struct Loaded {
    pub document: Document,
    pub profile: Profile,
    pub oddities: Problems,
    /// The file as text; what is no UTF-8 is marked.
    pub text: String,
    /// SHA-256 of the file's bytes, hexadecimal.
    pub digest: String,
}

/// Reads and validates a profile.
pub fn load(path: &Path) -> Result<Loaded> {
    let name = path.display().to_string();
    let bytes = read_bytes(path).map_err(|error| Failure::unread(&name, &error))?;
    let document = Document::parse(&name, &bytes)?;
    let (profile, oddities) = profile::read(&document)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    Ok(Loaded {
        document,
        profile,
        oddities,
        text,
        digest: format!("{:x}", Sha256::digest(&bytes)),
    })
}

/// Reads a file, or standard input for `-`, up to just above what a profile may have.
fn read_bytes(path: &Path) -> io::Result<Vec<u8>> {
    let input: Box<dyn Read> = if path == Path::new("-") {
        Box::new(io::stdin())
    } else {
        let file = File::open(path)?;
        if !file.metadata()?.is_file() {
            return Err(io::Error::other("it is not a regular file"));
        }
        Box::new(file)
    };
    let mut bytes = Vec::new();
    input.take(MAX_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

impl Loaded {
    /// What a study found; its error placed in this profile, below what heads every screen of the set.
    pub fn answer<T>(&self, found: std::result::Result<T, impl Into<StudyError>>) -> Result<T> {
        found.map_err(|error| {
            let error = error.into();
            let known = match error.alarms() {
                [] => study::set_alarms(&self.profile),
                alarms => alarms.to_vec(),
            };
            Failure::from((&self.document, error)).below(&known)
        })
    }

    /// What the reader found odd, a line each.
    pub fn warnings(&self) -> Vec<String> {
        let place = |(line, _)| format!("line {line}: ");
        self.oddities
            .items()
            .iter()
            .map(|p| p.place.map_or(String::new(), place) + &p.found)
            .collect()
    }
}
