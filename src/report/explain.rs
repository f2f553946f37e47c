//! What words mean, and the profiles that come with the program, as pages.

use super::{
    build::{joined, listed},
    page::{Block, Page, blocks, fine, items, line, section, strong, text, title},
};
use crate::{
    profile::{KeyAt, Needed, SetInfo},
    study::Explained,
};

/// Most places of a key that are told.
const PLACES: usize = 4;

/// What each word means.
pub fn page(found: &Explained) -> Page {
    let terms = found.terms.iter().map(|(term, means)| blocks(text((strong(*term), ": ", means))));
    let choices = found.choices.iter().map(|(id, words)| {
        blocks(text((strong(*id), ", a choice of a plan (`--with`): ", *words)))
    });
    let all: Vec<Page> = terms.chain(choices).chain(found.keys.iter().map(key)).collect();
    all.join(&Block::Gap)
}

/// What a key is.
fn key(key: &KeyAt) -> Page {
    let (row, more) = (&key.row, key.paths.len().saturating_sub(PLACES));
    let places = joined(key.paths.iter().take(PLACES), ", ");
    let needed = match &row.needed {
        Needed::Always => "required".to_owned(),
        Needed::OrElse(others) => format!("this or {others}"),
        Needed::No => "may be left out".to_owned(),
    };
    let words = key.words.iter().map(|(word, means)| line((strong(word), ": ", means)));
    blocks((
        text((
            "In a profile: ",
            strong(places),
            (more > 0).then(|| format!(" and {more} more places")),
        )),
        text(&row.means),
        text(("Write: ", &row.written, "; ", needed)),
        items(words).if_any(),
        listed(&key.below, ", ").map(|keys| text(("Keys below it: ", keys))),
    ))
}

/// All words, and what the keys at the top of a profile mean.
pub fn list(all: &Explained) -> Page {
    let keys = all.keys.iter().map(|key| line((strong(&key.row.key), ": ", &key.row.means)));
    blocks((
        fine(
            "`mainsfit explain WORD` explains any of these, and keys below: filter.capacitor.rated, or rated alone.",
        ),
        section("TERMS", text(joined(all.terms.iter().map(|(term, _)| term), "; "))),
        section("CHOICES OF A PLAN", text(joined(all.choices.iter().map(|(id, _)| id), "; "))),
        section("KEYS OF A PROFILE", items(keys)),
    ))
}

/// The shipped profiles, each with its set.
pub fn examples(sets: &[(&str, SetInfo)]) -> Page {
    let each = sets.iter().map(|(name, set)| {
        line((strong(*name), ": ", &set.name, set.year.map(|year| format!(", {year}"))))
    });
    blocks((
        title("PROFILES that come with the program"),
        items(each),
        fine("`mainsfit example NAME` prints one; `mainsfit example NAME -o FILE` writes it."),
    ))
}
