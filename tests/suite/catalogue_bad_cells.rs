//! A file with one thing wrong is refused, and the error says where it is. The
//! expected line and column are those of the cell that the test itself changed.

use mainsfit::catalogue::{Catalogue, CatalogueError};

const TUBES: &str = include_str!("../../src/catalogue/data/tubes.csv");
const RECTIFIERS: &str = include_str!("../../src/catalogue/data/rectifiers.csv");
const LAMPS: &str = include_str!("../../src/catalogue/data/lamps.csv");
const ALIASES: &str = include_str!("../../src/catalogue/data/aliases.csv");

/// The table as cells; line 1 is the header. No cell of the files has a line break.
fn grid(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    reader.deserialize().map(|r| r.unwrap()).collect()
}

fn text(grid: &[Vec<String>]) -> String {
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(vec![]);
    for row in grid {
        writer.write_record(row).unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// Reads the three files with one of them replaced.
fn read(file: &str, changed: &str) -> Result<Catalogue, CatalogueError> {
    match file {
        "tubes.csv" => Catalogue::read(changed, RECTIFIERS, LAMPS, ALIASES),
        "rectifiers.csv" => Catalogue::read(TUBES, changed, LAMPS, ALIASES),
        "lamps.csv" => Catalogue::read(TUBES, RECTIFIERS, changed, ALIASES),
        _ => Catalogue::read(TUBES, RECTIFIERS, LAMPS, changed),
    }
}

fn original(file: &str) -> &'static str {
    match file {
        "tubes.csv" => TUBES,
        "rectifiers.csv" => RECTIFIERS,
        "lamps.csv" => LAMPS,
        _ => ALIASES,
    }
}

/// Line of the `nth` row of a type, which stays found when rows are added before it.
fn line(file: &str, name: &str, nth: usize) -> usize {
    let grid = grid(original(file));
    let mut rows = grid.iter().enumerate().filter(|(_, row)| row[0] == name);
    rows.nth(nth).unwrap().0 + 1
}

/// Puts `value` into the cell and returns the error.
fn with_cell(file: &str, line: usize, column: &str, value: &str) -> CatalogueError {
    let mut grid = grid(original(file));
    let place = grid[0].iter().position(|c| c == column).unwrap();
    grid[line - 1][place] = value.to_owned();
    let read = read(file, &text(&grid));
    read.expect_err(&format!("{file} line {line} {column} = {value:?}"))
}

fn refused_there(file: &str, line: usize, column: &str, value: &str) {
    let error = with_cell(file, line, column, value);
    match &error {
        CatalogueError::BadCell { file: f, row, column: c, found, .. } => {
            assert_eq!((*f, *row, c.as_str()), (file, line as u64, column));
            assert_eq!(found, value);
        }
        other => panic!("{file} line {line} {column} = {value:?}: {other}"),
    }
    let message = error.to_string();
    assert!(
        message.starts_with(&format!("{file}, row {line}, column {column}: found")),
        "{message}"
    );
    assert!(message.contains("wanted"));
}

/// Columns that hold numbers, and whether the number may be negative.
const NUMBERS: [(&str, &[&str], &[&str]); 3] = [
    (
        "tubes.csv",
        &[
            "heater_v",
            "heater_a",
            "op_plate_v",
            "op_screen_v",
            "op_plate_ma",
            "op_screen_ma",
            "op_extra_ma",
            "op_gm_umho",
            "op_mu",
            "op_rp_ohm",
            "max_plate_v",
            "max_screen_v",
            "max_plate_w",
            "max_screen_w",
            "max_heater_cathode_v",
            "triode_mu_g1g2",
            "derived_mu12",
        ],
        &["op_grid_v", "derived_offset_v"],
    ),
    (
        "rectifiers.csv",
        &[
            "filament_v",
            "filament_a",
            "lamp_tap_v",
            "drop_v",
            "drop_at_ma_per_plate",
            "max_peak_inverse_v",
            "max_peak_plate_ma",
            "max_dc_ma",
            "max_ac_v_cap_input",
            "max_ac_v_choke_input",
            "min_supply_ohm_per_plate",
            "min_choke_h",
            "max_input_capacitor_uf",
            "max_heater_cathode_v",
        ],
        &[],
    ),
    (
        "lamps.csv",
        &[
            "volts",
            "amps",
            "watts",
            "rated_life_h",
            "hot_ohm",
            "filament_k",
            "hot_to_cold_ratio",
            "cold_ohm",
        ],
        &[],
    ),
];

#[test]
fn a_cell_that_is_no_number_is_reported_with_its_row() {
    for (file, above_zero, any) in NUMBERS {
        for (i, column) in above_zero.iter().chain(any).enumerate() {
            // A different line for every column.
            let line = 2 + i;
            for value in ["abc", "1,5", "12 V", "nan", "inf", "-inf", "1e400", "5e9"] {
                refused_there(file, line, column, value);
            }
        }
        for (i, column) in above_zero.iter().enumerate() {
            for value in ["0", "-1", "-0.0"] {
                refused_there(file, 2 + i, column, value);
            }
        }
    }
    refused_there("tubes.csv", 8, "op_grid_v", "3");
}

#[test]
fn unknown_words_are_reported_with_their_row() {
    for (file, line, column, value) in [
        ("tubes.csv", 17, "class", "thriode"),
        ("tubes.csv", 17, "class", ""),
        ("tubes.csv", 18, "cathode", "cold"),
        ("tubes.csv", 18, "heater_tap", "yes"),
        ("tubes.csv", 18, "sections", "1"),
        ("tubes.csv", line("tubes.csv", "6SC7", 0), "sections", ""),
        ("tubes.csv", line("tubes.csv", "6SC7", 0), "sections", "3"),
        ("tubes.csv", 250, "confidence", "own"),
        ("rectifiers.csv", 4, "heating", "Direct"),
        ("rectifiers.csv", 4, "wave", "quarter"),
        ("rectifiers.csv", 4, "kind", "gas"),
        ("rectifiers.csv", 4, "confidence", ""),
        ("rectifiers.csv", 4, "drop_basis", "hearsay"),
        ("aliases.csv", 5, "table", "valve"),
        ("aliases.csv", 5, "same_base", "maybe"),
        ("lamps.csv", 9, "kind", "neon"),
    ] {
        refused_there(file, line, column, value);
    }
    let message = with_cell("rectifiers.csv", 4, "kind", "gas").to_string();
    assert!(message.ends_with("wanted one of vacuum, mercury, silicon, selenium"));
}

#[test]
fn needed_cells_may_not_be_blank() {
    for (file, column) in [
        ("tubes.csv", "type"),
        ("tubes.csv", "heater_v"),
        ("tubes.csv", "heater_a"),
        ("tubes.csv", "source"),
        ("rectifiers.csv", "type"),
        ("rectifiers.csv", "filament_v"),
        ("rectifiers.csv", "source"),
        ("rectifiers.csv", "drop_basis"),
        ("rectifiers.csv", "drop_at_ma_per_plate"),
        ("lamps.csv", "designation"),
        ("lamps.csv", "volts"),
        ("lamps.csv", "source"),
        ("rectifiers.csv", "drop_v"),
        ("aliases.csv", "alias"),
        ("aliases.csv", "type"),
        ("aliases.csv", "source"),
    ] {
        refused_there(file, 3, column, "");
    }
    // A cell that means nothing in its row is a slip too.
    let dry = grid(RECTIFIERS).iter().position(|row| row.iter().any(|c| c == "silicon")).unwrap();
    refused_there("rectifiers.csv", dry + 1, "filament_v", "6.3");
    refused_there("rectifiers.csv", dry + 1, "filament_a", "0.3");
    // A drop by kinship has bounds, and bounds come in pairs about it.
    refused_there("rectifiers.csv", line("rectifiers.csv", "80", 0), "drop_low_v", "50");
    refused_there("rectifiers.csv", line("rectifiers.csv", "EZ11", 0), "drop_low_v", "25");
    let error = with_cell("rectifiers.csv", line("rectifiers.csv", "EZ11", 0), "drop_high_v", "");
    assert!(error.to_string().contains("drop_low_v"), "{error}");
}

#[test]
fn rows_that_contradict_each_other_are_reported() {
    // The second points of types that have two.
    let second = |name| line("tubes.csv", name, 1);
    refused_there("tubes.csv", second("24A"), "heater_a", "1.76");
    refused_there("tubes.csv", second("24A"), "class", "triode");
    refused_there("tubes.csv", second("24A"), "max_plate_v", "");
    refused_there("tubes.csv", second("6SN7GT"), "sections", "1");
    refused_there("tubes.csv", second("12AU7"), "heater_tap", "");
    refused_there("rectifiers.csv", 3, "type", "80");
    refused_there("rectifiers.csv", 3, "type", "8 0");
    refused_there("rectifiers.csv", 25, "type", "83/5Z9");
    refused_there("lamps.csv", 4, "designation", "No. 41");
    refused_there("lamps.csv", 4, "designation", "#");
    refused_there("tubes.csv", 2, "type", "26/");
    // another name is of a type, and of no other
    refused_there("aliases.csv", 5, "type", "12AX8");
    refused_there("aliases.csv", 5, "alias", "12AX7");
    refused_there("aliases.csv", 5, "alias", "-");
}

#[test]
fn the_header_is_checked() {
    for file in ["tubes.csv", "rectifiers.csv", "lamps.csv", "aliases.csv"] {
        let mut changed = grid(original(file));
        changed[0][3] = "colour_of_box".to_owned();
        let error = read(file, &text(&changed)).unwrap_err();
        assert!(matches!(&error, CatalogueError::UnknownColumn { file: f, column, .. }
            if *f == file && column == "colour_of_box"));

        let mut changed = grid(original(file));
        let gone = changed[0][3].clone();
        for row in &mut changed {
            row.remove(3);
        }
        let error = read(file, &text(&changed)).unwrap_err();
        assert_eq!(error, CatalogueError::MissingColumn { file, column: gone });

        let mut changed = grid(original(file));
        let twice = changed[0][2].clone();
        changed[0][3] = twice.clone();
        let error = read(file, &text(&changed)).unwrap_err();
        assert_eq!(error, CatalogueError::RepeatedColumn { file, column: twice });

        let error = read(file, "").unwrap_err();
        assert!(matches!(error, CatalogueError::MissingColumn { .. }));
    }
}

#[test]
fn rows_of_the_wrong_length_are_reported() {
    let mut changed = grid(RECTIFIERS);
    changed[7].pop();
    let error = read("rectifiers.csv", &text(&changed)).unwrap_err();
    let (found, wanted) = (changed[7].len(), changed[0].len());
    assert_eq!(error, CatalogueError::CellCount { file: "rectifiers.csv", row: 8, found, wanted });
}

#[test]
fn line_numbers_are_those_of_an_editor() {
    // Blank lines and Windows line ends do not shift the row in the message.
    let lines: Vec<&str> = RECTIFIERS.lines().collect();
    for end in ["\n", "\r\n"] {
        let mut spaced = format!("\u{feff}{}{end}{end}{end}", lines[0]);
        spaced.push_str(&format!("{}{end}{end}", lines[1]));
        spaced.push_str(&lines[2].replacen("5.0", "five", 1));
        spaced.push_str(end);
        match read("rectifiers.csv", &spaced).unwrap_err() {
            CatalogueError::BadCell { row, column, .. } => {
                assert_eq!((row, column.as_str()), (6, "filament_v"));
            }
            other => panic!("{other}"),
        }
    }
}

#[test]
fn the_order_of_columns_does_not_matter() {
    let mut turned = grid(TUBES);
    for row in &mut turned {
        row.reverse();
    }
    let c = read("tubes.csv", &text(&turned)).unwrap();
    assert_eq!(c.tubes(), Catalogue::built_in().tubes());
}

/// Any damage to a file ends in an error or in a catalogue, never in a panic.
#[test]
fn damaged_files_do_not_panic() {
    let mut state = 1_u64;
    let mut next = move |below: usize| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    let bytes = b",\"\n\r/-#.0Ge \xc3";
    let mut refused = 0;
    for file in ["tubes.csv", "rectifiers.csv", "lamps.csv", "aliases.csv"] {
        for _ in 0..150 {
            let mut damaged = original(file).as_bytes().to_vec();
            for _ in 0..3 {
                let at = next(damaged.len());
                damaged[at] = bytes[next(bytes.len())];
            }
            damaged.truncate(damaged.len() - next(200));
            let damaged = String::from_utf8_lossy(&damaged);
            if let Ok(c) = read(file, &damaged) {
                let _ = c.tube("6V6G");
            } else {
                refused += 1;
            }
        }
    }
    assert!(refused > 100, "{refused}");
}
