//! A sweep drawn into an SVG file, or onto standard output.

use super::chart::{read_off, sound, written};
use super::harness::{flat, mainsfit, printed};
use roxmltree::Document;

pub const SET: &str = "profiles/console-1936.yaml";

#[test]
fn a_sweep_goes_into_a_file_and_the_table_stays() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sweep.svg");
    let file = path.to_str().unwrap();
    let show = ["sweep", SET, "--points", "6", "--from", "90V", "--to", "140V", "--show", "B+"];
    let args = [&show[..], &["--svg", file]].concat();
    let drawn = mainsfit(&args);
    assert_eq!((drawn.code, drawn.err), (0, format!("{file}: the drawing is written\n")));
    assert_eq!(drawn.out, printed(&show));
    let svg = std::fs::read_to_string(&path).unwrap();
    sound(&svg);
    let doc = Document::parse(&svg).unwrap();
    let words: Vec<String> = written(&doc).into_iter().map(|w| w.text).collect();
    let words = words.join(" ");
    for text in [
        "B+, V DC",
        "outlet voltage, V RMS",
        "Lethal voltages",
        "isolation transformer",
        "local electrical codes",
    ] {
        assert!(words.contains(text), "{text}: {words}");
    }
    let read = read_off(&svg);
    assert_eq!(read.len(), 1);
    assert!(read[0].len() >= 41);
    // the table's figures are on the curve
    let rows = drawn.out.lines().filter_map(|l| {
        let mut cells = l.split_whitespace();
        let pair = (cells.next()?.parse::<f64>().ok()?, cells.next()?.parse::<f64>().ok()?);
        cells.next().is_none().then_some(pair)
    });
    let rows: Vec<(f64, f64)> = rows.collect();
    assert_eq!(rows.len(), 6);
    for row in rows {
        let beside = read[0].windows(2).find(|w| w[0].0 - 0.2 <= row.0 && row.0 <= w[1].0 + 0.2);
        let beside = beside.unwrap();
        let share = (row.0 - beside[0].0) / (beside[1].0 - beside[0].0);
        let at = beside[0].1 + share * (beside[1].1 - beside[0].1);
        // a tenth of a unit is 0.1 V here, a point may be off by two in x and in y
        assert!((at - row.1).abs() < 0.5, "{row:?} {at}");
    }

    // not again over what is there
    std::fs::write(&path, "mine").unwrap();
    let again = mainsfit(&args);
    assert_eq!((again.code, &again.out), (2, &drawn.out));
    assert!(flat(&again.err).contains("fix: give another name or add --force"), "{}", again.err);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
    assert_eq!(mainsfit(&[&args[..], &["--force"]].concat()).code, 0);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), svg);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn a_sweep_as_svg_on_standard_output() {
    for over in ["line", "resistor"] {
        let svg = printed(&["sweep", SET, "--over", over, "--svg", "-"]);
        sound(&svg);
        assert!(flat(&svg).contains("Lethal voltages inside"));
    }
    assert_eq!(mainsfit(&["sweep", SET, "--force"]).code, 2);
}
