//! Writes a file whole or not at all.

use crate::api::typed::shown;
use std::{
    io::Write,
    path::{Path, PathBuf},
};
use thiserror::Error;

/// Why a file was not written. Nothing is left behind, and a file that was there is as it was.
#[derive(Debug, Error)]
pub enum SaveError {
    /// There is a file of that name, and `force` was not given.
    #[error("{}: there is a file of that name, and it is kept", shown(.0))]
    Exists(PathBuf),
    /// The path names a folder or something else that is no file.
    #[error("{}: it is not a file", shown(.0))]
    NotAFile(PathBuf),
    /// The file may not be written to, whoever owns its folder.
    #[error("{}: it is write-protected, and it is kept", shown(.0))]
    Protected(PathBuf),
    /// The folder is missing.
    #[error("{}: there is no folder {}", shown(.0), shown(.1))]
    NoFolder(PathBuf, PathBuf),
    /// The system refuses.
    #[error("{}: cannot be written: {}", shown(.0), .1)]
    Refused(PathBuf, String),
}

impl SaveError {
    /// What to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            SaveError::Exists(_) => "give another name or add --force",
            SaveError::NotAFile(_) => "give the name of a file, such as sweep.svg",
            SaveError::Protected(_) => {
                "give another name, or take the write protection off the file first"
            }
            SaveError::NoFolder(..) => "make the folder first, or give one that is there",
            SaveError::Refused(..) => {
                "give a name in a folder you may write to, on a disk with room"
            }
        }
    }
}

/// Writes `contents` to `path`: to a temporary file beside it, which then takes its name. A new file gets the
/// usual permissions, a file that is replaced keeps its own. A link is followed where `force` is given; a write-protected file
/// is kept even then.
///
/// # Errors
/// A file of that name without `force`, no such folder, not a file, or refused by the system.
pub fn save(path: &Path, contents: &str, force: bool) -> Result<(), SaveError> {
    let refused = |error: std::io::Error| SaveError::Refused(path.to_owned(), cause(&error));
    let slash = path.as_os_str().as_encoded_bytes().ends_with(b"/");
    let found = std::fs::metadata(path).ok();
    if slash || path.file_name().is_none() || found.as_ref().is_some_and(|f| !f.is_file()) {
        return Err(SaveError::NotAFile(path.to_owned()));
    }
    if found.is_some() && !force {
        return Err(SaveError::Exists(path.to_owned()));
    }
    // one system lets the owner of the folder replace such a file, another does not
    if found.as_ref().is_some_and(|f| f.permissions().readonly()) {
        return Err(SaveError::Protected(path.to_owned()));
    }
    let target = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    if !folder.is_dir() {
        return Err(SaveError::NoFolder(path.to_owned(), folder.to_owned()));
    }
    let mut builder = tempfile::Builder::new();
    builder.prefix(".mainsfit-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // less what the umask takes away
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder).map_err(refused)?;
    file.write_all(contents.as_bytes()).map_err(refused)?;
    if let Some(found) = found {
        file.as_file().set_permissions(found.permissions()).map_err(refused)?;
    }
    file.as_file().sync_all().map_err(refused)?;
    if force {
        return file.persist(&target).map(|_| ()).map_err(|e| refused(e.error));
    }
    // a file that came up meanwhile is kept as well
    file.persist_noclobber(&target).map(|_| ()).map_err(|e| match e.error.kind() {
        std::io::ErrorKind::AlreadyExists => SaveError::Exists(path.to_owned()),
        _ => refused(e.error),
    })
}

/// What the system says, without the name of the temporary file in which it said so.
fn cause(error: &std::io::Error) -> String {
    let text = error.to_string();
    text.split_once(" at path ").map_or(text.clone(), |(cause, _)| cause.to_owned())
}

/// Writes several files, all or none: where one is refused, those before it that are new go again.
///
/// # Errors
/// As [`save`], of the first that is refused.
pub fn save_all(files: &[(PathBuf, String)], force: bool) -> Result<(), SaveError> {
    let mut new = Vec::new();
    for (path, contents) in files {
        let there = path.exists();
        if let Err(error) = save(path, contents, force) {
            for path in new {
                // what is refused is told; a file that will not go is not worse than that
                let _ = std::fs::remove_file(path);
            }
            return Err(error);
        }
        if !there {
            new.push(path);
        }
    }
    Ok(())
}
