//! Quantities of a reading by their keys.

use super::as_read::every_model;
use mainsfit::receiver::Receiver;
use mainsfit::study::{Measure, read};

/// A key is that of one measure of a set, and finds it again.
#[test]
fn a_key_finds_its_measure() {
    for (path, model, _) in every_model() {
        let receiver = Receiver::new(model, None).unwrap();
        let reading = read(&receiver, receiver.at_design());
        let all = Measure::all(&reading);
        // ten are there once, five of each tube that draws B+ current
        assert!(all.len() >= 10 + 5 * reading.tubes.len(), "{path}: {}", all.len());
        for measure in &all {
            let key = measure.key(&reading);
            assert_eq!(Measure::find(&reading, &key), Some(*measure), "{path}: {key}");
            let alike = all.iter().filter(|m| m.key(&reading) == key);
            assert_eq!(alike.count(), 1, "{path}: {key}");
            assert!(measure.get(&reading).is_some_and(f64::is_finite), "{path}: {key}");
        }
        assert_eq!(Measure::find(&reading, "V1"), None, "{path}");
    }
}
