//! Texts as they are set: cleaned of what upsets a page, their figures kept with their units, broken into lines.

mod figure;
mod near;
mod terms;

pub use figure::{figure, fixed, high_or_low, off, places};
pub use near::{near, plain};
pub use terms::terms;

use std::path::Path;

/// Characters that upset a terminal or a page: controls, ends of lines, what stands in no YAML or XML, and marks that turn the
/// direction of what follows.
pub fn upsets(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}')
        || matches!(c, '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
}

/// The text in one line, without what upsets a page.
pub fn clean(text: &str) -> String {
    let plain = text.chars().map(|c| if c.is_whitespace() { ' ' } else { c });
    plain.filter(|c| !upsets(*c)).collect()
}

/// The text with characters escaped that would upset a terminal.
pub fn printable(text: &str) -> String {
    let shown = |c: char| match c {
        c if is_unprintable(c) => c.escape_default().to_string(),
        c => c.to_string(),
    };
    text.chars().map(shown).collect()
}

/// Characters that would upset a terminal or reorder the text around them.
pub fn is_unprintable(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}')
        || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// The name of a file as it is shown: whoever named it has no say over the terminal.
pub fn shown(path: &Path) -> String {
    printable(&path.display().to_string())
}

/// Words of a text; a figure and its unit are one word.
pub fn words(text: &str) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match list.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) && is_unit(word) => {
                *last += " ";
                *last += word;
            }
            _ => list.push(word.to_owned()),
        }
    }
    list
}

fn is_unit(word: &str) -> bool {
    const UNITS: [&str; 23] = [
        "V", "mV", "µV", "kV", "A", "mA", "µA", "W", "mW", "Ω", "kΩ", "MΩ", "mΩ", "GΩ", "H", "mH",
        "µF", "pF", "Hz", "°C", "%", "s", "K",
    ];
    UNITS.contains(&word.trim_end_matches([',', ';', '.', ':', ')', '†']))
}

/// Lines of these words, none wider than `room` unless a word alone is.
pub fn wrap<W: Into<String>>(
    words: impl IntoIterator<Item = W>,
    room: f64,
    width: &dyn Fn(&str) -> f64,
) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.into_iter().map(Into::into) {
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}")) <= room => {
                *line += " ";
                *line += &word;
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// The text, cut with an ellipsis where it is wider than `room`.
pub fn cut(text: &str, room: f64, width: &dyn Fn(&str) -> f64) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let fits = |end: &(usize, char)| width(&format!("{}…", &text[..end.0])) <= room;
    let end = text.char_indices().take_while(fits).last().map_or(0, |(end, _)| end);
    format!("{}…", &text[..end])
}

#[cfg(test)]
mod tests {
    use super::{clean, cut, words, wrap};

    #[test]
    fn a_text_is_cleaned() {
        assert_eq!(clean("a\tb\u{202e}c\u{7}\u{feff}\u{2028}d"), "a bc d");
        // joiners are letters of some scripts
        assert_eq!(clean("a\u{200d}b"), "a\u{200d}b");
    }

    #[test]
    fn figures_keep_their_units() {
        assert_eq!(words("of 12 V, 3 cm"), ["of", "12 V,", "3", "cm"]);
    }

    #[test]
    fn lines_are_broken_between_words_and_cut() {
        let width = |text: &str| text.chars().count() as f64;
        assert_eq!(wrap(["one", "two", "threefour"], 7.0, &width), ["one two", "threefour"]);
        assert_eq!(cut("threefour", 6.0, &width), "three…");
        assert_eq!(cut("three", 5.0, &width), "three");
    }
}
