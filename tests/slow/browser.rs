//! Judges a page that is meant for paper, in a real browser: headless Chromium lays it out and prints it.
//!
//! A test calls [`ready`] first and returns if it is false. [`judge`] runs every check on a document; the single
//! checks are [`print`], [`measure`], [`outline`] and [`requests`]. None of them looks at what the page is about.

mod own;
mod process;

use super::{harness::flat, html_valid};
pub use process::{Tab, browser, ready, scratch};
use regex::Regex;
use serde::Deserialize;
use serde_json::json;
use std::fmt::{self, Display, Formatter};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Margin of a page whose `@page` rule names none, in millimetres; also what [`Printed::off_margins`] allows.
const MARGIN_MM: f64 = 15.0;
/// What printers leave blank at the upper and lower edge, a quarter of an inch (common practice, no source).
const REACH_MM: f64 = 6.35;
/// CSS Values and Units 3: 96 px make an inch of 25.4 mm, 72 pt do.
const PX_PER_MM: f64 = 96.0 / 25.4;
const PT_PER_MM: f64 = 72.0 / 25.4;
/// Smallest text that is asked for, in points. Common practice, no source.
const SMALLEST_IN_DRAWINGS_PT: f64 = 8.5;
const SMALLEST_TEXT_PT: f64 = 8.5;
const SMALLEST_ON_FRONT_PT: f64 = 10.5;
/// Least width and height of a cell to write in by hand. Common practice, no source.
const LEAST_CELL_MM: (f64, f64) = (25.0, 8.0);

const MEASURE: &str = include_str!("browser/measure.js");
const OUTLINE: &str = include_str!("browser/outline.js");
const MARGINS: &str = include_str!("browser/margins.js");

/// A size of paper, upright.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Paper {
    /// ISO 216.
    A4,
    /// ANSI Y14.1, size A: 8.5 in by 11 in.
    Letter,
}

impl Paper {
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// Width and height in millimetres.
    fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// Whether backgrounds are printed. A browser leaves them out unless the user asks for them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Backgrounds {
    Left,
    Printed,
}

/// A document as it came out of the browser's printer.
pub struct Printed {
    pub pdf: Vec<u8>,
    pub pages: usize,
    /// Text in the places it has on paper.
    pub text: String,
    /// Text in the order it was drawn, where columns do not mix.
    pub in_order: String,
    words: Vec<Word>,
}

/// A word on paper, in points from the left upper corner of its page.
struct Word {
    page: usize,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    text: String,
}

/// Something wrong with the layout.
#[derive(Debug, Deserialize)]
pub struct Fault {
    /// `page size`, `off page`, `out of box`, `out of cell`, `clipped`, `overlap`, `small`, `contrast`, `struck`, `not judged`.
    pub kind: String,
    /// A short selector.
    pub element: String,
    pub text: String,
    /// The figures.
    pub detail: String,
}

impl Display for Fault {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let Self { kind, element, text, detail } = self;
        write!(f, "{kind}: {element} {text:?}: {detail}")
    }
}

/// A document, and what it is asked.
pub struct Sheet<'a> {
    /// For messages and the files of pictures.
    pub name: &'a str,
    pub html: &'a str,
    /// Texts that must be on paper. Line ends and runs of blanks do not count.
    pub expected: &'a [&'a str],
    pub most_pages: usize,
    /// What must be on every page, beside its number.
    pub foot: &'a str,
    /// What must be on the first page.
    pub front: &'a [&'a str],
}

/// A file of this run that no other test has.
fn file(ending: &str) -> PathBuf {
    static NUMBER: AtomicUsize = AtomicUsize::new(0);
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    let folder = scratch().join("pages");
    std::fs::create_dir_all(&folder).unwrap();
    folder.join(format!("{number}.{ending}"))
}

/// The address of a file; bytes that mean something in an address are escaped (RFC 3986, section 2.1).
fn address(path: &Path) -> String {
    let escaped = path.to_str().unwrap().bytes().map(|b| {
        if b.is_ascii_alphanumeric() || b"/-._~".contains(&b) {
            char::from(b).to_string()
        } else {
            format!("%{b:02X}")
        }
    });
    format!("file://{}", escaped.collect::<String>())
}

/// Opens `html` in a tab of its own, as it is for printing, and hands the tab and the page's address to `look`.
pub fn opened<T>(html: &str, look: impl FnOnce(&mut Tab, &str) -> T) -> T {
    let path = file("html");
    std::fs::write(&path, html).unwrap();
    let address = address(&path);
    let mut browser = browser();
    let mut tab = browser.tab();
    tab.ask("Page.enable", json!({}));
    tab.ask("Network.enable", json!({}));
    tab.ask("Emulation.setEmulatedMedia", json!({ "media": "print" }));
    let went = tab.ask("Page.navigate", json!({ "url": address }));
    assert!(went["errorText"].is_null(), "{address}: {went}");
    tab.wait_for("Page.loadEventFired");
    tab.evaluate("document.fonts.ready.then(() => true)");
    let seen = look(&mut tab, &address);
    drop(tab);
    std::fs::remove_file(path).unwrap();
    seen
}

/// What a tool of poppler prints about a PDF.
fn poppler(tool: &str, options: &[&str], pdf: &Path, rest: &[&str]) -> Vec<u8> {
    let run = Command::new(tool).args(options).arg(pdf).args(rest).output();
    let run = run.unwrap_or_else(|e| panic!("{tool}: {e}"));
    let said = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{tool}: {said}");
    run.stdout
}

/// Bytes of a text in base 64 (RFC 4648, section 4).
fn from_base64(text: &str) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut held, mut bits) = (0_u32, 0);
    for c in text.bytes().filter(|c| *c != b'=') {
        let six = match c {
            b'A'..=b'Z' => c - b'A',
            b'a'..=b'z' => c - b'a' + 26,
            b'0'..=b'9' => c - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            other => panic!("{other} in base 64"),
        };
        held = held << 6 | u32::from(six);
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits & 0xff) as u8);
        }
    }
    bytes
}

/// The words of what `pdftotext -bbox` wrote: a line with `<page` for each page, one with `<word` for each word.
fn words(listing: &str) -> Vec<Word> {
    let number = |line: &str, key: &str| -> f64 {
        let rest = line.split(&format!("{key}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let (mut page, mut list) = (0, Vec::new());
    for line in listing.lines().map(str::trim) {
        if line.starts_with("<page") {
            page += 1;
        } else if line.starts_with("<word") {
            let text = line.split('>').nth(1).unwrap_or_default();
            list.push(Word {
                page,
                left: number(line, "xMin"),
                right: number(line, "xMax"),
                top: number(line, "yMin"),
                bottom: number(line, "yMax"),
                text: text.trim_end_matches("</word").to_owned(),
            });
        }
    }
    list
}

/// Prints a document on this paper, with margins of [`MARGIN_MM`] unless its `@page` rule names others. A page that
/// names a size of paper is laid out for that and then fitted to this one: [`measure`] has a fault for it.
pub fn print(html: &str, paper: Paper, backgrounds: Backgrounds) -> Printed {
    let inches = |mm: f64| mm / 25.4;
    let (width, height) = paper.size_mm();
    let margin = inches(MARGIN_MM);
    let options = json!({
        "paperWidth": inches(width), "paperHeight": inches(height), "preferCSSPageSize": false,
        "marginTop": margin, "marginBottom": margin, "marginLeft": margin, "marginRight": margin,
        "printBackground": backgrounds == Backgrounds::Printed, "displayHeaderFooter": false,
    });
    let answer = opened(html, |tab, _| tab.ask("Page.printToPDF", options));
    let pdf = from_base64(answer["data"].as_str().unwrap());
    let path = file("pdf");
    std::fs::write(&path, &pdf).unwrap();
    let told = |tool, options: &[&str], rest: &[&str]| {
        String::from_utf8_lossy(&poppler(tool, options, &path, rest)).into_owned()
    };
    let facts = told("pdfinfo", &[], &[]);
    let pages = facts.lines().find_map(|l| l.strip_prefix("Pages:"));
    let printed = Printed {
        pages: pages.unwrap().trim().parse().unwrap(),
        text: told("pdftotext", &["-layout"], &["-"]),
        in_order: told("pdftotext", &["-raw"], &["-"]),
        words: words(&told("pdftotext", &["-bbox"], &["-"])),
        pdf,
    };
    std::fs::remove_file(path).unwrap();
    printed
}

impl Printed {
    /// Whether a text is on paper, whatever its line ends and runs of blanks.
    pub fn says(&self, text: &str) -> bool {
        let text = flat(text);
        flat(&self.text).contains(&text) || flat(&self.in_order).contains(&text)
    }

    /// Words that reach into the side margins of the paper by more than 2 pt, or above and below to where no
    /// printer prints. The browser makes the paper and the margins a
    /// whole number of pixels, which moves an edge by 1.5 pt.
    pub fn off_margins(&self, paper: Paper) -> Vec<String> {
        let (width, height) = paper.size_mm();
        let least = MARGIN_MM * PT_PER_MM - 2.0;
        let right = width * PT_PER_MM - least;
        // a page may use more of the height, as far as a printer reaches
        let (top, bottom) = (REACH_MM * PT_PER_MM, (height - REACH_MM) * PT_PER_MM);
        // a picture sign's box is that of its font, far taller than its ink
        let letters = |w: &Word| w.text.chars().any(char::is_alphanumeric);
        let off = |w: &&Word| {
            w.left < least || w.right > right || letters(w) && (w.top < top || w.bottom > bottom)
        };
        let off = self.words.iter().filter(off).map(|w| {
            format!(
                "page {}: {:?} in the margin: {:.1}..{:.1} by {:.1}..{:.1} pt",
                w.page, w.text, w.left, w.right, w.top, w.bottom
            )
        });
        off.collect()
    }
}

/// Text of a piece of HTML.
fn text_of(html: &str) -> String {
    static TAG: LazyLock<Regex> = LazyLock::new(|| Regex::new("<[^>]*>").unwrap());
    let plain = TAG.replace_all(html, "").into_owned();
    flat(
        &[("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")]
            .iter()
            .fold(plain, |text, (sign, c)| text.replace(sign, c)),
    )
}

/// Texts of every element of that kind.
fn texts_of(html: &str, pattern: &str) -> Vec<String> {
    let all = Regex::new(pattern).unwrap();
    all.captures_iter(html).map(|found| text_of(&found[1])).collect()
}

impl Printed {
    /// What of a sheet is broken between its pages, or is not on each of them.
    fn broken(&self, sheet: &Sheet, paper: Paper) -> Vec<String> {
        let mut faults = Vec::new();
        let pages: Vec<String> = self.in_order.split('\u{c}').map(flat).take(self.pages).collect();
        for (i, page) in pages.iter().enumerate() {
            let number = format!("{} of {}", i + 1, self.pages);
            for wanted in [sheet.foot, &number] {
                if !sheet.foot.is_empty() && !page.contains(wanted) {
                    faults.push(format!("page {} does not say {wanted:?}", i + 1));
                }
            }
        }
        for wanted in sheet.front.iter().filter(|wanted| !pages[0].contains(&flat(wanted))) {
            faults.push(format!("not on the first page: {wanted:?}"));
        }
        // a table goes on with its titles
        // the label and the figure beside it
        let cells = Regex::new("<th scope=\"row\">(.*?)</th><td[^>]*>(.*?)</td>").unwrap();
        for table in Regex::new("(?s)<table.*?</table>").unwrap().find_iter(sheet.html) {
            let titles = texts_of(table.as_str(), "<th scope=\"col\"[^>]*>(.*?)</th>").join(" ");
            let rows = cells.captures_iter(table.as_str());
            let rows: Vec<String> =
                rows.map(|c| [1, 2].map(|i| text_of(&c[i])).join(" ") + " ").collect();
            // whole: 122 is not the 122.4 V of another table
            let on = |page: &&String| {
                let page = format!("{page} ");
                rows.iter().any(|row| page.contains(row.as_str()))
            };
            let held: Vec<&String> = pages.iter().filter(on).collect();
            if held.len() > 1 && held.iter().any(|page| !page.contains(&titles)) {
                faults.push(format!("goes on without its titles: {titles}"));
            }
        }
        // what is below a heading begins on its page
        let lowest = |page: usize| {
            let above_foot = (paper.size_mm().1 - FOOT_MM) * PT_PER_MM;
            let all = self.words.iter().filter(|w| w.page == page && w.bottom < above_foot);
            all.map(|w| w.bottom).fold(0.0, f64::max)
        };
        let told: Vec<String> = self.words.iter().map(|w| text_of(&w.text)).collect();
        for heading in texts_of(sheet.html, "<h2>(.*?)</h2>") {
            let wanted: Vec<String> = heading.split_whitespace().map(str::to_owned).collect();
            for (at, found) in self.words.windows(wanted.len()).enumerate() {
                let last = &found[wanted.len() - 1];
                let same = told[at..].starts_with(&wanted);
                if same && found[0].page == last.page && last.bottom >= lowest(last.page) - 1.0 {
                    faults.push(format!("page {} ends with the heading {heading:?}", last.page));
                }
            }
        }
        let stage = Regex::new(r"Stage \d of \d: ").unwrap();
        for (i, page) in pages.iter().enumerate() {
            let stages = stage.find_iter(page).count();
            if stages != page.matches("Continue if ").count() {
                faults.push(format!("a stage is broken behind page {}", i + 1));
            }
        }
        faults
    }
}

/// Height of the foot with its margin, mm.
const FOOT_MM: f64 = 11.0;

/// A picture of one page of a PDF, counted from 1, at 100 dots an inch.
pub fn png(pdf: &[u8], page: usize) -> Vec<u8> {
    let path = file("pdf");
    std::fs::write(&path, pdf).unwrap();
    let page = page.to_string();
    let options = ["-png", "-r", "100", "-f", &page, "-l", &page];
    let picture = poppler("pdftoppm", &options, &path, &[]);
    std::fs::remove_file(path).unwrap();
    picture
}

/// What is wrong with the layout on this paper: see `browser/measure.js`.
pub fn measure(html: &str, paper: Paper) -> Vec<Fault> {
    let (asked, faults) = opened(html, |tab, _| {
        let asked = tab.evaluate(&format!("({MARGINS})()"));
        let margin = |side: &str| asked[side].as_f64().unwrap_or(MARGIN_MM * PX_PER_MM);
        let (width, height) = paper.size_mm();
        let width = (width * PX_PER_MM - margin("left") - margin("right")).floor();
        tab.ask(
            "Emulation.setDeviceMetricsOverride",
            json!({
                "width": width, "height": (height * PX_PER_MM).floor(),
                "deviceScaleFactor": 1, "mobile": false,
            }),
        );
        let real = tab.evaluate("document.documentElement.clientWidth");
        assert_eq!(real.as_f64(), Some(width), "the viewport is not as wide as the paper");
        let smallest = json!({
            "drawing": SMALLEST_IN_DRAWINGS_PT, "text": SMALLEST_TEXT_PT, "front": SMALLEST_ON_FRONT_PT,
            "cell": [LEAST_CELL_MM.0 * PX_PER_MM, LEAST_CELL_MM.1 * PX_PER_MM],
        });
        let faults = tab.evaluate(&format!("({MEASURE})({smallest})"));
        (asked, faults)
    });
    let mut faults: Vec<Fault> = serde_json::from_value(faults).unwrap();
    if let Some(size) = asked["size"].as_str() {
        faults.push(Fault {
            kind: "page size".to_owned(),
            element: "@page".to_owned(),
            text: size.to_owned(),
            detail: "shrunk or centred on any other paper".to_owned(),
        });
    }
    faults
}

/// Width and height of the first element of that kind, as it is printed, mm.
pub fn size_mm(html: &str, selector: &str) -> (f64, f64) {
    let size = opened(html, |tab, _| {
        tab.evaluate(&format!(
            "(() => {{ const r = document.querySelector({selector:?}).getBoundingClientRect(); return [r.width, r.height]; }})()"
        ))
    });
    (size[0].as_f64().unwrap() / PX_PER_MM, size[1].as_f64().unwrap() / PX_PER_MM)
}

/// Addresses that the page asks for while it loads, other than its own and data in the page itself.
pub fn requests(html: &str) -> Vec<String> {
    opened(html, |tab, own| {
        let asked = tab.events("Network.requestWillBeSent");
        let mut urls: Vec<String> =
            asked.iter().map(|e| e["request"]["url"].as_str().unwrap().to_owned()).collect();
        assert!(urls.iter().any(|u| u == own), "requests are not seen: {urls:?}");
        urls.retain(|u| u != own && !u.starts_with("data:"));
        urls
    })
}

/// What is wrong for somebody who cannot see the page: headings, tables, names of drawings, pictures and tables.
/// The names are those that the browser itself works out for a screen reader.
pub fn outline(html: &str) -> Vec<String> {
    opened(html, |tab, _| {
        let seen = tab.evaluate(&format!("({OUTLINE})()"));
        let mut faults: Vec<String> = serde_json::from_value(seen).unwrap();
        let root = tab.ask("DOM.getDocument", json!({ "depth": 0 }));
        let found = tab.ask(
            "DOM.querySelectorAll",
            json!({ "nodeId": root["root"]["nodeId"], "selector": "svg:not(svg svg), img, table" }),
        );
        for node in found["nodeIds"].as_array().unwrap() {
            let tree = tab.ask(
                "Accessibility.getPartialAXTree",
                json!({ "nodeId": node, "fetchRelatives": false }),
            );
            let ax = &tree["nodes"][0];
            let described = tab.ask("DOM.describeNode", json!({ "nodeId": node }));
            let tag = described["node"]["localName"].as_str().unwrap_or_default();
            let what = format!("{tag} {}", described["node"]["attributes"]);
            let name = ax["name"]["value"].as_str().unwrap_or_default();
            if name.trim().is_empty() {
                faults.push(format!("{what} has no accessible name"));
            }
        }
        faults
    })
}

/// Everything that is wrong with a document, on both papers, with and without backgrounds. With
/// `MAINSFIT_SHOTS=folder`, a picture of every page goes there.
pub fn judge(sheet: &Sheet) -> Vec<String> {
    let Sheet { name, html, .. } = sheet;
    let mut faults = html_valid::faults(html);
    faults.extend(html_valid::links(html));
    faults.extend(requests(html).iter().map(|url| format!("asks for {url}")));
    faults.extend(outline(html));
    for paper in Paper::ALL {
        let measured = measure(html, paper);
        faults.extend(measured.iter().map(|fault| format!("{paper:?}: {fault}")));
        for backgrounds in [Backgrounds::Left, Backgrounds::Printed] {
            let printed = print(html, paper, backgrounds);
            let how = format!("{paper:?}, backgrounds {backgrounds:?}");
            if printed.pages > sheet.most_pages {
                let most = sheet.most_pages;
                faults.push(format!("{how}: {} pages, at most {most}", printed.pages));
            }
            let missing = sheet.expected.iter().filter(|text| !printed.says(text));
            faults.extend(missing.map(|text| format!("{how}: not on paper: {text:?}")));
            faults.extend(printed.broken(sheet, paper).iter().map(|what| format!("{how}: {what}")));
            let off = printed.off_margins(paper);
            faults.extend(off.iter().map(|word| format!("{how}: {word}")));
            if let Some(folder) = std::env::var_os("MAINSFIT_SHOTS") {
                let folder = PathBuf::from(folder);
                std::fs::create_dir_all(&folder).unwrap();
                for page in 1..=printed.pages {
                    let file =
                        format!("{name}-{paper:?}-{backgrounds:?}-{page}.png").to_lowercase();
                    std::fs::write(folder.join(file), png(&printed.pdf, page)).unwrap();
                }
            }
        }
    }
    faults.iter().map(|fault| format!("{name}: {fault}")).collect()
}
