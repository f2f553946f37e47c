//! What may be named as fitted: a method, or the better of two.

use super::Method;
use std::{fmt, sync::LazyLock};

/// What may be named as fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum With {
    /// A method.
    One(Method),
    /// The better of both bucking connections.
    Bucking,
    /// The better of both boosting connections.
    Boosting,
}

impl With {
    /// All that may be named, and how.
    pub fn all() -> &'static [With] {
        static ALL: LazyLock<Vec<With>> = LazyLock::new(|| {
            // a family stands ahead of the first of it
            let leads = |family: &With, method: &Method| {
                Method::ALL.iter().find(|m| family.means(**m)) == Some(method)
            };
            let one = |method: &Method| {
                let family = [With::Bucking, With::Boosting].into_iter().find(|f| leads(f, method));
                family.into_iter().chain([With::One(*method)])
            };
            Method::ALL.iter().flat_map(one).collect()
        });
        &ALL
    }

    /// Short name, and what is fitted.
    pub fn names(self) -> (&'static str, &'static str) {
        match self {
            With::One(method) => (method.facts().id, method.facts().words),
            With::Bucking => ("bucking", "A bucking transformer, the better of both connections"),
            With::Boosting => ("boost", "A boosting transformer, the better of both connections"),
        }
    }

    /// Whether `method` is meant.
    pub fn means(self, method: Method) -> bool {
        match self {
            With::One(one) => one == method,
            With::Bucking => method.facts().bucks,
            With::Boosting => method.facts().boosts,
        }
    }
}

impl fmt::Display for With {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.names().0)
    }
}
