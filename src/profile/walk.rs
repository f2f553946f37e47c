//! Three walks over YAML text: the tree's shape, its texts, and the place of one value.
//!
//! The parser gives places only through errors, and gives a bare `6E5` as a number. So the tree
//! is built in two walks: the first sees what kind each node is (and any tag), the second asks
//! for the text of every scalar as it is written. A third walk raises an error on purpose at one
//! node to learn its line and column.

use std::cell::{Cell, RefCell};
use std::fmt;

use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, MapAccess, SeqAccess, Visitor,
};

use crate::profile::document::{MAX_DEPTH, MAX_NODES, MAX_TEXT, Node};

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
        match cell.get().checked_sub(amount) {
            Some(left) => {
                cell.set(left);
                Ok(())
            }
            None => Err(self.refuse(why)),
        }
    }

    fn take_node<E: Error>(&self) -> Result<(), E> {
        self.take(&self.nodes, 1, Refusal::TooManyNodes)
    }

    fn take_text<E: Error>(&self, text: &str) -> Result<(), E> {
        self.take(&self.text, text.len(), Refusal::TooMuchText)
    }
}

/// First walk: the kind of every node; scalars and keys stay without text.
#[derive(Clone, Copy)]
pub(crate) struct Shape<'b> {
    pub(crate) budget: &'b Budget,
    pub(crate) depth: usize,
}

impl<'b> Shape<'b> {
    fn inside<E: Error>(self) -> Result<Self, E> {
        if self.depth >= MAX_DEPTH {
            return Err(self.budget.refuse(Refusal::TooDeep));
        }
        Ok(Shape { depth: self.depth + 1, ..self })
    }

    fn scalar<E: Error>(self) -> Result<Node, E> {
        self.budget.take_node()?;
        Ok(Node::Scalar(String::new()))
    }

    fn null<E: Error>(self) -> Result<Node, E> {
        self.budget.take_node()?;
        Ok(Node::Null)
    }
}

impl<'de> DeserializeSeed<'de> for Shape<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Node, D::Error> {
        from.deserialize_any(self)
    }
}

/// The scalar kinds a YAML parser tells apart, all given the same body.
macro_rules! every_scalar {
    ($($visit:ident($kind:ty)),* => |$self:ident| $body:expr) => {
        $(fn $visit<E: Error>($self, _: $kind) -> Result<Self::Value, E> {
            $body
        })*
    };
}

impl<'de> Visitor<'de> for Shape<'_> {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text, a list or a mapping")
    }

    every_scalar!(visit_bool(bool), visit_i64(i64), visit_u64(u64), visit_i128(i128),
        visit_u128(u128), visit_f64(f64), visit_str(&str) => |self| self.scalar());

    fn visit_unit<E: Error>(self) -> Result<Node, E> {
        self.null()
    }

    fn visit_none<E: Error>(self) -> Result<Node, E> {
        self.null()
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Node, A::Error> {
        self.budget.take_node()?;
        let inside = self.inside()?;
        let mut items = Vec::new();
        while let Some(item) = from.next_element_seed(inside)? {
            items.push(item);
        }
        Ok(Node::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Node, A::Error> {
        self.budget.take_node()?;
        let inside = self.inside()?;
        let mut entries = Vec::new();
        while from.next_key_seed(KeyShape(self.budget))?.is_some() {
            entries.push((String::new(), from.next_value_seed(inside)?));
        }
        Ok(Node::Map(entries))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, from: A) -> Result<Node, A::Error> {
        let (tag, _) = from.variant::<String>()?;
        Err(self.budget.refuse(Refusal::Tag(tag)))
    }
}

/// First walk: a key, which has to be a scalar without a tag.
struct KeyShape<'b>(&'b Budget);

impl<'de> DeserializeSeed<'de> for KeyShape<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for KeyShape<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }

    every_scalar!(visit_bool(bool), visit_i64(i64), visit_u64(u64), visit_i128(i128),
        visit_u128(u128), visit_f64(f64), visit_str(&str) => |self| self.0.take_node());

    fn visit_unit<E: Error>(self) -> Result<(), E> {
        self.0.take_node()
    }

    fn visit_seq<A: SeqAccess<'de>>(self, _: A) -> Result<(), A::Error> {
        Err(self.0.refuse(Refusal::KeyNotText("list")))
    }

    fn visit_map<A: MapAccess<'de>>(self, _: A) -> Result<(), A::Error> {
        Err(self.0.refuse(Refusal::KeyNotText("mapping")))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, from: A) -> Result<(), A::Error> {
        let (tag, _) = from.variant::<String>()?;
        Err(self.0.refuse(Refusal::Tag(tag)))
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
        let budget = self.budget;
        match self.node {
            Node::Null => from.deserialize_ignored_any(IgnoredAny).map(|_| ()),
            // asking for a string gives a bare number or truth value as it is written
            Node::Scalar(text) => from.deserialize_str(FillText { budget, text }),
            Node::List(items) => from.deserialize_seq(FillList { budget, items }),
            Node::Map(entries) => from.deserialize_map(FillMap { budget, entries }),
        }
    }
}

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
        self.budget.take_text(text)?;
        text.clone_into(self.text);
        Ok(())
    }
}

struct FillList<'b, 'n> {
    budget: &'b Budget,
    items: &'n mut Vec<Node>,
}

impl<'de> Visitor<'de> for FillList<'_, '_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<(), A::Error> {
        let budget = self.budget;
        for node in self.items {
            from.next_element_seed(Fill { budget, node })?;
        }
        Ok(())
    }
}

struct FillMap<'b, 'n> {
    budget: &'b Budget,
    entries: &'n mut Vec<(String, Node)>,
}

impl<'de> Visitor<'de> for FillMap<'_, '_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a mapping")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<(), A::Error> {
        let budget = self.budget;
        for (text, node) in self.entries {
            from.next_key_seed(FillText { budget, text })?;
            from.next_value_seed(Fill { budget, node })?;
        }
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

impl<'de> DeserializeSeed<'de> for Locate<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Locate<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a node")
    }

    every_scalar!(visit_bool(bool), visit_i64(i64), visit_u64(u64), visit_i128(i128),
        visit_u128(u128), visit_f64(f64), visit_str(&str) => |self| Self::here());

    fn visit_unit<E: Error>(self) -> Result<(), E> {
        Self::here()
    }

    fn visit_none<E: Error>(self) -> Result<(), E> {
        Self::here()
    }

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
