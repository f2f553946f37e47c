//! The part of a choice, what goes with it, and the line fuse.

use super::{Ask, Item, ItemFor, Why};
use crate::{
    adaptation::{Bought, Method, Stands},
    catalogue::stock::FuseStandard,
    study::{Choice, FuseReport, Plan},
};

/// The part of `choice` with what goes with it: a second part, its box, a plain cord. Nothing where nothing is bought.
pub fn items(plan: &Plan, choice: &Choice) -> Vec<Item> {
    let facts = choice.method.facts();
    let ware = |what: &str, part: &Bought, why| {
        let ask = Ask::Ware { ware: part.ware.clone() };
        Item::new(ItemFor::Outlet, what, ask, why)
    };
    let bought = match facts.stands {
        // a tap is moved, a resistor in the line cord taken out
        Stands::Nowhere | Stands::AtPrimary => None,
        Stands::Inside | Stands::InLead => {
            choice.part.as_ref().filter(|_| choice.method != Method::TapAndPart)
        }
    };
    let main = bought.map(|part| ware(facts.noun, part, heaters(plan, choice)));
    let rating = |item: Item| Item { rated_w: choice.part_rated_w, ..item };
    let with = choice.with.as_ref().map(|with| Item {
        rated_w: with.rating.as_ref().map(|r| r.rated_w),
        ..ware("resistor in the rectifier's plate lead", &with.part, Why::WithDropper)
            .of_value(with.value, "Ω")
    });
    let behind = choice.behind.as_ref().and_then(|behind| {
        let (method, part) = (behind.method?, behind.part.as_ref()?);
        let why = Why::BehindFirst { gives_v: behind.gives_usual_v };
        Some(ware(method.facts().noun, part, why))
    });
    let heat_w = choice.day.as_ref().map_or(0.0, |day| day.high.lead_w);
    let needs_place = main.is_some() || behind.is_some();
    let boxed = match facts.stands {
        Stands::InLead if needs_place && !facts.on_bench => {
            Some(Item::new(ItemFor::Outlet, "box", Ask::CordBox, Why::Boxed { heat_w }))
        }
        Stands::Inside => choice.rating.as_ref().and_then(|rating| {
            let place = rating.places.iter().find(|place| place.acceptable)?.place;
            let ask = Ask::Mount { place };
            Some(Item::new(ItemFor::Outlet, "mounting", ask, Why::Boxed { heat_w: rating.worst_w }))
        }),
        Stands::InLead | Stands::Nowhere | Stands::AtPrimary => None,
    };
    let cord = (plan.set.resistance_cord && facts.replaces_cord)
        .then(|| Item::new(ItemFor::Outlet, "line cord", Ask::PlainCord, Why::CordGoes));
    [main.map(rating), with, behind, boxed, cord].into_iter().flatten().collect()
}

/// What a choice does to the heaters.
fn heaters(plan: &Plan, choice: &Choice) -> Why {
    if choice.method.facts().on_bench {
        return Why::OnBench;
    }
    let excess = |choice: &Choice| choice.day.as_ref().map(|day| day.usual.heater_excess());
    let bare = !plan.advice.do_not_plug_in && !plan.advice.not_without_part;
    Why::Heaters {
        before: plan.choices.first().filter(|_| bare).and_then(excess),
        after: excess(choice).unwrap_or(0.0),
        usual_v: plan.outlet.usual_v,
    }
}

/// The fuse and its holder; nothing where no standard small fuse suits, which a caution says.
pub fn fuse(fuse: &FuseReport, high_v: f64) -> Vec<Item> {
    let Some(rating_a) = fuse.rating_a else { return Vec::new() };
    let standard = fuse.standard;
    let why = Why::Running {
        running_a: fuse.running_a,
        high_v,
        out_a: fuse.present_a.filter(|_| fuse.must_change),
    };
    let ask = Ask::Fuse { rating_a, standard };
    let size = match standard == FuseStandard::Ul.name() {
        true => FuseStandard::Ul.size(),
        false => FuseStandard::Iec.size(),
    };
    vec![
        Item::new(ItemFor::Fuse, "line fuse", ask, why).of_value(rating_a, "A"),
        Item::new(ItemFor::Fuse, "fuse holder", Ask::Holder { size }, Why::HotWire),
    ]
}
