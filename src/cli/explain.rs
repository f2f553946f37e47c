//! The commands that stand for the documents where the program was installed alone: `explain` and `example`.

use super::{Failure, Outcome, Result, Style, args::ExampleArgs, save};
use crate::api::{
    Page,
    typed::{SHIPPED, near, shown},
};

/// Explains a word, or lists what can be explained.
pub fn explain(word: Option<&str>, style: Style) -> Result {
    Ok(Outcome::page(&Page::of_word(word)?, style))
}

/// Prints a profile or writes it, or lists what there is.
pub fn example(args: &ExampleArgs, style: Style) -> Result {
    let Some(asked) = args.name.as_deref() else {
        return Ok(Outcome::page(&Page::of_examples(), style));
    };
    let name = asked.trim_start_matches("profiles/").trim_end_matches(".yaml");
    let Some((_, text)) = SHIPPED.iter().find(|(known, _)| *known == name) else {
        let advice = match near(name, SHIPPED.iter().map(|(known, _)| *known))[..] {
            [] => "`mainsfit example` lists them".to_owned(),
            [near, ..] => format!(
                "`mainsfit example {near}` is the nearest; `mainsfit example` lists them all"
            ),
        };
        return Err(Failure::new(format!("there is no example {asked:?}"), advice));
    };
    let Some(path) = &args.output else {
        return Ok(Outcome::done((*text).to_owned()));
    };
    save(path, text, args.force)?;
    let path = shown(path);
    Ok(Outcome::done(format!("{path}: written; next: `mainsfit plan {path}`\n")))
}
