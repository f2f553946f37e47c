//! Type in drawings as it comes out of a printer.

use crate::harness::{mainsfit, shipped, stem};
use roxmltree::{Document, Node};

/// Points in a millimeter.
const POINTS: f64 = 72.0 / 25.4;
/// Smallest type of a drawing, points.
const LEAST: f64 = 8.5;

/// Sets with two parts in the lead, which the shipped ones do not need on their own outlets.
const TWO_PARTS: [(&str, &[&str]); 4] = [
    ("tests/data/verdicts/eu-220-tap-in-america.yaml", &["--with", "step-up"]),
    ("tests/data/verdicts/jp-100-in-america.yaml", &["--with", "step-down"]),
    ("profiles/european-1954.yaml", &["--with", "step-up", "--range", "north-america"]),
    (
        "profiles/european-1954.yaml",
        &["--with", "tap-and-part", "--low=94V", "--line=96V", "--high=98V"],
    ),
];

/// Width in mm that the page gives a drawing: its own, up to the page's.
fn shown_mm(svg: &Node<'_, '_>) -> f64 {
    // the rule of `page.css`, as it is for paper
    let css = std::fs::read_to_string("src/report/page.css").unwrap();
    assert!(css.contains("figure svg.chart { width: 180mm; }"));
    if svg.attribute("class") == Some("chart") {
        return 180.0;
    }
    let style = svg.attribute("style").unwrap();
    let width = style.strip_prefix("width:").and_then(|w| w.strip_suffix("mm")).unwrap();
    width.parse::<f64>().unwrap().min(180.0)
}

#[test]
fn type_in_drawings_is_large_enough_in_print() {
    let folder = tempfile::tempdir().unwrap();
    let (mut seen, mut small) = (0, Vec::new());
    let shipped = shipped().into_iter().map(|path| (path, None));
    for (path, two) in shipped.chain(TWO_PARTS.map(|(path, args)| (path.to_owned(), Some(args)))) {
        let set = stem(&path);
        let file = folder.path().join(format!("{set}.html"));
        let args = ["note", &path, "--force", "-o", file.to_str().unwrap()];
        let outcome = mainsfit(&[&args[..], two.unwrap_or_default()].concat());
        // no note is written for a set that no choice is safe for
        if outcome.code != 0 {
            assert!(two.is_none(), "{}", outcome.err);
            continue;
        }
        let page = std::fs::read_to_string(&file).unwrap();
        let second = page.contains("\"stepped live\"") || page.contains("left free");
        assert!(second || two.is_none(), "{set}: one part");
        let mut rest = page.as_str();
        let mut kept = String::from("<div>");
        let beside = "<div class=\"beside\">";
        while let Some(at) = rest.find("<svg") {
            let end = at + rest[at..].find("</svg>").unwrap() + 6;
            let open =
                rest[..at].rfind(beside).is_some_and(|from| !rest[from..at].contains("</figure>"));
            let class = if open { "beside" } else { "alone" };
            kept += &format!("<div class=\"{class}\">{}</div>", &rest[at..end]);
            rest = &rest[end..];
        }
        kept += "</div>";
        let document = Document::parse(&kept).unwrap();
        for svg in
            document.descendants().filter(|n| n.has_tag_name(("http://www.w3.org/2000/svg", "svg")))
        {
            let view: f64 =
                svg.attribute("viewBox").unwrap().split(' ').nth(2).unwrap().parse().unwrap();
            seen += 1;
            let mm = shown_mm(&svg) / view;
            for text in svg.descendants().filter(|n| n.tag_name().name() == "text") {
                let size: f64 = text.attribute("font-size").unwrap().parse().unwrap();
                // plots are drawn in tenths of a unit
                let fine = text.ancestors().any(|n| n.attribute("transform") == Some("scale(0.1)"));
                let points = size * if fine { 0.1 } else { 1.0 } * mm * POINTS;
                if points < LEAST {
                    small.push(format!("{set}: {:?} {points:.2} pt", text.text()));
                }
            }
        }
    }
    assert!(seen > 30, "{seen}");
    assert!(small.is_empty(), "{}", small.join("\n"));
}
