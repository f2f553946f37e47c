//! A line whose top is flattened: the RMS stays, so the heaters do; the crest falls, and B+ by less than it.

use super::harness::shipped;
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Number, Receiver, Straight, complete};
use mainsfit::study::read as reading;

/// A sine clipped at 0.95 of its crest has a crest factor of 1.3614 (the wave itself, integrated: RMS² = 1/2 less what is cut
/// off), 3.74 % below √2. Capacitor input draws over a wide angle, not at the crest alone, so that B+ falls by less; choke
/// input follows the mean, which rises by a few tenths of a per cent.
#[test]
fn a_flat_top_leaves_the_heaters_and_takes_less_than_the_crest_off_b_plus() {
    for path in shipped() {
        let text = std::fs::read_to_string(&path).unwrap();
        let profile = read(&Document::parse(&path, text.as_bytes()).unwrap()).unwrap().0;
        let base = Receiver::new(complete(&profile).unwrap().0, None).unwrap();
        let line = base.model().design_line;
        let flat = base.model().scaled(Number::FlatTop.of_set(), 0.95);
        assert!((flat.flat_top - 0.05).abs() < 1e-12);
        let near = base.at_design();
        let at = |m: &mainsfit::receiver::Model| {
            let there = base.run_changed(line, &Straight, near, |now| *now = m.clone()).unwrap();
            reading(&base, &there)
        };
        let (sine, clipped) = (at(base.model()), at(&flat));
        // the tapped part of a rectifier's heater carries its plate current too
        let heaters = sine.heaters.iter().zip(&clipped.heaters);
        for (a, b) in heaters.filter(|(a, _)| !a.winding.ends_with("-tap")) {
            assert!(
                (b.volts_v / a.volts_v - 1.0).abs() < 2e-3,
                "{path}: {} {}",
                a.volts_v,
                b.volts_v
            );
        }
        let fall = 1.0 - clipped.b_plus_v / sine.b_plus_v;
        let choke_input = path.contains("choke-input");
        let range = if choke_input { -0.01..0.0 } else { 0.001..0.0374 };
        assert!(range.contains(&fall), "{path}: {fall}");
    }
}
