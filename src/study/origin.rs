//! Where a sheet comes from.

use crate::profile::Paper;

/// How a note came to be, so that it can be made again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// The profile's file name, without folders.
    pub file: String,
    /// SHA-256 of the profile's bytes, hexadecimal.
    pub digest: String,
    /// The command that writes the note again.
    pub command: String,
    /// The paper that sheets are for; none where they are to fit all.
    pub paper: Option<Paper>,
}
