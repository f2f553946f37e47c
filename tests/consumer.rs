//! A program of somebody else's, with the crate's public names alone: load, plan, read, a note, a tube and a part of its own, a
//! sweep. The figures are held by other tests; here it must compile, and be as short as one would want it.

use mainsfit::units::{Current, Power, Resistance, Voltage, milliampere, ohm, volt, watt};
use mainsfit::{Catalogue, Method, Options, Outlet, Page, Set, SweepOptions};
use std::error::Error;

#[test]
fn all_of_it_in_sixty_lines() -> Result<(), Box<dyn Error>> {
    let set = Set::load("profiles/console-1936.yaml")?;
    let bench = set.bench(Outlet::named("north-america")?)?;

    // what a meter would show on 115 V, and what the plan says of it
    let reading = bench.at(Voltage::new::<volt>(115.0))?;
    assert!(reading.b_plus() > Voltage::new::<volt>(150.0));
    assert_eq!(reading.get("B+"), Some(reading.b_plus_v));
    let plan = bench.plan(&Options::default())?;
    assert!(Page::from(&plan).text(96, false).contains(set.name()));
    assert!(plan.cautions.iter().any(|caution| caution.comes_first()));

    // the sheet for the cabinet
    let note = bench.note(&Options::default().with(Method::SeriesResistor))?;
    assert_eq!(note.fitted().method, Method::SeriesResistor);
    assert!(Page::from(&note).html().starts_with("<!DOCTYPE html>"));

    // an output tube of one's own that takes less for its heater, and what that does to the current from the outlet
    let mut thrifty = Catalogue::built_in().tube("6F6")?.item.clone();
    thrifty.heater_amps = Current::new::<milliampere>(450.0);
    let other = set.clone().with_tube("6F6", &thrifty)?.bench(Outlet::default())?;
    let line = Voltage::new::<volt>(115.0);
    assert!(other.at(line)?.line_current() < reading.line_current());

    // a resistor of one's own: the plan takes no other
    let (ohms, watts) = (Resistance::new::<ohm>(20.0), Power::new::<watt>(100.0));
    let mine =
        set.clone().with_resistor(ohms, watts).bench(Outlet::usual(Voltage::new::<volt>(124.0)))?;
    let plan = mine.plan(&Options::default())?;
    let resistor = plan.choices.iter().find(|choice| choice.method == Method::SeriesResistor);
    assert_eq!(resistor.and_then(|choice| choice.part_value), Some(20.0));

    // B+ over the line, as a table of numbers
    let ends = [100.0, 130.0].map(Voltage::new::<volt>);
    let options = SweepOptions::line(ends[0], ends[1]).points(4).show(["B+"]);
    let sweep = set.sweep(&options, Outlet::default())?;
    assert_eq!(sweep.rows.len(), 4);
    Ok(())
}
