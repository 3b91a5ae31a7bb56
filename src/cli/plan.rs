//! `ellwand plan`.

use std::path::PathBuf;

use clap::ValueEnum;

use super::progress::Progress;
use super::{End, choice, files, one_problem, say};
use crate::error::Problems;
use crate::layout::PlanDocument;
use crate::nest;
use crate::plan::{self, Failure, Options, Planned};
use crate::{draw, project, report};

/// Work out how much of each cloth to buy and how to lay the pieces out
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: ellwand plan demo/pinafore/project.json --choose band=single --out drawings")]
pub(super) struct Arguments {
    /// The project file (JSON; `ellwand schema` explains it)
    project: PathBuf,
    /// Decide a choice of the project; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    /// How hard to search, counted in work: the same effort gives the same plan on any machine
    #[arg(long, value_enum, default_value_t = Effort::Steady)]
    effort: Effort,
    /// Stop after so many seconds with the best so far; the plan may then differ from run to run
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    seconds: Option<f64>,
    /// Where the search begins: another seed may find another layout
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// How many threads to use; the plan is the same for any number [default: one per core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
    /// The folder for the drawings, one SVG per cloth [default: plan; with --json none]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print the plan document as JSON instead of tables
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Effort {
    /// About a second for a garment
    Quick,
    /// About ten seconds
    Steady,
    /// A couple of minutes
    Thorough,
}

impl From<Effort> for nest::Effort {
    fn from(effort: Effort) -> Self {
        match effort {
            Effort::Quick => Self::Quick,
            Effort::Steady => Self::Steady,
            Effort::Thorough => Self::Thorough,
        }
    }
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value > 0.0 && value <= 1e6 => Ok(value),
        _ => Err("give a number of seconds above zero".to_owned()),
    }
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
    let options = Options { effort: arguments.effort.into(), seconds: arguments.seconds, seed: arguments.seed };
    let progress = Progress::start();
    let planned = in_pool(arguments.threads, || plan::plan(&project, &options, &progress))?;
    progress.finish();
    match planned {
        Ok(planned) => answer(arguments, &planned, folder),
        Err(Failure::Problems(problems)) => {
            Err(project::located(problems, &text, &arguments.project.to_string_lossy(), &arguments.choose))
        }
        Err(Failure::Faults(faults)) => {
            eprintln!("The plan that was made is wrong, so it is not shown. This is a fault of ellwand, not yours:");
            for fault in faults {
                eprintln!("  {fault}");
            }
            Ok(End::Wanting)
        }
    }
}

fn in_pool<T: Send>(threads: Option<u16>, work: impl FnOnce() -> T + Send) -> Result<T, Problems> {
    let mut builder = rayon::ThreadPoolBuilder::new();
    if let Some(threads) = threads {
        builder = builder.num_threads(usize::from(threads));
    }
    let pool =
        builder.build().map_err(|error| one_problem(format!("No threads can be had: {error}."), "try --threads 1"))?;
    Ok(pool.install(work))
}

fn answer(arguments: &Arguments, planned: &Planned, folder: Option<PathBuf>) -> Result<End, Problems> {
    let document = &planned.document;
    // Printed before anything is written: a full disk behind a redirection then leaves no drawings behind.
    if arguments.json {
        let json = serde_json::to_string(document)
            .map_err(|error| one_problem(format!("The plan cannot be written as JSON: {error}."), ""))?;
        say(&format!("{json}\n"))?;
    } else {
        say(&report::summary_within(document, &planned.notes, columns()))?;
    }
    let Some(folder) = folder else {
        return Ok(End::Well);
    };
    let written = files::write_all(&folder, &drawings(document))?;
    if !arguments.json {
        let names: Vec<String> = written.iter().map(|path| path.display().to_string()).collect();
        say(&format!("\nDrawings to cut by: {}\n", names.join(", ")))?;
    }
    Ok(End::Well)
}

/// How wide the terminal is; as wide as a report gets where there is none.
fn columns() -> usize {
    console::Term::stdout().size_checked().map_or(report::WIDTH, |(_, columns)| usize::from(columns))
}

/// A file name and an SVG for every cloth.
fn drawings(document: &PlanDocument) -> Vec<(String, String)> {
    let keys: Vec<&str> = document.cloths.iter().map(|cloth| cloth.cloth.as_str()).collect();
    let names = files::file_names(&keys, "svg");
    let svgs = document
        .cloths
        .iter()
        .map(|cloth| draw::svg::write(&draw::display_list(document, cloth, &draw::Options::default())));
    names.into_iter().zip(svgs).collect()
}
