//! What is offered while an answer is typed.

use inquire::{
    CustomUserError,
    autocompletion::{Autocomplete, Replacement},
};

/// Suggestions by a function of what is typed; Tab takes the one that is marked, else the first.
#[derive(Clone, Copy)]
pub struct Typed(pub fn(&str) -> Vec<String>);

impl Autocomplete for Typed {
    fn get_suggestions(&mut self, input: &str) -> Result<Vec<String>, CustomUserError> {
        Ok((self.0)(input))
    }

    fn get_completion(
        &mut self,
        input: &str,
        marked: Option<String>,
    ) -> Result<Replacement, CustomUserError> {
        Ok(marked.or_else(|| (self.0)(input).into_iter().next()))
    }
}
