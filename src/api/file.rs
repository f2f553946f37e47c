//! Files as they are read, and their names as they are shown.

use std::{
    fs::File,
    io::{self, Read},
    path::Path,
};

/// Reads a file, or standard input for `-`, up to just above `most` bytes.
pub(super) fn bytes_of(path: &Path, most: usize) -> io::Result<Vec<u8>> {
    let input: Box<dyn Read> = if path == Path::new("-") {
        Box::new(io::stdin())
    } else {
        // asked before it is opened: a pipe would wait for someone who writes
        if !path.metadata()?.is_file() {
            return Err(io::Error::other("it is not a regular file"));
        }
        Box::new(File::open(path)?)
    };
    let mut bytes = Vec::new();
    input.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The name of a file without its folder.
pub(super) fn name(path: &Path) -> String {
    path.file_name().map_or("-".into(), |name| name.to_string_lossy()).into_owned()
}

/// A name as a shell takes it.
pub(super) fn quoted(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "-_.+".contains(c);
    if name.chars().all(plain) {
        name.to_owned()
    } else {
        format!("'{}'", name.replace('\'', "'\\''"))
    }
}
