//! A verdict in words, on every screen and sheet: made-up advice laid over a solved set, for the words alone.

use super::harness::flat;
use mainsfit::adaptation::Method;
use mainsfit::profile::{Document, Profile, read};
use mainsfit::report::page::Page;
use mainsfit::report::{html, markdown, note_page, plan_page, power_up_page, terminal};
use mainsfit::study::{
    Advice, Origin, Plan, Request, Strength, ToMeasure, Turn, Verdict, note, plan, power_up, solve,
};
use std::sync::LazyLock;

fn profile(name: &str) -> Profile {
    let path = format!("profiles/{name}.yaml");
    let document = Document::parse(&path, &std::fs::read(&path).unwrap()).unwrap();
    read(&document).map_err(|p| p.render()).unwrap().0
}

static CONSOLE: LazyLock<Plan> =
    LazyLock::new(|| plan(&profile("console-1936"), &Request::default(), Vec::new()).unwrap());

/// Advice of nothing but a verdict.
fn advice(verdict: Verdict, choice: Option<Method>) -> Advice {
    Advice {
        verdict,
        strength: None,
        do_not_plug_in: false,
        not_without_part: false,
        reasons: vec!["The outlet is 7 % above the design voltage".to_owned()],
        changes_at: Vec::new(),
        measure: None,
        repairs: Vec::new(),
        choice,
        runner_up: None,
        would_change: Vec::new(),
    }
}

fn heater() -> ToMeasure {
    ToMeasure {
        point: "heater.main".to_owned(),
        place: "across the two wires of the winding".to_owned(),
        range: "AC, 20 V".to_owned(),
        at_line_v: 123.0,
        tips_at: Some(6.614),
        unit: "V",
        below: Some(Verdict::Leave),
        above: Some(Verdict::Fit),
    }
}

fn told(page: &Page) -> String {
    flat(&terminal::paint(page, terminal::Style::new(96, false)))
}

/// A plan with that advice, from its first word on.
fn head(advice: Advice) -> String {
    let all = told(&plan_page(&Plan { advice, ..CONSOLE.clone() }));
    all.split_once(" ADVICE ").unwrap().1.to_owned()
}

#[test]
fn each_verdict_has_its_words() {
    let fit = Advice {
        strength: Some(Strength::Optional),
        ..advice(Verdict::Fit, Some(Method::BuckingOutlet))
    };
    let needed = Advice { strength: Some(Strength::Needed), ..fit.clone() };
    let broken = Advice {
        repairs: vec![
            "Renew filter capacitor 2: fit 500 V".to_owned(),
            "renew the cathode resistor".to_owned(),
        ],
        ..advice(Verdict::RepairFirst, Some(Method::BuckingOutlet))
    };
    let part = |method: Method| {
        let choice = CONSOLE.choices.iter().find(|c| c.method == method).unwrap();
        choice.part.as_ref().unwrap().to_string()
    };
    let bucking = format!("a bucking transformer, outlet side: {}.", part(Method::BuckingOutlet));
    let [add, then] = ["Add", "With that put right: add"].map(|word| format!("{word} {bucking}"));
    let optional = format!("{add} Worth fitting; you may leave it.");
    let needed_words = format!("{add} Needed: do not leave the set as it is.");
    let repair = format!(
        "Repair first: Renew filter capacitor 2: fit 500 V. Renew the cathode resistor. {then}"
    );
    let cases = [
        (
            advice(Verdict::Leave, Some(Method::AsIs)),
            "Leave the set as it is. Replace the 3 A fuse with a ",
        ),
        (fit, optional.as_str()),
        (needed, needed_words.as_str()),
        (
            advice(Verdict::Boost, Some(Method::BuckingSet)),
            "Raise the voltage with a bucking transformer, set side: ",
        ),
        (
            advice(Verdict::StepDown, Some(Method::SeriesResistor)),
            "DO NOT PLUG IN: this set was made for 115 V; use a series resistor: 15 Ω, 50 W",
        ),
        (broken, repair.as_str()),
        (
            advice(Verdict::CannotSay, None),
            "No advice: nothing that can be bought brings this set within its limits. ",
        ),
    ];
    for (advice, words) in cases {
        let head = head(advice);
        assert!(head.starts_with(words), "{words}\n{head}");
        assert!(head.contains("WHY The outlet is 7 % above the design voltage."), "{head}");
    }
    let european = plan(&profile("european-1954"), &Request::default(), Vec::new()).unwrap();
    let tap = advice(Verdict::ChangeTap, Some(Method::Tap));
    let head = told(&plan_page(&Plan { advice: tap, ..european }));
    assert!(head.contains("ADVICE Move the primary to its 240 V tap."), "{head}");
}

#[test]
fn where_a_verdict_turns_is_told_lowest_first() {
    let turn = |voltage, above, verdict| Turn { voltage, above, verdict };
    let changes_at = vec![turn(130.26, true, Verdict::Fit), turn(103.9, false, Verdict::Boost)];
    let would_change = vec!["not told twice".to_owned()];
    let head =
        head(Advice { changes_at, would_change, ..advice(Verdict::Leave, Some(Method::AsIs)) });
    let words = "REDO IF Usual outlet voltage below 104 V: raise the voltage with a part. Usual outlet voltage above 130.5 V: lower the voltage with a part.";
    assert!(head.contains(words), "{head}");
    assert!(!head.contains("not told twice"), "{head}");
}

#[test]
fn the_one_reading_tells_where_what_and_both_sides() {
    let open = Advice {
        measure: Some(heater()),
        runner_up: Some(Method::SeriesResistor),
        ..advice(Verdict::LeaveAndMeasure, Some(Method::AsIs))
    };
    let sides = "Above 6.61 V: add a series resistor: 15 Ω, 50 W, tubular vitreous. Below: leave the set as it is.";
    let told_at = "Read it with 123 V at the outlet, across the two wires of the winding.";
    let head = head(open.clone());
    assert!(
        head.starts_with("Leave it for now and measure heater winding main (meter at AC, 20 V)."),
        "{head}"
    );
    assert!(head.contains(&format!("{told_at} {sides}")), "{head}");
    // in the note behind the cautions of measuring, with a line to write on
    let set = profile("console-1936");
    let solved = solve(&set, &Request::default(), Vec::new()).unwrap();
    let mut note = note(solved, &set, None).unwrap();
    note.plan.advice = open.clone();
    let origin =
        Origin { file: "a.yaml".into(), digest: "0".into(), command: "c".into(), paper: None };
    let sheet = told(&note_page(&note, &origin));
    let (before, after) = sheet.split_once("One reading decides:").unwrap();
    assert!(
        before.contains("Before you measure with power on")
            && before.contains("Leave it for now and")
    );
    assert!(
        after.contains(sides) && after.contains("Heater winding main, AC, 20 V: ____"),
        "{after}"
    );
    // in the power-up it is a row and a step of the last stage
    let mut staged =
        power_up(solve(&profile("console-1936"), &Request::default(), Vec::new()).unwrap())
            .unwrap();
    staged.plan.advice = Advice { repairs: vec!["renew it".to_owned()], ..open };
    let sheet = told(&power_up_page(&staged, &origin));
    assert!(sheet.contains("heater winding main, AC, 20 V decides at 6.61 V"), "{sheet}");
    let (before, after) = sheet.split_once("This decides: ").unwrap();
    assert!(after.starts_with(&format!("{told_at} {sides}")), "{after}");
    let (_, before) = before.split_once("0. Repair first [ ] Renew it.").unwrap();
    assert!(before.contains("1. Ohmmeter") && before.contains("4. The stages"));
}

#[test]
fn every_form_has_the_same_words() {
    let fit = Advice {
        strength: Some(Strength::Optional),
        ..advice(Verdict::Fit, Some(Method::BuckingOutlet))
    };
    let plan = Plan { advice: fit, ..CONSOLE.clone() };
    let page = plan_page(&plan);
    let plain = markdown::paint(&page, &[]).replace(['\\', '*'], "");
    let markup = html::paint(&page);
    let words = ["bucking transformer, outlet side:", "Worth fitting; you may leave it."];
    for words in words {
        assert!(flat(&plain).contains(words), "{words}");
        let bare = |c: &str| c.replace(['<', '>', '/'], " ");
        assert!(flat(&bare(&markup)).contains(words), "{words}");
    }
    // sentences are not joined by semicolons
    assert!(!plain.contains(".;"), "{plain}");
}
