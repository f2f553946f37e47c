//! What is met while a profile is read: problems, how values are known, and what one place tells others.

use super::{
    known::StatedKnown,
    problem::{Problem, Severity},
};
use std::{
    any::{Any, TypeId},
    cell::RefCell,
    collections::HashMap,
    rc::Rc,
};

/// Most problems of one severity kept while reading; later ones are only counted. It is above
/// what is shown, so that those shown are the first in file order and not in reading order.
const MAX_KEPT: usize = 1_000;

/// A problem not located yet.
pub(crate) struct Pending {
    pub(crate) steps: Vec<usize>,
    pub(crate) at_key: bool,
    pub(crate) problem: Problem,
}

/// The problems met.
#[derive(Default)]
pub(crate) struct Met {
    pub(crate) kept: Vec<Pending>,
    /// Errors and warnings met.
    pub(crate) counts: [usize; 2],
}

/// Takes what is met.
#[derive(Default)]
pub(crate) struct Sink {
    pub(crate) met: RefCell<Met>,
    known: RefCell<Vec<StatedKnown>>,
    told: RefCell<HashMap<TypeId, Rc<dyn Any>>>,
}

impl Sink {
    /// Keeps how a value is known.
    pub(crate) fn keep(&self, known: StatedKnown) {
        self.known.borrow_mut().push(known);
    }

    /// What was kept.
    pub(crate) fn kept(&self) -> Vec<StatedKnown> {
        self.known.take()
    }

    /// The value of this type that one place of the document told for others.
    pub(crate) fn told<T: Default + 'static>(&self) -> Rc<T> {
        let told = self.told.borrow().get(&TypeId::of::<T>()).cloned();
        told.and_then(|value| value.downcast().ok()).unwrap_or_default()
    }

    /// Tells a value for other places of the document, instead of what was told of its type before.
    pub(crate) fn tell<T: 'static>(&self, value: T) {
        self.told.borrow_mut().insert(TypeId::of::<T>(), Rc::new(value));
    }

    /// Whether a further problem of this severity would only be counted.
    pub(crate) fn is_full(&self, severity: Severity) -> bool {
        self.met.borrow().counts[severity as usize] >= MAX_KEPT
    }

    /// Takes a problem at the value on a way, with its steps, or at its key.
    pub(crate) fn record(
        &self,
        severity: Severity,
        (path, steps): (&str, &[usize]),
        at_key: bool,
        found: &str,
        advice: &str,
    ) {
        let mut met = self.met.borrow_mut();
        let count = &mut met.counts[severity as usize];
        *count += 1;
        if *count <= MAX_KEPT {
            let problem = Problem {
                severity,
                path: path.to_owned(),
                place: None,
                found: found.to_owned(),
                advice: (!advice.is_empty()).then(|| advice.to_owned()),
            };
            met.kept.push(Pending { steps: steps.to_vec(), at_key, problem });
        }
    }
}
