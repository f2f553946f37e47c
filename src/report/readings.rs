//! What the readings come to, ahead of everything else.

use super::page::{Page, bad, blocks, careful, entry, line};
use crate::study::ReadingsReport;

/// The first lines of a page whose readings contradict or show a part drifted; else nothing.
pub fn head(report: &ReadingsReport) -> Page {
    let again = report.headline().map(|headline| {
        let last = "The figures are those of the profile without its readings";
        entry("AGAIN", (line(bad(headline)), report.sentences(), last))
    });
    // said above where nothing is advised before it is put right
    let drifts = report.drifts().filter(|_| report.contradiction.is_none());
    let drifts = drifts.map(|d| {
        line((
            careful(d),
            ": replace it, read again, and plan again; till then the figures are those with it in",
        ))
    });
    blocks((again, entry("DRIFTED", drifts).if_any()))
}
