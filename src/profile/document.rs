//! The text of a profile file and the tree written in it.

use super::{
    fault,
    lines::{self, place_at},
    node::Node,
    problem::{Problem, Problems},
    walk::{Budget, Fill, Locate, Shape},
    yaml::documents,
};
use serde::de::DeserializeSeed;

/// Largest file read, in bytes (64 KiB). A profile written by hand is a few KiB.
pub const MAX_BYTES: usize = 64 * 1024;

/// Most `[` and `{` in a file. The parser's time grows with the square of the brackets left
/// open, and it is done before a walk could see the depth.
const MAX_BRACKETS: usize = 4_000;

/// A profile file that is well-formed YAML within the limits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    name: String,
    text: String,
    root: Node,
}

impl Document {
    /// Reads the bytes of a file; `name` is the file's name as it should appear in messages.
    ///
    /// An empty file gives a document whose root is [`Node::Null`]. Repeated keys are kept;
    /// [`crate::profile::Reader`] reports them.
    ///
    /// # Errors
    ///
    /// One problem, with its place where there is one, if the file is larger than [`MAX_BYTES`],
    /// is not UTF-8, holds control characters, is not YAML, holds more than one document, uses a
    /// tag (`!name`; the standard `!!str` and its kin are passed over) or a list or mapping as a
    /// key, or goes beyond [`super::MAX_NODES`], [`super::MAX_DEPTH`] or [`super::MAX_TEXT`].
    pub fn parse(name: &str, bytes: &[u8]) -> Result<Document, Problems> {
        let text = checked_text(name, bytes, MAX_BYTES, TOO_LONG)?;
        let refuse = |problem| Problems::one(name, &text, problem);
        if let Some(problem) = refused_character(&text).or_else(|| too_many_brackets(&text)) {
            return Err(refuse(problem));
        }
        let root = read_tree(&text).map_err(refuse)?;
        Ok(Document { name: name.to_owned(), text, root })
    }

    /// The file's name as it appears in messages.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The file's text without a byte order mark.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The outermost value.
    pub fn root(&self) -> &Node {
        &self.root
    }

    /// Line and column (from 1, in characters) of the node at `steps`, or of its key.
    ///
    /// Each step is the number of a list item or mapping entry from 0. A step that does not
    /// exist gives the place of the innermost list or mapping that does. What is used through an
    /// alias is placed where it is written out. The whole text is parsed anew for each call.
    pub(crate) fn locate(&self, steps: &[usize], at_key: bool) -> Option<(usize, usize)> {
        let walk = Locate { steps, at_key };
        let error = walk.deserialize(documents(&self.text)).err()?;
        let place = error.location()?;
        Some(lines::within(&self.text, (place.line(), place.column())))
    }
}

/// What to do about a profile that is too long.
const TOO_LONG: &str = "check that this is a profile file; split it if it really is that long";

/// The bytes as text without byte order mark, if they are at most so many and UTF-8.
pub(super) fn checked_text(
    name: &str,
    bytes: &[u8],
    most: usize,
    advice: &str,
) -> Result<String, Problems> {
    if bytes.len() > most {
        let found = format!(
            "the file is longer than {most} bytes ({} KiB), the most that is read",
            most / 1024
        );
        return Err(Problems::one(name, "", Problem::in_file(None, found, advice)));
    }
    match std::str::from_utf8(bytes) {
        // every mark at the start goes: the parser would skip a second one without counting it
        Ok(text) => Ok(text.trim_start_matches('\u{feff}').to_owned()),
        Err(error) => {
            let offset = error.valid_up_to();
            let byte = bytes.get(offset).copied().unwrap_or_default();
            let good = String::from_utf8_lossy(&bytes[..offset]);
            let place = place_at(&good, good.len());
            let found = format!("byte 0x{byte:02X}, at offset {offset} in the file, is not UTF-8");
            let advice = "save the file as UTF-8 text";
            let whole = String::from_utf8_lossy(bytes);
            Err(Problems::one(name, &whole, Problem::in_file(Some(place), found, advice)))
        }
    }
}

/// The first character that YAML text may not hold (YAML 1.1 section 5.1).
fn refused_character(text: &str) -> Option<Problem> {
    let allowed = |c: char| {
        matches!(c, '\t' | '\n' | '\r' | '\u{85}')
            || !(c.is_control() || matches!(c, '\u{feff}' | '\u{fffe}' | '\u{ffff}'))
    };
    let (offset, c) = text.char_indices().find(|&(_, c)| !allowed(c))?;
    let what = match c {
        '\0' => "a NUL character stands here".to_owned(),
        '\u{feff}' => "a byte order mark stands here, inside the text".to_owned(),
        c => format!("a control character, U+{:04X}, stands here", u32::from(c)),
    };
    Some(Problem::in_file(
        Some(place_at(text, offset)),
        what,
        "remove it; only plain text, line ends and tabs are read",
    ))
}

fn too_many_brackets(text: &str) -> Option<Problem> {
    let bracket = |&(_, c): &(usize, char)| matches!(c, '[' | '{');
    let (offset, _) = text.char_indices().filter(bracket).nth(MAX_BRACKETS)?;
    Some(Problem::in_file(
        Some(place_at(text, offset)),
        format!("more than {MAX_BRACKETS} opening brackets in one file"),
        "write lists and blocks of keys on lines of their own instead of in brackets",
    ))
}

/// Builds the tree in two walks; the error is explained with its place.
fn read_tree(text: &str) -> Result<Node, Problem> {
    let budget = Budget::new();
    let shape = Shape { budget: &budget, depth: 0, is_key: false };
    let filled = shape.deserialize(documents(text)).and_then(|mut root| {
        Fill { budget: &budget, node: &mut root }.deserialize(documents(text))?;
        Ok(root)
    });
    filled.map_err(|error| fault::explain(text, &error, budget.into_refusal()))
}

#[cfg(test)]
mod tests;
