//! The limits that docs/profile.md states are those of the code.

use mainsfit::profile::{Place, out_of_reach};
use mainsfit::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Quantity, Resistance, Sign, Temperature,
    Transconductance, Voltage, parse,
};

/// Low and high end of the row that begins with `what`.
fn row(text: &str, what: &str) -> [String; 2] {
    let line =
        text.lines().find(|l| l.starts_with(&format!("| {what}")) && l.matches('|').count() == 4);
    let cells: Vec<&str> =
        line.unwrap_or_else(|| panic!("no row {what}")).split('|').map(str::trim).collect();
    [cells[2].to_owned(), cells[3].to_owned()]
}

/// The ends as written are within, and a hundredth beyond them is not.
fn holds<Q: Quantity>(text: &str, what: &str, refused: impl Fn(Q) -> bool) {
    for (end, outward) in row(text, what).iter().zip([0.99, 1.01]) {
        let value = parse::<Q>(end, Sign::Any).unwrap_or_else(|e| panic!("{what}: {end}: {e}"));
        let inward = Q::from_si(value.si() * (2.0 - outward));
        assert!(!refused(inward), "{what}: just within {end}");
        let beyond = Q::from_si(value.si() * outward);
        assert!(refused(beyond), "{what}: just beyond {end}");
    }
}

fn kind<Q: Quantity>(text: &str, what: &str) {
    holds::<Q>(text, what, |value| out_of_reach("x", value).is_some());
}

#[test]
fn the_limits_in_the_document_are_those_of_the_code() {
    let text = std::fs::read_to_string("docs/profile.md").unwrap();
    let (_, text) = text.split_once("| quantity or place |").unwrap();
    for (what, place) in [
        ("mains volts", Place::MAINS),
        ("high voltage", Place::HIGH_VOLTAGE),
        ("heater winding", Place::HEATER),
    ] {
        holds::<Voltage>(text, what, |value| place.refuse("x", value).is_some());
    }
    kind::<Voltage>(text, "any other voltage");
    kind::<Current>(text, "current");
    kind::<Resistance>(text, "resistance");
    kind::<Capacitance>(text, "capacitance");
    kind::<Inductance>(text, "inductance");
    kind::<Power>(text, "power");
    kind::<Frequency>(text, "frequency");
    kind::<Transconductance>(text, "transconductance");
    kind::<Temperature>(text, "temperature");
}
