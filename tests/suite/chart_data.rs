//! Charts of odd data and odd names: what is drawn, left out, cut and counted.

use super::chart::{chart, curve, curves, full, painted, read_off, written};
use mainsfit::report::drawing::{Mark, MarkOf, Panel, Shade, Stroke};
use proptest::prelude::*;
use roxmltree::Document;

#[test]
fn degenerate_data_is_drawn_or_left_out() {
    let (nan, inf) = (f64::NAN, f64::INFINITY);
    let many: Vec<Vec<(f64, f64)>> = vec![
        vec![],
        vec![(1.0, 1.0)],
        vec![(1.0, 1.0), (1.0, 1.0)],
        vec![(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)],
        vec![(1.0, 5.0), (1.0, 6.0)],
        vec![(nan, 1.0), (1.0, nan), (inf, 2.0), (3.0, -inf)],
        vec![(1.0, 1.0), (2.0, nan), (3.0, 3.0), (4.0, inf), (5.0, 4.0), (6.0, 5.0)],
        vec![(0.0, f64::MAX), (1.0, f64::MIN)],
        vec![(f64::MIN, 1.0), (f64::MAX, 2.0)],
        vec![(0.0, f64::MIN_POSITIVE), (f64::MIN_POSITIVE, 5e-324)],
        vec![(1e-280, 3e-280), (2e-280, 1e-280)],
        vec![(1e15, 1e15), (1e15 + 1.0, 1e15 + 2.0)],
        vec![(1e-9, 1e9), (2e-9, 2e9)],
        vec![(-1e-12, -6.3), (1e12, -6.300_000_1)],
    ];
    for points in many {
        let line = Panel {
            name: "any".to_owned(),
            unit: "V",
            lines: vec![
                curve("one", Stroke::Solid, points.clone()),
                curve("two", Stroke::Dashed, points.clone()),
                curve("three", Stroke::Dotted, points.clone()),
            ],
            ..Panel::default()
        };
        let shades = points.iter().map(|p| (p.0, p.1, 0.5 * p.1)).collect();
        let band = Panel {
            bands: vec![Shade { name: "band".to_owned(), points: shades }],
            verticals: vec![
                Mark { name: "v".to_owned(), at: nan, of: MarkOf::Outlet },
                Mark { name: "w".to_owned(), at: 1.0, of: MarkOf::Design },
            ],
            horizontals: vec![
                Mark { name: "h".to_owned(), at: inf, of: MarkOf::Limit },
                Mark { name: "i".to_owned(), at: 2.0, of: MarkOf::Limit },
            ],
            ..Panel::default()
        };
        painted(&chart(vec![line, band]), 2);
    }
    painted(&chart(vec![]), 2);
}

#[test]
fn a_curve_breaks_where_a_value_is_missing() {
    let points = vec![
        (1.0, 1.0),
        (2.0, 2.0),
        (3.0, f64::NAN),
        (4.0, 1.0),
        (5.0, f64::NAN),
        (6.0, 3.0),
        (7.0, 2.0),
    ];
    let panel = Panel { lines: vec![curve("", Stroke::Solid, points)], ..Panel::default() };
    let svg = painted(&chart(vec![panel]), 1);
    let doc = Document::parse(&svg).unwrap();
    assert_eq!(curves(&doc).iter().map(Vec::len).collect::<Vec<_>>(), [2, 2]);
    // a point alone is a dot
    assert_eq!(doc.descendants().filter(|n| n.has_tag_name("circle")).count(), 1);
}

#[test]
fn no_figures_is_said_and_constants_get_a_range() {
    let svg = painted(&chart(vec![Panel::default()]), 1);
    assert!(svg.contains("no figures"));
    let panel = Panel {
        lines: vec![curve("", Stroke::Solid, vec![(1.0, 6.3), (2.0, 6.3)])],
        ..Panel::default()
    };
    let svg = painted(&chart(vec![panel]), 1);
    assert!(!svg.contains("no figures"));
    for point in &read_off(&svg)[0] {
        assert!((point.1 - 6.3).abs() < 0.01, "{point:?}");
    }
}

#[test]
fn a_power_of_ten_stands_at_the_unit() {
    let panel = Panel {
        name: "leak".to_owned(),
        unit: "A",
        lines: vec![curve("", Stroke::Solid, vec![(1.0, 2e-9), (2.0, 7e-9)])],
        ..Panel::default()
    };
    let svg = painted(&chart(vec![panel]), 1);
    assert!(svg.contains("leak, ×10⁻⁹ A"));
    let read = read_off(&svg);
    assert!((read[0][0].1 - 2.0).abs() < 0.05 && (read[0][1].1 - 7.0).abs() < 0.05);
}

#[test]
fn hostile_names_are_escaped_and_cut() {
    let names = [
        "</text><script>alert(1)</script>".to_owned(),
        "]]> & &amp; \" ' <!-- --> <![CDATA[".to_owned(),
        "😀👨‍👩‍👧‍👦".repeat(60),
        "W".repeat(5000),
        "word ".repeat(500),
        "a\0b\u{1}c\u{7f}\n\t\r\u{202e}desrever\u{2066}\u{ffff}\u{fffe}".to_owned(),
        "電源電圧".repeat(40),
        " \n ".to_owned(),
    ];
    for name in &names {
        let mut panel = full();
        panel.name.clone_from(name);
        for line in &mut panel.lines {
            line.name.clone_from(name);
        }
        for mark in panel.verticals.iter_mut().chain(&mut panel.horizontals) {
            mark.name.clone_from(name);
        }
        panel.bands[0].name.clone_from(name);
        let mut chart = chart(vec![panel.clone(), panel.clone(), panel]);
        for text in [
            &mut chart.title,
            &mut chart.subtitle,
            &mut chart.description,
            &mut chart.x.name,
            &mut chart.foot,
        ] {
            text.clone_from(name);
        }
        for columns in 1..4 {
            let svg = painted(&chart, columns);
            assert!(!svg.contains("<script"));
        }
    }
}

#[test]
fn more_names_than_have_room_are_counted() {
    let lines = (0..40).map(|i| {
        let y = f64::from(i);
        curve(&format!("curve {i}"), Stroke::Solid, vec![(0.0, y), (1.0, y)])
    });
    let panel = Panel { lines: lines.collect(), ..Panel::default() };
    let svg = painted(&chart(vec![panel]), 3);
    let doc = Document::parse(&svg).unwrap();
    let named = written(&doc).iter().filter(|w| w.text.starts_with("curve ")).count();
    assert!(svg.contains(&format!(">{} more<", 40 - named)), "{named}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, rng_seed: proptest::test_runner::RngSeed::Fixed(1936), failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_numbers_make_a_sound_chart(
        points in proptest::collection::vec((any::<f64>(), any::<f64>()), 0..6),
        near in proptest::collection::vec((-1e3..1e3, -1e-3..1e-3), 0..6),
        name in "\\PC{0,30}",
    ) {
        let panel = |points: Vec<(f64, f64)>| Panel {
            name: name.clone(),
            unit: "V",
            lines: vec![curve(&name, Stroke::Solid, points.clone()), curve("b", Stroke::Dashed, points)],
            ..Panel::default()
        };
        let mut odd = chart(vec![panel(points), panel(near)]);
        odd.title = name.clone();
        painted(&odd, 2);
    }
}

/// Between two limits, and nowhere else, slanting strokes from edge to edge, their sample beside the one name of both; black ink
/// alone.
#[test]
fn what_lies_between_limits_is_hatched() {
    let limit = |name: &str, at| Mark { name: name.to_owned(), at, of: MarkOf::Limit };
    let hatched = |limits: Vec<Mark>| {
        let points = vec![(100.0, 5.0), (130.0, 8.0)];
        let panel = Panel {
            lines: vec![curve("", Stroke::Solid, points)],
            horizontals: limits,
            ..Panel::default()
        };
        let svg = painted(&chart(vec![panel]), 1);
        let doc = Document::parse(&svg).unwrap();
        let slanting = doc.descendants().filter(|n| n.has_tag_name("polyline")).filter_map(|n| {
            let points = n.attribute("points")?.split_whitespace();
            let points: Vec<(f64, f64)> = points
                .filter_map(|pair| pair.split_once(','))
                .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
                .collect();
            let [a, b] = points[..] else { return None };
            let thin = n.attribute("stroke-width")?.parse::<f64>().unwrap() < 7.0;
            let black = n.attribute("stroke") == Some("#000000");
            (thin && black && a.0 != b.0 && a.1 != b.1).then_some([a, b])
        });
        let samples = doc.descendants().filter(|n| n.has_tag_name("line"));
        let samples = samples.filter(|n| {
            n.attribute("stroke") == Some("#000") && n.attribute("y1") != n.attribute("y2")
        });
        let strokes: Vec<[(f64, f64); 2]> = slanting.collect();
        let level = |value: f64| {
            let curve = &curves(&doc)[0];
            let (low, high) = (curve[0].1, curve[curve.len() - 1].1);
            10.0 * (low + (value - 5.0) / 3.0 * (high - low))
        };
        (strokes, samples.count(), [level(5.67), level(6.93)])
    };
    let (strokes, samples, [low, high]) = hatched(vec![limit("±10 %", 6.93), limit("", 5.67)]);
    assert!(strokes.len() > 30 && samples > 0, "{} {samples}", strokes.len());
    let ends = strokes.iter().flatten();
    assert!(ends.clone().all(|(_, y)| (high - 2.0..=low + 2.0).contains(y)), "{low} {high}");
    // most go from one edge to the other
    let whole = strokes.iter().filter(|[a, b]| (a.1 - b.1).abs() > 0.99 * (low - high)).count();
    assert!(10 * whole > 7 * strokes.len(), "{whole} of {}", strokes.len());
    for alone in [vec![limit("±10 %", 6.93)], Vec::new()] {
        let (strokes, samples, _) = hatched(alone);
        assert_eq!((strokes.len(), samples), (0, 0));
    }
}
