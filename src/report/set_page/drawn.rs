//! Drawings whose figures the script can find.
//!
//! A drawing is drawn three times: with its figures, and twice with numbers of columns in their place. What differs between the two is
//! a figure, and its numbers say which; what does not is no figure, such as what is printed on a part. So the drawings themselves know
//! nothing of this page.

use crate::{
    report::drawing::{mains_side, supply as supply_of},
    study::{StateColumn, StateDrawing, figure_number},
};
use maud::html;

/// The mains side.
pub fn mains(drawing: &StateDrawing, columns: &[StateColumn]) -> String {
    let prefix = format!("mains-{}", drawing.name);
    let draw = |of: &crate::study::Drawn| mains_side(&of.plan, &of.choice, &prefix).svg;
    let [one, other] = drawing.numbered.each_ref().map(draw);
    found(&draw(&drawing.solved), &one, &other, columns)
}

/// The supply.
pub fn supply(drawing: &StateDrawing, columns: &[StateColumn]) -> String {
    let draw = |of: &crate::study::Drawn| supply_of(&of.supply, "supply").svg;
    let [one, other] = drawing.numbered.each_ref().map(draw);
    found(&draw(&drawing.solved), &one, &other, columns)
}

/// What a figure is until the script comes to it, where it cannot be told from its neighbours; and for one that no column has.
const UNKNOWN: &str = "–";

/// The drawing with a mark at each figure. `one` and `other` are the same with numbers.
fn found(solved: &str, one: &str, other: &str, columns: &[StateColumn]) -> String {
    let [solved, one, other] = [solved, one, other].map(|svg| pieces(svg));
    let alike = one.len() == other.len() && one.len() == solved.len();
    let mut svg = String::new();
    for (place, piece) in one.iter().enumerate() {
        let (text, second) = (piece, other.get(place).copied().unwrap_or_default());
        let first = solved.get(place).copied().unwrap_or_default();
        if piece.starts_with('<') || !alike || *text == second {
            svg += if alike { first } else { piece };
            continue;
        }
        // in words for who cannot see it, figures of one moment would be wrong at the next
        let spoken = place > 0 && one[place - 1].starts_with("<desc");
        svg += &if spoken { SPOKEN.to_owned() } else { marked(first, text, second, columns) };
    }
    svg
}

/// What a drawing is, for who cannot see it.
const SPOKEN: &str = "The figures of the drawing are in the tables.";

/// A drawing's tags and what stands between them.
fn pieces(svg: &str) -> Vec<&str> {
    svg.split_inclusive('>')
        .flat_map(|part| {
            let tag = part.find('<').unwrap_or(part.len());
            [&part[..tag], &part[tag..]]
        })
        .filter(|piece| !piece.is_empty())
        .collect()
}

/// A number in a text: where it stands, and the place of its column among so many; none where it is that of no column.
fn numbers(text: &str, backwards: bool, of: usize) -> Vec<(std::ops::Range<usize>, Option<usize>)> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(from) = text[at..].find(|c: char| c.is_ascii_digit()).map(|from| from + at) {
        let rest = &text[from..];
        let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let unit = rest[digits..].trim_start_matches([' ', '\u{a0}']);
        let gap = rest.len() - digits - unit.len();
        let kilo = unit.starts_with('k');
        let letter = unit.trim_start_matches('k').chars().next().filter(|c| "VAWΩ".contains(*c));
        let end = from + digits + gap + usize::from(kilo) + letter.map_or(0, char::len_utf8);
        let value = rest[..digits].parse::<f64>().ok().filter(|_| letter.is_some());
        let value = value.map(|value| if kilo { 1e3 * value } else { value });
        let place = value.and_then(|value| {
            (0..of).find(|place| (figure_number(*place, backwards, of) - value).abs() < 1.0)
        });
        found.push((from..end.max(from + digits), place));
        at = end.max(from + digits);
    }
    found
}

/// A text with its figures marked, as it is with its figures in `solved`.
fn marked(solved: &str, one: &str, other: &str, columns: &[StateColumn]) -> String {
    let [first, second] = [(one, false), (other, true)]
        .map(|(text, backwards)| numbers(text, backwards, columns.len()));
    let between = |text: &str, list: &[(std::ops::Range<usize>, Option<usize>)]| -> Vec<String> {
        let ends = list.iter().map(|(range, _)| range.start).chain([text.len()]);
        let starts = [0].into_iter().chain(list.iter().map(|(range, _)| range.end));
        starts.zip(ends).map(|(from, to)| text[from..to].to_owned()).collect()
    };
    let words = between(one, &first);
    let sure = words == between(other, &second)
        && first.iter().zip(&second).all(|((a, place), (b, same))| {
            place == same && (place.is_some() || one[a.clone()] == other[b.clone()])
        });
    if !sure {
        return UNKNOWN.to_owned();
    }
    // the same words stand between the figures as they are
    let mut rest = solved;
    let mut shown: Vec<&str> = Vec::new();
    for (i, word) in words.iter().enumerate() {
        let at = if i + 1 == words.len() && word.is_empty() {
            rest.len()
        } else {
            rest.find(word.as_str()).unwrap_or(rest.len())
        };
        shown.push(&rest[..at]);
        rest = &rest[(at + word.len()).min(rest.len())..];
    }
    let mut text = words.first().cloned().unwrap_or_default();
    for (i, (range, place)) in first.iter().enumerate() {
        let now = shown.get(i + 1).copied().filter(|now| !now.is_empty()).unwrap_or(UNKNOWN);
        text += &match place {
            Some(place) => {
                html! { tspan data-figure=(columns[*place].key) { (maud::PreEscaped(now)) } }
                    .into_string()
            }
            None => one[range.clone()].to_owned(),
        };
        text += &words[i + 1];
    }
    text
}
