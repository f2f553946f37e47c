//! Words of a text as they may stand apart at the end of a line, and sentences of them.

/// With a capital.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// With a capital and a full stop.
pub(super) fn sentence(words: &str) -> String {
    let stop = if words.ends_with(['.', ':', '!', '?']) { "" } else { "." };
    capital(words) + stop
}

/// Words of a text; a figure and its unit are one word.
pub(super) fn words(text: &str) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match list.last_mut() {
            Some(last) if ends_in_figure(last) && is_unit(word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => list.push(word.to_owned()),
        }
    }
    list
}

fn ends_in_figure(word: &str) -> bool {
    word.ends_with(|c: char| c.is_ascii_digit())
}

fn is_unit(word: &str) -> bool {
    const UNITS: [&str; 23] = [
        "V", "mV", "µV", "kV", "A", "mA", "µA", "W", "mW", "Ω", "kΩ", "MΩ", "mΩ", "GΩ", "H", "mH",
        "µF", "pF", "Hz", "°C", "%", "s", "K",
    ];
    UNITS.contains(&word.trim_end_matches([',', ';', '.', ':', ')', '†']))
}
