//! Charts as SVG, read back by an XML parser from outside: form, texts, places of points.

use mainsfit::report::drawing::{
    Axis, Chart, Line, Mark, MarkOf, Panel, Shade, Stroke, paint_chart,
};
use roxmltree::{Document, Node};

/// A text with the box it needs, units of the drawing.
#[derive(Debug)]
pub struct Written {
    pub text: String,
    pub size: f64,
    pub anchor: String,
    pub at: (f64, f64),
    pub x: (f64, f64),
    pub y: (f64, f64),
}

fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap_or("0").parse().unwrap()
}

/// The scale of the groups round an element.
fn scale(node: Node) -> f64 {
    let of = |n: Node| {
        let text = n.attribute("transform")?;
        text.strip_prefix("scale(")?.strip_suffix(')')?.parse::<f64>().ok()
    };
    node.ancestors().filter_map(of).product()
}

/// Advance widths of the printable ASCII signs in DejaVu Sans, thousandths of an em, read from the `hmtx` table
/// of the font file: a common face, and a wide one.
const DEJAVU: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
];

/// Width of a letter in ems: from the same font where it has it, pictures are wider.
fn em(c: char) -> f64 {
    let ascii = u32::from(c).checked_sub(32).and_then(|i| DEJAVU.get(i as usize));
    match (ascii, c) {
        (Some(width), _) => 0.001 * f64::from(*width),
        (None, 'Ω' | '−' | '×') => 0.838,
        (None, '…') => 1.0,
        (None, ..'\u{2100}') => 0.64,
        _ => 1.25,
    }
}

pub fn written(doc: &Document) -> Vec<Written> {
    let texts = doc.descendants().filter(|n| n.has_tag_name("text"));
    texts
        .map(|n| {
            let k = scale(n);
            let own = n.ancestors().find_map(|a| a.attribute("font-size")).unwrap();
            let size = k * own.parse::<f64>().unwrap();
            let text = n.text().unwrap_or("").trim().to_owned();
            let bold = if n.attribute("font-weight").is_some() { 1.1 } else { 1.0 };
            let wide = bold * size * text.chars().map(em).sum::<f64>();
            let at = (k * number(n, "x"), k * number(n, "y"));
            let anchor = n.attribute("text-anchor").unwrap_or("start").to_owned();
            let left = match anchor.as_str() {
                "middle" => at.0 - 0.5 * wide,
                "end" => at.0 - wide,
                _ => at.0,
            };
            // the baseline; ex is about half an em
            let base = at.1
                + size
                    * match n.attribute("dy") {
                        Some("0.76em") => 0.76,
                        Some("0.5ex") => 0.25,
                        None => 0.0,
                        other => panic!("{other:?}"),
                    };
            Written {
                x: (left, left + wide),
                y: (base - 0.75 * size, base + 0.2 * size),
                text,
                size,
                anchor,
                at,
            }
        })
        .collect()
}

/// Points of the solid curves, units of the drawing.
pub fn curves(doc: &Document) -> Vec<Vec<(f64, f64)>> {
    doc.descendants()
        .filter(|n| n.has_tag_name("polyline") && n.attribute("stroke-width") == Some("16"))
        .map(|n| {
            let pairs = n.attribute("points").unwrap().split_whitespace();
            pairs
                .map(|p| {
                    let (x, y) = p.split_once(',').unwrap();
                    let k = scale(n);
                    (k * x.parse::<f64>().unwrap(), k * y.parse::<f64>().unwrap())
                })
                .collect()
        })
        .collect()
}

fn value(text: &str) -> Option<f64> {
    text.replace('−', "-").parse().ok()
}

/// What must hold for every chart.
pub fn sound(svg: &str) {
    let doc = Document::parse(svg).unwrap_or_else(|e| panic!("{e}\n{svg}"));
    let root = doc.root_element();
    assert!(root.has_tag_name(("http://www.w3.org/2000/svg", "svg")));
    assert_eq!(root.attribute("role"), Some("img"));
    assert_eq!((root.attribute("width"), root.attribute("height")), (None, None));
    for tag in ["title", "desc"] {
        assert_eq!(root.children().filter(|n| n.has_tag_name(tag)).count(), 1);
    }
    for id in root.attribute("aria-labelledby").unwrap().split(' ') {
        assert_eq!(doc.descendants().filter(|n| n.attribute("id") == Some(id)).count(), 1);
    }
    let view: Vec<f64> =
        root.attribute("viewBox").unwrap().split(' ').map(|v| v.parse().unwrap()).collect();
    let [_, _, wide, high] = view[..] else { panic!("{view:?}") };
    assert_eq!(wide, 720.0);
    for node in doc.descendants().filter(Node::is_element) {
        let known =
            ["svg", "title", "desc", "rect", "g", "text", "line", "polyline", "polygon", "circle"];
        assert!(known.contains(&node.tag_name().name()), "{node:?}");
        for paint in ["fill", "stroke"] {
            // shades of grey: a black-and-white print loses nothing
            if let Some(hex) = node.attribute(paint).and_then(|v| v.strip_prefix('#')) {
                let third = hex.len() / 3;
                assert_eq!(hex[..third], hex[third..2 * third]);
                assert_eq!(hex[..third], hex[2 * third..]);
            }
        }
        let k = scale(node);
        let inside = |x: f64, y: f64| {
            assert!((-0.1..=wide + 0.1).contains(&(k * x)), "{node:?}");
            assert!((-0.1..=high + 0.1).contains(&(k * y)), "{node:?}");
        };
        match node.tag_name().name() {
            "line" => {
                inside(number(node, "x1"), number(node, "y1"));
                inside(number(node, "x2"), number(node, "y2"));
            }
            "polyline" | "polygon" => {
                for pair in node.attribute("points").unwrap().split_whitespace() {
                    let (x, y) = pair.split_once(',').unwrap();
                    inside(x.parse().unwrap(), y.parse().unwrap());
                }
            }
            "circle" => inside(number(node, "cx"), number(node, "cy")),
            _ => {}
        }
    }
    let list = written(&doc);
    for (i, a) in list.iter().enumerate() {
        assert!(!a.text.is_empty(), "{a:?}");
        assert!(a.size > 10.999, "{a:?}");
        assert!(a.x.0 >= 0.0 && a.x.1 <= wide && a.y.0 >= 0.0 && a.y.1 <= high, "{a:?}");
        for b in &list[i + 1..] {
            let apart = a.x.1 <= b.x.0 || b.x.1 <= a.x.0 || a.y.1 <= b.y.0 || b.y.1 <= a.y.0;
            assert!(apart, "{a:?}\n{b:?}\n{svg}");
        }
    }
}

pub fn painted(chart: &Chart, columns: usize) -> String {
    let drawing = paint_chart(chart, columns, "test").unwrap();
    // charts to look at, with KEEP_CHARTS=folder
    if let (Some(folder), Some(test)) =
        (std::env::var_os("KEEP_CHARTS"), std::thread::current().name())
    {
        let name = format!("{}-{columns}.svg", test.replace("::", "-"));
        std::fs::write(std::path::Path::new(&folder).join(name), &drawing.svg).unwrap();
    }
    sound(&drawing.svg);
    drawing.svg
}

pub fn curve(name: &str, stroke: Stroke, points: Vec<(f64, f64)>) -> Line {
    Line { name: name.to_owned(), stroke, points }
}

pub fn chart(panels: Vec<Panel>) -> Chart {
    Chart {
        low: false,
        title: "A set".to_owned(),
        subtitle: "on a bench".to_owned(),
        description: "Curves.".to_owned(),
        x: Axis { name: "line".to_owned(), unit: "V RMS" },
        panels,
        foot: "Mind the voltage.".to_owned(),
        shows: "B+ against the line".to_owned(),
        untitled: false,
    }
}

/// Every kind of thing a panel can hold, names that crowd each other.
pub fn full() -> Panel {
    let over = |f: fn(f64) -> f64| {
        (0..41).map(|i| (95.0 + f64::from(i), f(f64::from(i)))).collect::<Vec<_>>()
    };
    let mark = |name: &str, at| Mark { name: name.to_owned(), at, of: MarkOf::Rating };
    let as_is = over(|i| 210.0 + 2.3 * i);
    Panel {
        name: "B+".to_owned(),
        unit: "V DC",
        bands: vec![Shade {
            name: "band".to_owned(),
            points: as_is.iter().map(|p| (p.0, p.1 - 14.0, p.1 - 30.0)).collect(),
        }],
        lines: vec![
            curve("as it is", Stroke::Solid, as_is),
            curve("with 22 Ω", Stroke::Dashed, over(|i| 188.0 + 2.3 * i)),
            curve("with a lamp", Stroke::Dotted, over(|i| 240.0 + 0.9 * i)),
        ],
        verticals: vec![
            mark("design 115 V", 115.0),
            mark("outlet 118 V", 118.0),
            mark("high", 126.0),
        ],
        horizontals: vec![mark("wanted 280 V", 280.0)],
    }
}

#[test]
fn a_full_chart_in_one_two_and_three_columns() {
    let panels = (0..3).map(|i| Panel { name: format!("B+ of set {i}"), ..full() });
    let chart = chart(panels.collect());
    for columns in 0..5 {
        let svg = painted(&chart, columns);
        let doc = Document::parse(&svg).unwrap();
        let texts: Vec<String> = written(&doc).into_iter().map(|w| w.text).collect();
        let count = |text: &str| texts.iter().filter(|t| *t == text).count();
        for name in
            ["as it is", "with 22 Ω", "with a lamp", "band", "wanted 280 V", "design 115 V", "high"]
        {
            assert_eq!(count(name), 3, "{name}: {texts:?}");
        }
        assert_eq!(count("B+ of set 1, V DC"), 1);
        // the names of this chart leave no room for a third column
        assert_eq!(count("line, V RMS"), columns.clamp(1, 2));
        assert_eq!(count("Mind the voltage."), 1);
        // three solid curves, three bands; dashes and dots are strokes with gaps
        assert_eq!(doc.descendants().filter(|n| n.has_tag_name("polygon")).count(), 3);
        assert_eq!(curves(&doc).iter().filter(|c| c.len() == 41).count(), 3);
        assert!(curves(&doc).len() > 60);
    }
}

/// In black and white what is rated, how far one may be from it, the outlet's day and the design voltage differ by their
/// dashes, and each from every curve by its weight.
#[test]
fn marks_are_told_apart_without_color() {
    let kinds = [MarkOf::Rating, MarkOf::Limit, MarkOf::Outlet, MarkOf::Design];
    let mut seen = std::collections::BTreeSet::new();
    for of in kinds {
        let mark = Mark { name: "mark".to_owned(), at: 115.0, of };
        let points = vec![(100.0, 1.0), (130.0, 2.0)];
        let panel = Panel {
            lines: vec![curve("", Stroke::Solid, points)],
            verticals: vec![mark],
            ..Panel::default()
        };
        let svg = painted(&chart(vec![panel]), 1);
        let doc = Document::parse(&svg).unwrap();
        let strokes = doc.descendants().filter(|n| n.has_tag_name("polyline"));
        let strokes = strokes.filter(|n| n.attribute("stroke") == Some("#000000"));
        let lengths: std::collections::BTreeSet<i64> = strokes
            .filter_map(|n| {
                let list: Vec<(f64, f64)> = n
                    .attribute("points")?
                    .split_whitespace()
                    .filter_map(|p| p.split_once(','))
                    .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
                    .collect();
                let upright = list.len() == 2 && list[0].0 == list[1].0;
                let thin = n.attribute("stroke-width")?.parse::<f64>().unwrap() < 12.0;
                (upright && thin && list[0].0 > 1500.0)
                    .then_some((list[0].1 - list[1].1).abs() as i64)
            })
            .collect();
        assert!(!lengths.is_empty(), "{of:?}");
        assert!(seen.insert(lengths.clone()), "{of:?}: {lengths:?} is another's");
    }
}

#[test]
fn a_chart_says_whose_it_is_and_what_it_shows() {
    let whole = chart(vec![full()]);
    let name = format!("{}: {}", whole.title, whole.shows);
    for untitled in [false, true] {
        let drawing = paint_chart(&Chart { untitled, ..whole.clone() }, 1, "x").unwrap();
        assert_eq!((drawing.title.as_str(), drawing.titled), (name.as_str(), !untitled));
        let doc = Document::parse(&drawing.svg).unwrap();
        let title = doc.descendants().find(|n| n.has_tag_name("title")).unwrap();
        assert_eq!(title.text(), Some(name.as_str()));
        let seen = written(&doc).into_iter().any(|w| w.text == whole.title);
        assert_eq!(seen, !untitled);
    }
}

#[test]
fn names_stand_at_the_ends_of_their_curves() {
    let panel = Panel {
        lines: vec![
            curve("upper", Stroke::Solid, vec![(0.0, 1.0), (10.0, 9.0)]),
            curve("lower", Stroke::Solid, vec![(0.0, 0.0), (10.0, 2.0)]),
        ],
        ..Panel::default()
    };
    let svg = painted(&chart(vec![panel]), 1);
    let doc = Document::parse(&svg).unwrap();
    let ends: Vec<(f64, f64)> = curves(&doc).iter().map(|c| *c.last().unwrap()).collect();
    for (name, end) in ["upper", "lower"].iter().zip(ends) {
        let list = written(&doc);
        let text = list.iter().find(|w| w.text == *name).unwrap();
        // a sample of the curve stands between
        assert!((text.x.0 - end.0).abs() < 36.0, "{text:?} {end:?}");
        assert!((0.5 * (text.y.0 + text.y.1) - end.1).abs() < 3.0, "{text:?} {end:?}");
    }
}

/// Values of points by linear interpolation between the outermost labelled ticks of a chart with one panel.
pub fn read_off(svg: &str) -> Vec<Vec<(f64, f64)>> {
    let doc = Document::parse(svg).unwrap();
    let list = written(&doc);
    let axis = |anchor: &str, place: fn(&Written) -> f64| {
        let mut ticks: Vec<(f64, f64)> = list
            .iter()
            .filter(|w| w.anchor == anchor)
            .filter_map(|w| Some((place(w), value(&w.text)?)))
            .collect();
        ticks.sort_by(|a, b| a.1.total_cmp(&b.1));
        let (first, last) = (ticks[0], *ticks.last().unwrap());
        assert!(ticks.len() >= 2, "{ticks:?}");
        move |at: f64| first.1 + (last.1 - first.1) * (at - first.0) / (last.0 - first.0)
    };
    let (x, y) = (axis("middle", |w| w.at.0), axis("end", |w| w.at.1));
    curves(&doc).into_iter().map(|c| c.into_iter().map(|p| (x(p.0), y(p.1))).collect()).collect()
}

#[test]
fn points_stand_where_the_ticks_say() {
    for (kx, ky) in [(1.0, 1.0), (0.01, 30.0), (-5.0, 700.0), (0.3, -2.0)] {
        let points: Vec<(f64, f64)> =
            [(93.7, 201.3), (110.0, 251.2), (127.3, 222.9), (139.0, 318.5)]
                .iter()
                .map(|p| (kx * p.0, ky * p.1))
                .collect();
        let panel =
            Panel { lines: vec![curve("", Stroke::Solid, points.clone())], ..Panel::default() };
        for columns in 1..4 {
            let svg = painted(&chart(vec![panel.clone()]), columns);
            let read = read_off(&svg);
            assert_eq!(read.len(), 1);
            assert_eq!(read[0].len(), points.len());
            // the drawing knows tenths of a unit; ticks and points are both rounded to them. The plot is more
            // than 400 units wide and 120 high, the spans are those of the points.
            let (off_x, off_y) =
                (45.3 * kx.abs() / 400.0 * 0.3, 117.2 * ky.abs() * 1.2 / 120.0 * 0.3);
            for (is, should) in read[0].iter().zip(&points) {
                assert!((is.0 - should.0).abs() < off_x, "{is:?} {should:?}");
                assert!((is.1 - should.1).abs() < off_y, "{is:?} {should:?}");
            }
        }
    }
}

#[test]
fn ticks_are_round_and_told_apart() {
    for (lo, hi) in [
        (90.0, 140.0),
        (3.893, 6.111),
        (0.092, 0.130),
        (503.8, 741.9),
        (-7.3, 12.1),
        (6.29997, 6.3021),
    ] {
        let panel = Panel {
            lines: vec![curve("", Stroke::Solid, vec![(lo, lo), (hi, hi)])],
            ..Panel::default()
        };
        let svg = painted(&chart(vec![panel]), 2);
        let list = written(&Document::parse(&svg).unwrap())
            .into_iter()
            .filter_map(|w| Some((w.anchor.clone(), value(&w.text)?)))
            .collect::<Vec<_>>();
        for anchor in ["middle", "end"] {
            let mut ticks: Vec<f64> = list.iter().filter(|w| w.0 == anchor).map(|w| w.1).collect();
            ticks.sort_by(f64::total_cmp);
            assert!((2..=11).contains(&ticks.len()), "{ticks:?}");
            let step = ticks[1] - ticks[0];
            let lead = step / 10f64.powf(step.log10().floor() + 1e-9);
            assert!(
                [1.0, 2.0, 5.0, 10.0].iter().any(|r| (lead / r - 1.0).abs() < 1e-3),
                "{ticks:?}"
            );
            for pair in ticks.windows(2) {
                assert!(((pair[1] - pair[0]) / step - 1.0).abs() < 1e-3, "{ticks:?}");
            }
        }
    }
}
