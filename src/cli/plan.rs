//! `ellwand plan`.

use std::path::PathBuf;

use super::effort::SearchArguments;
use super::papers::{self, PaperSize};
use super::progress::Progress;
use super::{End, at_fault, choice, colour, columns, files, one_problem, say};
use crate::error::Problems;
use crate::plan::{self, Failure, Planned};
use crate::project::Project;
use crate::{project, report};

/// Work out how much of each cloth to buy and how to lay the pieces out
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: ellwand plan demo/pinafore/project.json --choose band=single --out drawings")]
pub(super) struct Arguments {
    /// The project file (JSON; `ellwand schema` explains it)
    project: PathBuf,
    /// Decide a choice of the project; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    #[command(flatten)]
    search: SearchArguments,
    /// The folder for the drawings, one SVG per cloth, and for sheets.html and sheets.pdf [default: plan; with --json none]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The paper that drawings and sheets are printed on
    #[arg(long, value_enum, default_value_t = PaperSize::A4)]
    paper: PaperSize,
    /// Also write every lay at full size on one page, for a plotter or a projector
    #[arg(long)]
    full_size: bool,
    /// Print the plan document as JSON instead of tables
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let text = files::read(&arguments.project)?;
    let project = project::load(&text, &arguments.project.to_string_lossy(), &arguments.choose)?;
    let folder = match (&arguments.out, arguments.json) {
        (Some(folder), _) => Some(folder.clone()),
        (None, false) => Some(PathBuf::from("plan")),
        (None, true) => None,
    };
    if let Some(folder) = &folder {
        files::check_writable(folder)?;
    }
    let options = arguments.search.options();
    let progress = Progress::start();
    let planned = arguments.search.in_pool(|| plan::plan(&project, &options, &progress))?;
    progress.finish();
    match planned {
        Ok(planned) => answer(arguments, &project, &planned, folder),
        Err(Failure::Problems(problems)) => {
            Err(project::located(problems, &text, &arguments.project.to_string_lossy(), &arguments.choose))
        }
        Err(Failure::Faults(faults)) => Ok(at_fault(&faults)),
    }
}

fn answer(
    arguments: &Arguments,
    project: &Project,
    planned: &Planned,
    folder: Option<PathBuf>,
) -> Result<End, Problems> {
    let document = &planned.document;
    // Printed before anything is written: a full disk behind a redirection then leaves no drawings behind.
    if arguments.json {
        let json = serde_json::to_string(document)
            .map_err(|error| one_problem(format!("The plan cannot be written as JSON: {error}."), ""))?;
        say(&format!("{json}\n"))?;
    } else {
        say(&colour::report(&report::summary_within(document, &planned.notes, columns())))?;
    }
    let Some(folder) = folder else {
        return Ok(End::Well);
    };
    let draw = || papers::all(project, planned, arguments.paper.into(), arguments.full_size);
    let written = files::write_all(&folder, &arguments.search.in_pool(draw)?)?;
    if !arguments.json {
        let names: Vec<String> = written.iter().map(|path| path.display().to_string()).collect();
        say(&format!("\nDrawings to cut by, and sheets to pin up: {}\n", names.join(", ")))?;
    }
    Ok(End::Well)
}
