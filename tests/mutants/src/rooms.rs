//! The rooms of the source from which mutants are drawn in equal parts.

use crate::points::{self, Point};
use anyhow::{Context, Result};
use std::fs;
use std::path::Path;

/// A room: a name, and the files or folders below `src` that are in it.
pub struct Room {
    pub name: &'static str,
    within: &'static [&'static str],
}

/// All of them, in the order of the table.
pub const ROOMS: [Room; 7] = [
    Room { name: "circuit", within: &["circuit"] },
    Room { name: "receiver", within: &["receiver"] },
    Room { name: "faults", within: &["study/faults.rs", "study/burning.rs", "study/behind.rs"] },
    Room {
        name: "fuse",
        within: &[
            "study/fuse.rs",
            "study/cold_start.rs",
            "study/surge.rs",
            "study/switch_on.rs",
            "catalogue/stock/fuse.rs",
        ],
    },
    Room {
        name: "rating",
        within: &[
            "study/rating.rs",
            "study/sized.rs",
            "adaptation/shelf.rs",
            "adaptation/resistor.rs",
            "adaptation/part.rs",
            "adaptation/bought.rs",
        ],
    },
    Room {
        name: "verdict",
        within: &[
            "study/verdict",
            "study/against.rs",
            "study/objection.rs",
            "study/objection",
            "study/flags.rs",
            "study/judge.rs",
        ],
    },
    Room { name: "cautions", within: &["study/caution", "study/alarms.rs", "study/offered.rs"] },
];

/// Every point of a room at which something can be changed, in the order of files and lines.
pub fn points(root: &Path, room: &Room) -> Result<Vec<Point>> {
    let mut files = Vec::new();
    for within in room.within {
        sources(&root.join("src").join(within), &mut files)?;
    }
    let mut found = Vec::new();
    for file in files {
        let name = file.strip_prefix(root)?.to_str().context("a name that is no text")?.to_owned();
        let text = fs::read_to_string(&file).with_context(|| name.clone())?;
        found.extend(points::of_file(room.name, &name, &text).with_context(|| name.clone())?);
    }
    Ok(found)
}

/// Source files at `path`, those of tests left out.
fn sources(path: &Path, files: &mut Vec<std::path::PathBuf>) -> Result<()> {
    let name = path.file_name().and_then(|n| n.to_str()).unwrap_or_default();
    if path.is_dir() {
        let mut inside = fs::read_dir(path)?
            .map(|entry| entry.map(|e| e.path()))
            .collect::<std::io::Result<Vec<_>>>()?;
        inside.sort();
        if name != "tests" {
            inside.iter().try_for_each(|p| sources(p, files))?;
        }
    } else if name.ends_with(".rs") && name != "tests.rs" && !name.ends_with("_tests.rs") {
        anyhow::ensure!(path.is_file(), "{} is not there", path.display());
        files.push(path.to_owned());
    }
    Ok(())
}
