//! Names as people write them, against the type meant. The rules come from how
//! tubes were marked: G and GT are glass bulbs of the same octal type, `GT/G`
//! the later mark for both, a slash joins two numbers of one type; GB, GTA, GTB
//! and GC are re-rated types.

use mainsfit::catalogue::{Catalogue, Matched, Named, NoSuchType, TableKind};

fn tube(asked: &str) -> (String, Matched) {
    let found = Catalogue::built_in().tube(asked).unwrap();
    (found.item.name.clone(), found.matched)
}

fn rectifier(asked: &str) -> (String, Matched) {
    let found = Catalogue::built_in().rectifier(asked).unwrap();
    (found.item.name.clone(), found.matched)
}

fn lamp(asked: &str) -> (String, Matched) {
    let found = Catalogue::built_in().lamp(asked).unwrap();
    (found.item.name.clone(), found.matched)
}

fn is(name: &str, matched: Matched) -> (String, Matched) {
    (name.to_owned(), matched)
}

#[test]
fn every_name_and_alias_finds_its_own_type() {
    let c = Catalogue::built_in();
    for t in c.tubes() {
        assert_eq!(tube(&t.name), is(&t.name, Matched::Exact));
        assert_eq!(tube(&t.name.to_lowercase()), is(&t.name, Matched::Exact));
        for alias in &t.aliases {
            assert_eq!(tube(&alias.name), is(&t.name, Matched::Alias));
        }
    }
    for r in c.rectifiers() {
        assert_eq!(rectifier(&r.name), is(&r.name, Matched::Exact));
        for alias in &r.aliases {
            assert_eq!(rectifier(&alias.name), is(&r.name, Matched::Alias));
        }
    }
    for l in c.lamps() {
        assert_eq!(lamp(&l.name), is(&l.name, Matched::Exact));
    }
}

#[test]
fn case_blanks_hyphens_and_number_signs_do_not_matter() {
    for asked in ["5Y3-GT", "5Y3GT", "5y3 gt", " 5Y3\u{2013}GT ", "5y3_gt"] {
        assert_eq!(rectifier(asked), is("5Y3GT", Matched::Exact), "{asked}");
    }
    for asked in ["#46", "46", "no. 46", "No 46", "NO.46", "# 46"] {
        assert_eq!(lamp(asked), is("#46", Matched::Exact), "{asked}");
    }
    assert_eq!(lamp("european 6,3 v 0,3 a"), is("European 6.3 V 0.3 A", Matched::Exact));
    assert_eq!(lamp("60W-120V"), is("60 W 120 V", Matched::Exact));
}

#[test]
fn combined_names_are_found_by_each_part() {
    for asked in ["35", "51", "51/35"] {
        assert_eq!(tube(asked), is("35/51", Matched::Alias), "{asked}");
    }
    assert_eq!(tube("35/51"), is("35/51", Matched::Exact));
    for asked in ["84", "6z4", "6Z4/84"] {
        assert_eq!(rectifier(asked), is("84/6Z4", Matched::Alias), "{asked}");
    }
    // Two types joined by a slash, or a known and an unknown one, are no name.
    assert!(Catalogue::built_in().tube("45/47").is_err());
    assert!(Catalogue::built_in().tube("45/999").is_err());
}

/// Other names as the trade has them: ECC83 is the European number of the 12AX7, 6CA4 the American one of the EZ81, the
/// EL33 is the EL3 on the octal base (equivalents lists of tube tables †).
#[test]
fn other_names_of_a_row_are_aliases() {
    for (asked, name, same_base) in [
        ("ecc 83", "12AX7", true),
        ("ECC82", "12AU7", true),
        ("6BQ5", "EL84", true),
        ("EF39", "EF9", false),
        ("EL33", "EL3", false),
        ("PP3/250", "PX4", true),
        ("CV138", "EF91/6AM6", true),
    ] {
        assert_eq!(tube(asked), is(name, Matched::Alias));
        let found = Catalogue::built_in().tube(asked).unwrap();
        let alias = found.item.aliases.iter().find(|a| a.name == found.name).unwrap();
        assert_eq!(alias.same_base, same_base, "{asked}");
        assert_eq!(alias.differs().is_none(), same_base, "{asked}");
    }
    for (asked, name) in [
        ("6CA4", "EZ81"),
        ("AZ31", "AZ1"),
        ("RGN1064", "AZ1"),
        ("U52", "5U4G"),
        ("EZ90", "6X4"),
        ("IW4/350", "IW4-350"),
        ("MU12/14", "MU14"),
    ] {
        assert_eq!(rectifier(asked), is(name, Matched::Alias));
    }
    // no part of a name with a slash is one by itself
    for asked in ["350", "500", "14", "PP3", "IW4"] {
        assert!(Catalogue::built_in().rectifier(asked).is_err(), "{asked}");
        assert!(Catalogue::built_in().tube(asked).is_err(), "{asked}");
    }
}

/// A name is kept as it is spelled in the table, or as it was asked where the table does not spell it.
#[test]
fn a_type_goes_by_the_name_it_was_asked_by() {
    let c = Catalogue::built_in();
    for (asked, name) in [
        ("12ax7", "12AX7"),
        ("ecc-83", "ECC83"),
        ("6k7 gt", "6K7GT"),
        ("51", "51"),
        ("51/35", "51/35"),
    ] {
        let found = c.tube(asked).unwrap();
        assert_eq!(found.name, name);
        let kind = found.named();
        assert_eq!(kind.name, name);
        // its name in the table is one of the others, its own is not
        assert!(
            kind.names().any(|n| n == found.item.name)
                && kind.names().filter(|n| *n == name).count() == 1
        );
        assert_eq!(kind.points, found.item.points);
    }
    assert_eq!(c.rectifier("u52").unwrap().named().name, "U52");
}

/// Types of the same figures, by data sheets that say so: the 12AV6 is the 6AV6 with a 12.6 V heater, the 25A6 the 43 on
/// the octal base, the 12X4 the 6X4 with a 12.6 V heater (RCA Receiving Tube Manual RC-19, 1959 †).
#[test]
fn kin_are_types_of_the_same_figures() {
    let c = Catalogue::built_in();
    let kin = |name: &str| -> Vec<&str> {
        c.kin_of_tube(c.tube(name).unwrap().item).iter().map(|t| t.name.as_str()).collect()
    };
    assert_eq!(kin("6AV6"), ["12AV6"]);
    assert!(kin("43").contains(&"25A6") && kin("25A6").contains(&"43"));
    assert!(kin("6SN7GT").contains(&"12SN7GT") && !kin("6SN7GT").contains(&"6J5"));
    assert!(kin("6H6").is_empty(), "no point, no kin");
    let kin = |name: &str| -> Vec<&str> {
        c.kin_of_rectifier(c.rectifier(name).unwrap().item)
            .iter()
            .map(|r| r.name.as_str())
            .collect()
    };
    assert!(kin("6X4").contains(&"12X4") && !kin("6X4").contains(&"EZ81"));
    for t in c.tubes() {
        let near = c.kin_of_tube(t);
        assert!(
            near.iter().all(|k| c.kin_of_tube(k).iter().any(|back| back.name == t.name)),
            "{}",
            t.name
        );
    }
}

#[test]
fn shell_suffixes_fall_back_on_the_same_type() {
    for (asked, name) in [
        ("6K7G", "6K7"),
        ("6K7 GT", "6K7"),
        ("6K7GT/G", "6K7"),
        ("6k7m", "6K7"),
        ("6V6", "6V6GT"),
        ("6V6G", "6V6GT"),
        ("6L6G", "6L6"),
        ("12SA7GT", "12SA7"),
        ("6SN7", "6SN7GT"),
        ("6G6", "6G6G"),
    ] {
        assert_eq!(tube(asked), is(name, Matched::SuffixAssumed), "{asked}");
    }
    assert_eq!(rectifier("5U4"), is("5U4G", Matched::SuffixAssumed));
    assert_eq!(rectifier("5Y3G"), is("5Y3GT", Matched::SuffixAssumed));
    assert_eq!(rectifier("25Z6"), is("25Z6GT", Matched::SuffixAssumed));
    assert_eq!(rectifier("35Z5GT/G"), is("35Z5GT", Matched::Alias));
}

#[test]
fn re_rated_and_numbered_types_are_not_mixed_up() {
    assert_eq!(rectifier("5U4GB"), is("5U4GB", Matched::Exact));
    assert_eq!(rectifier("5U4G"), is("5U4G", Matched::Exact));
    assert_eq!(rectifier("83"), is("83", Matched::Exact));
    assert_eq!(rectifier("83v"), is("83V", Matched::Exact));
    let c = Catalogue::built_in();
    for asked in ["6SN7GTC", "6L6GC", "6V6GTA", "12AX7B"] {
        let error = c.tube(asked).unwrap_err();
        let plain = asked.trim_end_matches(['A', 'B', 'C']);
        let base = error.nearest.first().expect(asked);
        assert!(plain.starts_with(base.as_str()), "{asked}: {:?}", error.nearest);
    }
    for asked in ["42G", "80G", "EL84G", "83G", "EL3GT"] {
        assert!(c.tube(asked).is_err(), "{asked}");
        assert!(c.rectifier(asked).is_err(), "{asked}");
    }
    // Without 5U4G in the table its re-rated successor is not taken instead.
    let (tubes, rectifiers, lamps) = files();
    let kept: Vec<&str> = rectifiers.lines().filter(|l| !l.starts_with("5U4G,")).collect();
    let other = Catalogue::read(tubes, &kept.join("\n"), lamps, NO_ALIASES).unwrap();
    let error = other.rectifier("5U4G").unwrap_err();
    assert_eq!(error.nearest.first().map(String::as_str), Some("5U4GB"));
    assert!(other.rectifier("5U4").is_err());
}

/// The head of the table of other names: none.
const NO_ALIASES: &str = "alias,type,table,same_base,source,confidence,note\n";

fn files() -> (&'static str, &'static str, &'static str) {
    (
        include_str!("../../src/catalogue/data/tubes.csv"),
        include_str!("../../src/catalogue/data/rectifiers.csv"),
        include_str!("../../src/catalogue/data/lamps.csv"),
    )
}

#[test]
fn two_types_with_one_base_number_are_not_guessed_between() {
    let (tubes, rectifiers, lamps) = files();
    let line = rectifiers.lines().find(|l| l.starts_with("6X5GT,")).unwrap();
    let both = format!("{rectifiers}{}\n", line.replacen("6X5GT", "6X5G", 1));
    let c = Catalogue::read(tubes, &both, lamps, NO_ALIASES).unwrap();
    let error = c.rectifier("6X5").unwrap_err();
    assert_eq!(error.nearest[..2], ["6X5G", "6X5GT"]);
    assert_eq!(c.rectifier("6X5GT").unwrap().item.name, "6X5GT");
}

#[test]
fn a_slip_of_the_pen_gets_near_names() {
    let c = Catalogue::built_in();
    let nearest = |asked: &str| c.tube(asked).unwrap_err().nearest;
    assert!(nearest("6SK8").contains(&"6SK7".to_owned()));
    assert_eq!(nearest("ELB4")[0], "EL84");
    assert!(nearest("6F7X").contains(&"6F7".to_owned()));
    assert!(nearest("").is_empty());
    assert!(nearest("ZZZZZZZZ").is_empty());
    assert!(nearest("6").len() <= 3);
    let lamps = c.lamp("60 W").unwrap_err().nearest;
    assert_eq!(lamps[..2], ["60 W 120 V", "60 W 230 V"]);
    for asked in ["6", "6A", "EF", "12", "U", "7A9", "6SX7"] {
        assert!(nearest(asked).len() <= 3);
    }
}

#[test]
fn a_name_in_another_table_is_said_to_be_there() {
    let c = Catalogue::built_in();
    let error = c.tube("80").unwrap_err();
    assert_eq!(error.elsewhere, [(TableKind::Rectifier, "80".to_owned())]);
    assert_eq!(
        error.to_string(),
        "no tube \"80\" in the catalogue; 80 is a rectifier: list it with the rectifiers, not with the tubes"
    );
    let error = c.tube("5Y3G").unwrap_err();
    assert_eq!(error.elsewhere, [(TableKind::Rectifier, "5Y3GT".to_owned())]);
    let error = c.rectifier("44").unwrap_err();
    let held = [(TableKind::Tube, "39/44".to_owned()), (TableKind::Lamp, "#44".to_owned())];
    assert_eq!(error.elsewhere, held);
    // Types with an output part and a rectifier part stand in both tables.
    for both in ["70L7GT", "117N7GT"] {
        assert_eq!(tube(both).0, both);
        assert_eq!(rectifier(both).0, both);
    }
}

#[test]
fn messages_say_what_was_asked_and_what_to_do() {
    let error: NoSuchType = Catalogue::built_in().tube("6SN7GTC").unwrap_err();
    assert_eq!(error.asked, "6SN7GTC");
    let text = error.to_string();
    assert!(text.starts_with("no tube \"6SN7GTC\" in the catalogue; nearest: 6SN7GT"), "{text}");
    assert!(text.contains("data sheet"), "{text}");
    let long = "X".repeat(100_000);
    let error = Catalogue::built_in().tube(&long).unwrap_err();
    assert!(error.nearest.is_empty());
    assert!(error.to_string().len() < 300);
}

#[test]
fn odd_input_is_refused_without_a_panic() {
    let c = Catalogue::built_in();
    for asked in [
        "",
        " ",
        "/",
        "//",
        "-",
        "#",
        "no.",
        "NO",
        "GT/G",
        "G",
        "/G",
        "ß",
        "\u{0}",
        "６Ｋ７",
        "💡",
        "6K7/",
        "/6K7",
        "6K7GT/G/G",
        "\n",
    ] {
        assert!(c.tube(asked).is_err(), "{asked:?}");
        assert!(c.rectifier(asked).is_err(), "{asked:?}");
        assert!(c.lamp(asked).is_err(), "{asked:?}");
    }
}

#[test]
fn a_lamp_number_is_no_tube() {
    // common practice, no source: "#" stands before the numbers of miniature lamps, and 46 is a triode too
    let catalogue = Catalogue::built_in();
    assert_eq!(catalogue.tube("46").unwrap().item.name, "46");
    assert_eq!(catalogue.lamp("#46").unwrap().item.name, "#46");
    let error = catalogue.tube("#46").unwrap_err();
    assert!(error.elsewhere.iter().any(|(kind, _)| *kind == TableKind::Lamp), "{error}");
}
