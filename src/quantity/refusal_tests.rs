//! What is refused, and whether the message says what was found and what would
//! be right. The wanted texts come from the trade meaning of the mistake.

use super::*;

fn refusal<Q: Quantity>(text: &str) -> String {
    match parse::<Q>(text, Sign::Any) {
        Ok(quantity) => panic!("{text:?} was read as {}", show(quantity)),
        Err(error) => error.to_string(),
    }
}

/// Asserts that the refusal of `text` holds each of `parts`.
fn says<Q: Quantity>(text: &str, parts: &[&str]) {
    let message = refusal::<Q>(text);
    for part in parts {
        assert!(message.contains(part), "{text:?} gave {message}");
    }
}

#[test]
fn messages_in_full() {
    assert_eq!(
        refusal::<Voltage>("123"),
        r#""123" has no unit; a voltage is written like "122 V""#
    );
    assert_eq!(
        refusal::<Voltage>("122 A"),
        r#""122 A" is a current, but a voltage is wanted; write it like "122 V""#
    );
    assert_eq!(
        refusal::<Inductance>("  "),
        r#"nothing was written where an inductance is wanted; write it like "12 H""#
    );
    assert_eq!(
        refusal::<Resistance>("1,2 kΩ"),
        r#""1,2 kΩ" has a comma in the number; write a decimal point, as in "1.2 kΩ""#
    );
    assert_eq!(
        refusal::<Current>("160 MA"),
        r#""MA" in "160 MA" is not a unit of current; if "160 mA" is meant, write that"#
    );
}

#[test]
fn units_of_something_else() {
    says::<Capacitance>("4k7", &["is a resistance", "a capacitance is wanted"]);
    says::<Resistance>("4n7", &["is a capacitance", "1.2 kΩ"]);
    says::<Resistance>("8 mfd", &["is a capacitance"]);
    says::<Time>("30 S", &["is a transconductance", "\"30 s\""]);
    says::<Temperature>("104 F", &["\"104 °F\""]);
    says::<Current>("5 Vac", &["is a voltage"]);
    says::<Power>("80 VA", &["apparent power", "watts"]);
    says::<Ratio>("3", &["no unit", "\"3 %\""]);
}

/// "MF" on old sheets is microfarad; a receiver holds no millifarads.
#[test]
fn the_old_farad() {
    for text in ["8 MF", "8 mF", "8 mf", "8mF", "8 Mf.", "8m", "8 M"] {
        says::<Capacitance>(text, &["microfarad", "\"8 µF\"", "\"8 mfd\""]);
    }
}

#[test]
fn case_and_near_misses() {
    says::<Frequency>("60 KHZ", &["\"60 kHz\""]);
    says::<Frequency>("60 hz", &["\"60 Hz\""]);
    says::<Frequency>("60 mHz", &["\"60 MHz\""]);
    says::<Voltage>("122 v", &["\"122 V\""]);
    says::<Voltage>("330k", &["\"330 kV\""]);
    says::<Power>("5 MW", &["\"5 mW\""]);
    says::<Capacitance>("50 PF", &["\"50 pF\""]);
    says::<Inductance>("2 MH", &["\"2 mH\""]);
    says::<Time>("5 m", &["\"5 min\""]);
    says::<Resistance>("47E", &["\"47 Ω\""]);
    says::<Resistance>("4m7", &["\"4M7\""]);
    says::<Resistance>("1 m", &["\"1 MΩ\""]);
    says::<Voltage>("122 furlongs", &["furlongs", "\"122 V\""]);
}

#[test]
fn qualified_units() {
    for text in [
        "115 Vac",
        "115 V ac",
        "115 V AC",
        "115 V dc",
        "115 V rms",
        "115VAC",
        "115 V a.c.",
        "115 V~",
    ] {
        says::<Voltage>(text, &["write plain \"115 V\""]);
    }
    says::<Voltage>("115 volts dc", &["\"dc\"", "\"115 volts\""]);
}

#[test]
fn numbers_that_are_not_one_number() {
    says::<Voltage>("1,200 V", &["separator", "\"1200 V\""]);
    says::<Voltage>("1 200 V", &["gap", "\"1200 V\""]);
    says::<Voltage>("1\u{202F}200 V", &["gap", "\"1200 V\""]);
    says::<Voltage>("1'200 V", &["\"1200 V\""]);
    says::<Voltage>("1,234,567 V", &["\"1234567 V\""]);
    says::<Voltage>("0,500 V", &["comma", "\"0.500 V\""]);
    says::<Voltage>("6,3 V", &["comma", "\"6.3 V\""]);
    says::<Voltage>("110 20 V", &["more than one number"]);
    says::<Voltage>("110-220 V", &["more than one number"]);
    says::<Voltage>("110/220 V", &["more than one number"]);
    says::<Voltage>("6.3 V 300 mA", &["more than one number"]);
    says::<Voltage>("5V300mA", &["more than one number"]);
    says::<Voltage>("1.2.3 V", &["more than one decimal mark"]);
    says::<Resistance>("1.2k5", &["more than one decimal mark"]);
    says::<Resistance>("4k7.5", &["more than one decimal mark"]);
    says::<Voltage>("5V6", &["letter in place of the decimal point"]);
    // Where the obvious rewriting is no better, the stock example is offered.
    says::<Voltage>("1,2 A", &["\"122 V\""]);
}

#[test]
fn numbers_that_cannot_be_reckoned_with() {
    for text in ["NaN V", "inf V", "-inf V", "Infinity V", "∞ V"] {
        says::<Voltage>(text, &["not a finite number"]);
    }
    for text in ["1e400 V", "1e-400 V", "-1e400 V", "1e99999999999999 V", "1e308 kV"] {
        says::<Voltage>(text, &["too large or too small"]);
    }
    says::<Time>("1e308 h", &["too large"]);
    says::<Temperature>("1e-400 K", &["too large or too small"]);
}

#[test]
fn rubbish() {
    says::<Voltage>("abc", &["does not begin with a number"]);
    says::<Voltage>("V 122", &["does not begin with a number"]);
    says::<Voltage>("--5 V", &["does not begin with a number"]);
    says::<Voltage>("122 V approx", &["\"approx\"", "only \"122 V\""]);
    says::<Voltage>("122 V!", &["\"!\"", "only \"122 V\""]);
    says::<Resistance>("R47 J", &["\"J\"", "only \"R47\""]);
    says::<Voltage>("٣ V", &["does not begin with a number"]);
    says::<Voltage>("5 💡", &["not a unit of voltage"]);
    says::<Voltage>("5 V\u{301}", &["after the unit", "only \"5 V\""]);
}

#[test]
fn long_text_is_cut_short() {
    let text = format!("{} V", "é1".repeat(500));
    let message = refusal::<Voltage>(&text);
    assert!(message.contains("1002 characters"), "{message}");
    assert!(message.chars().count() < 200, "{message}");
    // 62 nines and " V" are 64 characters: just short enough.
    let longest = format!("{} V", "9".repeat(LONGEST_TEXT - 2));
    assert!(parse::<Voltage>(&longest, Sign::Any).is_ok());
    assert!(parse::<Voltage>(&format!("9{longest}"), Sign::Any).is_err());
}
