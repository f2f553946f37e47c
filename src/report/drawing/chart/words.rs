//! Text in a drawing: no font is at hand, so widths are estimated, on the wide side.

use maud::{Markup, html};

/// Size of all but headings: 8.5 points where a sheet shows the 720 units at 180 mm.
pub const SMALL: f64 = 12.0;
/// From one line of small text to the next.
pub const PITCH: f64 = 15.0;

/// Width of a text in units of the drawing, for a common sans-serif face. Estimated from classes of letters,
/// a little above the advance widths of DejaVu Sans, which is a wide one.
pub fn width(text: &str, size: f64) -> f64 {
    size * text.chars().map(em).sum::<f64>()
}

fn em(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' => 0.34,
        ' ' | '!' | 'f' | 't' | 'r' | 'I' | '(' | ')' | '[' | ']' | '-' | '/' | '\\' => 0.42,
        'm' | 'M' | 'w' | 'W' | '@' | '%' | '—' | '…' => 1.0,
        'A'..='Z' | '#' | '&' | '<' | '>' | '=' | '+' | '−' | '×' | '~' | '^' => 0.84,
        '\0'..='\u{7f}' | '°' | 'µ' | '⁰'..='₉' => 0.66,
        '\u{80}'..='\u{24f}' | '\u{370}'..='\u{4ff}' => 0.9,
        // scripts with wide signs, pictures, signs made of several
        _ => 1.4,
    }
}

/// The text in one line without what XML forbids and without what turns the direction of writing.
pub fn clean(text: &str) -> String {
    let kept = crate::text::clean(text);
    kept.split(' ').filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// The clean text, cut with an ellipsis where it is wider than `room`; nothing where not even
/// that fits.
pub fn cut(text: &str, size: f64, room: f64) -> String {
    let text = clean(text);
    if text.is_empty() || width(&text, size) <= room {
        return text;
    }
    let mut short = String::new();
    let mut used = width("…", size);
    if used > room {
        return short;
    }
    for c in text.chars() {
        used += size * em(c);
        if used > room {
            break;
        }
        short.push(c);
    }
    short.truncate(short.trim_end().len());
    short.push('…');
    short
}

/// The clean text in lines no wider than `room`, broken between words; a single word that is wider is cut.
pub fn wrap(text: &str, size: f64, room: f64) -> Vec<String> {
    let words = clean(text);
    let words = words.split(' ').filter(|w| !w.is_empty()).map(|word| cut(word, size, room));
    crate::text::wrap(words, room, &|line| width(line, size))
}

/// A text on its baseline, bold where it is larger than small print; nothing where it is empty.
pub fn put(x: f64, y: f64, anchor: &str, size: f64, text: &str) -> Markup {
    let weight = (size > SMALL).then_some("bold");
    html! {
        @if !text.is_empty() {
            text x=(one(x)) y=(one(y)) text-anchor=(anchor) font-size=(size) font-weight=[weight] { (text) }
        }
    }
}

/// A coordinate to a tenth.
pub fn one(v: f64) -> String {
    format!("{v:.1}")
}

/// A name with its unit, the name cut where both do not fit.
pub fn named(name: &str, unit: &str, size: f64, room: f64) -> String {
    if unit.is_empty() {
        return cut(name, size, room);
    }
    if clean(name).is_empty() {
        return unit.to_owned();
    }
    let tail = format!(", {unit}");
    cut(name, size, room - width(&tail, size)) + &tail
}
