//! What `man` wants to know of the command line, made from its definition.

mod closing;

use super::{Failure, Outcome, Result, args::Cli};
use clap::CommandFactory;
use clap_mangen::Man;

/// Name and version of the program, at the foot of a page.
const SOURCE: &str = concat!("mainsfit ", env!("CARGO_PKG_VERSION"));
/// What the pages are part of, at their head.
const MANUAL: &str = "User Commands";
/// Day of the pages' own words, at their foot.
const DAY: &str = "2026-11-30";

/// The manual page of one command, or of all of them in one.
pub fn man(command: Option<&str>) -> Result {
    let mut program = Cli::command();
    // hands the options that hold everywhere to each command, and their full names
    program.build();
    let page = match command {
        None => whole(&program),
        Some(name) => match program.find_subcommand(name) {
            Some(command) => alone(command),
            None => {
                let known: Vec<_> = program.get_subcommands().map(|c| c.get_name()).collect();
                return Err(Failure::new(
                    format!("there is no command {name:?}"),
                    format!("the commands are: {}", known.join(", ")),
                ));
            }
        },
    };
    let page = page.map_err(|error| Failure::line(format!("the page cannot be made: {error}")))?;
    Ok(Outcome::done(tidy(&String::from_utf8_lossy(&page))))
}

/// What defines the apostrophe for every kind of roff; the library writes it before each of its pieces.
const APOSTROPHE: &str = ".ie \\n(.g .ds Aq \\(aq\n.el .ds Aq '\n";

/// The pieces as one page: the title first, the apostrophe defined once behind it; one request for each gap, no blank at the
/// end of a line.
fn tidy(pieces: &str) -> String {
    let plain = pieces
        .replace(APOSTROPHE, "")
        .replace(".br\n\n.br\n", ".sp\n")
        .replace(".SH EXTRA", ".SH EXAMPLE")
        .replace(".SS EXTRA", ".SS EXAMPLE");
    let mut lines = plain.lines().map(|line| format!("{}\n", line.trim_end()));
    let title = lines.next().unwrap_or_default();
    title + APOSTROPHE + &lines.collect::<String>()
}

/// A page of its own.
fn page(of: &clap::Command) -> Man {
    Man::new(of.clone()).source(SOURCE).manual(MANUAL).date(DAY)
}

/// The page of one command.
fn alone(command: &clap::Command) -> std::io::Result<Vec<u8>> {
    let (mut bytes, man) = (Vec::new(), page(command));
    man.render_title(&mut bytes)?;
    man.render_name_section(&mut bytes)?;
    section(&man, &mut bytes)?;
    closing::exit_status().to_writer(&mut bytes)?;
    Ok(bytes)
}

/// What a command has of its own.
fn section(man: &Man, bytes: &mut Vec<u8>) -> std::io::Result<()> {
    man.render_synopsis_section(bytes)?;
    man.render_description_section(bytes)?;
    man.render_options_section(bytes)?;
    man.render_extra_section(bytes)
}

/// The program's own page with a section for each command behind it, and what holds for all of them at the end.
fn whole(program: &clap::Command) -> std::io::Result<Vec<u8>> {
    let (mut bytes, own) = (Vec::new(), page(program));
    own.render_title(&mut bytes)?;
    own.render_name_section(&mut bytes)?;
    own.render_synopsis_section(&mut bytes)?;
    own.render_description_section(&mut bytes)?;
    own.render_options_section(&mut bytes)?;
    // what clap itself adds has nothing to tell that the options do not
    for command in program.get_subcommands().filter(|c| c.get_name() != "help") {
        let mut own = Vec::new();
        section(&page(command), &mut own)?;
        // its sections become parts of one
        let parts = String::from_utf8_lossy(&own).replace("\n.SH ", "\n.SS ");
        let parts = parts.strip_prefix(".SH ").map_or(parts.clone(), |rest| format!(".SS {rest}"));
        let title = command.get_name().to_uppercase();
        bytes.extend(format!(".SH {title}\n{parts}").into_bytes());
    }
    for section in closing::all() {
        section.to_writer(&mut bytes)?;
    }
    own.render_version_section(&mut bytes)?;
    Ok(bytes)
}
