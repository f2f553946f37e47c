//! What a report says, before it is painted.

use super::{
    Caution, Error, Fit, Note, PartsList, Plan, PowerUp, Replacement, Sweep, SwitchOn, Tolerances,
    divider::Divider, draft::Draft, typed::PlanPart,
};
use crate::{
    catalogue::{Catalogue, ballast_by_code, ballasts, barretter},
    profile::shipped_sets,
    report::{
        self,
        drawing::{Chart, paint_chart},
        html, markdown, terminal,
    },
    study::{self, PlanList},
};

/// What a report says, by meaning; painted as text, as HTML to print, or as Markdown.
///
/// ```
/// use mainsfit::{Options, Outlet, Page, Set};
///
/// let bench = Set::load("profiles/console-1936.yaml")?.bench(Outlet::default())?;
/// let plan = bench.plan(&Options::default())?;
/// assert!(Page::from(&plan).text(96, false).contains(&plan.set.name));
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Page(report::page::Page);

impl Page {
    /// For a terminal of so many columns, held to 40 to 200, with colours or without.
    pub fn text(&self, columns: usize, colour: bool) -> String {
        terminal::paint(&self.0, terminal::Style::new(columns, colour))
    }

    /// One file of HTML with its drawings in it, for A4 and Letter.
    pub fn html(&self) -> String {
        html::paint(&self.0)
    }

    /// Markdown, its drawings in words.
    pub fn markdown(&self) -> String {
        markdown::paint(&self.0, &[])
    }

    /// Markdown with its drawings in files beside it: the text, and each file's name, which begins with `stem`, with its SVG.
    pub fn markdown_beside(&self, stem: &str) -> (String, Vec<(String, String)>) {
        let name = |number: usize| format!("{stem}-{number}.svg");
        let drawings = markdown::drawings(&self.0).into_iter().enumerate();
        let files: Vec<_> =
            drawings.map(|(i, drawing)| (name(i + 1), drawing.svg.clone() + "\n")).collect();
        let names: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
        (markdown::paint(&self.0, &names), files)
    }
}

/// Each kind of result and its page.
macro_rules! pages {
    ($($found:ty, $page:expr;)*) => {$(
        impl From<&$found> for Page {
            fn from(found: &$found) -> Page {
                let page: fn(&$found) -> report::page::Page = $page;
                Page(page(found))
            }
        }
    )*};
}

pages! {
    Plan, report::plan_page;
    PlanList<'_>, report::plan_list_page;
    Note, |note| report::note_page(&note.found, &note.origin);
    PartsList, |list| report::parts_page(&list.found, &list.origin);
    PowerUp, |power_up| report::power_up_page(&power_up.found, &power_up.origin);
    Sweep, report::sweep_page;
    SwitchOn, report::switch_on_page;
    Tolerances, report::tolerance_page;
    Divider, |divider| report::divider_page(divider, false);
    Fit, report::fit_page;
    Replacement, report::replace_page;
}

/// What heads every screen of a set.
impl From<&[Caution]> for Page {
    fn from(cautions: &[Caution]) -> Page {
        Page(report::alarm_page(cautions))
    }
}

impl Plan {
    /// Its page with all there is to tell; [`Page::from`] makes the short one.
    pub fn whole(&self) -> Page {
        Page(report::whole_plan_page(self))
    }

    /// The head of its page, and these parts.
    pub fn shown(&self, parts: &[PlanPart]) -> Page {
        Page(report::plan_page_of(self, parts))
    }

    /// The beginning of its page: what is advised, and why.
    pub fn in_short(&self) -> Page {
        Page(report::plan_beginning(self))
    }

    /// The JSON Schema of plans.
    #[cfg(feature = "schema")]
    pub fn schema() -> serde_json::Value {
        study::plan_schema()
    }
}

impl Note {
    /// The card of A6 size for the back of the set.
    pub fn card(&self) -> Page {
        Page(report::note_card(&self.found, &self.origin))
    }
}

impl PowerUp {
    /// Its page with the sums, ahead of the cautions.
    pub fn with_sums(&self) -> Page {
        Page::from(self).ahead_of_cautions(report::working_section(&self.found.working))
    }
}

impl Fit {
    /// Its page with the sums.
    pub fn with_sums(&self) -> Page {
        let mut page = Page::from(self);
        page.0.extend(report::working_page(&self.working));
        page
    }
}

impl Divider {
    /// Its page with the sums.
    pub fn with_sums(&self) -> Page {
        Page(report::divider_page(self, true))
    }
}

impl PartsList {
    /// As comma-separated values.
    pub fn csv(&self) -> String {
        report::parts_csv(&self.found)
    }
}

impl Draft {
    /// The profile as text, what is guessed marked as such.
    pub fn text(&self) -> String {
        report::blank_text(self)
    }

    /// What heads the set's screens, and what its tubes told.
    pub fn told(&self) -> Page {
        let mut page = report::alarm_page(&self.alarms);
        page.extend(report::blank_told_page(self));
        Page(page)
    }
}

impl Sweep {
    /// As comma-separated values.
    pub fn csv(&self) -> String {
        report::sweep_csv(self)
    }

    /// As curves, SVG.
    ///
    /// # Errors
    /// There is nothing to draw.
    pub fn svg(&self) -> Result<String, Error> {
        drawn(&report::sweep_chart(self), "sweep")
    }
}

impl SwitchOn {
    /// As curves, SVG.
    ///
    /// # Errors
    /// There is nothing to draw.
    pub fn svg(&self) -> Result<String, Error> {
        drawn(&report::switch_on_chart(self), "switch-on")
    }
}

/// Columns of panels in an SVG.
const SVG_COLUMNS: usize = 2;

fn drawn(chart: &Chart, name: &str) -> Result<String, Error> {
    let drawing = paint_chart(chart, SVG_COLUMNS, name);
    Ok(drawing.map_err(|error| Error::undrawn(&error))?.svg + "\n")
}

impl Page {
    /// The types of the catalogue, or one of them by its name.
    ///
    /// # Errors
    /// No table has a type of that name; the nearest are told.
    pub fn of_types(name: Option<&str>) -> Result<Page, Error> {
        let all = Catalogue::built_in();
        let Some(name) = name else {
            let lists = [
                report::tube_list(all.tubes()),
                report::rectifier_list(all.rectifiers()),
                report::lamp_list(all.lamps()),
                report::ballast_list(ballasts()),
            ];
            return Ok(Page(lists.concat()));
        };
        Ok(Page(match (all.tube(name), all.rectifier(name), all.lamp(name)) {
            (Err(error), Err(_), Err(_)) => {
                let printed = || barretter(name).cloned().or_else(|| ballast_by_code(name));
                report::ballast_page(&printed().ok_or(error)?)
            }
            (tube, rectifier, lamp) => report::type_page(
                tube.as_ref().ok().map(|found| report::TubePage {
                    misses: study::law_misses(found.item),
                    kin: all.kin_of_tube(found.item),
                    found,
                }),
                rectifier.as_ref().ok().map(|found| (found, all.kin_of_rectifier(found.item))),
                lamp.ok().map(|f| f.item),
            ),
        }))
    }

    /// A term, a choice or a key of a profile explained, or all terms, choices and top keys.
    ///
    /// # Errors
    /// There is no such word; the nearest are told.
    pub fn of_word(word: Option<&str>) -> Result<Page, Error> {
        Ok(Page(match word {
            Some(word) => report::explain_page(&study::explain(word)?),
            None => report::explain_list(&study::explainable()),
        }))
    }

    /// The profiles that come with the program.
    pub fn of_examples() -> Page {
        Page(report::examples_page(&shipped_sets()))
    }

    /// Puts `section` before the cautions.
    fn ahead_of_cautions(mut self, section: report::page::Page) -> Page {
        let at = self.0.iter().position(report::cautions_begin).unwrap_or(self.0.len());
        self.0.splice(at..at, section);
        self
    }
}
