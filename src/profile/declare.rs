//! Declarations: a key of a profile is stated once; its type, its reader and its schema follow.
//!
//! [`keys!`] declares a mapping, [`choice!`] a value of a few words, [`form!`] anything else, with a schema and a reader of
//! its own; all of them end in [`reads!`].

pub use super::key::{
    Defs, Describe, Expected, Key, Lax, List, MOST, Named, OrUsual, Read, Sound, Tried, defined,
};
use super::{cursor::Cursor, fields::Fields, problem::quoted};
use serde_json::{Value, json};

/// What keys of a mapping ask of each other: a word of schemas (`anyOf`, `oneOf` or, for all of them, `required`), the
/// keys, what is found where they do not, and what to write.
pub type Rule = (&'static str, &'static [&'static str], &'static str, &'static str);

/// Whether a mapping keeps to a rule; else that is reported.
pub fn is_kept((word, keys, found, advice): Rule, fields: &Fields<'_>, at: &Cursor<'_>) -> bool {
    let there = keys.iter().filter(|key| fields.has(key)).count();
    let kept = match word {
        "anyOf" => there > 0,
        "oneOf" => there == 1,
        _ => there == keys.len(),
    };
    if !kept && word == "oneOf" && there > 1 {
        at.fail(found, advice);
    } else if !kept {
        let absent: Vec<_> = keys.iter().copied().filter(|key| !fields.has(key)).collect();
        fields.owes(&absent, found.to_owned(), advice.to_owned());
    }
    kept
}

/// Lines of documentation as one text.
fn text(lines: &[&str]) -> String {
    lines.iter().map(|line| line.trim()).collect::<Vec<_>>().join("\n")
}

/// A schema with what it is the schema of, unless it says so already.
pub fn about(lines: &[&str], mut schema: Value) -> Value {
    if schema["description"].is_null() {
        schema["description"] = text(lines).into();
    }
    schema
}

/// What a key is, whether it must be there, and its schema.
type Described<'a> = (&'a [&'a str], bool, Value);

/// The schema of a mapping: of its keys (with what each is, whether it must be there, its schema), what they ask of each
/// other, and what else it says.
pub fn mapping(
    lines: &[&str],
    (keys, whats): (&[&str], &[Described<'_>]),
    rule: Option<Rule>,
    also: &[Value],
) -> Value {
    let mut schema = about(lines, json!({ "type": "object", "additionalProperties": false }));
    let mut required: Vec<&str> = Vec::new();
    for (key, (lines, must, what)) in keys.iter().zip(whats) {
        schema["properties"][key] = what.clone();
        schema["properties"][key]["description"] = text(lines).into();
        required.extend(must.then_some(key));
    }
    match rule {
        Some(("required", keys, ..)) => required.extend(keys),
        Some((word, keys, ..)) => {
            schema[word] = keys.iter().map(|key| json!({ "required": [key] })).collect();
        }
        None => {}
    }
    if !required.is_empty() {
        schema["required"] = json!(required);
    }
    for (key, value) in also.iter().filter_map(Value::as_object).flatten() {
        schema[key] = value.clone();
    }
    schema
}

/// A word that may be written, what it means in a schema, and what it is read into.
pub type Word<T> = (&'static str, &'static [&'static str], T);

/// The schema of a value that is one of a few words.
pub fn words<T>(lines: &[&str], words: &[Word<T>]) -> Value {
    let all = words
        .iter()
        .map(|(word, lines, _)| about(lines, json!({ "const": word, "type": "string" })));
    about(lines, json!({ "oneOf": all.collect::<Vec<_>>() }))
}

/// The word that is written, of a few that may be.
pub fn one_word<T: Copy>(
    at: &Cursor<'_>,
    words: &[Word<T>],
    found: &str,
    advice: Option<&str>,
) -> Option<T> {
    let all = || words.iter().map(|(word, ..)| *word).collect::<Vec<_>>().join(", ");
    let advice = advice.map_or_else(|| format!("write one of: {}", all()), str::to_owned);
    let named =
        |text: &str| words.iter().find(|(word, ..)| *word == text).map(|(.., value)| *value);
    at.parsed(named, found, advice)
}

/// How a type is read, what it is called in the schema (or its title), and what its schema is.
macro_rules! reads {
    ($name:ty => $value:ty, $title:expr, |$at:ident| $read:expr, |$defs:pat_param| $shape:expr) => {
        impl $crate::profile::declare::Read for $name {
            type Value = $value;

            fn read($at: &$crate::profile::cursor::Cursor<'_>) -> Option<$value> {
                $read
            }

            fn name() -> String {
                $title.into()
            }

            fn shape($defs: &mut $crate::profile::declare::Defs) -> serde_json::Value {
                $shape
            }
        }
    };
    (@title $name:ident) => {
        stringify!($name)
    };
    (@title $name:ident $title:literal) => {
        $title
    };
    (@or [] $else:expr) => {
        $else
    };
    (@or [$given:expr] $else:expr) => {
        $given
    };
}

/// Declares a mapping: its keys with what they are, in the order in which they are asked for.
///
/// `rule` is what keys ask of each other, `also` what else the schema says; `wanted` are the keys that the advice names
/// where there is no mapping at all, instead of all, and `example` is what it says to write there instead of any. What its values decide, and what becomes of it, is
/// `=> Type: function`. Fields behind `+` are no keys: they are left for that function to fill.
macro_rules! keys {
    (
        $(#[doc = $doc:literal])+
        $vis:vis struct $name:ident $(as $title:literal)? $([$($derive:ident),+])? {
            $($(#[doc = $about:literal])+ $key:ident $($word:literal)?: $kind:ty,)+
            $(+ $(#[doc = $more_about:literal])+ $more:ident: $more_kind:ty,)*
        }
        $(wanted $wanted:expr;)?
        $(example $example:literal;)?
        $(rule $rule:expr;)?
        $(also $also:tt;)?
        $(=> $value:ty: $make:expr;)?
    ) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone $($(, $derive)+)?)]
        $vis struct $name {
            $($(#[doc = $about])+ pub $key: <$kind as $crate::profile::declare::Key>::Value,)+
            $($(#[doc = $more_about])+ pub $more: $more_kind,)*
        }

        const _: () = {
            use $crate::profile::cursor::Cursor;
            use $crate::profile::declare::{Describe, Key, Read, Rule, is_kept, mapping, reads};

            impl $name {
                /// Its keys, in the order in which they are asked for.
                pub const KEYS: &'static [&'static str] = &[$(reads!(@title $key $($word)?)),+];
            }

            const RULE: Option<Rule> = reads!(@or [$(Some($rule))?] None);

            reads!($name => keys!(@first $($value,)? $name), reads!(@title $name $($title)?), |at| {
                let fields = reads!(@or [$(at.map_like($example))?]
                    at.map_with(reads!(@or [$($wanted)?] $name::KEYS)))?;
                let mut keys = $name::KEYS.iter();
                $(let $key = <$kind as Key>::take(&fields, keys.next()?);)+
                let kept = RULE.is_none_or(|rule| is_kept(rule, &fields, at));
                fields.finish();
                let made = $name { $($key: $key?,)+ $($more: Default::default(),)* };
                let make: fn($name, &Cursor<'_>) -> Option<<$name as Read>::Value> =
                    reads!(@or [$($make)?] |made, _| Some(made));
                kept.then(|| make(made, at)).flatten()
            }, |defs| {
                let keys = [$((
                    &[$($about),+] as &[&str],
                    <$kind as Key>::REQUIRED,
                    <$kind as Key>::Form::described(defs),
                )),+];
                mapping(&[$($doc),+], ($name::KEYS, &keys), RULE, &[$(serde_json::json!($also))?])
            });
        };
    };
    (@first $first:ty, $rest:ident) => { $first };
    (@first $only:ident) => { $only };
}

/// Declares a value that is one of a few words, as an enumeration or as words that stand for something else.
macro_rules! choice {
    (
        $(#[doc = $doc:literal])+
        pub enum $name:ident $(as $title:literal)? {
            $($(#[doc = $about:literal])+ $variant:ident = $word:literal,)+
        }
        $found:literal $(, $advice:literal)?
    ) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
        pub enum $name { $($(#[doc = $about])+ #[serde(rename = $word)] $variant,)+ }

        // not of every one are all asked for, or its words
        #[allow(dead_code)]
        impl $name {
            /// All, in the order of the documents.
            pub const ALL: [$name; { [$($word),+].len() }] = [$($name::$variant),+];

            /// The word that stands for it in a profile.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }
        }

        choice!(@is [$($doc),+] $name ($($title)?) $name,
            [$(($word, &[$($about),+], $name::$variant)),+] $found $(, $advice)?);
    };
    (
        $(#[doc = $doc:literal])+
        $name:ident $(as $title:literal)? -> $value:ty {
            $($(#[doc = $about:literal])+ $word:literal => $is:expr,)+
        }
        $found:literal $(, $advice:literal)?
    ) => {
        $(#[doc = $doc])+
        pub struct $name;

        choice!(@is [$($doc),+] $name ($($title)?) $value,
            [$(($word, &[$($about),+], $is)),+] $found $(, $advice)?);
    };
    (
        @is $docs:tt $name:ident ($($title:literal)?) $value:ty, $words:tt
        $found:literal $(, $advice:literal)?
    ) => {
        const _: () = {
            use $crate::profile::declare::{Word, one_word, reads, words};

            const WORDS: &[Word<$value>] = &$words;

            reads!($name => $value, reads!(@title $name $($title)?),
                |at| one_word(at, WORDS, $found, reads!(@or [$(Some($advice))?] None)),
                |_| words(&$docs, WORDS));
        };
    };
}

/// Declares a value with a schema and a reader of its own: of several ways to write it, a list (which has a name in the
/// schema or stands `inline`), one text, or as the schema describes another.
macro_rules! form {
    ($(#[doc = $doc:literal])+ $name:ident -> $value:ty: $($way:ty)|+, $read:expr) => {
        form!(@is [$($doc),+] $name stringify!($name), $value, $read, |defs| {
            use $crate::profile::declare::Describe;
            serde_json::json!({ "anyOf": [$(<$way>::described(defs)),+] })
        });
    };
    (
        $(#[doc = $doc:literal])+
        $name:ident -> $value:ty: $how:ident [$item:ty] $more:tt, $read:expr
    ) => {
        form!(@is [$($doc),+] $name form!(@$how $name), $value, $read, |defs| {
            let mut list = serde_json::json!($more);
            list["type"] = "array".into();
            use $crate::profile::declare::Describe;
            list["items"] = <$item>::described(defs);
            list
        });
    };
    (
        $(#[doc = $doc:literal])+
        $name:ident $(as $title:literal)? -> $value:ty = $schema:tt, $read:expr
    ) => {
        form!(@is [$($doc),+] $name reads!(@title $name $($title)?), $value, $read,
            |_| serde_json::json!($schema));
    };
    ($(#[doc = $doc:literal])+ $name:ident -> $value:ty as $like:ty, $read:expr) => {
        form!(@is [$($doc),+] $name <$like as $crate::profile::declare::Read>::name(), $value,
            $read, |defs| <$like as $crate::profile::declare::Read>::shape(defs));
    };
    (@inline $name:ident) => { "" };
    (@named $name:ident) => { stringify!($name) };
    (
        @is [$($doc:literal),+] $name:ident $title:expr, $value:ty, $read:expr,
        |$defs:pat_param| $shape:expr
    ) => {
        $(#[doc = $doc])+
        pub struct $name;

        const _: () = {
            use $crate::profile::{cursor::Cursor, declare::{about, reads}};

            reads!($name => $value, $title, |at| {
                let read: fn(&Cursor<'_>) -> Option<$value> = $read;
                read(at)
            }, |$defs| about(&[$($doc),+], $shape));
        };
    };
}

/// How a part is read: from what stands under its key, and from the item.
type ReadPart<P> = Box<dyn Fn(&Cursor<'_>, &Cursor<'_>) -> Option<P>>;

/// A part, an item of a list that is known by its one key: that key, what it is, how what stands under it is described,
/// and how the part is read from what stands under it and from the item.
pub struct Part<P> {
    word: &'static str,
    about: &'static str,
    described: fn(&mut Defs) -> Value,
    read: ReadPart<P>,
}

/// The part of which a `T` stands under `word`.
pub fn part<T: Read, P: 'static>(
    word: &'static str,
    about: &'static str,
    make: fn(T::Value, &Cursor<'_>) -> Option<P>,
) -> Part<P>
where
    T::Value: 'static,
{
    let read = move |body: &Cursor<'_>, at: &Cursor<'_>| make(T::read(body)?, at);
    Part { word, about, described: T::described, read: Box::new(read) }
}

/// One of the parts that may be.
pub fn read_part<P>(at: &Cursor<'_>, parts: &[Part<P>], is_not: &str, advice: &str) -> Option<P> {
    let entries = at.entries()?;
    let [(word, body)] = entries.as_slice() else {
        return at.refuse("each entry of the filter is one part", advice);
    };
    let Some(part) = parts.iter().find(|part| part.word == word) else {
        body.fail_key(format!("{} {is_not}", quoted(word)), advice);
        return None;
    };
    (part.read)(body, at)
}

/// The schema of one of the parts that may be.
pub fn shape_of<P>(lines: &[&str], parts: &[Part<P>], defs: &mut Defs) -> Value {
    let ways = parts.iter().map(|Part { word, about: what, described, .. }| {
        let keys = json!({ *word: described(defs) });
        about(&[what], json!({
            "type": "object", "properties": keys, "required": [word], "additionalProperties": false
        }))
    });
    let ways: Vec<Value> = ways.collect();
    about(lines, json!({ "oneOf": ways }))
}

pub(crate) use {choice, form, keys, reads};
