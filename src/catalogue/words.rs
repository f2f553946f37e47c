//! Enumerations of the words that stand in tables.

/// Declares an enumeration with the word for each in the tables; behind `;` what has a word and stands in no table. The first
/// is the one that a type begins with of which little is known.
macro_rules! words {
    ($(#[$meta:meta])* pub enum $name:ident {
        $(#[$first_doc:meta])* $first:ident = $first_word:literal
        $(, $(#[$doc:meta])* $variant:ident = $word:literal)*
        $(; $($(#[$untold:meta])* $other:ident = $said:literal),+)? $(,)?
    }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
        pub enum $name {
            #[default]
            $(#[$first_doc])* $first,
            $($(#[$doc])* $variant,)*
            $($($(#[$untold])* $other,)+)?
        }

        impl $name {
            /// Those that stand in the tables, each with its word.
            pub const ALL: &'static [($name, &'static str)] =
                &[($name::$first, $first_word), $(($name::$variant, $word)),*];

            /// Its word.
            pub fn word(self) -> &'static str {
                match self {
                    $name::$first => $first_word,
                    $($name::$variant => $word,)*
                    $($($name::$other => $said,)+)?
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }

        /// As its word.
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.collect_str(self)
            }
        }

        impl $crate::catalogue::cells::Cell for $name {
            fn of(text: &str, _: $crate::catalogue::cells::How) -> Result<$name, String> {
                $crate::catalogue::cells::one_of(text, $name::ALL)
            }
        }
    };
}
pub(super) use words;
