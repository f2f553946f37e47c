//! Lines and columns of a text, counted the way the YAML parser counts them.

/// Whether a character ends a line. YAML 1.1 section 5.4 lists these five; the parser counts a
/// new line at each of them, so the carets must as well.
pub(crate) fn is_break(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}')
}

/// The lines of a text without their line ends; CR LF is one line end.
pub(crate) fn lines(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let here = rest?;
        let Some((end, mark)) = here.char_indices().find(|&(_, c)| is_break(c)) else {
            rest = None;
            return Some(here);
        };
        let after = &here[end + mark.len_utf8()..];
        rest = Some(match mark {
            '\r' => after.strip_prefix('\n').unwrap_or(after),
            _ => after,
        });
        Some(&here[..end])
    })
}

/// Line and column, both from 1 and the column in characters, of a byte offset into `text`.
///
/// An offset past the end gives the end; one inside a character gives that character.
pub(crate) fn place_at(text: &str, offset: usize) -> (usize, usize) {
    let mut end = offset.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let (mut line, mut column) = (1, 1);
    let mut after_return = false;
    for c in text[..end].chars() {
        if c == '\n' && after_return {
            // the second half of CR LF: the line was counted at the CR
        } else if is_break(c) {
            (line, column) = (line + 1, 1);
        } else {
            column += 1;
        }
        after_return = c == '\r';
    }
    (line, column)
}

/// The place itself, or the end of the text if its line is not there: at the end of a text
/// without a last line end the parser counts one line more.
pub(crate) fn within(text: &str, place: (usize, usize)) -> (usize, usize) {
    if place.0 > lines(text).count() { place_at(text, text.len()) } else { place }
}

/// The text from a place (line and column from 1) to the end of its line.
pub(crate) fn rest_of_line(text: &str, (line, column): (usize, usize)) -> &str {
    let Some(whole) = lines(text).nth(line.saturating_sub(1)) else {
        return "";
    };
    match whole.char_indices().nth(column.saturating_sub(1)) {
        Some((start, _)) => &whole[start..],
        None => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The five line ends: YAML 1.1 specification, section 5.4 "Line Break Characters".
    #[test]
    fn every_yaml_line_end_splits_once() {
        let text = "a\r\nb\nc\rd\u{85}e\u{2028}f\u{2029}g";
        let split: Vec<_> = lines(text).collect();
        assert_eq!(split, ["a", "b", "c", "d", "e", "f", "g"]);
        assert_eq!(lines("a\n").collect::<Vec<_>>(), ["a", ""]);
        assert_eq!(lines("").collect::<Vec<_>>(), [""]);
    }

    #[test]
    fn places_count_characters_not_bytes() {
        let text = "ä: 1\r\nµF: Ω\n";
        assert_eq!(place_at(text, 0), (1, 1));
        assert_eq!(place_at(text, "ä".len()), (1, 2));
        assert_eq!(place_at(text, "ä: 1\r\n".len()), (2, 1));
        assert_eq!(place_at(text, "ä: 1\r\nµF: ".len()), (2, 5));
        // an offset inside a two-byte letter, and one past the end
        assert_eq!(place_at(text, 1), (1, 1));
        assert_eq!(place_at(text, 999), (3, 1));
        assert_eq!(within(text, (3, 1)), (3, 1));
        assert_eq!(within("µ: [", (2, 1)), (1, 5));
        assert_eq!(rest_of_line(text, (2, 5)), "Ω");
        assert_eq!(rest_of_line(text, (9, 9)), "");
    }
}
