//! The command line: arguments, files, progress, Ctrl-C. The only module that prints.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod buy;
mod check;
mod colour;
mod compare;
mod completions;
mod effort;
mod export;
mod files;
mod fit;
mod import;
mod man;
mod papers;
mod plan;
mod progress;
mod schema;
mod widths;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::check::Fault;
use crate::error::{Problem, Problems};
use crate::report;

/// Says how much of each cloth to buy for a garment, and how to lay the pieces out.
#[derive(Debug, Parser)]
#[command(name = "ellwand", version, about, max_term_width = 100, after_help = EXIT_STATUSES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Plan(plan::Arguments),
    Compare(compare::Arguments),
    Fit(fit::Arguments),
    Widths(widths::Arguments),
    Buy(buy::Arguments),
    Check(check::Arguments),
    Import(import::Arguments),
    Export(export::Arguments),
    Schema(schema::Arguments),
    Completions(completions::Arguments),
    Man(man::Arguments),
}

const EXIT_STATUSES: &str = "Exit status: 0 all is well; 1 something checked does not hold; 2 the input cannot be used, and \
                             nothing was written; 130 ended by a second Ctrl-C.\n\nColours only on a terminal; NO_COLOR=1 \
                             turns them off.\n\nExample: ellwand plan demo/pinafore/project.json";

/// The exit statuses, for the man page.
const STATUSES: [(&str, &str); 4] = [
    ("0", "All is well"),
    ("1", "Something that was checked does not hold"),
    ("2", "The input cannot be used; nothing was written"),
    ("130", "Ended by a second Ctrl-C"),
];

/// How a command ends.
#[derive(Debug)]
enum End {
    /// All is well.
    Well,
    /// A check does not hold; what there is to say has been said.
    Wanting,
}

/// Runs the command line and gives the exit status: 0 all is well, 1 something checked does not hold, 2 the input cannot be
/// used.
pub fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let result = match arguments.command {
        Command::Plan(arguments) => plan::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Fit(arguments) => fit::run(&arguments),
        Command::Widths(arguments) => widths::run(&arguments),
        Command::Buy(arguments) => buy::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Import(arguments) => import::run(&arguments),
        Command::Export(arguments) => export::run(&arguments),
        Command::Schema(arguments) => schema::run(&arguments),
        Command::Completions(arguments) => completions::run(&arguments),
        Command::Man(arguments) => man::run(&arguments),
    };
    match result {
        Ok(End::Well) => ExitCode::SUCCESS,
        Ok(End::Wanting) => ExitCode::from(1),
        Err(problems) => {
            tell(&problems);
            ExitCode::from(2)
        }
    }
}

/// Prints every problem to the error stream.
fn tell(problems: &[Problem]) {
    for problem in problems {
        eprintln!("{}", colour::problem(&problem.to_string()));
    }
    let count = problems.len();
    eprintln!("{count} problem{}; nothing was written.", if count == 1 { "" } else { "s" });
}

/// A single problem that lies in no file.
fn one_problem(cause: impl Into<String>, hint: impl Into<String>) -> Problems {
    vec![Problem::at("", cause, hint)]
}

/// Prints to standard output. A reader that has gone away (`| head`) is no fault.
fn say(text: &str) -> Result<(), Problems> {
    use std::io::{ErrorKind, Write};
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(one_problem(format!("The answer cannot be printed: {error}."), ""))
        }
        _ => Ok(()),
    }
}

/// How wide the terminal is; as wide as a report gets where there is none.
fn columns() -> usize {
    console::Term::stdout().size_checked().map_or(report::WIDTH, |(_, columns)| usize::from(columns))
}

/// Says that a plan came out wrong.
fn at_fault(faults: &[Fault]) -> End {
    eprintln!("The plan that was made is wrong, so it is not shown. This is a fault of ellwand, not yours:");
    for fault in faults {
        eprintln!("  {fault}");
    }
    End::Wanting
}

/// Splits `NAME=VALUE` as given to --choose.
fn choice(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((name, value)) if !name.is_empty() && !value.is_empty() => Ok((name.to_owned(), value.to_owned())),
        _ => Err("a choice is given as NAME=VALUE, e.g. band=single".to_owned()),
    }
}
