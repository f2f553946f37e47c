//! The table of measures and that of limits, against the sets that have every key of a profile.

use super::super::limit::Limited;
use super::super::limits::{self, read};
use super::super::reading::Reading;
use super::{Measure, ROWS};
use crate::profile::{self, Document};
use crate::receiver::{Model, Receiver, Straight, complete};

/// Each set solved on its own line and on four fifths of it.
fn sets() -> impl Iterator<Item = (Model, [Reading; 2])> {
    let texts = [
        include_str!("../../../tests/data/every_key/first.yaml"),
        include_str!("../../../tests/data/every_key/second.yaml"),
        include_str!("../../../tests/data/every_key/third.yaml"),
        include_str!("../../../tests/data/every_key/fourth.yaml"),
        include_str!("../../../tests/data/every_key/fifth.yaml"),
        include_str!("../../../tests/data/every_key/sixth.yaml"),
        include_str!("../../../tests/data/every_key/seventh.yaml"),
        include_str!("../../../tests/data/every_key/eighth.yaml"),
        include_str!("../../../tests/data/every_key/ninth.yaml"),
        include_str!("../../../tests/data/every_key/tenth.yaml"),
        include_str!("../../../tests/data/every_key/eleventh.yaml"),
        include_str!("../../../tests/data/every_key/twelfth.yaml"),
    ];
    texts.into_iter().map(|text| {
        let document = Document::parse("set", text.as_bytes()).unwrap();
        let (model, _) = complete(&profile::read(&document).unwrap().0).unwrap();
        let line = model.design_line;
        let receiver = Receiver::new(model, None).unwrap();
        let low = receiver.run(0.8 * line, &Straight, None).unwrap();
        let readings = [read(&receiver, receiver.at_design()), read(&receiver, &low)];
        (receiver.model().clone(), readings)
    })
}

#[test]
fn every_row_stands_where_its_name_looks_for_it() {
    for (place, row) in ROWS.iter().enumerate() {
        assert_eq!(row.what as usize, place, "{:?}", row.what);
    }
}

#[test]
fn every_measure_is_one_of_some_set() {
    let seen: Vec<Measure> = sets().flat_map(|(_, [design, _])| Measure::all(&design)).collect();
    for row in ROWS {
        assert!(seen.iter().any(|m| m.what == row.what), "{:?}", row.what);
    }
}

/// Each limit is one of some set; no two of a set are the same. The core's flux is one wherever there is a core.
#[test]
fn every_limit_is_one_of_some_set() {
    let mut seen = Vec::new();
    for (model, readings) in sets() {
        for list in readings.iter().map(|r| &r.limits) {
            for (i, limit) in list.iter().enumerate() {
                assert!(list[..i].iter().all(|l| !l.is(limit)), "{}: {}", model.name, limit.name);
            }
            seen.extend(list.iter().map(|l| l.what));
        }
        for list in readings.iter().map(|r| &r.limits) {
            let flux = list.iter().filter(|l| l.what == Limited::Flux).count();
            assert_eq!(flux, usize::from(model.string.is_none()), "{}", model.name);
        }
    }
    for row in limits::ROWS.iter() {
        assert!(seen.contains(&row.0), "{:?}", row.0);
    }
}
