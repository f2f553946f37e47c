//! Every line-up of `tests/suite/line_ups.rs` by interview: the suite takes one of each kind.
#![cfg(unix)]

use super::interview::by_interview;
use super::line_ups::LINE_UPS;

#[test]
fn every_line_up_by_interview() {
    LINE_UPS.iter().for_each(by_interview);
}
