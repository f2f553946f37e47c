//! The table of measures and that of limits, against the sets of the tests.

use super::super::limits::{self, Limited, limits};
use super::super::reading::{Reading, read};
use super::{Measure, ROWS};
use crate::profile::{self, Document};
use crate::receiver::{Model, Receiver, Straight, complete};

/// Every set that is shipped or has every key of a profile, on its own line and on four fifths of it.
fn sets() -> Vec<(String, Model, [Reading; 2])> {
    let folders = ["profiles", "tests/data/every_key"].map(|f| std::fs::read_dir(f).unwrap());
    let paths = folders.into_iter().flatten().map(|entry| entry.unwrap().path());
    paths
        .filter(|path| path.extension().is_some_and(|e| e == "yaml"))
        .map(|path| {
            let document = Document::parse("", &std::fs::read(&path).unwrap()).unwrap();
            let (model, _) = complete(&profile::read(&document).unwrap().0).unwrap();
            let line = model.design_line;
            let receiver = Receiver::new(model, None).unwrap();
            let low = receiver.run(0.8 * line, &Straight, None).unwrap();
            let readings = [read(&receiver, receiver.at_design()), read(&receiver, &low)];
            (path.display().to_string(), receiver.model().clone(), readings)
        })
        .collect()
}

#[test]
fn every_row_stands_where_its_name_looks_for_it() {
    for (place, row) in ROWS.iter().enumerate() {
        assert_eq!(row.what as usize, place, "{:?}", row.what);
    }
}

/// A key is that of one measure of a set and finds it again; each measure is one of some set.
#[test]
fn a_key_finds_its_measure() {
    let mut seen = Vec::new();
    for (name, _, readings) in sets() {
        for reading in readings {
            let all = Measure::all(&reading);
            for measure in &all {
                let key = measure.key(&reading);
                assert_eq!(Measure::find(&reading, &key), Some(*measure), "{name}: {key}");
                let alike = all.iter().filter(|m| m.key(&reading) == key).count();
                assert_eq!(alike, 1, "{name}: {key}");
            }
            assert_eq!(Measure::find(&reading, "V1"), None, "{name}");
            seen.extend(all);
        }
    }
    for row in &ROWS {
        assert!(seen.iter().any(|m| m.what == row.what), "{:?}", row.what);
    }
}

/// Each limit is one of some set; two of one owner are never the same. The core's flux is a limit only on a frequency
/// that the set was not made for.
#[test]
fn every_limit_is_one_of_some_set() {
    let mut seen = Vec::new();
    for (name, mut model, readings) in sets() {
        for reading in &readings {
            for (i, limit) in reading.limits.iter().enumerate() {
                assert!(!reading.limits[..i].iter().any(|l| l.is(limit)), "{name}: {}", limit.name);
            }
            seen.extend(reading.limits.iter().map(|l| l.what));
        }
        assert!(!seen.contains(&Limited::Flux), "{name}");
        model.frequency *= 5.0 / 6.0;
        let flux = limits(&model, &readings[0]).into_iter().filter(|l| l.what == Limited::Flux);
        let expected = usize::from(model.string.is_none());
        assert_eq!(flux.count(), expected, "{name}");
    }
    for row in limits::ROWS.iter().filter(|row| row.0 != Limited::Flux) {
        assert!(seen.contains(&row.0), "{:?}", row.0);
    }
}
