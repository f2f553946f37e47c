//! Writes `docs/verification.md` from the checks, or proves that the file is what they give.
//!
//! `MAINSFIT_WRITE_DOCS=1 cargo test --test suite verification` writes it; without the variable the file is
//! compared. It is never edited by hand; [`RECORDS`] are.

use crate::table::Group;
use std::fmt::Write as _;
use std::path::Path;

const ABOUT: &str = "Figures of the program beside figures from outside it: other people's integrations, \
printed data, closed forms and textbook values, each with its source. The tests compute every row of this \
page and fail when one leaves its allowance; this page is written by that run \
(`MAINSFIT_WRITE_DOCS=1 cargo test --test suite verification`) and compared with the file in every other. \
Numbers are shown with five significant digits. A row \"not judged\" is shown because the source is \
worth seeing but does not bear a verdict. The last three sections are the records of runs that take hours, written by \
hand (`tests/data/verification/`).";

/// What no ordinary run can show.
const RECORDS: [&str; 3] = [
    include_str!("../data/verification/fuzz.md"),
    include_str!("../data/verification/random.md"),
    include_str!("../data/verification/mutants.md"),
];

fn groups() -> Vec<&'static Group> {
    vec![
        crate::steady_state::group(),
        crate::rectifier_rows::group(),
        crate::back_bias::group(),
        crate::iron::group(),
        crate::integrator::group(),
        crate::closed_forms::group(),
        crate::tubes::group(),
        crate::tubes::errors(),
        crate::copper_and_dividers::group(),
        crate::parts_outside::group(),
        crate::fault_integrator::group(),
        crate::topologies::group(),
        crate::topologies_forms::group(),
        crate::topologies_line::group(),
        crate::second_supply::group(),
        crate::replace_dropper::group(),
        crate::replace::group(),
        crate::accuracy::group(),
        crate::tolerance::group(),
        crate::switch_on::group(),
        crate::fitted::group(),
    ]
}

fn page() -> String {
    let mut text = format!("# Verification\n\n{ABOUT}\n");
    for group in groups() {
        let _ = write!(text, "\n{}", group.markdown());
    }
    let _ = write!(text, "\n{}", crate::cautions_table::markdown());
    let _ = write!(text, "\n{}", crate::verdicts::markdown());
    let _ = write!(text, "\n{}", crate::verdict_properties::markdown());
    let _ = write!(text, "\n{}", crate::second_judge_plans::markdown());
    for record in RECORDS {
        let _ = write!(text, "\n{}", record.replace("\r\n", "\n"));
    }
    text
}

#[test]
fn the_page_is_what_the_checks_give() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/verification.md");
    let page = page();
    if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, page).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    let differ = page.lines().zip(kept.lines()).find(|(new, old)| new != old);
    if let Some((new, old)) = differ {
        panic!(
            "docs/verification.md is out of date; now\n{new}\nthere\n{old}\nrun with MAINSFIT_WRITE_DOCS=1"
        );
    }
    assert_eq!(
        page.len(),
        kept.len(),
        "docs/verification.md is out of date: rows were added or dropped"
    );
}
