//! The YAML parser. Its makers no longer maintain it: this file alone names it, so that another can take its place here.
//!
//! A successor that keeps its interface needs one line of `Cargo.toml`
//! (`serde_yaml = { package = "…", version = "…" }`). What it must keep besides are the texts of its errors, which
//! `fault` explains: the tests of unreadable files say whether it does.

/// The parser of a stream of documents.
pub type Parser<'t> = serde_yaml::Deserializer<'t>;

/// Why a text is no YAML, with its place.
pub type YamlError = serde_yaml::Error;

/// The documents of a text, one after the other.
pub fn documents(text: &str) -> Parser<'_> {
    Parser::from_str(text)
}
