//! Files as they are read, and their names as they are shown.

use crate::text::printable;
use std::{
    fs::File,
    io::{self, ErrorKind, Read},
    path::{Path, PathBuf},
    sync::mpsc::{RecvTimeoutError, Sender, channel},
    thread,
    time::Duration,
};

/// Longest silence of a pipe or device. A shell's `<(…)` is a pipe, and what writes into it may take its time.
const PATIENCE: Duration = Duration::from_secs(10);
/// Bytes taken from a pipe at a time.
const PART: usize = 8192;

/// Reads a file, or standard input for `-`, up to just above `most` bytes. A pipe that stays silent is an error after
/// [`PATIENCE`].
pub(super) fn bytes_of(path: &Path, most: usize) -> io::Result<Vec<u8>> {
    let input: Box<dyn Read> = if path == Path::new("-") {
        Box::new(io::stdin())
    } else {
        // asked before it is opened: a pipe would wait for someone who writes
        let found = path.metadata()?;
        if found.is_dir() {
            return Err(ErrorKind::IsADirectory.into());
        }
        if !found.is_file() {
            return bytes_of_pipe(path, most);
        }
        Box::new(File::open(path)?)
    };
    let mut bytes = Vec::new();
    input.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Reads a pipe or device by a thread of its own, which is left behind where nothing comes.
fn bytes_of_pipe(path: &Path, most: usize) -> io::Result<Vec<u8>> {
    let (send, parts) = channel();
    let path = path.to_owned();
    thread::spawn(move || passed_on(&path, &send));
    let mut bytes = Vec::new();
    while bytes.len() <= most {
        match parts.recv_timeout(PATIENCE) {
            Ok(part) => bytes.extend(part?),
            Err(RecvTimeoutError::Timeout) => return Err(ErrorKind::TimedOut.into()),
            Err(RecvTimeoutError::Disconnected) => break,
        }
    }
    bytes.truncate(most + 1);
    Ok(bytes)
}

/// Sends on what can be read, until the end, an error, or nobody listens.
fn passed_on(path: &Path, parts: &Sender<io::Result<Vec<u8>>>) {
    let mut part = [0; PART];
    let mut file = match File::open(path) {
        Ok(file) => file,
        Err(error) => return drop(parts.send(Err(error))),
    };
    loop {
        let sent = match file.read(&mut part) {
            Ok(0) => return,
            Ok(n) => parts.send(Ok(part[..n].to_vec())),
            Err(error) if error.kind() == ErrorKind::Interrupted => continue,
            Err(error) => return drop(parts.send(Err(error))),
        };
        if sent.is_err() {
            return;
        }
    }
}

/// Names of the files beside `path`, of the folder it names.
pub(super) fn beside(path: &Path) -> Vec<String> {
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
    };
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    entries.filter_map(|entry| entry.file_name().into_string().ok()).collect()
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
        format!("'{}'", printable(name).replace('\'', "'\\''"))
    }
}
