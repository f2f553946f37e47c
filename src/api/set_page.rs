//! A set in all its states, for a browser.

use super::{Bench, Error, Options, Plan};
use crate::study::{self, States};

/// A set on any line, behind whatever may stand in its line cord, with a tube out or a fault, as a page for a browser.
///
/// ```
/// use mainsfit::{Options, Outlet, Set};
///
/// let bench = Set::load("profiles/universal-1947.yaml")?.bench(Outlet::default())?;
/// let page = bench.page(&Options::default(), &|_, _| ())?;
/// # #[cfg(feature = "pages")]
/// assert!(page.html().starts_with("<!DOCTYPE html>"));
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug)]
pub struct SetPage {
    found: States,
}

impl SetPage {
    /// The plan it goes on from.
    pub fn plan(&self) -> &Plan {
        &self.found.plan
    }

    /// One file of HTML that asks nothing of any network.
    #[cfg(feature = "pages")]
    pub fn html(&self) -> String {
        crate::report::set_page_html(&self.found)
    }
}

impl Bench {
    /// The set in all its states; `progress` hears how many tables of them, of how many, are solved.
    ///
    /// # Errors
    /// As [`Bench::plan`].
    pub fn page(
        &self,
        options: &Options,
        progress: &(dyn Fn(usize, usize) + Sync),
    ) -> Result<SetPage, Error> {
        let mut found = self.answer(study::states(self.solve(options)?, progress))?;
        self.told(&mut found.plan);
        Ok(SetPage { found })
    }
}
