//! One fuse for one set: plan, note and power-up name the same, and say why where it is not one of the outlet's country.
//!
//! Gates and ratings: UL 248-14 and IEC 60127-2 by makers' data sheets, as in `catalogue/stock/fuse.rs`.

use mainsfit::profile::{Document, Profile, Target, read};
use mainsfit::report::plan_page;
use mainsfit::study::{Caution, Plan, Request, note, plan, power_up, solve};

const SETS: [&str; 4] = ["console-1936", "little-known", "universal-1947", "half-wave-1951"];

fn cautioned(plan: &Plan) -> (Option<f64>, &'static str) {
    let fuse = plan.cautions.iter().find_map(|c| match c {
        Caution::Fuse { rating_a, standard, .. } => Some((*rating_a, *standard)),
        _ => None,
    });
    fuse.expect("no caution of the fuse")
}

fn sets() -> Vec<(&'static str, Profile)> {
    let set = |name: &'static str| {
        let path = format!("profiles/{name}.yaml");
        let document = Document::parse(&path, &std::fs::read(&path).unwrap()).unwrap();
        (name, read(&document).map_err(|p| p.render()).unwrap().0)
    };
    SETS.map(set).into()
}

#[test]
fn plan_note_and_power_up_name_one_fuse() {
    for (name, profile) in sets() {
        assert_eq!(profile.target, Target::Heaters);
        let planned = plan(&profile, &Request::default(), Vec::new()).unwrap();
        let set = planned.fuse.as_ref().unwrap();
        assert_eq!(Some(set.choice), planned.advice.choice, "{name}");
        let wanted = (set.fuse.rating_a, set.fuse.standard);
        assert_eq!(cautioned(&planned), wanted, "{name}: plan");
        let solved = || solve(&profile, &Request::default(), Vec::new()).unwrap();
        let noted = note(solved(), &profile, None).unwrap();
        let fitted = noted.fitted().fuse.as_ref().unwrap();
        assert_eq!((fitted.rating_a, fitted.standard), wanted, "{name}: note");
        assert_eq!(cautioned(&noted.plan), wanted, "{name}: note");
        let powered = power_up(solved()).unwrap();
        assert_eq!(cautioned(&powered.plan), wanted, "{name}: power-up");
        // the last stage runs on the target: the fuse may not open there (UL 100 %, IEC 150 % of its rating)
        let last = powered.stages.last().unwrap();
        assert!(last.primary_a.most < wanted.0.unwrap(), "{name}: {:?}", last.primary_a);
    }
}

#[test]
fn an_iec_fuse_in_a_ul_country_is_explained() {
    // a resistor is fitted where the only transformer to be had does not serve
    let text = std::fs::read_to_string("profiles/little-known.yaml").unwrap()
        + "\nparts: { transformers: [{ primary: 120 V, secondary: 40 V, current: 0.3 A }] }\n";
    let document = Document::parse("x", text.as_bytes()).unwrap();
    let (profile, _) = read(&document).map_err(|p| p.render()).unwrap();
    let planned = plan(&profile, &Request::default(), Vec::new()).unwrap();
    let set = planned.fuse.as_ref().unwrap();
    assert_eq!(set.fuse.standard, "IEC 60127-2");
    assert!(planned.outlet.high_v < 150.0);
    let other = set.instead_of.as_ref().unwrap();
    assert_eq!(other.standard, "UL 248-14");
    assert!(other.heat_w > other.allowed_w);
    // glass breaks 35 A or ten times its rating
    assert_eq!(set.fuse.breaks_a, Some(35.0));
    let page = format!("{:?}", plan_page(&planned));
    assert!(page.contains("Why IEC 60127-2"), "{page}");
    assert!(page.contains("may hold."), "{page}");
}
