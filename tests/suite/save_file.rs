//! Files are saved whole or not at all, never over another unasked.

use super::harness::{mainsfit, printed};
use super::sweep_svg::SET;
use mainsfit::cli::{SaveError, save};

fn names(folder: &std::path::Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect()
}

#[test]
fn a_file_is_saved_or_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new ß.txt");
    save(&path, "first", false).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "first");
    assert!(matches!(save(&path, "second", false), Err(SaveError::Exists(_))));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "first");
    save(&path, "third", true).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "third");

    let inside = folder.path().join("none").join("x.txt");
    assert!(matches!(save(&inside, "", true), Err(SaveError::NoFolder(..))));
    let below_a_file = path.join("x.txt");
    assert!(matches!(save(&below_a_file, "", true), Err(SaveError::NoFolder(..))));
    for force in [false, true] {
        let slash = format!("{}/x/", folder.path().display());
        for bad in [folder.path(), slash.as_ref(), "".as_ref(), "..".as_ref()] {
            let refused = save(bad, "", force);
            assert!(matches!(refused, Err(SaveError::NotAFile(_))), "{bad:?} {refused:?}");
        }
    }
    assert_eq!(names(folder.path()), ["new ß.txt"]);
}

#[cfg(target_os = "linux")]
#[test]
fn devices_are_kept_and_what_the_system_refuses_is_told() {
    let refused = save("/dev/null".as_ref(), "", true);
    assert!(matches!(refused, Err(SaveError::NotAFile(_))), "{refused:?}");
    // no program may make a file there, whoever runs it
    let refused = save("/proc/mainsfit.svg".as_ref(), "", false);
    assert!(matches!(refused, Err(SaveError::Refused(..))), "{refused:?}");
    let outcome = mainsfit(&["sweep", SET, "--svg", "/proc/mainsfit.svg"]);
    assert_eq!(outcome.code, 2);
    assert!(outcome.err.contains("/proc/mainsfit.svg: cannot be written: "), "{}", outcome.err);
    assert!(outcome.err.contains("fix: "), "{}", outcome.err);
}

#[cfg(unix)]
#[test]
fn permissions_and_links_are_as_usual() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let mode = |path: &std::path::Path| std::fs::metadata(path).unwrap().permissions().mode();
    let folder = tempfile::tempdir().unwrap();
    let (plain, saved) = (folder.path().join("plain"), folder.path().join("saved"));
    std::fs::write(&plain, "").unwrap();
    save(&saved, "", false).unwrap();
    assert_eq!(mode(&saved), mode(&plain));
    // a private file stays private
    std::fs::set_permissions(&saved, std::fs::Permissions::from_mode(0o600)).unwrap();
    save(&saved, "again", true).unwrap();
    assert_eq!(mode(&saved) & 0o777, 0o600);
    // a link stays a link
    let link = folder.path().join("link");
    symlink(&saved, &link).unwrap();
    assert!(matches!(save(&link, "no", false), Err(SaveError::Exists(_))));
    save(&link, "through", true).unwrap();
    assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(std::fs::read_to_string(&saved).unwrap(), "through");
    // one that leads nowhere is there all the same
    let nowhere = folder.path().join("nowhere");
    symlink(folder.path().join("gone"), &nowhere).unwrap();
    assert!(matches!(save(&nowhere, "no", false), Err(SaveError::Exists(_))));
}

#[test]
fn a_reader_never_sees_half_a_file_and_one_of_two_writers_wins() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x");
    let (a, b) = ("a".repeat(3_000_000), "b".repeat(3_000_000));
    let won = std::thread::scope(|s| {
        let writers = [&a, &b].map(|text| s.spawn(|| save(&path, text, false).is_ok()));
        writers.map(|w| w.join().unwrap())
    });
    assert_eq!(won.iter().filter(|w| **w).count(), 1);
    std::thread::scope(|s| {
        let writer = s.spawn(|| {
            for text in [&a, &b, &a, &b, &a] {
                save(&path, text, true).unwrap();
            }
        });
        while !writer.is_finished() {
            let seen = std::fs::read_to_string(&path).unwrap();
            assert!(seen == a || seen == b, "{} bytes", seen.len());
        }
    });
    assert_eq!(names(folder.path()), ["x"]);
}

/// Markdown shows its drawings from files beside it, all of them or none.
#[test]
fn drawings_stand_beside_markdown() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let there = || {
        let mut list = names(folder.path());
        list.sort();
        list
    };
    for (command, least) in [("note", 3), ("power-up", 1)] {
        let path = at(&format!("my {command}.md"));
        let done = mainsfit(&[command, "profiles/console-1936.yaml", "-o", &path]);
        assert_eq!(done.code, 0, "{}", done.err);
        let text = std::fs::read_to_string(&path).unwrap();
        let shown: Vec<&str> = text.lines().filter(|l| l.starts_with("![")).collect();
        assert!(shown.len() >= least, "{command}: {shown:?}");
        assert!(done.out.contains("beside it"), "{}", done.out);
        for line in &shown {
            let name = line.split_once("](<").unwrap().1.strip_suffix(">)").unwrap();
            let svg = std::fs::read_to_string(at(name)).unwrap();
            assert_eq!(
                roxmltree::Document::parse(&svg).unwrap().root_element().tag_name().name(),
                "svg"
            );
        }
        let beside = there().iter().filter(|n| n.starts_with(&format!("my {command}-"))).count();
        assert_eq!(beside, shown.len(), "{command}");
        // on a terminal they are told in words
        assert!(!printed(&[command, "profiles/console-1936.yaml"]).contains("!["), "{command}");
    }
    // where the text is kept its drawings are not written either
    std::fs::write(at("kept.md"), "mine").unwrap();
    let before = there();
    let refused = mainsfit(&["note", "profiles/console-1936.yaml", "-o", &at("kept.md")]);
    assert!(refused.code != 0 && refused.err.contains("it is kept"), "{}", refused.err);
    assert_eq!(there(), before);
    assert_eq!(std::fs::read_to_string(at("kept.md")).unwrap(), "mine");
}
