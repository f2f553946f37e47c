//! Lists put together from pieces: what may be there or not goes in as it is, so that a page, a line or a row is written down in
//! its order instead of being pushed together step by step.

use std::iter::{Chain, FilterMap, Map};

/// One `T`, several, or none, for a list. Options, lists, mapped iterators and tuples of pieces are pieces themselves.
pub trait Pieces<T> {
    /// Puts them behind what is there.
    fn onto(self, list: &mut Vec<T>);
}

/// The list of these pieces.
pub fn list<T>(pieces: impl Pieces<T>) -> Vec<T> {
    let mut list = Vec::new();
    pieces.onto(&mut list);
    list
}

/// A text of these pieces, one behind the other.
pub fn words(pieces: impl Pieces<String>) -> String {
    list(pieces).concat()
}

/// What is listed, with `between` between one and the next.
pub fn joined<T: ToString>(list: impl IntoIterator<Item = T>, between: &str) -> String {
    list.into_iter().map(|each| each.to_string()).collect::<Vec<_>>().join(between)
}

/// The same, where anything is listed.
pub fn listed<T: ToString>(list: impl IntoIterator<Item = T>, between: &str) -> Option<String> {
    Some(joined(list, between)).filter(|text| !text.is_empty())
}

/// Each of what is listed once, where it comes first.
pub fn once<T: PartialEq>(list: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut kept: Vec<T> = Vec::new();
    for each in list {
        if !kept.contains(&each) {
            kept.push(each);
        }
    }
    kept
}

/// Types of which one makes one `T`, by `make`: `single! { Span, Span::from: String, &str }`.
macro_rules! single {
    ($of:ty, $make:expr => $($piece:ty),+) => {
        $(impl $crate::report::build::Pieces<$of> for $piece {
            fn onto(self, list: &mut Vec<$of>) {
                list.push($make(self));
            }
        })+
    };
}
pub(super) use single;

single! { String, String::from => String, &String, &str }

/// What goes over its pieces, with what else its type must be told.
macro_rules! several {
    ($([$($more:tt)*] $list:ty;)+) => {
        $(impl<T, M: Pieces<T>, $($more)*> Pieces<T> for $list {
            fn onto(self, list: &mut Vec<T>) {
                self.into_iter().for_each(|piece| piece.onto(list));
            }
        })+
    };
}

several! {
    [] Option<M>;
    [] Vec<M>;
    [const N: usize] [M; N];
    [A: Iterator<Item = M>, B: Iterator<Item = M>] Chain<A, B>;
    [I: Iterator, F: FnMut(I::Item) -> M] Map<I, F>;
    [I: Iterator, F: FnMut(I::Item) -> Option<M>] FilterMap<I, F>;
}

/// Tuples of up to as many pieces as there are letters, each of a kind of its own.
macro_rules! tuples {
    () => {};
    ($first:ident $($more:ident)*) => {
        impl<T, $first: Pieces<T>, $($more: Pieces<T>),*> Pieces<T> for ($first, $($more),*) {
            #[allow(non_snake_case)]
            fn onto(self, list: &mut Vec<T>) {
                let ($first, $($more),*) = self;
                $first.onto(list);
                $($more.onto(list);)*
            }
        }
        tuples! { $($more)* }
    };
}

tuples! { A B C D E F G H I J K L M N O P }

#[cfg(test)]
mod tests {
    use super::{joined, list, listed, words};

    #[test]
    fn a_list_is_put_together_from_pieces() {
        let doubled = [1, 2].into_iter().map(|n| (n.to_string(), "x"));
        let odd = (1..4).filter(|n| n % 2 == 1).map(|n| n.to_string());
        let made: Vec<String> = list((
            "a",
            Some("b".to_owned()),
            None::<&str>,
            ["c", "d"],
            doubled,
            odd.chain(["e".to_owned()]),
            vec![Some("f"), None],
        ));
        assert_eq!(made.concat(), "abcd1x2x13ef");
        assert_eq!(words(("a", (None::<&str>, "b"))), "ab");
    }

    #[test]
    fn what_is_listed_is_joined() {
        assert_eq!(joined([1, 2], ", "), "1, 2");
        assert_eq!(listed([1], ", ").as_deref(), Some("1"));
        assert_eq!(listed(Vec::<u8>::new(), ", "), None);
    }
}
