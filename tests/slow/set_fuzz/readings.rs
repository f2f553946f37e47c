//! Readings that a set might give: what the program predicts, some way off or right out of line.

use super::Dice;
use crate::harness::{flat, run_full};
use serde_json::Value as Json;
use serde_yaml::{Mapping, Value};

/// What no meter shows on a set, by words in its key.
const NOT_READ: [&str; 6] =
    ["ripple", "loss", "temperature", "factor", "magnetizing", "dc_current"];

/// Everything that can be read on a set: `sweep` lists it where it is asked for something else.
pub fn quantities(path: &str) -> Vec<String> {
    let asked = ["sweep", path, "--show=nothing-of-this-name"].map(str::to_owned);
    let told = flat(&run_full(asked).err);
    let list = told.split_once("known: ").map_or("", |(_, list)| list);
    list.split(',').map(|key| key.trim().to_owned()).filter(|key| !key.is_empty()).collect()
}

/// One setting of the line near `line_v` with a few readings; `None` where the set has no solution.
pub fn setting(path: &str, line_v: f64, dice: &mut Dice) -> Option<Value> {
    let line = line_v * dice.between(0.9, 1.08);
    let mut keys: Vec<String> = quantities(path);
    keys.retain(|key| !NOT_READ.iter().any(|word| key.contains(word)));
    let mut shown = vec!["B+".to_owned()];
    for _ in 0..dice.below(5) {
        shown.extend(dice.any(&keys).cloned());
    }
    shown.sort();
    shown.dedup();
    let args = [
        "sweep".to_owned(),
        path.to_owned(),
        "--points=2".to_owned(),
        format!("--from={line:.1}V"),
        format!("--to={:.1}V", line + 1.0),
        format!("--show={}", shown.join(",")),
        "--format=json".to_owned(),
    ];
    let found: Json = serde_json::from_str(&run_full(args).out).ok()?;
    let columns = found["columns"].as_array()?;
    // the line stands before them
    let point = found["rows"].get(0)?.as_array()?.iter().skip(1);
    let mut entries = Mapping::new();
    entries.insert("at_line".into(), format!("{line:.1} V").into());
    // as a whole some way off: another set of its kind
    let off = 1.0 + 0.1 * dice.turn();
    for (column, value) in columns.iter().zip(point) {
        let (Some(key), Some(value)) = (column["key"].as_str(), value.as_f64()) else { continue };
        let value = match dice.below(24) {
            // another part altogether, or the leads the wrong way round
            23 => value * dice.between(0.2, 2.0),
            22 => -value,
            _ => value * off * (1.0 + 0.01 * dice.turn()),
        };
        let unit = column["unit"].as_str().unwrap_or("V");
        entries.insert(key.into(), format!("{value:.4} {unit}").into());
    }
    Some(Value::Mapping(entries))
}
