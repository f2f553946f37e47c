//! Faults of the layout, each on a page that has it, and near it a page that has not.

use super::super::{Paper, measure, ready};
use super::page;

/// A drawing of 300 px by 100 px with what is in it.
fn drawing(inside: &str) -> String {
    format!(
        "<svg viewBox=\"0 0 300 100\" width=\"300\" height=\"100\" font-size=\"12\" role=\"img\" aria-label=\"A\">\
         {inside}</svg>"
    )
}

/// The kinds of faults that a page with this body has, each once, in order of the alphabet.
#[allow(clippy::print_stdout, reason = "the faults are shown if the test fails")]
fn kinds(body: &str) -> Vec<String> {
    let faults = measure(&page("", body), Paper::A4);
    for fault in &faults {
        println!("{fault}");
    }
    let mut kinds: Vec<String> = faults.into_iter().map(|f| f.kind).collect();
    kinds.sort();
    kinds.dedup();
    kinds
}

#[test]
fn text_off_the_page_is_caught() {
    if !ready() {
        return;
    }
    assert_eq!(
        kinds("<p style=\"white-space: nowrap\">".to_owned().as_str()),
        Vec::<String>::new()
    );
    let long = "word ".repeat(60);
    assert_eq!(
        kinds(&format!("<p style=\"white-space: nowrap\">{long}</p>")),
        ["off page", "out of box"]
    );
    assert_eq!(kinds("<p style=\"margin-left: -20px\">left</p>"), ["off page"]);
    assert_eq!(kinds("<svg width=\"900\" height=\"9\"></svg>"), ["off page"]);
}

#[test]
fn text_out_of_its_box_is_caught() {
    if !ready() {
        return;
    }
    assert_eq!(kinds("<div style=\"width: 40px\">unbreakable</div>"), ["out of box"]);
    assert_eq!(
        kinds("<div style=\"width: 60px; height: 15px\">one two three four</div>"),
        ["out of box"]
    );
    let table = |cell: &str| {
        format!("<table style=\"table-layout: fixed; width: 80px\"><tr><td>{cell}<td></table>")
    };
    assert_eq!(kinds(&table("unbreakable")), ["out of cell"]);
    assert_eq!(kinds(&table("<div style=\"width: 200px\">unbreakable</div>")), ["out of cell"]);
    assert_eq!(kinds(&table("it is")), Vec::<String>::new());
}

#[test]
fn clipped_text_is_caught() {
    if !ready() {
        return;
    }
    let cut = "overflow: hidden; white-space: nowrap; width: 80px";
    assert_eq!(kinds(&format!("<div style=\"{cut}\">longer than its box</div>")), ["clipped"]);
    assert_eq!(
        kinds(&format!("<div style=\"{cut}; text-overflow: ellipsis\">longer than its box</div>")),
        ["clipped"]
    );
    assert_eq!(kinds("<div style=\"overflow: hidden; height: 8px\">tall</div>"), ["clipped"]);
    assert_eq!(kinds(&drawing("<text x=\"280\" y=\"50\">beyond the edge</text>")), ["clipped"]);
    assert_eq!(kinds(&drawing("<text x=\"10\" y=\"104\">legs</text>")), ["clipped"]);
    assert_eq!(kinds("<p style=\"clip-path: inset(0 0 0 20px)\">cut</p>"), ["not judged"]);
}

#[test]
fn text_on_text_is_caught() {
    if !ready() {
        return;
    }
    assert_eq!(kinds("<p>below</p><p style=\"margin-top: -18pt\">above</p>"), ["overlap"]);
    assert_eq!(kinds("<p><b>one</b><i style=\"margin-left: -20px\">two</i></p>"), ["overlap"]);
    let lines = "<p style=\"line-height: 0.5; padding: 9px\">Lines of one text<br>that Run into each other</p>";
    assert_eq!(kinds(lines), ["overlap"]);
    let one = "<p style=\"line-height: 0.5; padding: 9px; width: 90px\">Lines of one text that Run into each other</p>";
    assert_eq!(kinds(one), ["overlap"]);
    let two = |second: &str| drawing(&format!("<text x=\"10\" y=\"50\">first</text>{second}"));
    assert_eq!(kinds(&two("<text x=\"30\" y=\"54\">second</text>")), ["overlap"]);
    assert_eq!(
        kinds(&two("<text transform=\"translate(25 60) rotate(-90)\">turned</text>")),
        ["overlap"]
    );
    assert_eq!(
        kinds(&two(
            "<g transform=\"translate(10 0) scale(2)\"><text x=\"5\" y=\"25\">big</text></g>"
        )),
        ["overlap"]
    );
    // ink one px apart is no overlap, though the boxes of the fonts do
    assert_eq!(kinds(&two("<text x=\"10\" y=\"61\">over</text>")), Vec::<String>::new());
    assert_eq!(kinds(&two("<text x=\"60\" y=\"50\">beside</text>")), Vec::<String>::new());
}

#[test]
fn small_text_is_caught() {
    if !ready() {
        return;
    }
    let text = |pt: f64| format!("<p style=\"font-size: {pt}pt\">words</p>");
    assert_eq!(kinds(&text(8.4)), ["small"]);
    assert_eq!(kinds(&text(8.5)), Vec::<String>::new());
    assert_eq!(kinds("<p style=\"transform: scale(0.5)\">words</p>"), ["small"]);
    assert_eq!(kinds("<p style=\"zoom: 0.5\">words</p>"), ["small"]);
    // 22.67 units in a drawing shown at half its size are 11.33 px, which are 8.5 pt
    let drawn = |units: f64| {
        format!(
            "<svg viewBox=\"0 0 600 200\" width=\"300\" height=\"100\"><text x=\"9\" y=\"90\" \
             font-size=\"{units}\">words</text></svg>"
        )
    };
    assert_eq!(kinds(&drawn(22.5)), ["small"]);
    assert_eq!(kinds(&drawn(22.8)), Vec::<String>::new());
    let turned =
        drawing("<text transform=\"translate(50 90) rotate(-90) scale(0.5)\">turned</text>");
    assert_eq!(kinds(&turned), ["small"]);
}

/// WCAG 2.1 asks for 4.5 to 1. Grey on white is 4.54 at #767676 and 4.48 at #777777 (its definition, by hand: the
/// linear value of 0x76 is 0.1812, so 1.05 / 0.2312; that of 0x77 is 0.1845, so 1.05 / 0.2345).
#[test]
fn low_contrast_is_caught() {
    if !ready() {
        return;
    }
    let none: [&str; 0] = [];
    assert_eq!(kinds("<p style=\"color: #777777\">pale</p>"), ["contrast"]);
    assert_eq!(kinds("<p style=\"color: #767676\">grey</p>"), none);
    assert_eq!(kinds("<p style=\"color: oklch(0.8 0.1 90)\">pale</p>"), ["contrast"]);
    assert_eq!(kinds("<p style=\"color: rgb(0 0 0 / 40%)\">pale</p>"), ["contrast"]);
    assert_eq!(kinds("<div style=\"opacity: 0.4\"><p>pale</p></div>"), ["contrast"]);
    // white on black is lost where backgrounds are not printed, unless the page insists on them
    let dark = "background: black; color: white";
    assert_eq!(kinds(&format!("<p style=\"{dark}\">dark</p>")), ["contrast"]);
    assert_eq!(kinds(&format!("<p style=\"{dark}; print-color-adjust: exact\">dark</p>")), none);
    assert_eq!(kinds("<p style=\"background: #333\">black on dark</p>"), ["contrast"]);
    assert_eq!(kinds("<p style=\"background: linear-gradient(red, blue)\">x</p>"), ["not judged"]);
    // drawings: fill, and the shape that lies behind
    let label = |before: &str, fill: &str| {
        kinds(&drawing(&format!("{before}<text x=\"50\" y=\"50\" fill=\"{fill}\">label</text>")))
    };
    let black = "<rect x=\"40\" y=\"30\" width=\"100\" height=\"40\"/>";
    assert_eq!(label("", "#999"), ["contrast"]);
    assert_eq!(label(black, "black"), ["contrast"]);
    assert_eq!(label(black, "white"), none);
    assert_eq!(label("", "white"), ["contrast"]);
    assert_eq!(
        label(
            "<g transform=\"translate(45 0)\"><circle r=\"30\" cx=\"20\" cy=\"45\" fill=\"#222\"/></g>",
            "black"
        ),
        ["contrast"]
    );
    assert_eq!(label("<use href=\"#a\"/>", "black"), ["not judged"]);
}

#[test]
fn a_line_through_a_label_is_caught() {
    if !ready() {
        return;
    }
    let with = |line: &str| kinds(&drawing(&format!("<text x=\"50\" y=\"50\">label</text>{line}")));
    assert_eq!(with("<path d=\"M10 46H200\" stroke=\"black\"/>"), ["struck"]);
    assert_eq!(with("<path d=\"M10 46H200\" stroke=\"black\" stroke-width=\"0.4\"/>"), ["struck"]);
    assert_eq!(with("<line x1=\"60\" y1=\"0\" x2=\"61\" y2=\"90\" stroke=\"red\"/>"), ["struck"]);
    assert_eq!(
        with("<g transform=\"scale(2)\"><path d=\"M5 23H100\" stroke=\"black\"/></g>"),
        ["struck"]
    );
    assert_eq!(
        with("<rect x=\"40\" y=\"30\" width=\"80\" height=\"40\" fill=\"white\"/>"),
        ["struck"]
    );
    let none: [&str; 0] = [];
    assert_eq!(with("<path d=\"M10 54H200\" stroke=\"black\"/>"), none);
    assert_eq!(with("<path d=\"M10 46H200\" stroke=\"none\"/>"), none);
    assert_eq!(
        with("<rect x=\"40\" y=\"30\" width=\"80\" height=\"40\" fill=\"none\" stroke=\"black\"/>"),
        none
    );
}
