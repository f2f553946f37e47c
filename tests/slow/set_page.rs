//! The page of a set in a real browser: every figure of a state against a fresh solution, by keyboard alone, without a network.

use super::browser::{Tab, opened, ready};
use super::harness::shipped;
use super::html_valid;
use mainsfit::profile::{self, Document, Profile};
use mainsfit::study::{METERS, Request, States, StatesBench, Wrong, allowed_off, solve, states};
use mainsfit::{Options, Outlet, Set};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// States of each set; more in a long run.
const STATES: usize = 20;
const LONG: usize = 200;
/// States of a set that are tried with a meter on each point.
const METERED: usize = 3;
/// Share of the states that show all of their figures, at the least.
const WHOLE: f64 = 0.95;
/// Most bytes of a page.
const MOST: usize = 500_000;

/// Numbers from 0 to 1 (xorshift, Marsaglia 2003).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() * n as f64) as usize
    }
}

fn profile(text: &str) -> Profile {
    profile::read(&Document::parse("set", text.as_bytes()).unwrap()).unwrap().0
}

fn page(text: &str) -> String {
    let bench = Set::parse("set", text.as_bytes()).unwrap().bench(Outlet::default()).unwrap();
    bench.page(&Options::default(), &|_, _| ()).unwrap().html()
}

/// A state of the page, and what a fresh solution has for it: key, unit, figure.
struct Asked {
    address: String,
    volts: f64,
    /// Of a state in which something is wrong, below what each figure is told as nothing.
    nothing: BTreeMap<String, f64>,
    fresh: Vec<(String, &'static str, Option<f64>)>,
}

/// States drawn at random, each solved afresh; those without a solution are left out.
fn drawn(all: &States, bench: &StatesBench<'_>, ids: &Value, count: usize) -> Vec<Asked> {
    let mut draw = Draw(1936);
    let mut list = Vec::new();
    while list.len() < count {
        let table = &all.tables[draw.below(all.tables.len())];
        let (grid, of) = (&table.grid, (table.lead, table.case));
        let (low, high) = (grid.volts[0], grid.volts[grid.volts.len() - 1]);
        let volts = ((low + (high - low) * draw.next()) * 100.0).round() / 100.0;
        let most = grid.ohms[grid.ohms.len() - 1];
        let ohms = (most * draw.next() * 100.0).round() / 100.0;
        let (lead, case) =
            (ids["leads"][of.0].as_str().unwrap(), ids["cases"][of.1].as_str().unwrap());
        let mut address = format!("#line={volts}&lead={lead}&case={case}&ohms={ohms}");
        let metered = all.cases[of.1].wrong == Wrong::Nothing && list.len() < METERED;
        let Some(row) = bench.figures(of, (volts, ohms)) else { continue };
        let known = |column: usize| match all.columns.get(column) {
            Some(column) => (column.key.clone(), column.unit),
            None => {
                let place = column - all.columns.len();
                (format!("limit{place}"), all.limits[place].unit)
            }
        };
        let figure = |(column, value): (usize, &f64)| {
            let (key, unit) = known(column);
            (key, unit, value.is_finite().then_some(*value))
        };
        let mut fresh: Vec<_> = row.iter().enumerate().map(figure).collect();
        if metered {
            let which = draw.below(METERS.len());
            write!(address, "&meter={}", ids["meters"][which + 1].as_str().unwrap()).unwrap();
            for (column, value) in bench.metered(of.0, (volts, ohms), METERS[which]) {
                fresh[column].2 = value;
            }
        }
        let rough = all.cases[of.1].wrong != Wrong::Nothing;
        let least = |column: usize| (known(column).0, all.nothing[column]);
        let nothing = (0..all.nothing.len()).filter(|_| rough).map(least).collect();
        list.push(Asked { address, volts, nothing, fresh });
    }
    list
}

/// What the page shows for each address.
fn shown(tab: &mut Tab<'_>, asked: &[Asked]) -> Vec<Value> {
    let addresses: Vec<&str> = asked.iter().map(|a| a.address.as_str()).collect();
    let script = format!(
        "{}.map((address) => {{ mainsfit.show(address); return mainsfit.figures(); }})",
        json!(addresses)
    );
    tab.evaluate(&script).as_array().unwrap().clone()
}

/// Everything that is wrong with the page of a set, and how many of how many states show all their figures.
#[allow(clippy::print_stdout, reason = "size and times of each page, for who asks for them")]
fn judged(name: &str, text: &str, count: usize) -> (Vec<String>, usize, usize) {
    let profile = profile(text);
    let solved = || solve(&profile, &Request::default(), vec![]).unwrap();
    let all = states(solved(), &|_, _| ()).unwrap();
    let solved = solved();
    let bench = StatesBench::of(&solved).unwrap();
    let html = page(text);
    let mut wrong: Vec<String> = html_valid::faults(&html);
    if html.len() > MOST {
        wrong.push(format!("{} bytes", html.len()));
    }
    let mut whole = 0;
    let found = opened(&html, |tab, own| {
        tab.ask("Runtime.enable", json!({}));
        tab.ask("Log.enable", json!({}));
        let ids = tab.evaluate(
            "(() => { const b = JSON.parse(document.getElementById('states').textContent); const ids = (list) => list.map((x) => x.id); return { leads: ids(b.leads), cases: ids(b.cases), meters: ids(b.meters) }; })()",
        );
        let asked = drawn(&all, &bench, &ids, count);
        for (asked, shown) in asked.iter().zip(shown(tab, &asked)) {
            let mut all_shown = true;
            for (key, unit, fresh) in &asked.fresh {
                let (got, Some(fresh)) = (shown[key].as_f64(), fresh) else { continue };
                let Some(got) = got else {
                    all_shown = false;
                    continue;
                };
                // the steps of the code in a span, and its ends as 32-bit floats, are counted in the tables already
                let allowed = allowed_off(unit, *fresh, asked.volts / all.line.design);
                // where something is wrong, next to nothing is told as nothing
                let nothing = asked
                    .nothing
                    .get(key)
                    .is_some_and(|least| fresh.abs() < 1.02 * least && got.abs() < 1.02 * least);
                if (got - fresh).abs() > allowed && !nothing {
                    wrong.push(format!("{}: {key} {got} for {fresh}", asked.address));
                }
            }
            whole += usize::from(all_shown);
        }
        let told = ["Runtime.consoleAPICalled", "Log.entryAdded", "Runtime.exceptionThrown"];
        for event in told {
            wrong.extend(tab.events(event).iter().map(|e| format!("{event}: {e}")));
        }
        let requests = tab.events("Network.requestWillBeSent");
        let urls = requests.iter().map(|e| e["request"]["url"].as_str().unwrap().to_owned());
        wrong.extend(urls.filter(|url| url != own).map(|url| format!("asks for {url}")));
        let stale = tab.evaluate(
            "[...document.querySelectorAll('#drawn svg text')].filter((t) => t.textContent === '–' && !t.querySelector('tspan')).length",
        );
        if stale != json!(0) {
            wrong.push(format!("{stale} figures of a drawing are not told"));
        }
        (
            tab.evaluate("mainsfit.loaded"),
            tab.evaluate("Math.min(mainsfit.step(40), mainsfit.step(40), mainsfit.step(40))"),
        )
    });
    println!(
        "{name}: {whole} of {count} states whole, {} bytes, loaded in {:.0} ms, slowest step {:.1} ms",
        html.len(),
        found.0.as_f64().unwrap_or(f64::NAN),
        found.1.as_f64().unwrap_or(f64::NAN),
    );
    (wrong, whole, count)
}

#[test]
fn every_figure_is_that_of_a_fresh_solution() {
    if !ready() {
        return;
    }
    let count = if super::long_run() { LONG } else { STATES };
    let (mut faults, mut whole, mut of) = (Vec::new(), 0, 0);
    for name in shipped() {
        let text = std::fs::read_to_string(&name).unwrap();
        let (wrong, some, all) = judged(&name, &text, count);
        faults.extend(wrong.into_iter().map(|fault| format!("{name}: {fault}")));
        whole += some;
        of += all;
    }
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
    assert!(whole as f64 >= WHOLE * of as f64, "{whole} of {of} states show all their figures");
}
