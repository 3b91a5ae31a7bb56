//! `ellwand compare`.

use std::path::PathBuf;

use super::effort::SearchArguments;
use super::papers::{self, PaperSize};
use super::progress::Progress;
use super::{End, at_fault, choice, colour, columns, files, one_problem, say};
use crate::error::Problems;
use crate::plan::{self, Compared, Failure};
use crate::project::Combinations;
use crate::{project, report};

/// Compare what a project's choices take: every combination, cloth by cloth
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: ellwand compare demo/pinafore/project.json --by band,lining\n\nEvery figure is that of a plan \
                        which was checked; --out writes these plans, to be checked again with `ellwand check`, and the chosen \
                        one's sheets with what was found."
)]
pub(super) struct Arguments {
    /// The project file
    project: PathBuf,
    /// The choices to vary, parted by commas; the others stay as chosen [default: all of them]
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    by: Vec<String>,
    /// Decide a choice: compare with that, and vary it only if --by names it; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    #[command(flatten)]
    search: SearchArguments,
    /// A folder for the plan of every combination, as JSON, and the sheets of the chosen one [default: none are written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The paper that the sheets are printed on
    #[arg(long, value_enum, default_value_t = PaperSize::A4)]
    paper: PaperSize,
    /// Print the comparison as JSON instead of tables
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let bytes = files::read(&arguments.project)?;
    let file = arguments.project.to_string_lossy();
    let by: Vec<String> = arguments.by.iter().map(|name| name.trim().to_owned()).collect();
    let combinations = project::combinations(&bytes, &file, &arguments.choose, &by)?;
    if let Some(folder) = &arguments.out {
        files::check_writable(folder)?;
    }
    let progress = Progress::start();
    let options = arguments.search.options();
    let compared = arguments.search.in_pool(|| plan::compare(&combinations, &options, &progress))?;
    progress.finish();
    match compared {
        Ok(compared) => answer(arguments, &combinations, compared),
        Err(Failure::Problems(problems)) => Err(project::located(problems, &bytes, &file, &arguments.choose)),
        Err(Failure::Faults(faults)) => Ok(at_fault(&faults)),
    }
}

fn answer(arguments: &Arguments, combinations: &Combinations, compared: Compared) -> Result<End, Problems> {
    let Compared { mut comparison, plans, chosen } = compared;
    if let Some(row) = comparison.chosen_one() {
        let words = |other| report::difference(&comparison, row, other);
        let words: Vec<String> = comparison.combinations.iter().map(words).collect();
        for (row, words) in comparison.combinations.iter_mut().zip(words) {
            row.in_words = if row.not_possible.is_some() { "not possible".to_owned() } else { words };
        }
    }
    let as_json = |error: serde_json::Error| one_problem(format!("It cannot be written as JSON: {error}."), "");
    if arguments.json {
        say(&format!("{}\n", serde_json::to_string_pretty(&comparison).map_err(as_json)?))?;
    } else {
        say(&colour::report(&report::comparison_within(&comparison, columns())))?;
    }
    let Some(folder) = &arguments.out else {
        return Ok(End::Well);
    };
    let done: Vec<_> =
        comparison.combinations.iter().zip(&plans).filter_map(|(row, plan)| Some((row, plan.as_ref()?))).collect();
    let keys: Vec<String> = done
        .iter()
        .map(|(row, _)| row.chosen.values().cloned().collect::<Vec<_>>().join("_").replace(' ', "-"))
        .collect();
    let names = files::file_names(&keys.iter().map(String::as_str).collect::<Vec<_>>(), "json");
    let texts: Result<Vec<String>, _> = done.iter().map(|(_, plan)| serde_json::to_string(plan)).collect();
    let texts = texts.map_err(as_json)?.into_iter().map(String::into_bytes);
    let mut all: Vec<papers::Written> = names.into_iter().zip(texts).collect();
    if let Some(Ok(project)) = combinations.all.get(combinations.chosen).map(|combination| &combination.project) {
        let compared = report::each_choice(&comparison);
        let draw = || papers::sheets(project, &chosen, arguments.paper.into(), &compared);
        all.extend(arguments.search.in_pool(draw)?);
    }
    let written = files::write_all(folder, &all)?;
    if !arguments.json {
        say(&format!("\nPlans, and the sheets of the chosen one: {} in {}\n", written.len(), folder.display()))?;
    }
    Ok(End::Well)
}
