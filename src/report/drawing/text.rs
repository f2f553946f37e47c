//! Words that fit: widths are estimated, since no font is known here.

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

/// What XML forbids, other control characters, and marks that turn the direction of the text round them.
fn forbidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{061c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        || matches!(c, '\u{fffe}' | '\u{ffff}' | '\u{2028}' | '\u{2029}')
}

/// User text without what could break the drawing or the line it stands in.
pub(super) fn clean(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c })
        .filter(|c| !forbidden(*c))
        .collect()
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
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces(text) {
        // pieces beyond the last line go on it, to be cut there
        let full = lines.len() >= most;
        match lines.last_mut() {
            Some(line) if full || width(&format!("{line} {piece}"), size, false) <= room => {
                line.push(' ');
                line.push_str(&piece);
            }
            _ => lines.push(piece),
        }
    }
    lines
}

/// Words, a figure and its unit being one.
fn pieces(text: &str) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let is_unit = word.trim_end_matches(',').chars().count() <= 2;
        match list.last_mut() {
            Some(last) if is_unit && last.ends_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => list.push(word.to_owned()),
        }
    }
    list
}
