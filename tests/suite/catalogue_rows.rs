//! Nothing is lost or changed between the data files and the catalogue.
//! Each file is read a second time here, cell by cell, without the library.

use mainsfit::catalogue::{Catalogue, Citation, LampType, Matched, RectifierType};
use std::collections::HashMap;
use uom::si::{
    capacitance::microfarad, electric_current::ampere, electric_current::milliampere,
    electric_potential::volt, electrical_conductance::microsiemens, electrical_resistance::ohm,
    inductance::henry, power::watt, thermodynamic_temperature::kelvin, time::hour,
};

const TUBES: &str = include_str!("../../src/catalogue/data/tubes.csv");
const RECTIFIERS: &str = include_str!("../../src/catalogue/data/rectifiers.csv");
const LAMPS: &str = include_str!("../../src/catalogue/data/lamps.csv");
const ALIASES: &str = include_str!("../../src/catalogue/data/aliases.csv");

type Cells = HashMap<String, String>;

fn rows(text: &str) -> Vec<Cells> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(|r| r.unwrap()).collect()
}

/// The cell must be blank for `None`, and the same number otherwise.
fn same(row: &Cells, column: &str, value: Option<f64>) {
    let cell = &row[column];
    match value {
        None => assert_eq!(cell, "", "{column} of {row:?}"),
        Some(v) => {
            let wanted: f64 = cell.parse().unwrap_or_else(|_| panic!("{column} of {row:?}"));
            assert!((v - wanted).abs() <= 1e-12 * wanted.abs(), "{column} of {row:?}: {v}");
        }
    }
}

fn same_text(row: &Cells, column: &str, value: Option<&str>) {
    assert_eq!(row[column], value.unwrap_or_default(), "{column}");
}

fn same_citation(row: &Cells, citation: &Citation, note: &str) {
    assert_eq!(row["source"], citation.source);
    assert_eq!(row["confidence"], citation.confidence.to_string());
    assert_eq!(row["note"], note);
    assert!(!citation.source.trim().is_empty());
}

/// Every line of the files becomes a row, and none of those collected first is lost: by hand 178 types of tubes in 249 rows;
/// 55 rectifiers, dry ones with them; 40 lamps.
#[test]
fn no_row_is_lost() {
    let c = Catalogue::built_in();
    let points = c.tubes().iter().map(|t| t.points.len()).sum();
    for (text, read, collected) in
        [(TUBES, points, 249), (RECTIFIERS, c.rectifiers().len(), 55), (LAMPS, c.lamps().len(), 40)]
    {
        // the head is the first line; no cell has a line break
        assert_eq!(read, text.lines().count() - 1);
        assert!(read >= collected, "{read} of {collected}");
    }
    assert!(c.tubes().len() >= 178);
}

/// A note is prose for people: a catalogue without one is the same in every other cell, other names too.
#[test]
fn nothing_is_read_out_of_a_note() {
    let blank = |text: &str| {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let head = reader.headers().unwrap().clone();
        let note = head.iter().position(|column| column == "note").unwrap();
        let mut writer = csv::Writer::from_writer(vec![]);
        writer.write_record(&head).unwrap();
        for row in reader.records() {
            let row = row.unwrap();
            let cells = row.iter().enumerate();
            writer.write_record(cells.map(|(i, c)| if i == note { "" } else { c })).unwrap();
        }
        String::from_utf8(writer.into_inner().unwrap()).unwrap()
    };
    let c = Catalogue::built_in();
    let bare = Catalogue::read(&blank(TUBES), &blank(RECTIFIERS), &blank(LAMPS), ALIASES).unwrap();
    assert!(c.tubes().iter().any(|t| !t.note.is_empty()));
    for (told, silent) in c.tubes().iter().zip(bare.tubes()) {
        let mut told = told.clone();
        told.note.clear();
        told.points.iter_mut().for_each(|p| p.note.clear());
        assert_eq!(told, *silent);
    }
    for (told, silent) in c.rectifiers().iter().zip(bare.rectifiers()) {
        assert_eq!(RectifierType { note: String::new(), ..told.clone() }, *silent);
    }
    for (told, silent) in c.lamps().iter().zip(bare.lamps()) {
        assert_eq!(LampType { note: String::new(), ..told.clone() }, *silent);
    }
}

#[test]
fn every_tube_cell_is_carried_over() {
    let rows = rows(TUBES);
    let mut taken: HashMap<&str, usize> = HashMap::new();
    let c = Catalogue::built_in();
    for row in &rows {
        let name = row["type"].as_str();
        let t = c.tubes().iter().find(|t| t.name == name).unwrap();
        let nth = taken.entry(name).or_default();
        let p = &t.points[*nth];
        if *nth == 0 {
            assert_eq!(t.reference(), Some(p));
            same(row, "triode_mu_g1g2", t.triode_mu);
            same_citation(row, &t.citation, &t.note);
        }
        *nth += 1;
        same(row, "heater_v", Some(t.heater_volts.get::<volt>()));
        same(row, "heater_a", Some(t.heater_amps.get::<ampere>()));
        assert_eq!(row["cathode"], t.cathode.to_string());
        same_text(row, "heater_tap", t.heater_tapped.then_some("centre"));
        assert_eq!(row["class"], t.class.to_string());
        let twin = row["class"] == "twin-triode";
        let twin = twin || t.sections == 2;
        same(row, "sections", twin.then_some(f64::from(t.sections)));
        let volts = |v: Option<uom::si::f64::ElectricPotential>| v.map(|v| v.get::<volt>());
        let ma = |a: Option<uom::si::f64::ElectricCurrent>| a.map(|a| a.get::<milliampere>());
        same(row, "op_plate_v", volts(p.plate));
        same(row, "op_screen_v", volts(p.screen));
        same(row, "op_grid_v", volts(p.grid));
        same(row, "op_plate_ma", ma(p.plate_current));
        same(row, "op_screen_ma", ma(p.screen_current));
        same(row, "op_extra_ma", ma(p.extra_current));
        let gm = p.transconductance.map(|g| g.get::<microsiemens>());
        same(row, "op_gm_umho", gm);
        same(row, "op_mu", p.mu);
        same(row, "op_rp_ohm", p.plate_resistance.map(|r| r.get::<ohm>()));
        same(row, "max_plate_v", volts(t.max_plate_volts));
        same(row, "max_screen_v", volts(t.max_screen_volts));
        let watts = |w: Option<uom::si::f64::Power>| w.map(|w| w.get::<watt>());
        same(row, "max_plate_w", watts(t.max_plate_watts));
        same(row, "max_screen_w", watts(t.max_screen_watts));
        let heater_cathode = volts(t.max_heater_cathode_volts);
        same(row, "max_heater_cathode_v", heater_cathode);
        same(row, "triode_mu_g1g2", p.triode_mu);
        same(row, "derived_mu12", p.derived_mu12);
        same(row, "derived_offset_v", volts(p.derived_offset));
        same_citation(row, &p.citation, &p.note);
    }
    for t in c.tubes() {
        assert_eq!(taken[t.name.as_str()], t.points.len());
    }
}

#[test]
fn every_rectifier_cell_is_carried_over() {
    let rows = rows(RECTIFIERS);
    let c = Catalogue::built_in();
    assert_eq!(rows.len(), c.rectifiers().len());
    for (row, r) in rows.iter().zip(c.rectifiers()) {
        use mainsfit::catalogue::{Heating, RectifierKind, Wave};
        assert_eq!(row["type"], r.name);
        let heated = |v: f64| (!r.kind.is_dry()).then_some(v);
        same(row, "filament_v", heated(r.filament_volts.get::<volt>()));
        same(row, "filament_a", heated(r.filament_amps.get::<ampere>()));
        let heating = match r.heating {
            Heating::Direct => "direct",
            Heating::Indirect => "indirect",
            Heating::None => "none",
        };
        same_text(row, "heating", Some(heating));
        same(row, "lamp_tap_v", r.lamp_tap.map(|v| v.get::<volt>()));
        let wave = match r.wave {
            Wave::Full => "full",
            Wave::Half => "half",
            Wave::TwoHalf => "two half",
        };
        same_text(row, "wave", Some(wave));
        let kind = match r.kind {
            RectifierKind::Vacuum => "vacuum",
            RectifierKind::Mercury => "mercury",
            RectifierKind::Silicon => "silicon",
            RectifierKind::Selenium => "selenium",
        };
        same_text(row, "kind", Some(kind));
        same(row, "drop_v", r.drop.map(|d| d.volts.get::<volt>()));
        let at = r.drop.and_then(|d| d.at_current_per_plate);
        same(row, "drop_at_ma_per_plate", at.map(|a| a.get::<milliampere>()));
        same_text(row, "drop_basis", Some(&r.drop.unwrap().basis.to_string()));
        let bounds = r.drop.and_then(|d| d.bounds);
        same(row, "drop_low_v", bounds.map(|(low, _)| low.get::<volt>()));
        same(row, "drop_high_v", bounds.map(|(_, high)| high.get::<volt>()));
        let volts = |v: Option<uom::si::f64::ElectricPotential>| v.map(|v| v.get::<volt>());
        let ma = |a: Option<uom::si::f64::ElectricCurrent>| a.map(|a| a.get::<milliampere>());
        same(row, "max_peak_inverse_v", volts(r.max_peak_inverse));
        same(row, "max_peak_plate_ma", ma(r.max_peak_plate_current));
        same(row, "max_dc_ma", ma(r.max_dc_current));
        let capacitor_input = volts(r.max_ac_volts_capacitor_input);
        same(row, "max_ac_v_cap_input", capacitor_input);
        same(row, "max_ac_v_choke_input", volts(r.max_ac_volts_choke_input));
        let supply = r.min_supply_resistance.map(|r| r.get::<ohm>());
        same(row, "min_supply_ohm_per_plate", supply);
        same(row, "min_choke_h", r.min_choke.map(|l| l.get::<henry>()));
        let capacitor = r.max_input_capacitor.map(|c| c.get::<microfarad>());
        same(row, "max_input_capacitor_uf", capacitor);
        let heater_cathode = volts(r.max_heater_cathode_volts);
        same(row, "max_heater_cathode_v", heater_cathode);
        same_citation(row, &r.citation, &r.note);
    }
}

/// Every row of the other names finds its type, under the name as it is spelled, and is there with all its cells.
#[test]
fn every_other_name_is_carried_over() {
    let c = Catalogue::built_in();
    let rows = rows(ALIASES);
    // 440 were collected, 400 asked for
    assert!(rows.len() >= 440, "{}", rows.len());
    for row in &rows {
        let name = row["alias"].as_str();
        let (of, matched, spelled, aliases) = if row["table"] == "tube" {
            let found = c.tube(name).unwrap();
            (&found.item.name, found.matched, found.name, &found.item.aliases)
        } else {
            let found = c.rectifier(name).unwrap();
            (&found.item.name, found.matched, found.name, &found.item.aliases)
        };
        assert_eq!((of.as_str(), matched), (row["type"].as_str(), Matched::Alias), "{name}");
        assert_eq!(spelled, name);
        let alias = aliases.iter().find(|a| a.name == name).unwrap();
        assert_eq!(row["same_base"], if alias.same_base { "yes" } else { "no" });
        same_citation(row, alias.citation.as_ref().unwrap(), &alias.note);
    }
    let all = c.tubes().iter().flat_map(|t| &t.aliases);
    let all = all.chain(c.rectifiers().iter().flat_map(|r| &r.aliases));
    assert_eq!(all.filter(|a| a.citation.is_some()).count(), rows.len());
}

/// What the collection was to reach.
#[test]
fn the_catalogue_is_large_enough() {
    let c = Catalogue::built_in();
    assert!(c.tubes().len() >= 320, "{}", c.tubes().len());
    assert!(c.rectifiers().len() >= 105, "{}", c.rectifiers().len());
}

#[test]
fn every_lamp_cell_is_carried_over() {
    let rows = rows(LAMPS);
    let c = Catalogue::built_in();
    assert_eq!(rows.len(), c.lamps().len());
    for (row, l) in rows.iter().zip(c.lamps()) {
        assert_eq!(row["kind"], l.kind.to_string());
        assert_eq!(row["designation"], l.name);
        same(row, "volts", Some(l.volts.get::<volt>()));
        same(row, "amps", Some(l.amps.get::<ampere>()));
        same(row, "watts", Some(l.watts.get::<watt>()));
        same_text(row, "bead", l.bead.as_deref());
        same_text(row, "base", l.base.as_deref());
        same(row, "rated_life_h", l.rated_life.map(|t| t.get::<hour>()));
        same(row, "hot_ohm", l.hot.map(|r| r.get::<ohm>()));
        let temperature = l.filament_temperature.map(|t| t.get::<kelvin>());
        same(row, "filament_k", temperature);
        same(row, "hot_to_cold_ratio", l.hot_to_cold_ratio);
        same(row, "cold_ohm", l.cold.map(|r| r.get::<ohm>()));
        same_citation(row, &l.citation, &l.note);
    }
}

/// The two types whose published factor changes from row to row keep both figures.
#[test]
fn a_factor_printed_with_a_point_stays_with_it() {
    let differing: Vec<&str> = Catalogue::built_in()
        .tubes()
        .iter()
        .filter(|t| t.points.iter().any(|p| p.triode_mu != t.triode_mu))
        .map(|t| t.name.as_str())
        .collect();
    assert_eq!(differing, ["ECL82", "UCL82"]);
}

#[test]
fn reading_the_same_text_gives_the_built_in_catalogue() {
    let read = Catalogue::read(TUBES, RECTIFIERS, LAMPS, ALIASES).unwrap();
    let built_in = Catalogue::built_in();
    assert_eq!(read.tubes(), built_in.tubes());
    assert_eq!(read.rectifiers(), built_in.rectifiers());
    assert_eq!(read.lamps(), built_in.lamps());
}
