//! Drawings whose figures the script can find.
//!
//! A drawing is drawn three times: with its figures, and twice with numbers of columns in their place. What differs between the two is
//! a figure, and its numbers say which; what does not is no figure, such as what is printed on a part. So the drawings themselves know
//! nothing of this page.

use crate::{
    report::drawing::{mains_side, supply as supply_of},
    study::{Drawn, StateColumn, StateDrawing},
};
use maud::html;
use std::ops::Range;

/// The mains side.
pub fn mains(drawing: &StateDrawing, columns: &[StateColumn]) -> String {
    let prefix = format!("mains-{}", drawing.name);
    let draw = |of: &Drawn| mains_side(&of.plan, &of.choice, &prefix).svg;
    let numbered =
        drawing.numbered.each_ref().map(|(drawn, numbers)| (draw(drawn), numbers.as_slice()));
    found(&draw(&drawing.solved), &numbered, columns)
}

/// The supply.
pub fn supply(drawing: &StateDrawing, columns: &[StateColumn]) -> String {
    let draw = |of: &Drawn| supply_of(&of.supply, "supply").svg;
    let numbered =
        drawing.numbered.each_ref().map(|(drawn, numbers)| (draw(drawn), numbers.as_slice()));
    found(&draw(&drawing.solved), &numbered, columns)
}

/// What a figure is until the script comes to it, where it cannot be told from its neighbours; and for one that no column has.
const UNKNOWN: &str = "–";

/// The drawing with a mark at each figure. `numbered` are the same with numbers, and these by their columns.
fn found(solved: &str, numbered: &[(String, &[f64]); 2], columns: &[StateColumn]) -> String {
    let numbers = numbered.each_ref().map(|(_, numbers)| *numbers);
    let [one, other] = numbered.each_ref().map(|(svg, _)| pieces(svg));
    let solved = pieces(solved);
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
        svg += &if spoken {
            SPOKEN.to_owned()
        } else {
            marked(first, (text, second), numbers, columns)
        };
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

/// A number in a text: where it stands, and the columns that it may be of.
type Found = (Range<usize>, Vec<usize>);

/// The numbers in a text, of which `numbers` are those of the columns.
fn numbers_in(text: &str, numbers: &[f64]) -> Vec<Found> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(from) = text[at..].find(|c: char| c.is_ascii_digit()).map(|from| from + at) {
        let rest = &text[from..];
        let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let unit = rest[digits..].trim_start_matches([' ', '\u{a0}']);
        let kilo = unit.starts_with('k');
        let letter = unit.trim_start_matches('k').chars().next().filter(|c| "VAWΩ".contains(*c));
        let end = rest.len() - unit.len() + usize::from(kilo) + letter.map_or(0, char::len_utf8);
        let end = from + if letter.is_some() { end } else { digits };
        let value = rest[..digits].parse::<f64>().ok().filter(|_| letter.is_some());
        let value = value.map(|value| if kilo { 1e3 * value } else { value });
        found.push((from..end, value.map_or(Vec::new(), |value| of(numbers, value))));
        at = end;
    }
    found
}

/// The columns whose number may have been written so: in three digits.
fn of(numbers: &[f64], value: f64) -> Vec<usize> {
    let near = |number: f64| (number - value).abs() < 0.005 * if value < 1e4 { 1e3 } else { 1e4 };
    let all = numbers.iter().enumerate();
    all.filter(|(_, number)| value >= 1e3 && near(**number)).map(|(place, _)| place).collect()
}

/// A text with its figures marked, as it is with its figures in `solved`.
fn marked(
    solved: &str,
    (one, other): (&str, &str),
    numbers: [&[f64]; 2],
    columns: &[StateColumn],
) -> String {
    let [first, second] = [numbers_in(one, numbers[0]), numbers_in(other, numbers[1])];
    let place = |i: usize| {
        let (places, same) = (&first.get(i)?.1, &second.get(i)?.1);
        let both = |place: &&usize| same.contains(*place) && **place < columns.len();
        places.iter().find(both).copied()
    };
    let between = |text: &str, list: &[Found]| -> Vec<String> {
        let ends = list.iter().map(|(range, _)| range.start).chain([text.len()]);
        let starts = [0].into_iter().chain(list.iter().map(|(range, _)| range.end));
        starts.zip(ends).map(|(from, to)| text[from..to].to_owned()).collect()
    };
    let words = between(one, &first);
    let sure =
        words == between(other, &second)
            && first.iter().zip(&second).enumerate().all(|(i, ((a, _), (b, _)))| {
                place(i).is_some() || one[a.clone()] == other[b.clone()]
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
    for (i, (range, _)) in first.iter().enumerate() {
        let now = shown.get(i + 1).copied().filter(|now| !now.is_empty()).unwrap_or(UNKNOWN);
        text += &match place(i) {
            Some(place) => {
                html! { tspan data-figure=(columns[place].key) { (maud::PreEscaped(now)) } }
                    .into_string()
            }
            None => one[range.clone()].to_owned(),
        };
        text += &words[i + 1];
    }
    text
}
