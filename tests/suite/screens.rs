//! Every text screen as a person sees it, kept as snapshots, and what all of them must hold to.

use super::harness::{flat, mainsfit, printed, run_on_screen, shipped, stem};
use mainsfit::cli::Screen;

/// Widest line a page at the bench may have.
const WIDEST: usize = 100;
/// Lines of a plan below its head and cautions.
const MOST_LINES: usize = 60;
/// Lines of a terminal that is not scrolled, two for a part that drifted, on the set that has one, and four for the alarms
/// above all else.
const FIRST_LINES: usize = 30;

/// What a run prints on a terminal of 80 columns.
fn narrow(args: &[&str]) -> String {
    let screen = Screen { columns: 80, ..Screen::PAGE };
    run_on_screen(args.iter().map(|a| (*a).to_owned()), screen).out
}

fn assert_narrow(name: &str, text: &str) {
    for (number, line) in text.lines().enumerate() {
        let width = line.chars().count();
        assert!(width <= WIDEST, "{name}, line {}: {width} columns\n{line}", number + 1);
        assert_eq!(line, line.trim_end(), "{name}, line {}: blanks at its end", number + 1);
    }
    assert!(text.ends_with('\n') && !text.ends_with("\n\n"), "{name}: end of text");
}

/// Standard output, or standard error with the exit code above it.
fn screen(name: &str, args: &[&str]) -> String {
    let outcome = mainsfit(args);
    assert!(outcome.out.is_empty() || outcome.err.is_empty(), "{name}: output and error at once");
    let text = format!("{}{}", outcome.out, outcome.err);
    // help and complaints about the command line come from clap, which leaves blanks at line ends and does
    // not fold what it complains about
    if !args.contains(&"--help") && !text.starts_with("error: ") {
        assert_narrow(name, &text);
    }
    let shown = args.join(" ");
    match outcome.code {
        0 => format!("$ mainsfit {shown}\n{text}"),
        code => format!("$ mainsfit {shown}\n(exit code {code}, on standard error)\n{text}"),
    }
}

fn kept(name: &str, args: &[&str]) {
    snap!(name, screen(name, args));
}

#[test]
fn plan_of_every_shipped_set() {
    for path in shipped() {
        kept(&format!("plan_{}", stem(&path)), &["plan", &path]);
    }
}

/// One of each kind of set: all there is to tell.
#[test]
fn full_plans() {
    for set in ["console-1936", "universal-1947", "speaker-supply-1934"] {
        kept(&format!("plan_full_{set}"), &["plan", &format!("profiles/{set}.yaml"), "--full"]);
    }
}

/// What is below the head and its cautions fits on a screen of sixty lines.
#[test]
fn a_plan_is_short() {
    for path in shipped() {
        for line in [&[][..], &["--line", "105V"], &["--line", "127V"]] {
            let args = [&["plan", path.as_str()], line].concat();
            let text = narrow(&args);
            let below = text.lines().skip_while(|l| !l.starts_with("WHAT YOU WILL READ")).count();
            assert!((20..=MOST_LINES).contains(&below), "{args:?}: {below} lines\n{text}");
        }
    }
}

/// Each part is shown alone below the head, and all of them where all is asked for, cautions last.
#[test]
fn parts_of_a_plan() {
    let set = "profiles/console-1936.yaml";
    let short = printed(&["plan", set]);
    let (head, _) = short.split_once("\nWHAT YOU WILL READ").unwrap();
    let full = printed(&["plan", set, "--full"]);
    assert!(full.starts_with(head));
    let mut titles = Vec::new();
    for part in [
        "choices",
        "day",
        "band",
        "heat",
        "switch-on",
        "faults",
        "tubes",
        "limits",
        "assumed",
        "working",
        "cautions",
    ] {
        let shown = printed(&["plan", set, "--show", part]);
        let below = shown.strip_prefix(head).unwrap_or_else(|| panic!("{part}: another head"));
        let title = below.lines().find(|l| !l.is_empty()).unwrap_or_else(|| panic!("{part}"));
        assert!(full.contains(title), "{part}: {title}");
        titles.push(title.to_owned());
    }
    titles.dedup();
    assert_eq!(titles.len(), 11, "{titles:?}");
    assert_eq!(titles.last().map(String::as_str), Some("CAUTIONS"));
    // in the order of the page, whatever the order asked for
    let two = printed(&["plan", set, "--show", "limits,band"]);
    assert!(two.find(&titles[2]).unwrap() < two.find(&titles[7]).unwrap());
    assert_eq!(printed(&["plan", set, "--working"]), printed(&["plan", set, "--show", "working"]));
    kept("plan_no_such_part", &["plan", set, "--show", "tubes,falts"]);
    kept("plan_whole_and_part", &["plan", set, "--full", "--show", "tubes"]);
}

#[test]
fn figures_of_choices_stand_in_columns_on_80() {
    for path in shipped() {
        let shown = narrow(&["plan", &path, "--show", "choices"]);
        assert!(!shown.contains("  as it is: "), "{path}: a list");
        assert!(shown.lines().filter(|l| l.contains("  as it is")).count() > 1, "{path}");
    }
}

#[test]
fn cautions_of_parts_that_are_not_advised_stand_apart() {
    let apart = "If you fit one of the other parts all the same";
    // the set is left as it is: what goes with a resistor or a small transformer is for who fits one all the same
    let left = printed(&["plan", "profiles/universal-1947.yaml", "--show", "cautions"]);
    let (own, others) = left.split_once(apart).unwrap();
    for (words, own_too) in
        [("fuse first", true), ("bond the box", false), ("secondary reversed", false)]
    {
        assert_eq!((own.contains(words), others.contains(words)), (own_too, !own_too), "{words}");
    }
    // a small transformer is advised, and what it may do reversed is its own
    let bucked = printed(&["plan", "profiles/console-1936.yaml", "--show", "cautions"]);
    assert!(bucked.split(apart).next().unwrap().contains("secondary reversed"));
}

#[test]
fn plan_on_other_outlets() {
    let set = "profiles/console-1936.yaml";
    kept("plan_console_on_127_v", &["plan", set, "--line", "127V"]);
    // below the design line there is nothing to take away
    kept("plan_console_on_110_v", &["plan", set, "--line", "110V"]);
}

#[test]
fn plan_for_other_targets() {
    let set = "profiles/console-1936.yaml";
    kept("plan_console_to_b_plus", &["plan", set, "--target", "B+=255V"]);
    kept("plan_console_as_on_112_v", &["plan", set, "--target", "line=112V"]);
}

#[test]
fn plan_in_colour() {
    let set = "profiles/table-1948.yaml";
    let coloured = printed(&["plan", set, "--colour", "always"]);
    let plain = printed(&["plan", set]);
    let mut stripped = String::new();
    let mut rest = coloured.as_str();
    while let Some((before, after)) = rest.split_once("\u{1b}[") {
        stripped.push_str(before);
        rest = after.split_once('m').unwrap().1;
    }
    stripped.push_str(rest);
    // colour adds nothing and hides nothing
    let bare = |text: &str| text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    assert_eq!(bare(&stripped), bare(&plain));
    snap!("plan_table_in_colour", coloured.replace('\u{1b}', "␛"));
}

#[test]
fn colour_only_where_asked_for() {
    for path in shipped() {
        for command in ["plan", "check", "sweep"] {
            assert!(!printed(&[command, &path]).contains('\u{1b}'));
            assert!(!printed(&[command, &path, "--colour", "never"]).contains('\u{1b}'));
        }
    }
}

#[test]
fn check_of_every_shipped_set() {
    for path in shipped() {
        kept(&format!("check_{}", stem(&path)), &["check", &path]);
    }
}

#[test]
fn sweeps() {
    let set = "profiles/console-1936.yaml";
    kept("sweep_line", &["sweep", set]);
    let over = ["sweep", set, "--over", "resistor", "--to", "40ohm", "--points", "9"];
    kept("sweep_resistor", &over);
    let some = ["sweep", set, "--show", "B+,V2.plate_power,bias.rf"];
    kept("sweep_chosen", &some);
    kept("sweep_unknown_key", &["sweep", set, "--show", "B+,heater.mian"]);
    for bad in [["--from", "120"], ["--from", "140V"], ["--points", "1"], ["--points", "many"]] {
        let name = format!("sweep_bad_{}_{}", &bad[0][2..], bad[1]);
        kept(&name, &["sweep", set, bad[0], bad[1]]);
    }
}

#[test]
fn sweep_as_csv() {
    let set = "profiles/console-1936.yaml";
    let text = printed(&["sweep", set, "--format", "csv", "--points", "3"]);
    snap!("sweep_csv", &text);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    assert_eq!(reader.headers().unwrap().get(0), Some("line [V]"));
    assert_eq!(reader.records().map(Result::unwrap).count(), 3);
}

/// What † means is said once on each page that has the sign, and nowhere else.
#[test]
fn the_sign_of_what_was_not_checked_is_told_once() {
    let (known, unknown) = ("profiles/european-1954.yaml", "profiles/little-known.yaml");
    let mut signed = 0;
    for args in [
        &["plan", unknown][..],
        &["plan", known],
        &["note", unknown],
        &["note", known],
        &["power-up", unknown],
        &["tubes", "6F6"],
        &["tubes", "silicon"],
        &["tubes"],
        &["divider", "profiles/console-1936.yaml", "--of", "bias"],
    ] {
        let text = printed(args);
        let told = text.matches("† not checked against the source").count();
        let signs = text.matches('†').count() - told;
        assert_eq!(told, usize::from(signs > 0), "{args:?}: {text}");
        assert!(!text.contains("from memory"), "{args:?}: {text}");
        signed += told;
    }
    assert!(signed > 4, "{signed}");
}

#[test]
fn dividers() {
    let set = "profiles/console-1936.yaml";
    let cases: [(&str, &[&str]); 15] = [
        ("divider_bias", &["divider", set, "--of", "bias", "--working"]),
        ("divider_bleeder", &["divider", set, "--of", "bleeder", "--line", "115V"]),
        ("divider_from_resistors", &["divider", "--from", "75V", "--resistors", "390k,82k,18k"]),
        (
            "divider_from_taps",
            &[
                "divider",
                "--from",
                "250V",
                "--taps",
                "100V,80V",
                "--bleed",
                "10mA",
                "--loads",
                "5mA,0",
                "--working",
            ],
        ),
        (
            "divider_negative",
            &[
                "divider",
                "--from",
                "-70V",
                "--taps",
                "-19V,-3V",
                "--total",
                "470k",
                "--working",
                "--meter",
                "11Mohm,1kohm/V@250V",
            ],
        ),
        (
            "divider_high_and_hot",
            &["divider", "--from", "1200V", "--resistors", "1M,22k,4k7", "--loads", "0,47k"],
        ),
        ("divider_bad_nothing", &["divider"]),
        ("divider_bad_which", &["divider", set]),
        ("divider_bad_none", &["divider", "profiles/table-1948.yaml"]),
        ("divider_bad_mixed", &["divider", set, "--from", "60V"]),
        ("divider_bad_sign", &["divider", "--from", "-60V", "--taps", "16V", "--bleed", "1mA"]),
        (
            "divider_bad_loads",
            &["divider", "--from", "250V", "--resistors", "1k,1k,1k", "--loads", "5mA"],
        ),
        (
            "divider_bad_overloaded",
            &["divider", "--from", "250V", "--resistors", "100k,100k", "--loads", "5mA"],
        ),
        (
            "divider_bad_load",
            &["divider", "--from", "250V", "--resistors", "1k,1k", "--loads", "5"],
        ),
        (
            "divider_bad_meter",
            &["divider", "--from", "250V", "--resistors", "1k,1k", "--meter", "10M@50V"],
        ),
    ];
    for (name, args) in cases {
        kept(name, args);
    }
}

#[test]
fn types_of_tubes() {
    for (name, asked) in [
        ("tube_6f6", "6F6"),
        ("tube_80", "80"),
        ("tube_lamp_46", "#46"),
        ("tube_6k7g_in_small_letters", "6k7g"),
        ("ballast_k49", "K49"),
        ("barretter_c1", "C1"),
        ("tube_unknown", "6F66"),
        ("tube_with_a_rectifier_in_it", "117N7GT"),
    ] {
        kept(name, &["tubes", asked]);
    }
}

#[test]
fn list_of_types() {
    let text = printed(&["tubes"]);
    assert_narrow("tubes", &text);
    // the rest is the catalogue, which has tests of its own
    let first: Vec<&str> = text.lines().take(20).collect();
    snap!("tubes_first_lines", first.join("\n"));
    for heading in ["TUBES", "RECTIFIERS", "LAMPS", "BALLASTS"] {
        assert!(text.lines().any(|l| l.starts_with(heading)), "{heading}");
    }
}

#[test]
fn help_of_everything() {
    kept("help", &["--help"]);
    for command in [
        "plan",
        "note",
        "fit",
        "new",
        "check",
        "divider",
        "sweep",
        "tolerance",
        "tubes",
        "completions",
        "man",
    ] {
        kept(&format!("help_{command}"), &[command, "--help"]);
    }
}

#[test]
fn wrong_command_lines() {
    let set = "profiles/console-1936.yaml";
    let cases: [(&str, &[&str]); 7] = [
        ("usage_line_without_unit", &["plan", set, "--line", "122"]),
        ("usage_line_with_comma", &["plan", set, "--line", "122,5V"]),
        ("usage_line_negative", &["plan", set, "--line=-5V"]),
        ("usage_bad_target", &["plan", set, "--target", "screens"]),
        ("usage_low_above_usual", &["plan", set, "--low", "125V"]),
        ("usage_no_such_command", &["paln", set]),
        ("usage_no_such_file", &["plan", "profiles/nowhere.yaml"]),
    ];
    for (name, args) in cases {
        assert_eq!(mainsfit(args).code, 2, "{name}");
        kept(name, args);
    }
    assert_eq!(mainsfit(&["note", "profiles"]).code, 2, "a folder is no profile");
}

/// The question of the bench is answered on the first page: what is wrong today, what to fit, what it will
/// then read, what to be careful of.
#[test]
fn first_lines_answer() {
    let lines = [None, Some("105V"), Some("110V"), Some("122V"), Some("127V"), Some("135V")];
    for path in shipped() {
        for line in lines {
            let mut args = vec!["plan", path.as_str()];
            args.extend(line.iter().flat_map(|l| ["--line", l]));
            let name = args.join(" ");
            let text = printed(&args);
            assert_narrow(&name, &text);
            let first: Vec<&str> = text.lines().take(FIRST_LINES).collect();
            let begins = |word: &str| {
                first
                    .iter()
                    .position(|l| l.starts_with(word))
                    .unwrap_or_else(|| panic!("{name}: {word} is not in the first lines"))
            };
            let (fit, care) = (begins("ADVICE"), begins("SAFETY"));
            assert!(fit < care, "{name}");
            // how the heaters are today is said of each choice, what the set will read in a table of its own
            let bare = |l: &&str| l.starts_with("As it is ") || l.starts_with("Without it ");
            let as_it_is = text.lines().find(bare);
            assert!(as_it_is.is_some_and(|row| row.contains(" % ")), "{name}: {text}");
            let read: Vec<&str> =
                text.lines().skip_while(|l| !l.starts_with("WHAT YOU WILL READ")).collect();
            assert!(read.iter().any(|l| l.starts_with("B+ ")), "{name}: {text}");
            let careful = first[care..].join(" ");
            let advised = first[fit..].join(" ");
            // what must not be plugged in bare has a fuse only with its part
            let bare = first[fit].contains("No advice")
                && (first[0].starts_with("NOT WITHOUT") || first[0].starts_with("DO NOT"));
            let fuse = if bare { "codes" } else { "fuse" };
            for word in ["Lethal", "isolation transformer", fuse, "codes"] {
                let there = if word == "fuse" { &advised } else { &careful };
                assert!(there.contains(word), "{name}: \"{word}\" is not in the first lines");
            }
        }
    }
}

#[test]
fn switch_on_of_a_set() {
    kept("switch_on_console", &["switch-on", "profiles/console-1936.yaml"]);
}

/// What is said to touch chassis or to smoke is what the set has, and a drifted part is told once.
#[test]
fn words_are_those_of_what_the_set_has() {
    for (name, fault, smokes) in [
        ("universal-1947", "rectifier heater's tap to chassis", "a resistor that smokes"),
        ("string-dropper-1949", "heater below dropper to chassis", "a dropper that smokes"),
        ("line-cord-1936", "heater below cord to chassis", "a cord that smokes"),
        ("string-ballast-1937", "heater below ballast to chassis", "a ballast that smokes"),
        ("string-barretter-1936", "heater below barretter to chassis", "a barretter that smokes"),
    ] {
        let path = format!("profiles/{name}.yaml");
        let whole = printed(&["plan", &path, "--full"]);
        let as_it_is = whole.split("As it is, fuse").nth(1).unwrap();
        let table = as_it_is.split("\n\n").next().unwrap();
        assert!(table.contains(fault), "{name}: {fault}\n{table}");
        let others = table.lines().filter(|l| l.contains(" to chassis")).count();
        assert_eq!(others, 1, "{name}\n{table}");
        assert!(!whole.contains("-tap"), "{name}");
        let power_up = flat(&printed(&["power-up", &path]));
        assert!(power_up.contains(smokes), "{name}: {smokes}");
        assert_eq!(power_up.matches(" that smokes").count(), 1, "{name}");
    }
    // but for a caution, which tells how old parts read
    let fit = flat(&printed(&["fit", "profiles/mantel-1938.yaml"]));
    let told = fit.replace("old tubes and drifted resistors", "").to_lowercase();
    assert_eq!(told.matches("drifted").count(), 1, "{fit}");
    assert!(fit.contains("replace it, read again"), "{fit}");
}
