//! `ellwand buy`.

use std::path::PathBuf;

use indexmap::IndexMap;

use super::effort::SearchArguments;
use super::progress::Progress;
use super::{End, at_fault, choice, colour, columns, files, one_problem, say};
use crate::error::{Problem, Problems};
use crate::plan::{self, Failure};
use crate::project::{self, Project};
use crate::report;
use crate::units::{Mm, parse_length};

/// Print the shopping list: every cloth, and the buttons, thread and zips that the project lists
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: ellwand buy demo/pinafore/project.json --spare \"lining=20 cm\"")]
pub(super) struct Arguments {
    /// The project file
    project: PathBuf,
    /// Extra length, as it lies on the table: of one cloth, or LENGTH alone of every cloth; may be given several times
    #[arg(long, value_name = "CLOTH=LENGTH")]
    spare: Vec<String>,
    /// Decide a choice of the project; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    #[command(flatten)]
    search: SearchArguments,
    /// Print the list as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let bytes = files::read(&arguments.project)?;
    let file = arguments.project.to_string_lossy();
    let project = project::load(&bytes, &file, &arguments.choose)?;
    let spare = spare(&arguments.spare, &project)?;
    let progress = Progress::start();
    let options = arguments.search.options();
    let planned = arguments.search.in_pool(|| plan::plan(&project, &options, &progress))?;
    progress.finish();
    let planned = match planned {
        Ok(planned) => planned,
        Err(Failure::Problems(problems)) => {
            return Err(project::located(problems, &bytes, &file, &arguments.choose));
        }
        Err(Failure::Faults(faults)) => return Ok(at_fault(&faults)),
    };
    let list = plan::shopping_list(&project, &planned.document, &spare);
    if arguments.json {
        let json = serde_json::to_string_pretty(&list)
            .map_err(|error| one_problem(format!("It cannot be written as JSON: {error}."), ""))?;
        say(&format!("{json}\n"))?;
    } else {
        say(&colour::report(&report::shopping_within(&list, columns())))?;
    }
    Ok(End::Well)
}

/// The extra length of every cloth; the last word about a cloth holds.
fn spare(texts: &[String], project: &Project) -> Result<IndexMap<String, Mm>, Problems> {
    let mut spare = IndexMap::new();
    let mut problems = Problems::new();
    for text in texts {
        let place = format!("--spare {text}");
        let (cloth, length) =
            text.split_once('=').map_or((None, text.as_str()), |(cloth, length)| (Some(cloth), length));
        match parse_length(length, project.unit) {
            Err(error) => problems.push(Problem::at(place, error.cause, error.hint)),
            Ok(length) => match cloth {
                None => spare.extend(project.cloths.keys().map(|key| (key.clone(), length))),
                Some(cloth) if project.cloths.contains_key(cloth) => {
                    spare.insert(cloth.to_owned(), length);
                }
                Some(cloth) => {
                    let known: Vec<&str> = project.cloths.keys().map(String::as_str).collect();
                    let hint = format!("the cloths are {}", known.join(", "));
                    problems.push(Problem::at(place, format!("There is no cloth named \"{cloth}\"."), hint));
                }
            },
        }
    }
    if problems.is_empty() { Ok(spare) } else { Err(problems) }
}
