//! The tree of a profile file, and how large it may be.

use std::fmt;

/// Most keys and values in a file, aliases written out.
pub const MAX_NODES: usize = 20_000;

/// Most lists and mappings inside each other.
pub const MAX_DEPTH: usize = 16;

/// Most text in a file's keys and values, in bytes, aliases written out (256 KiB).
pub const MAX_TEXT: usize = 256 * 1024;

/// The key YAML 1.1 gives a special meaning: it copies another mapping's entries.
pub(crate) const MERGE_KEY: &str = "<<";

/// A value in the tree. Numbers and truth values are kept as the text that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Node {
    /// Nothing, `~` or `null`.
    Null,
    /// Any single value, without its quotes.
    Scalar(String),
    /// The items in file order.
    List(Vec<Node>),
    /// The entries in file order, repeated keys included.
    Map(Vec<(String, Node)>),
}

/// The kind of a [`Node`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Nothing, `~` or `null`.
    Null,
    /// Any single value.
    Text,
    /// A list.
    List,
    /// A mapping of keys to values.
    Map,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Kind::Null => "nothing",
            Kind::Text => "a single value",
            Kind::List => "a list",
            Kind::Map => "a block of keys",
        })
    }
}

impl Node {
    /// What kind of value this is.
    pub fn kind(&self) -> Kind {
        match self {
            Node::Null => Kind::Null,
            Node::Scalar(_) => Kind::Text,
            Node::List(_) => Kind::List,
            Node::Map(_) => Kind::Map,
        }
    }
}
