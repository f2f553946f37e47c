//! What to buy as a page, and as comma-separated values.

use super::{
    caution, made_for, name_and_year,
    origin::{foot, made_by},
    outlet_words,
    page::{
        Line, Page, blocks, checks, entry, field, fine, form, items, line, notes, plain, section,
        strong, text, title, with_dagger,
    },
    readings,
    sweep::foot as cautions_in_words,
    verdict,
    words::{at_part, harmless, sentence},
};
use crate::{
    adaptation::Method,
    study::{Item, ItemFor, Origin, PartsList, Plan, Verdict},
};

/// Title of a part of the list.
fn of(part: ItemFor) -> &'static str {
    match part {
        ItemFor::Repair => "Repairs",
        ItemFor::Outlet => "For the outlet voltage",
        ItemFor::Fuse => "Line fuse",
        ItemFor::Capacitors => "Capacitors to renew",
        ItemFor::Look => "If the set has them",
        ItemFor::Bench => "For the bench",
    }
}

/// What no profile tells of.
const NOT_LISTED: &str = "Not on this list: what the profile does not name, such as the capacitors between the stages. Look at those in the set, the one to the output tube's grid first.";
/// How it is taken.
const HOW: &str = "Voltages of capacitors are the highest on high line, ripple counted; the rating is the lowest of the trade that stands them, and never below what is printed on the old one. A higher one does as well.";

/// Lays out a list.
pub fn page(list: &PartsList, origin: &Origin) -> Page {
    let plan = &list.plan;
    let name = name_and_year(&list.set);
    let all = with_dagger((
        caution::alarms(&list.cautions),
        title(("Parts to buy: ", &name)),
        entry("ADVICE", verdict::lines(plan)),
        readings::head(&plan.readings),
        items(caution::first(&list.cautions, list.choice)),
        form((
            field("Set made for", made_for(&list.set)),
            field("Outlet here", outlet_words(&list.outlet)),
            list.choice.map(|choice| field("List for", for_what(plan, choice))),
        )),
        waits(list).map(|words| text(strong(words))),
        sections(&list.items),
        fine((HOW, " ", NOT_LISTED)),
        fine((
            ("Before you open the set, read every caution: `mainsfit plan ", &origin.file),
            " --show cautions`, or the note.",
        )),
    ));
    blocks((foot(&name, origin), all, made_by(&list.plan, origin)))
}

/// What the list is for.
fn for_what(plan: &Plan, choice: Method) -> String {
    plan.choice(choice).map_or_else(String::new, |choice| choice.title.to_owned())
}

/// Why no part for the outlet is on it.
fn waits(list: &PartsList) -> Option<&'static str> {
    (list.verdict == Verdict::RepairFirst).then_some(
        "No part for the outlet voltage is on this list yet: repair the set, write it into the profile, and ask again.",
    )
}

/// The list in its parts.
fn sections(list: &[Item]) -> Vec<Page> {
    let own = |part| list.iter().filter(move |item| item.of == part).map(row);
    let each = ItemFor::ALL.into_iter().map(|part| section(of(part), checks(own(part)).if_any()));
    each.collect()
}

/// The same lines on a note, in small print: its sheets are counted.
pub fn of_note(list: &[Item]) -> Page {
    let ticked = |item| -> Line { [vec![plain(BOX)], row(item)].concat() };
    section("Parts to buy", notes(list.iter().map(ticked)).if_any())
}

/// A place to tick in small print; it keeps to what follows.
const BOX: &str = "☐\u{a0}";

/// A line: how many, what, what to ask for, and why.
fn row(item: &Item) -> Line {
    let name = at_part(&item.what, item.part.as_deref());
    let many = item.quantity.map_or_else(|| "Each".to_owned(), |n| format!("{n} ×"));
    line((
        strong((many, " ", name, ": ", item.ask.to_string(), ". ")),
        sentence(&item.why.to_string()),
    ))
}

/// Columns, in their order.
const COLUMNS: [&str; 18] = [
    "for",
    "part",
    "what",
    "quantity",
    "ask for",
    "value",
    "or value",
    "unit",
    "rated [V]",
    "rated is",
    "rated [W]",
    "class",
    "at work [V]",
    "at switch-on [V]",
    "line [V]",
    "why",
    "bought",
    "caution",
];

/// CSV: a line for each, SI units, the cautions in a column of every row.
pub fn csv(list: &PartsList) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // writing to memory cannot fail
    let _ = writer.write_record(COLUMNS);
    let first = list.cautions.iter().filter(|c| c.comes_first() && !c.is_alarm());
    let first: Vec<String> = first.map(ToString::to_string).collect();
    let always: Vec<&str> = first.iter().map(String::as_str).chain(waits(list)).collect();
    let caution = cautions_in_words(&list.cautions, &list.plan.readings, &always);
    for item in &list.items {
        let _ = writer.write_record(cells(item).into_iter().chain([caution.clone()]));
    }
    let body = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&body).into_owned()
}

fn cells(item: &Item) -> [String; 17] {
    let text = |text: &str| harmless(text.to_owned());
    let value = |v: Option<f64>| v.map_or(String::new(), |v| v.to_string());
    let volts = |v: Option<f64>| v.map_or(String::new(), |v| format!("{v:.3}"));
    let kind = item.rated_v.map_or("", |_| if item.rated_ac { "AC" } else { "DC" });
    [
        text(of(item.of)),
        text(item.part.as_deref().unwrap_or_default()),
        text(&item.what),
        item.quantity.map_or(String::new(), |n| n.to_string()),
        text(&item.ask.to_string()),
        value(item.value),
        value(item.or_value),
        item.unit.unwrap_or_default().to_owned(),
        value(item.rated_v),
        kind.to_owned(),
        value(item.rated_w),
        item.class.unwrap_or_default().to_owned(),
        volts(item.running_v),
        volts(item.switch_on_v),
        volts(item.at_line_v),
        text(&item.why.to_string()),
        String::new(),
    ]
}
