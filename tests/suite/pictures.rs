//! The pictures of the documents are drawings of the program: `MAINSFIT_WRITE_DOCS=1` writes them, without it they are compared.

use mainsfit::{Options, Outlet, OutletLog, Page, Set};

/// The drawing of that id in a sheet, on white: a page of any color may be behind it.
fn drawing<'a>(html: &'a str, id: &str) -> (&'a str, &'a str) {
    let named = html.find(&format!("aria-labelledby=\"{id}-title")).unwrap();
    let from = html[..named].rfind("<svg").unwrap();
    let to = from + html[from..].find("</svg>").unwrap() + "</svg>".len();
    html[from..to].split_at(html[from..to].find('>').unwrap() + 1)
}

/// Sets of the README and of the walk at the bench: as found, with what is advised, the supply, and the bench.
#[test]
fn the_pictures_are_what_the_program_draws() {
    let logged = || Outlet::logged(OutletLog::load("profiles/outlet-log.csv").unwrap());
    let own = Outlet::default;
    for (set, outlet, sheets) in [
        ("console-1936", own(), &[("before", "found"), ("after", "after")][..]),
        (
            "mantel-1938",
            own(),
            &[("before", "found"), ("after", "after"), ("supply", "supply"), ("bench", "bench")],
        ),
        ("mantel-1938", logged(), &[("log", "outlet-log")]),
        ("mantel-1938-done", own(), &[("done", "supply")]),
    ] {
        let bench = Set::load(format!("profiles/{set}.yaml")).unwrap();
        let bench = bench.bench(outlet).unwrap();
        let note = Page::from(&bench.note(&Options::default()).unwrap()).html();
        let power_up = Page::from(&bench.power_up().unwrap()).html();
        for (name, id) in sheets {
            let sheet = if *id == "bench" { &power_up } else { &note };
            let (head, rest) = drawing(sheet, id);
            let paper = "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>";
            // two of them may stand in one page
            let own = |text: &str| text.replace(&format!("\"{id}-"), &format!("\"{set}-{name}-"));
            let own = |text: &str| {
                own(text).replace(&format!(" {id}-desc"), &format!(" {set}-{name}-desc"))
            };
            let made = format!("{}{paper}{}\n", own(head), own(rest));
            assert!(roxmltree::Document::parse(&made).is_ok(), "{set} {name}");
            let short = set.split('-').next().unwrap();
            let file = format!("docs/pictures/{short}-{name}.svg");
            if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
                std::fs::create_dir_all("docs/pictures").unwrap();
                std::fs::write(&file, &made).unwrap();
            } else {
                let kept = std::fs::read_to_string(&file).unwrap_or_default().replace("\r\n", "\n");
                assert!(kept == made, "{file} is out of date: run with MAINSFIT_WRITE_DOCS=1");
            }
        }
    }
}
