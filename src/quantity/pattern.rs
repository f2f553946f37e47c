//! What a written quantity looks like, for schemas: looser than the reader, which alone knows what is sense.

use super::kind::Quantity;

/// A regular expression (ECMA-262) that matches every text [`super::parse`] takes for this quantity, and few others:
/// a digit somewhere, one of the quantity's units at the end, any prefix before it; or a letter code.
pub fn pattern<Q: Quantity>() -> String {
    let texts = Q::KIND.spellings.iter().flat_map(|spelling| spelling.texts());
    let mut units: Vec<String> = texts.map(unit).collect();
    units.dedup();
    let measured = format!(r"[0-9].*({})\s*$", units.join("|"));
    if Q::KIND.letters.is_empty() {
        return measured;
    }
    let letters: String = Q::KIND.letters.iter().map(|letter| letter.0).collect();
    let letters = letters.replace('µ', "µ\u{3bc}");
    format!(r"{measured}|^\s*[-+\u2212]?[0-9]*\s*[{letters}][0-9]*\s*$")
}

fn unit((written, is_word): (&str, bool)) -> String {
    let mut text = String::new();
    for c in written.chars() {
        match c {
            'Ω' => text.push_str(r"[Ω\u2126]"),
            'µ' => text.push_str(r"[µ\u03bcUu]"),
            '°' => text.push_str(r"[°\u00ba]"),
            ' ' => text.push_str(r"\s+"),
            c if is_word && c.is_ascii_alphabetic() => {
                let (big, small) = (c.to_ascii_uppercase(), c.to_ascii_lowercase());
                text.push_str(&format!("[{big}{small}]"));
            }
            c => text.push(c),
        }
    }
    match written {
        "°C" => text.push_str(r"|\u2103"),
        "°F" => text.push_str(r"|\u2109"),
        _ => {}
    }
    if is_word {
        text.push_str(r"[Ss]?\.?");
    }
    text
}
