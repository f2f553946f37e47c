//! Every quantity of a set in turn at the ends of what a profile takes (`docs/profile.md`, "A value that nothing in or
//! before a receiver has"): the set solves, or says plainly why not.
//!
//! What a solution may not break whatever the values: B+ above chassis is at most the crest of what feeds the rectifier
//! (twice that behind a doubler), since nothing behind a diode stores more than it is given; no volts at a heater are
//! negative or no number.

use super::harness::shipped;
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Receiver, Straight, complete};

/// The ends by unit, each twice within reach: microscopic and enormous.
const ENDS: [(&str, [&str; 2]); 8] = [
    ("V", ["1 mV", "20 kV"]),
    ("mA", ["1 nA", "100 A"]),
    ("Ω", ["1 mΩ", "10 GΩ"]),
    ("kΩ", ["1 mΩ", "10 GΩ"]),
    ("µF", ["0.1 pF", "0.1 F"]),
    ("H", ["1 µH", "10000 H"]),
    ("W", ["1 mW", "100 kW"]),
    ("Hz", ["10 Hz", "1 kHz"]),
];
/// Volts of places that take less.
const MAINS: [&str; 2] = ["20 V", "500 V"];

/// Places of the quantities in a text: where each begins and ends, and its unit.
fn quantities(text: &str) -> Vec<(usize, usize, &str)> {
    let mut list = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let body = line.split('#').next().unwrap_or("");
        let mut from = 0;
        while let Some(digit) = body[from..].find(|c: char| c.is_ascii_digit()) {
            let start = from + digit;
            let number = body[start..]
                .find(|c: char| !c.is_ascii_digit() && c != '.')
                .unwrap_or(body.len() - start);
            let end = start + number;
            from = end;
            let Some(rest) = body[end..].strip_prefix(' ') else {
                continue;
            };
            let unit = rest.find(|c: char| !c.is_alphabetic()).map_or(rest, |n| &rest[..n]);
            if ENDS.iter().any(|(u, _)| *u == unit) {
                list.push((at + start, at + end + 1 + unit.len(), unit));
                from = end + 1 + unit.len();
            }
        }
        at += line.len();
    }
    list
}

enum End {
    Refused,
    Unsolved,
    Solved,
}

fn solved(text: &str) -> Result<End, String> {
    let document = Document::parse("extreme.yaml", text.as_bytes()).map_err(|p| p.render())?;
    let Ok((profile, _)) = read(&document) else {
        return Ok(End::Refused);
    };
    let plain = |error: mainsfit::receiver::ReceiverError| {
        let (found, advice) = (error.to_string(), error.advice().to_owned());
        if found.is_empty() || advice.is_empty() || found.contains("NaN") {
            return Err(format!("said badly: {found}; {advice}"));
        }
        Ok(End::Unsolved)
    };
    let model = match complete(&profile) {
        Ok((model, _)) => model,
        Err(error) => return plain(error),
    };
    let line = model.design_line;
    let receiver = match Receiver::new(model, None) {
        Ok(receiver) => receiver,
        Err(error) => return plain(error),
    };
    let operation = match receiver.run(1.05 * line, &Straight, None) {
        Ok(operation) => operation,
        Err(error) => return plain(error),
    };
    let b_plus = operation.b_plus();
    let crest = receiver.crest_volts(operation.line);
    if !b_plus.is_finite() || b_plus > 1.001 * crest + 0.1 {
        return Err(format!("B+ {b_plus} V behind a crest of {crest} V"));
    }
    for i in 0..receiver.model().windings.len() {
        let volts = operation.heater_volts(i);
        if !volts.is_finite() || volts < 0.0 {
            return Err(format!("heaters at {volts} V"));
        }
    }
    Ok(End::Solved)
}

#[test]
fn values_at_the_ends_of_their_range_solve_or_are_told() {
    let (mut refused, mut unsolved, mut fine) = (0, 0, 0);
    for path in shipped() {
        let text = std::fs::read_to_string(&path).unwrap();
        // readings are not solved for here, and a set is what stands before them
        let text = text.split("\nreadings:").next().unwrap();
        for (start, end, unit) in quantities(text) {
            let ends = ENDS.iter().find(|(u, _)| *u == unit).unwrap().1;
            let mains = if unit == "V" { &MAINS[..] } else { &[] };
            for value in ends.iter().chain(mains) {
                let changed = format!("{}{value}{}", &text[..start], &text[end..]);
                match solved(&changed) {
                    Ok(End::Refused) => refused += 1,
                    Ok(End::Unsolved) => unsolved += 1,
                    Ok(End::Solved) => fine += 1,
                    Err(wrong) => {
                        panic!("{path}: {} made {value}: {wrong}", &text[start..end])
                    }
                }
            }
        }
    }
    println!("{fine} solved, {unsolved} without a solution, {refused} refused");
    assert!(fine > unsolved && fine > 300, "{fine} {unsolved} {refused}");
}
