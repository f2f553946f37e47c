//! Three walks over YAML text: the tree's shape, its texts, and the place of one value.
//!
//! The parser gives places only through errors, and gives a bare `6E5` as a number. So the tree
//! is built in two walks: the first sees what kind each node is (and any tag), the second asks
//! for the text of every scalar as it is written. A third walk raises an error on purpose at one
//! node to learn its line and column.

use super::node::{MAX_DEPTH, MAX_NODES, MAX_TEXT, Node};
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, MapAccess, SeqAccess, Visitor,
};
use std::{
    cell::{Cell, RefCell},
    fmt,
};

/// Why a walk stopped of its own accord.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Refusal {
    /// More than [`MAX_DEPTH`] lists and mappings inside each other.
    TooDeep,
    /// More than [`MAX_NODES`] keys and values, aliases written out.
    TooManyNodes,
    /// More than [`MAX_TEXT`] bytes of text, aliases written out.
    TooMuchText,
    /// A tag such as `!name`.
    Tag(String),
    /// A list or mapping (named here) used as a key.
    KeyNotText(&'static str),
}

/// What the walks may still spend, and why they stopped.
#[derive(Debug)]
pub(crate) struct Budget {
    nodes: Cell<usize>,
    text: Cell<usize>,
    refusal: RefCell<Option<Refusal>>,
}

impl Budget {
    pub(crate) fn new() -> Self {
        Budget {
            nodes: Cell::new(MAX_NODES),
            text: Cell::new(MAX_TEXT),
            refusal: RefCell::new(None),
        }
    }

    /// The reason a walk ended in an error, if it was not the parser's.
    pub(crate) fn into_refusal(self) -> Option<Refusal> {
        self.refusal.into_inner()
    }

    fn refuse<E: Error>(&self, refusal: Refusal) -> E {
        *self.refusal.borrow_mut() = Some(refusal);
        E::custom("refused")
    }

    fn take<E: Error>(&self, cell: &Cell<usize>, amount: usize, why: Refusal) -> Result<(), E> {
        let left = cell.get().checked_sub(amount);
        cell.set(left.ok_or_else(|| self.refuse(why))?);
        Ok(())
    }
}

/// First walk: the kind of every node; scalars and keys stay without text.
#[derive(Clone, Copy)]
pub(crate) struct Shape<'b> {
    pub(crate) budget: &'b Budget,
    pub(crate) depth: usize,
    /// Whether it is a key, which has to be a scalar.
    pub(crate) is_key: bool,
}

impl<'b> Shape<'b> {
    /// The nodes inside one that is a list or a block of keys (`kind`).
    fn inside<E: Error>(self, kind: &'static str) -> Result<Self, E> {
        if self.is_key {
            return Err(self.budget.refuse(Refusal::KeyNotText(kind)));
        }
        self.counted(())?;
        if self.depth >= MAX_DEPTH {
            return Err(self.budget.refuse(Refusal::TooDeep));
        }
        Ok(Shape { depth: self.depth + 1, ..self })
    }

    /// A node, counted.
    fn counted<T, E: Error>(self, node: T) -> Result<T, E> {
        self.budget.take(&self.budget.nodes, 1, Refusal::TooManyNodes)?;
        Ok(node)
    }
}

/// A walk that asks the parser for whatever stands at a node: what it expects, and what it makes of a scalar and of nothing.
macro_rules! walk {
    (
        $walk:ident => $value:ty, $expects:literal, |$self:ident| $scalar:expr, $nothing:expr;
        $($more:tt)*
    ) => {
        impl<'de> DeserializeSeed<'de> for $walk<'_> {
            type Value = $value;

            fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<$value, D::Error> {
                from.deserialize_any(self)
            }
        }

        impl<'de> Visitor<'de> for $walk<'_> {
            type Value = $value;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str($expects)
            }

            walk!(visit_bool(_: bool), visit_i64(_: i64), visit_u64(_: u64), visit_i128(_: i128),
                visit_u128(_: u128), visit_f64(_: f64), visit_str(_: &str)
                => $value, |$self| $scalar);
            walk!(visit_unit(), visit_none() => $value, |$self| $nothing);
            $($more)*
        }
    };
    ($($visit:ident($($ignored:tt: $kind:ty)?)),+ => $value:ty, |$self:ident| $body:expr) => {
        $(fn $visit<E: Error>($self $(, $ignored: $kind)?) -> Result<$value, E> {
            $body
        })+
    };
}

walk! {
    Shape => Node, "a text, a list or a block of keys",
    |self| self.counted(Node::Scalar(String::new())), self.counted(Node::Null);

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Node, A::Error> {
        let inside = self.inside("list")?;
        let mut items = Vec::new();
        while let Some(item) = from.next_element_seed(inside)? {
            items.push(item);
        }
        Ok(Node::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Node, A::Error> {
        let inside = self.inside("mapping")?;
        let mut entries = Vec::new();
        while from.next_key_seed(Shape { is_key: true, ..self })?.is_some() {
            entries.push((String::new(), from.next_value_seed(inside)?));
        }
        Ok(Node::Map(entries))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, from: A) -> Result<Node, A::Error> {
        let (tag, _) = from.variant::<String>()?;
        Err(self.budget.refuse(Refusal::Tag(tag)))
    }
}

/// Second walk: fills the texts of scalars and keys into a tree made by [`Shape`].
pub(crate) struct Fill<'b, 'n> {
    pub(crate) budget: &'b Budget,
    pub(crate) node: &'n mut Node,
}

impl<'de> DeserializeSeed<'de> for Fill<'_, '_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        match self.node {
            Node::Null => from.deserialize_ignored_any(IgnoredAny).map(|_| ()),
            Node::Scalar(text) => FillText { budget: self.budget, text }.deserialize(from),
            Node::List(_) => from.deserialize_seq(self),
            Node::Map(_) => from.deserialize_map(self),
        }
    }
}

impl<'de> Visitor<'de> for Fill<'_, '_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.node.kind())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<(), A::Error> {
        let budget = self.budget;
        let Node::List(items) = self.node else { return Ok(()) };
        items
            .iter_mut()
            .try_for_each(|node| from.next_element_seed(Fill { budget, node }).map(|_| ()))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<(), A::Error> {
        let budget = self.budget;
        let Node::Map(entries) = self.node else { return Ok(()) };
        for (text, node) in entries {
            from.next_key_seed(FillText { budget, text })?;
            from.next_value_seed(Fill { budget, node })?;
        }
        Ok(())
    }
}

/// Second walk: a scalar or a key. Asking for a string gives a bare number or truth value as it is written.
struct FillText<'b, 'n> {
    budget: &'b Budget,
    text: &'n mut String,
}

impl<'de> DeserializeSeed<'de> for FillText<'_, '_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_str(self)
    }
}

impl Visitor<'_> for FillText<'_, '_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<(), E> {
        self.budget.take(&self.budget.text, text.len(), Refusal::TooMuchText)?;
        text.clone_into(self.text);
        Ok(())
    }
}

/// Third walk: goes to one node and raises an error there, whose place is then read.
///
/// Each step is the number of a list item or mapping entry, from 0. With `at_key` the last step
/// means the entry's key instead of its value.
#[derive(Clone, Copy)]
pub(crate) struct Locate<'p> {
    pub(crate) steps: &'p [usize],
    pub(crate) at_key: bool,
}

impl Locate<'_> {
    fn here<T, E: Error>() -> Result<T, E> {
        Err(E::custom("here"))
    }

    /// The number of items to pass over and what to do at the one after them.
    fn split<E: Error>(self) -> Result<(usize, Self), E> {
        match self.steps {
            [first, steps @ ..] => Ok((*first, Locate { steps, ..self })),
            [] => Self::here(),
        }
    }
}

walk! {
    Locate => (), "a node", |self| Self::here(), Self::here();

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<(), A::Error> {
        let (passed, inside) = self.split()?;
        for _ in 0..passed {
            from.next_element::<IgnoredAny>()?;
        }
        from.next_element_seed(inside)?;
        Self::here()
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<(), A::Error> {
        let (passed, inside) = self.split()?;
        for _ in 0..passed {
            from.next_entry::<IgnoredAny, IgnoredAny>()?;
        }
        if inside.steps.is_empty() && self.at_key {
            from.next_key_seed(inside)?;
        } else if from.next_key::<IgnoredAny>()?.is_some() {
            from.next_value_seed(inside)?;
        }
        Self::here()
    }
}
