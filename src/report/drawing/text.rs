//! Words that fit: widths are estimated, since no font is known here.

pub(super) use crate::text::clean;
use crate::text::{self, words};

/// What is cut off is marked by this.
const CUT: char = '…';

/// Width of a character over the size of the type, on the wide side of the usual sans-serif faces (measured by none;
/// common practice is 0.6 for Latin text and 1 for CJK and emoji).
fn share(c: char) -> f64 {
    match c {
        'M' | 'W' | 'm' | 'w' | '@' | '%' | CUT => 1.0,
        'A'..='Z' | 'Ω' | '−' | '+' | '×' | '±' => 0.8,
        '\u{1100}'.. => 1.0,
        _ => 0.64,
    }
}

/// Estimated width of a text, in units of the drawing.
pub(super) fn width(text: &str, size: f64, bold: bool) -> f64 {
    let heavy = if bold { 1.08 } else { 1.0 };
    text.chars().map(share).sum::<f64>() * size * heavy
}

/// Width of plain words of our own in that size, closer than what is kept free round a user's.
pub(super) fn own_width(text: &str, size: f64) -> f64 {
    0.6 * size * text.chars().count() as f64
}

/// User text kept apart from its neighbours, whichever way it is read (Unicode isolates).
pub(super) fn isolate(text: &str) -> String {
    format!("\u{2068}{text}\u{2069}")
}

/// The text, cut to `room`.
pub(super) fn fit(text: &str, room: f64, size: f64, bold: bool) -> String {
    if width(text, size, bold) <= room {
        return text.to_owned();
    }
    let mut out = String::new();
    for c in text.chars() {
        out.push(c);
        if width(&out, size, bold) > room - size {
            out.pop();
            break;
        }
    }
    format!("{}{CUT}", out.trim_end())
}

/// The text in at most `most` lines of `room`, broken between words and never between a figure and its unit; lines
/// are about alike in length, and what is too long is cut.
pub(super) fn wrap(text: &str, room: f64, size: f64, most: usize) -> Vec<String> {
    let mut lines = greedy(text, room, size, most);
    let mut narrow = room;
    while lines.len() > 1 && narrow > 0.5 * room {
        narrow -= size;
        let tried = greedy(text, narrow, size, most);
        let wide = tried.iter().any(|l| width(l, size, false) > narrow);
        if tried.len() > lines.len() || wide {
            break;
        }
        lines = tried;
    }
    lines.iter().map(|l| fit(l, room, size, false)).collect()
}

fn greedy(text: &str, room: f64, size: f64, most: usize) -> Vec<String> {
    let words = words(text).into_iter().filter(|word| !word.is_empty());
    let mut lines = text::wrap(words, room, &|line| width(line, size, false));
    // what is beyond the last line goes on it, to be cut there
    if lines.len() > most {
        let rest = lines.split_off(most - 1);
        lines.push(rest.join(" "));
    }
    lines
}
