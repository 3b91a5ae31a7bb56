//! `ellwand man`.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::{Command, CommandFactory};
use clap_mangen::Man;

use super::{End, STATUSES, files, one_problem, say};
use crate::error::Problems;

/// Print the man page, or write a page for every command
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: ellwand man --out man\n\nThen `man -l man/ellwand.1`.")]
pub(super) struct Arguments {
    /// The folder for the pages, one for every command [default: the main page is printed]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let mut command = super::Arguments::command().disable_help_subcommand(true);
    command.build();
    let Some(folder) = &arguments.out else {
        say(&page(command)?)?;
        return Ok(End::Well);
    };
    let mut pages = Vec::new();
    for sub in command.get_subcommands() {
        let name = format!("ellwand-{}", sub.get_name());
        pages.push((format!("{name}.1"), page(sub.clone().display_name(name))?));
    }
    pages.insert(0, ("ellwand.1".to_owned(), page(command)?));
    let written = files::write_all(folder, &pages)?;
    say(&format!("Written: {} pages in {}\n", written.len(), folder.display()))?;
    Ok(End::Well)
}

/// A page in roff, the exit statuses last.
fn page(command: Command) -> Result<String, Problems> {
    let mut page = Vec::new();
    Man::new(command)
        .render(&mut page)
        .map_err(|error| one_problem(format!("The page cannot be made: {error}."), ""))?;
    let mut page = String::from_utf8_lossy(&page).into_owned();
    page.push_str(".SH \"EXIT STATUS\"\n");
    for (status, meaning) in STATUSES {
        let _ = writeln!(page, ".TP\n{status}\n{meaning}.");
    }
    Ok(page)
}
