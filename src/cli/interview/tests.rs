//! The questions as they stand on a narrow screen, and names while they are typed.

use super::names;
use super::questions::Kind;
use super::table::QUESTIONS;
use super::typed::Typed;
use crate::study::NewSet;
use inquire::Autocomplete;

/// Columns of the narrowest screen.
const NARROW: usize = 80;

#[test]
fn every_question_and_its_help_fit_on_a_line() {
    let tubes = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect();
    let string = tubes(&["12SA7", "12SK7", "12SQ7", "50L6GT", "35Z5GT"]);
    for set in [NewSet::default(), NewSet { tubes: string, ..NewSet::default() }] {
        for question in QUESTIONS {
            let ask = question.asked(&set);
            assert!(ask.ends_with('?') && ask.chars().count() < NARROW - 20, "{ask}");
            let open =
                if matches!(question.kind, Kind::Text(_)) { super::OPEN.len() + 3 } else { 0 };
            let help = question.help.chars().count() + open + 2;
            assert!(help < NARROW, "{help}: {}", question.help);
            let asked = (question.when)(&set);
            if let (Kind::Choice { options, .. }, true) = (&question.kind, asked) {
                let list = options(&set);
                assert!(list[0].starts_with("I don't know") && list.len() > 1, "{list:?}");
                assert!(list.iter().all(|o| o.chars().count() < NARROW - 3), "{list:?}");
            }
        }
    }
}

#[test]
fn names_are_completed_and_put_right() {
    assert!(names::tubes("6K").contains(&"6K7".to_owned()));
    assert!(names::tubes("6a8, 6k").contains(&"6a8, 6K7".to_owned()));
    assert!(names::tubes("5y").contains(&"5Y3GT".to_owned()));
    // a whole name needs nothing
    assert_eq!(names::tubes("6A8,6K7"), Vec::<String>::new());
    assert_eq!(names::tubes("6A8, "), Vec::<String>::new());
    // a wrong one is put right where it stands
    assert!(names::tubes("6A9,6K7").contains(&"6A8,6K7".to_owned()));
    assert!(!names::tubes("6A9").is_empty());
    assert_eq!(names::list("6A8, 6K7;6Q7  6F6,"), ["6A8", "6K7", "6Q7", "6F6"]);
    assert_eq!(names::lamps("47,4").first().map(|n| &n[..4]), Some("47,#"));
    // Tab takes what is marked, else the first
    let mut typed = Typed(names::tubes);
    assert_eq!(typed.get_completion("6F", Some("6F6".to_owned())).unwrap(), Some("6F6".to_owned()));
    let first = typed.get_suggestions("6F").unwrap().into_iter().next();
    assert_eq!(typed.get_completion("6F", None).unwrap(), first);
}
