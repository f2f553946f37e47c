//! An outlet's log: its percentiles and bounds against published figures, what the plan makes of it, and what is refused.

use super::harness::{flat, mainsfit, printed};
use mainsfit::{
    Error, OutletLog,
    study::{LogReport, not_above, quantile},
};
use proptest::prelude::*;
use serde_json::Value;
use std::path::{Path, PathBuf};

const SET: &str = "profiles/table-1948.yaml";
const LOG: &str = "profiles/outlet-log.csv";
/// The outlet as [`SET`] has it.
const WRITTEN: &str = "outlet: { low: 117 V, usual: 122 V, high: 125 V }\n";

fn read(text: &str) -> Result<LogReport, Error> {
    Ok(LogReport::of(&OutletLog::parse("log", text.as_bytes())?).unwrap())
}

fn refused(text: &str) -> String {
    flat(&read(text).unwrap_err().found())
}

/// An hour of the first of November and those after it, by their number.
fn hour(i: usize) -> String {
    format!("2026-11-{:02} {:02}:05", 1 + i / 24, i % 24)
}

/// A log with a reading an hour.
fn hourly(volts: impl IntoIterator<Item = f64>) -> String {
    let lines = volts.into_iter().enumerate().map(|(i, v)| format!("{},{v}\n", hour(i)));
    lines.collect()
}

/// A folder with a profile whose outlet is as wanted, and a log.
struct Here(tempfile::TempDir);

impl Here {
    fn new(outlet: &str, log: &str) -> Here {
        let text = std::fs::read_to_string(SET).unwrap();
        assert!(text.contains(WRITTEN));
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("set.yaml"), text.replace(WRITTEN, outlet)).unwrap();
        std::fs::write(folder.path().join("log.csv"), log).unwrap();
        Here(folder)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn run(&self, command: &str, options: &[&str]) -> mainsfit::cli::Outcome {
        let (set, log) = (self.path("set.yaml"), self.path("log.csv"));
        let own = |option: &&str| match *option {
            "LOG" => log.to_str().unwrap().to_owned(),
            other => other.to_owned(),
        };
        let options: Vec<String> = options.iter().map(own).collect();
        let options: Vec<&str> = options.iter().map(String::as_str).collect();
        mainsfit(&[&[command, set.to_str().unwrap()], options.as_slice()].concat())
    }

    fn plan(&self, options: &[&str]) -> Value {
        let outcome = self.run("plan", &[options, &["--format", "json"]].concat());
        assert_eq!(outcome.code, 0, "{}", outcome.err);
        serde_json::from_str(&outcome.out).unwrap()
    }
}

fn day(plan: &Value) -> [f64; 3] {
    ["low_v", "usual_v", "high_v"].map(|key| plan["outlet"][key].as_f64().unwrap())
}

/// What the plan says that it took of the outlet.
fn assumed(plan: &Value, what: &str) -> Option<String> {
    let mut list = plan["assumptions"].as_array().unwrap().iter();
    Some(list.find(|a| a["what"] == what)?["rule"].as_str().unwrap().to_owned())
}

/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2, Percentiles †: twelve gauge measurements, of which the 90th
/// percentile is 95.1981, by rank 0.9 · 13 = 11.7.
#[test]
fn a_percentile_of_the_handbook_is_found() {
    let mut list = [
        95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065, 95.0925,
        95.1990, 95.1682,
    ];
    list.sort_by(f64::total_cmp);
    assert!((quantile(&list, 0.9) - 95.1981).abs() < 5e-5, "{}", quantile(&list, 0.9));
}

/// By hand: of nine values the ranks are 0.5, 5 and 9.5, so the first, the middle and the last; of thirty they are 1.55, 15.5
/// and 29.45. The figures of thirty were made with Python's `statistics.quantiles(list, n=20, method="exclusive")`, which its
/// manual defines in the same way.
#[test]
fn percentiles_by_hand() {
    let nine: Vec<f64> = (1..=9).map(f64::from).collect();
    assert_eq!([0.05, 0.5, 0.95].map(|p| quantile(&nine, p)), [1.0, 5.0, 9.0]);
    let thirty = [
        121.0, 122.4, 121.1, 120.9, 119.8, 121.1, 123.5, 122.3, 123.4, 121.9, 122.2, 121.8, 118.5,
        123.0, 122.4, 122.4, 118.5, 118.4, 119.9, 120.7, 122.0, 121.4, 122.4, 120.3, 122.1, 122.2,
        120.3, 124.6, 122.5, 123.7,
    ];
    let log = read(&hourly(thirty)).unwrap();
    for (found, expected) in [(log.low_v, 118.455), (log.usual_v, 121.95), (log.high_v, 124.105)] {
        assert!((found - expected).abs() < 1e-9, "{found} {expected}");
    }
    assert_eq!((log.lowest_v, log.highest_v), (118.4, 124.6));
}

/// S. S. Wilks, Determination of sample sizes for setting tolerance limits, Annals of Mathematical Statistics 12 (1941): 59,
/// 93 and 124 values for the first, second and third of them to bound 95 % with a confidence of 95 % †; at 90 % they are 45, 77
/// and 105, as `0.95^45 = 0.0994` tells by hand of the first.
#[test]
fn so_many_readings_bound_a_percentile() {
    for (confidence, sizes) in [(0.95, [59, 93, 124]), (0.9, [45, 77, 105])] {
        for (rank, n) in (1..).zip(sizes) {
            let found = [n - 1, n].map(|n| not_above(n, 0.05, confidence).unwrap_or(0));
            assert_eq!(found, [rank - 1, rank], "{n} at {confidence}");
        }
    }
    // the sign test, two-sided at 10 %: W. J. Dixon and A. M. Mood, The statistical sign test, Journal of the American
    // Statistical Association 41 (1946) †, one less than the rank; each checked by the exact sum of whole numbers below
    for (n, critical) in
        [(5, 0), (8, 1), (10, 1), (12, 2), (15, 3), (20, 5), (25, 7), (30, 10), (40, 14), (50, 18)]
    {
        assert_eq!(not_above(n, 0.5, 0.95), Some(critical + 1), "{n}");
        let (mut choose, mut sum, mut fit) = (1_u128, 0_u128, 0);
        for k in 0..n {
            sum += choose;
            if 20 * sum > 1 << n {
                break;
            }
            fit += 1;
            choose = choose * (n - k) as u128 / (k + 1) as u128;
        }
        assert_eq!(fit, critical + 1, "{n}");
    }
    assert_eq!([0, 1, 4].map(|n| not_above(n, 0.5, 0.95)), [None; 3]);
    // a year of hours is no trouble: 8760 · 0.05 = 438, and 1.2816 standard deviations of 20.4 below that
    assert!(not_above(8760, 0.05, 0.9).is_some_and(|r| (410..=413).contains(&r)));
}

/// Hours that hang together count once: bounds come of the lowest and the highest of each.
#[test]
fn readings_of_one_hour_are_one() {
    let hours: Vec<f64> = (0..48).map(|i| 120.0 + f64::from(i % 12) / 4.0).collect();
    let single = read(&hourly(hours.clone())).unwrap();
    let four = hours.iter().enumerate().flat_map(|(i, v)| {
        ["05", "20", "35", "50"].map(|m| format!("{}{m},{v}\n", &hour(i)[..14]))
    });
    let crowded = read(&four.collect::<String>()).unwrap();
    assert_eq!((single.clock_hours, crowded.clock_hours), (48, 48));
    assert_eq!((single.span.readings, crowded.span.readings), (48, 192));
    assert_eq!(single.low_not_below_v, crowded.low_not_below_v);
    assert_eq!(single.usual_between_v, crowded.usual_between_v);
    // 48 hours tell the lowest alone
    assert_eq!(single.low_not_below_v, Some(120.0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The order of lines says nothing.
    #[test]
    fn any_order_is_the_same(lines in Just(example_lines()).prop_shuffle()) {
        let told = |text: &str| {
            let report = read(text).unwrap();
            // where a line stands is no matter of the outlet
            let mut json = serde_json::to_value(&report).unwrap();
            for aside in json["set_aside"].as_array_mut().unwrap() {
                aside["line"] = Value::Null;
            }
            json
        };
        prop_assert_eq!(told(&lines.join("\n")), told(&example_lines().join("\n")));
    }

    /// Whatever stands in a file, it is read or refused.
    #[test]
    fn nothing_panics(bytes in prop::collection::vec(any::<u8>(), 0..400), lines in prop::collection::vec(line(), 0..60)) {
        let _ = OutletLog::parse("log", &bytes);
        let _ = read(&lines.join("\n"));
    }
}

fn line() -> impl Strategy<Value = String> {
    prop_oneof![
        (1..13u8, 1..32u8, 0..25u8, 0..400u16)
            .prop_map(|(m, d, h, v)| format!("2026-{m:02}-{d:02} {h:02}:00,{v}")),
        "[0-9:;, TZ.+-]{0,40}",
        "\\PC{0,20}",
    ]
}

fn example_lines() -> Vec<String> {
    let text = std::fs::read_to_string(LOG).unwrap();
    let lines = text.lines().filter(|line| line.starts_with("2026"));
    lines.map(str::to_owned).collect()
}

/// 99 readings of which the fifth is 117 V, the middle one 122 V and the fifth from above 125 V: ranks 5, 50 and 95 of 100.
fn as_written() -> String {
    let of = |i| match i % 10 {
        0 => 117.0,
        9 => 125.0,
        _ => 122.0,
    };
    hourly((0..99).map(of))
}

#[test]
fn a_log_gives_the_plan_of_the_same_outlet_written() {
    let here = Here::new(WRITTEN, &as_written());
    let (written, mut logged) = (here.plan(&[]), here.plan(&["--outlet-log", "LOG"]));
    assert_eq!(day(&logged), [117.0, 122.0, 125.0]);
    let span = serde_json::json!({
        "readings": 99, "days": 5, "first_day": "2026-11-01", "last_day": "2026-11-05", "whole": true
    });
    assert_eq!(logged["outlet"]["log"], span);
    assert_eq!(logged["outlet_log"]["too_few"], Value::Null);
    (logged["outlet"]["log"], logged["outlet_log"]) = (Value::Null, Value::Null);
    assert_eq!(logged, written);
}

/// The same lines in the profile, with a unit each.
#[test]
fn the_profile_has_it_as_the_file_does() {
    let lines = as_written();
    let inner = lines.lines().map(|line| format!("    - {} V\n", line.replace(',', ", ")));
    let outlet = format!("outlet:\n  log:\n{}", inner.collect::<String>());
    let here = Here::new(&outlet, &lines);
    let own = here.plan(&[]);
    let mut file = here.plan(&["--outlet-log", "LOG"]);
    assert_eq!(file["outlet_log"]["file"], "log.csv");
    file["outlet_log"]["file"] = Value::Null;
    assert_eq!(own, file);
    // what is typed comes before it
    assert_eq!(day(&here.plan(&["--line", "120V"])), [0.96 * 120.0, 120.0, 1.03 * 120.0]);
    let ranged = here.plan(&["--range", "north-america"]);
    assert_eq!((day(&ranged), &ranged["outlet_log"]), ([114.0, 122.0, 126.0], &Value::Null));
    for option in ["--line", "--low", "--high"] {
        let both = here.run("plan", &[option, "120V", "--outlet-log", "LOG"]);
        assert_eq!(both.code, 2);
        assert!(both.err.contains("cannot be used with"), "{}", both.err);
    }
    let written = outlet.replace("  log:", "  usual: 121 V\n  log:");
    let both = Here::new(&written, "").run("check", &[]);
    assert_eq!(both.code, 2);
    assert!(flat(&both.err).contains("the outlet has a log, and its voltage is written as well"));
}

/// Twelve hours say what is usual. 0.95¹² = 54 % is the chance that they miss the highest twentieth, so low and high are no
/// nearer than without a log: 4 % below and 3 % above, or the range, or the furthest that was read.
#[test]
fn few_readings_give_the_usual_alone() {
    let few = |outlet: &str, volts: [f64; 12]| Here::new(outlet, &hourly(volts));
    let calm = [121.0, 122.0, 121.5, 120.5, 121.0, 121.0, 120.0, 121.0, 122.0, 121.0, 120.5, 121.0];
    let plan = few("", calm).plan(&["--outlet-log", "LOG"]);
    let [low, usual, high] = day(&plan);
    assert_eq!(usual, 121.0);
    assert!(
        (low - 0.96 * 121.0).abs() < 1e-9 && (high - 1.03 * 121.0).abs() < 1e-9,
        "{low} {high}"
    );
    let rule = assumed(&plan, "lowest outlet voltage").unwrap();
    assert!(rule.starts_with("4 % below the usual") && rule.contains("12 clock hours"), "{rule}");
    assert_eq!(plan["outlet"]["log"]["whole"], false);
    assert_eq!(assumed(&plan, "usual outlet voltage"), None);
    let mut wild = calm;
    (wild[3], wild[7]) = (109.0, 131.0);
    let plan = few("", wild).plan(&["--outlet-log", "LOG"]);
    assert_eq!(day(&plan), [109.0, 121.0, 131.0]);
    let rule = assumed(&plan, "highest outlet voltage").unwrap();
    assert!(rule.starts_with("the furthest reading"), "{rule}");
    let ranged = few("outlet: north-america\n", calm).plan(&["--outlet-log", "LOG"]);
    assert_eq!(
        (day(&ranged), &ranged["outlet"]["range"]),
        ([114.0, 121.0, 126.0], &"north-america".into())
    );
    let text = few("", calm).run("plan", &["--outlet-log", "LOG", "--show", "day"]).out;
    let text = flat(&text);
    assert!(text.contains("usual from a short log: 12 readings over 1 day, 1 Nov 2026"), "{text}");
    assert!(text.contains("a bound of the 5th or 95th percentile takes 45"), "{text}");
    assert!(text.contains("miss the highest twentieth of all is 54 %"), "{text}");
    assert!(text.contains("No day has a reading from 12 to 24 h."), "{text}");
}

/// Office hours alone, however many, tell no night: the line is highest when the neighborhood sleeps.
#[test]
fn a_part_of_the_day_that_nobody_read_is_told() {
    let hours = (0..7).flat_map(|day| (9..18).map(move |h| 24 * day + h));
    let log: String = hours.map(|i| format!("{},121\n", hour(i))).collect();
    let report = read(&log).unwrap();
    assert_eq!(report.clock_hours, 63);
    assert_eq!(
        report.too_few.map(|why| why.to_string()).as_deref(),
        Some("nothing was read in the night")
    );
    assert_eq!(report.longest_gap_h, 16.0);
    let text =
        flat(&Here::new("", &log).run("plan", &["--outlet-log", "LOG", "--show", "day"]).out);
    assert!(text.contains("All readings are the same"), "{text}");
}

/// A plan with a log, long or short, is of the schema that is told.
#[test]
fn the_schema_of_plans_has_it() {
    let schema: Value = serde_json::from_str(&printed(&["schema", "plan"])).unwrap();
    let schema = jsonschema::draft202012::new(&schema).unwrap();
    let short = hourly([121.0, 122.0, 121.5, 120.5, 0.0, 119.0, 121.0]);
    let here = Here::new("", &short);
    for plan in [here.plan(&["--outlet-log", "LOG"]), here.plan(&["--outlet-log", LOG])] {
        assert!(plan["outlet_log"]["set_aside"][0]["why"].is_string(), "{}", plan["outlet_log"]);
        let faults: Vec<String> = schema.iter_errors(&plan).map(|e| e.to_string()).collect();
        assert_eq!(faults, [""; 0]);
    }
}

#[test]
fn forms_of_a_file_are_the_same_log() {
    let lines: String = example_lines()
        .iter()
        .filter(|line| !line.ends_with(",0"))
        .map(|line| format!("{line}\n"))
        .collect();
    let expected = serde_json::to_value(read(&lines).unwrap()).unwrap();
    let forms = [
        format!("time,volts\n{lines}"),
        format!("\u{feff}# read in the kitchen\nTime,Volts\n\n{}", lines.replace('\n', "\r\n")),
        lines.replace(',', ", ").replace('\n', " V\n"),
        lines.replace(',', ";").replace('.', ","),
        lines.replace(',', ";"),
        lines.replace(',', "\t"),
        lines.replace(' ', "T").replace(",", ":00+01:00,"),
        format!(
            "no,volts,time\n{}",
            lines
                .lines()
                .enumerate()
                .map(|(i, l)| {
                    let (time, volts) = l.split_once(',').unwrap();
                    format!("{i},\"{volts}\",\"{time}\"\n")
                })
                .collect::<String>()
        ),
    ];
    for text in forms {
        let found = read(&text).unwrap_or_else(|error| panic!("{error}\n{}", &text[..80]));
        assert_eq!(serde_json::to_value(found).unwrap(), expected, "{}", &text[..80]);
    }
}

#[test]
fn what_is_wrong_has_its_line_and_column() {
    // remarks and empty lines are counted
    let six = hourly([121.0; 6]).replacen('\n', "\n# a remark\n\n", 1);
    let with = |line: &str| format!("{six}{line}\n");
    for (line, at, words) in [
        ("2026-11-02,121", "log:9:1:", "is not a date with a time"),
        ("11/02/2026 07:00,121", "log:9:1:", "does not say in order which is the month"),
        ("2026-11-02 07:00,abc", "log:9:18:", "abc"),
        ("2026-11-02 07:00,", "log:9:18:", "the volts are missing"),
        ("2026-11-02 07:00,-121", "log:9:18:", "is below zero"),
        ("2026-11-02 07:00,NaN", "log:9:18:", "NaN"),
        ("2026-11-02 07:00,1e9", "log:9:18:", "far from anything"),
        ("2026-11-02 07:00,121 A", "log:9:18:", "A"),
        ("2026-11-02 07:00,121,8", "log:9:1:", "with decimal commas, separate by semicolons"),
        ("2026-11-02 07:00", "log:9:1:", "not of 2 values but of 1"),
        ("2026-11-02 07:00Z,121", "log:9:1:", "some of a local clock"),
    ] {
        let text = refused(&with(line));
        assert!(text.contains(at) && text.contains(words), "{line}: {text}");
    }
    for (text, words) in [
        // with names, too, a decimal comma is not passed over
        ("time,volts\n2026-11-02 07:00,121,8\n", "not of 2 values but of 3"),
        ("", "0 clock hours"),
        ("time,current\n2026-11-02 07:00,1\n", "no column is named volts"),
        ("2026-11-02 07:00,121\n2026-11-02 07:30,122\n", "1 clock hour,"),
    ] {
        let found = refused(text);
        assert!(found.contains(words), "{text}: {found}");
    }
    let years = format!("{}2028-01-01 07:00,121\n", hourly([121.0; 6]));
    assert!(refused(&years).contains("longer than a year"));
    let long: String = (0..300_000).map(|_| "2026-11-02 07:00,121.8000000\n").collect();
    assert!(refused(&long).contains("longer than 8388608 bytes (8192 KiB), the most that is read"));
    assert!(refused(&"2026-11-02 07:00,121\n".repeat(120_000)).contains("the log is too long"));
}

/// A power cut is told and not counted; two outlets in one log are no log.
#[test]
fn what_cannot_be_the_outlet_is_set_aside_or_refused() {
    let with = |own: &[&str]| format!("{}{}\n", hourly([121.0; 60]), own.join("\n"));
    let log = read(&with(&["2026-11-04 07:00,0", "2026-11-04 08:00,231"])).unwrap();
    let aside: Vec<String> =
        log.set_aside.iter().map(|a| format!("{:?} {} {}", a.line, a.shown_v, a.why)).collect();
    assert_eq!(aside.len(), 2);
    assert!(aside[0].starts_with("Some(61) 0 the mains were off"), "{aside:?}");
    assert!(aside[1].starts_with("Some(62) 231 far from all others"), "{aside:?}");
    assert_eq!((log.span.readings, log.highest_v), (60, 121.0));
    let here = Here::new("", &with(&["2026-11-04 07:00,0"]));
    let log = here.path("log.csv");
    let log = log.to_str().unwrap();
    let told =
        [&["plan", SET, "--show", "day"] as &[&str], &["note", "profiles/console-1936.yaml"]];
    for args in told {
        let told = flat(&printed(&[args, &["--outlet-log", log]].concat()));
        assert!(told.contains("line 61, 4 Nov 2026 07:00, 0 V: the mains were off"), "{told}");
    }
    let mixed: String =
        (0..60).map(|i| format!("{},{}\n", hour(i), [120.0, 230.0][i % 2])).collect();
    let found = refused(&mixed);
    assert!(found.contains("30 of 60 readings are far from the middle of all"), "{found}");
    assert!(
        read(&with(&["2026-11-04 07:00,121", "2026-11-04 07:00,121"]))
            .is_ok_and(|log| log.repeated == 1)
    );
    let own = Here::new(
        "outlet:\n  log:\n    - 2026-11-01 07:00, 121 V\n    - 2026-11-01 08:00, 0 V\n    - 2026-11-01 09:00, 121 V\n    - 2026-11-01 10:00, 121 V\n    - 2026-11-01 11:00, 121\n    - 2026-11-01 12:00 121 V\n    - 121 V\n",
        "",
    );
    let text = flat(&own.run("check", &[]).err);
    for words in ["121", "unit", "time and voltage with a comma between"] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

#[test]
fn a_file_that_is_none_is_told_at_once() {
    let here = Here::new("", "");
    let tell = |path: &Path| mainsfit(&["plan", SET, "--outlet-log", path.to_str().unwrap()]);
    let missing = tell(&here.path("no-such.csv"));
    assert_eq!(missing.code, 2);
    assert!(missing.err.contains("no-such.csv: cannot be read"), "{}", missing.err);
    assert!(tell(here.0.path()).err.contains("it is a folder"));
}

/// Every command that has an outlet takes one by its log, and what is written can be made again.
#[test]
fn every_command_takes_it() {
    for args in [
        &["plan", SET] as &[&str],
        &["plan", SET, "profiles/mantel-1938.yaml"],
        &["power-up", SET],
        &["sweep", SET, "--over", "resistor", "--points", "3"],
        &["switch-on", SET],
        &["replace", "profiles/console-1936.yaml", "field-coil"],
        &["divider", "profiles/console-1936.yaml", "--of", "bias"],
    ] {
        printed(&[args, &["--outlet-log", LOG]].concat());
    }
    let note = printed(&["note", "profiles/console-1936.yaml", "--outlet-log", LOG]);
    assert!(note.contains(" --outlet-log outlet-log.csv"), "{note}");
    assert!(note.contains("96 readings over 4 days, 3 to 6 Nov 2026"), "{note}");
    let bare =
        mainsfit(&["divider", "--from", "75V", "--resistors", "390k,82k", "--outlet-log", LOG]);
    assert!(bare.err.contains("--outlet-log needs the profile of a set"), "{}", bare.err);
}

/// A new profile takes the log up, line by line, and plans as the file does.
#[test]
fn a_new_profile_has_the_log_in_it() {
    let words = ["--design-line", "117V", "--tubes", "6BE6,6BA6,6AV6,6AQ5", "--rectifier", "6X4"];
    let text = printed(&[&["new", "--outlet-log", LOG], words.as_slice()].concat());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.yaml");
    std::fs::write(&path, &text).unwrap();
    let plan = |options: &[&str]| -> Value {
        let set = path.to_str().unwrap();
        let text = printed(&[&["plan", set, "--format", "json"], options].concat());
        serde_json::from_str(&text).unwrap()
    };
    let (own, file) = (plan(&[]), plan(&["--outlet-log", LOG]));
    assert_eq!((&own["outlet"], &own["choices"]), (&file["outlet"], &file["choices"]));
    assert_eq!(
        own["outlet_log"]["set_aside"][0]["at"], "2026-11-05T15:25:00",
        "{}",
        own["outlet_log"]
    );
}
