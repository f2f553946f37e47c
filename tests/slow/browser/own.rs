//! The judge judged: each check catches what it is for, on small pages that have that one thing wrong, and finds
//! nothing on a page that has nothing wrong.

mod layout;

use super::{
    Backgrounds, Paper, Sheet, from_base64, judge, measure, outline, png, print, process, ready,
    requests,
};

const STYLE: &str = "@page { margin: 15mm } body { margin: 0; font: 10.5pt/1.3 'DejaVu Sans', sans-serif; color: #111 }
    table { border-collapse: collapse } td, th { border: 1px solid #555; padding: 2px 6px }";

/// A page in order: a heading, a paragraph, a table, a drawing.
fn sound() -> String {
    page(
        "",
        r#"<h1>A note</h1><h2>What is to be done</h2>
        <p>Lay the <b>part</b> in the lead<sup>1</sup>; the office is first to fit it, and efficient fluids flow.</p>
        <p style="line-height: 1">Set tight,<br>gap to jaw,<br>yet nothing touches anything else, for the lines stand
        one below the other over the whole width of the paper.</p>
        <table><caption>Parts</caption><thead><tr><th scope="col">Part</th><th scope="col">Value</th></tr></thead>
        <tbody><tr><td>R1</td><td>22 Ω, 25 W</td></tr></tbody></table>
        <p style="background: #eee; padding: 2px">On a pale ground</p>
        <svg viewBox="0 0 300 60" width="300" height="60" role="img" aria-label="A wire with a part in it">
        <rect x="1" y="1" width="298" height="58" fill="white" stroke="black"/>
        <path d="M10 40H100M160 40H290" stroke="black"/><rect x="100" y="32" width="60" height="16" fill="none"
        stroke="black"/><text x="130" y="25" font-size="12" text-anchor="middle">R1</text>
        <text transform="translate(20 34) rotate(-90)" font-size="11.5">in</text></svg>"#,
    )
}

fn page(style: &str, body: &str) -> String {
    format!(
        "<!DOCTYPE html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>A note</title>\
         <style>{STYLE} {style}</style></head><body>{body}</body></html>"
    )
}

#[test]
fn a_sound_page_passes() {
    if !ready() {
        return;
    }
    let sheet = Sheet {
        name: "sound",
        html: &sound(),
        expected: &[
            "A note",
            "the office is first to fit it, and efficient fluids flow.",
            "R1 22 Ω, 25 W",
        ],
        most_pages: 1,
        foot: "",
        front: &[],
    };
    assert_eq!(judge(&sheet), Vec::<String>::new());
}

#[test]
fn the_judge_asks_for_texts_and_pages() {
    if !ready() {
        return;
    }
    let body = "<h1>One</h1><p style=\"break-after: page\">a</p>".to_owned()
        + &"<p style=\"break-after: page\">word</p>".repeat(2)
        + "<p>last</p>";
    let html = page("", &body);
    let sheet = Sheet {
        name: "four",
        html: &html,
        expected: &["One", "not there"],
        most_pages: 3,
        foot: "",
        front: &[],
    };
    let faults = judge(&sheet);
    for how in [
        "A4, backgrounds Left",
        "A4, backgrounds Printed",
        "Letter, backgrounds Left",
        "Letter, backgrounds Printed",
    ] {
        for what in ["4 pages, at most 3", "not on paper: \"not there\""] {
            let wanted = format!("four: {how}: {what}");
            assert!(faults.contains(&wanted), "{wanted} in {faults:?}");
        }
    }
    assert_eq!(faults.len(), 8, "{faults:?}");
}

#[test]
fn what_is_broken_between_pages_is_caught() {
    if !ready() {
        return;
    }
    let rows: String = (0..90)
        .map(|n| format!("<tr><th scope=\"row\">row {n}</th><td>{n} V</td><td>-</td></tr>"))
        .collect();
    let table = format!(
        "<table aria-label=\"t\"><thead><tr><th scope=\"col\">point</th><th scope=\"col\">expect</th></tr></thead>\
         <tbody>{rows}</tbody></table>"
    );
    let body = "<h1>One</h1><div style=\"height: 200mm\"></div><h2>Left alone</h2>\
                <p style=\"break-before: page\">Stage 1 of 2: here</p>"
        .to_owned()
        + &table
        + "<p style=\"break-before: page\">Continue if all is well</p><dl><dd class=\"box\" \
           style=\"width: 20mm; height: 8mm\"></dd></dl>";
    let html = page("thead { display: table-row-group }", &body);
    let sheet = Sheet {
        name: "broken",
        html: &html,
        expected: &[],
        most_pages: 9,
        foot: "One",
        front: &["Left alone", "Stage 1"],
    };
    let faults = judge(&sheet).join("\n");
    for wanted in [
        "page 1 ends with the heading \"Left alone\"",
        "goes on without its titles: point expect",
        "a stage is broken behind page",
        "page 2 does not say \"One\"",
        "does not say \"1 of ",
        "not on the first page: \"Stage 1\"",
        "px to write in",
    ] {
        assert!(faults.contains(wanted), "{wanted} in {faults}");
    }
    assert!(!faults.contains("not on the first page: \"Left alone\""), "{faults}");
}

#[test]
fn a_page_is_printed_on_the_paper_asked_for() {
    if !ready() {
        return;
    }
    let body = "<h1>Top left</h1><div style=\"float: right\">right</div>";
    let html = page("", body);
    for paper in Paper::ALL {
        let printed = print(&html, paper, Backgrounds::Left);
        assert_eq!(printed.pages, 1);
        assert!(printed.text.contains("Top left"));
        assert_eq!(printed.off_margins(paper), Vec::<String>::new());
        let (width, height) = paper.size_mm();
        // a PNG names its width and height in its first chunk (RFC 2083, section 4.1.1)
        let picture = png(&printed.pdf, 1);
        let number = |at: usize| u32::from_be_bytes(picture[at..at + 4].try_into().unwrap());
        for (pixels, mm) in [(number(16), width), (number(20), height)] {
            assert!((f64::from(pixels) - mm / 25.4 * 100.0).abs() < 2.0, "{pixels} for {mm}");
        }
        // words stand where CSS puts them: 15 mm from the edges
        let first = &printed.words[0];
        assert_eq!(first.text, "Top");
        assert!((first.left - 42.5).abs() < 2.0, "{}", first.left);
        let last = printed.words.last().unwrap();
        assert!((width / 25.4 * 72.0 - last.right - 42.5).abs() < 2.0, "{}", last.right);
    }
}

/// Chromium lays such a page out for its own size and then fits it to the paper that is there.
#[test]
fn a_page_that_names_its_paper_is_caught() {
    if !ready() {
        return;
    }
    let html = page("@page { size: A5 }", "<h1>Top left</h1>");
    let measured = measure(&html, Paper::A4);
    assert!(measured.len() == 1 && measured[0].kind == "page size", "{measured:?}");
    let printed = print(&html, Paper::A4, Backgrounds::Left);
    assert!(printed.words[0].left > 100.0);
}

#[test]
fn words_in_the_margin_of_the_paper_are_caught() {
    if !ready() {
        return;
    }
    let html = page("@page { margin: 5mm }", "<h1>Outside</h1>");
    let off = print(&html, Paper::A4, Backgrounds::Left).off_margins(Paper::A4);
    assert!(off.len() == 1 && off[0].contains("Outside"), "{off:?}");
}

/// The measures are taken on a screen as wide as the paper. They hold on paper only if lines break alike there.
#[test]
fn the_screen_measured_is_as_wide_as_the_paper() {
    if !ready() {
        return;
    }
    for (paper, mm) in [(Paper::A4, 180.0), (Paper::Letter, 185.9)] {
        for (width, faulty) in [(mm - 1.0, false), (mm + 1.0, true)] {
            let html =
                page("", &format!("<div style=\"width: {width}mm; text-align: right\">edge</div>"));
            let found = measure(&html, paper).iter().any(|f| f.kind == "off page");
            assert_eq!(found, faulty, "{paper:?} {width}");
        }
    }
    // a rule of margins on the page itself is followed
    let wide =
        page("@page { margin: 10mm }", "<div style=\"width: 189mm; text-align: right\">edge</div>");
    assert!(measure(&wide, Paper::A4).is_empty());
}

#[test]
fn a_request_is_caught() {
    if !ready() {
        return;
    }
    for (body, url) in [
        ("<img src=\"http://example.org/a.png\" alt=\"a\">", "http://example.org/a.png"),
        ("<p style=\"background: url(https://192.0.2.1/b.png)\">x</p>", "https://192.0.2.1/b.png"),
        ("<script>fetch('http://example.org/c')</script>", "http://example.org/c"),
        ("<style>@import 'http://example.org/d.css';</style>", "http://example.org/d.css"),
    ] {
        assert_eq!(requests(&page("", body)), [url], "{body}");
    }
    let beside = requests(&page("", "<img src=\"beside.png\" alt=\"a\">"));
    assert!(beside.len() == 1 && beside[0].ends_with("/beside.png"), "{beside:?}");
    let own = "<img alt=\"a\" src=\"data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg'/>\"><a href=\"http://example.org\">x</a>";
    assert_eq!(requests(&page("", own)), Vec::<String>::new());
}

#[test]
fn a_poor_outline_is_caught() {
    if !ready() {
        return;
    }
    let about = |body: &str| outline(&page("", &format!("<h1>One</h1>{body}")));
    let th = "<tr><th scope=\"row\">a</th><td>1</td></tr>";
    let image = "<svg viewBox=\"0 0 9 9\" role=\"img\">";
    for (body, word) in [
        ("<h1>Two</h1>", "2 h1"),
        ("<h3>Deep</h3>", "follows level 1"),
        ("<h2></h2>", "is empty"),
        ("<table aria-label=\"a\"><tr><td>1</td></tr></table>", "no th"),
        ("<table aria-label=\"a\"><tr><th>a</th></tr></table>", "no scope"),
        (&format!("<table>{th}</table>"), "no accessible name"),
        ("<img src=\"data:,\">", "no accessible name"),
        ("<img src=\"data:,\" alt=\"\">", "no accessible name"),
        (&format!("{image}</svg>"), "no accessible name"),
        ("<svg viewBox=\"0 0 9 9\"><title>T</title></svg>", "no role img"),
    ] {
        let faults = about(body);
        assert!(faults.iter().any(|f| f.contains(word)), "{body}: {faults:?}");
    }
    for body in [
        "<h2>a</h2><h3>b</h3><h2>c</h2>".to_owned(),
        format!("<table><caption>c</caption>{th}</table><table aria-label=\"c\">{th}</table>"),
        format!("{image}<title>T</title></svg>"),
        format!("<h2 id=\"n\">N</h2>{image}<svg></svg></svg>")
            .replace("role", "aria-labelledby=\"n\" role"),
        "<img src=\"data:,\" alt=\"a\">".to_owned(),
    ] {
        assert_eq!(about(&body), Vec::<String>::new(), "{body}");
    }
    let bare = outline("<!DOCTYPE html><p>nothing</p>");
    assert_eq!(bare, ["html has no lang", "no title", "0 h1 where one is wanted"]);
}

/// RFC 4648, section 10.
#[test]
fn base_64_is_read() {
    for (text, bytes) in
        [("", ""), ("Zg==", "f"), ("Zm8=", "fo"), ("Zm9v", "foo"), ("Zm9vYmFy", "foobar")]
    {
        assert_eq!(from_base64(text), bytes.as_bytes());
    }
    assert_eq!(from_base64("+/8="), [0xfb, 0xff]);
}

#[test]
fn a_missing_browser_is_told_or_fails() {
    let missing = || Err("this line itself is tried here".to_owned());
    assert!(process::granted(&missing(), false).is_none());
    assert!(std::panic::catch_unwind(|| process::granted(&missing(), true).is_some()).is_err());
    let found = Ok("browser".into());
    assert!(process::granted(&found, true).is_some());
}
