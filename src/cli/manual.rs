//! What the shell and `man` want to know of the command line, made from its definition; what editors want to know of files.

use super::{
    Failure, Outcome, Result,
    args::{Cli, SchemaOf},
};
use crate::{profile, study};
use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::Man;

/// Name of the program, as it is typed.
const PROGRAM: &str = "mainsfit";

/// The file by which a shell completes what is typed.
pub fn completions(shell: Shell) -> Outcome {
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), PROGRAM, &mut bytes);
    Outcome::done(String::from_utf8_lossy(&bytes).into_owned())
}

/// Prints a schema.
pub fn schema(of: SchemaOf) -> Result {
    Outcome::json(&match of {
        SchemaOf::Profile => profile::profile_schema(),
        SchemaOf::Plan => study::plan_schema(),
    })
}

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

/// The pieces as one page: the title first, the apostrophe defined once behind it.
fn tidy(pieces: &str) -> String {
    let plain = pieces
        .replace(APOSTROPHE, "")
        .replace(".SH EXTRA", ".SH EXAMPLE")
        .replace(".SS EXTRA", ".SS EXAMPLE");
    match plain.split_once('\n') {
        Some((title, rest)) => format!("{}\n{APOSTROPHE}{rest}", title.trim_end()),
        None => plain,
    }
}

fn alone(command: &clap::Command) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let source = concat!("mainsfit ", env!("CARGO_PKG_VERSION"));
    Man::new(command.clone()).source(source).render(&mut bytes)?;
    Ok(bytes)
}

/// The program's own page with a section for each command behind it.
fn whole(program: &clap::Command) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let own = Man::new(program.clone());
    own.render_title(&mut bytes)?;
    own.render_name_section(&mut bytes)?;
    own.render_synopsis_section(&mut bytes)?;
    own.render_description_section(&mut bytes)?;
    own.render_options_section(&mut bytes)?;
    for command in program.get_subcommands() {
        let man = Man::new(command.clone());
        let mut section = Vec::new();
        man.render_synopsis_section(&mut section)?;
        man.render_description_section(&mut section)?;
        man.render_options_section(&mut section)?;
        man.render_extra_section(&mut section)?;
        // its sections become parts of one
        let section = String::from_utf8_lossy(&section).replace("\n.SH ", "\n.SS ");
        let section =
            section.strip_prefix(".SH ").map_or(section.clone(), |rest| format!(".SS {rest}"));
        let title = command.get_name().to_uppercase();
        bytes.extend(format!(".SH {title}\n{section}").into_bytes());
    }
    own.render_version_section(&mut bytes)?;
    Ok(bytes)
}
