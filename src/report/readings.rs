//! What the readings come to, ahead of everything else.

use super::page::{Page, Span, bad, careful, entry, plain};
use crate::study::ReadingsReport;

/// The first lines of a page whose readings contradict or show a part drifted; else nothing.
pub(super) fn head(report: &ReadingsReport) -> Page {
    let mut page = Vec::new();
    if let Some(headline) = report.headline() {
        let mut lines: Vec<Vec<Span>> = vec![vec![bad(headline)]];
        lines.extend(report.sentences().into_iter().map(|s| vec![plain(s)]));
        lines.push(vec![plain("The figures are those of the profile without its readings")]);
        page.push(entry("AGAIN", lines));
    }
    let drifts: Vec<Vec<Span>> = report.drifts().map(|d| vec![careful(d)]).collect();
    // said above where nothing is advised before it is put right
    if !drifts.is_empty() && report.contradiction.is_none() {
        page.push(entry("DRIFTED", drifts));
    }
    page
}
