//! What a word means: a term of the glossary, a choice of a plan, a key of a profile.

use crate::{
    adaptation::With,
    profile::{KeyAt, Schema, steps},
    text::{near, plain, terms},
};

/// A term a line, `- **term**: what it means.`
const GLOSSARY: &str = include_str!("../../docs/glossary.md");
/// Fewest letters of a word that is looked for within others.
const LEAST: usize = 3;
/// Most words that are told instead.
const MOST: usize = 5;

/// Words and what they mean.
#[derive(Debug, Clone)]
pub struct Explained {
    /// Terms.
    pub terms: Vec<(&'static str, String)>,
    /// Choices of a plan.
    pub choices: Vec<(&'static str, &'static str)>,
    /// Keys of a profile.
    pub keys: Vec<KeyAt>,
}

/// A word that is none of them.
#[derive(Debug, Clone)]
pub struct NoSuchWord {
    /// What was found.
    pub found: String,
    /// What to do.
    pub advice: String,
}

/// All that can be explained.
fn all() -> Explained {
    let choices = With::all().iter().map(|with| with.names());
    Explained {
        terms: terms(GLOSSARY),
        choices: choices.collect(),
        keys: Schema::of_profile().keys(),
    }
}

/// The terms, the choices, and the keys at the top of a profile.
pub fn explainable() -> Explained {
    let mut found = all();
    found.keys.retain(|key| key.paths.iter().any(|path| !path.contains('.')));
    found
}

/// Every word that can be explained: terms, choices, keys by their paths.
pub fn explainable_words() -> Vec<String> {
    let Explained { terms, choices, keys } = all();
    let terms = terms.into_iter().map(|(term, _)| term.to_owned());
    let choices = choices.into_iter().map(|(id, _)| id.to_owned());
    terms.chain(choices).chain(keys.into_iter().flat_map(|key| key.paths)).collect()
}

/// What `word` means, as each of what it is: whatever its case, a key by its path or the end of it.
///
/// # Errors
/// It is none; the nearest are told.
pub fn explain(word: &str) -> Result<Explained, NoSuchWord> {
    let Explained { terms, choices, keys } = all();
    let path = steps(word);
    let wanted = plain(word);
    let names = terms.iter().map(|(term, _)| *term).chain(choices.iter().map(|(id, _)| *id));
    let mut names: Vec<String> = names.map(str::to_owned).collect();
    names.extend(keys.iter().map(|key| key.row.key.clone()));
    let found = Explained {
        terms: terms.into_iter().filter(|(term, _)| plain(term) == wanted).collect(),
        choices: choices.into_iter().filter(|(id, _)| plain(id) == wanted).collect(),
        keys: keys.into_iter().filter_map(|key| key.ending(&path)).collect(),
    };
    if !(found.terms.is_empty() && found.choices.is_empty() && found.keys.is_empty()) {
        return Ok(found);
    }
    let last = path.last().map_or(word, String::as_str);
    let names = || names.iter().map(String::as_str);
    let within = |name: &&str| wanted.len() >= LEAST && plain(name).contains(&wanted);
    let mut nearest = near(word, names());
    nearest.extend(near(last, names()).into_iter().chain(names().filter(within)));
    Err(NoSuchWord {
        found: format!("there is no key, term or choice {word:?}"),
        advice: told(&nearest),
    })
}

/// What to write instead.
fn told(nearest: &[&str]) -> String {
    let mut once: Vec<String> = Vec::new();
    for near in nearest {
        let near = if near.contains(' ') { format!("\"{near}\"") } else { (*near).to_owned() };
        if !once.contains(&near) && once.len() < MOST {
            once.push(near);
        }
    }
    match once.split_first() {
        None => "`mainsfit explain` lists all of them".to_owned(),
        Some((first, [])) => format!("`mainsfit explain {first}`"),
        Some((first, more)) => {
            format!("`mainsfit explain {first}`; also near: {}", more.join(", "))
        }
    }
}
