//! The pictures of the documents are drawings of the program: `MAINSFIT_WRITE_DOCS=1` writes them, without it they are compared.

use mainsfit::profile::{self, Document};
use mainsfit::report::drawing::mains_side;
use mainsfit::study::{Request, plan};

/// The set of the README, on its outlet as found and with what is advised.
#[test]
fn the_pictures_are_what_the_program_draws() {
    const SET: &str = "profiles/console-1936.yaml";
    let document = Document::parse(SET, &std::fs::read(SET).unwrap()).unwrap();
    let (profile, _) = profile::read(&document).unwrap();
    let plan = plan(&profile, &Request::default(), Vec::new()).unwrap();
    let advised = plan.advised().unwrap();
    for (name, choice) in [("console-before", &plan.choices[0]), ("console-after", advised)] {
        // a page of any color may be behind it
        let svg = mains_side(&plan, choice, name).svg;
        let at = svg.find('>').unwrap() + 1;
        let paper = "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>";
        let made = format!("{}{paper}{}\n", &svg[..at], &svg[at..]);
        assert!(roxmltree::Document::parse(&made).is_ok(), "{name}");
        let file = format!("docs/pictures/{name}.svg");
        if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
            std::fs::create_dir_all("docs/pictures").unwrap();
            std::fs::write(&file, &made).unwrap();
        } else {
            let kept = std::fs::read_to_string(&file).unwrap_or_default().replace("\r\n", "\n");
            assert!(kept == made, "{file} is out of date: run with MAINSFIT_WRITE_DOCS=1");
        }
    }
}
