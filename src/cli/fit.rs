//! `ellwand fit`.

use std::path::PathBuf;

use super::effort::SearchArguments;
use super::progress::Progress;
use super::{End, at_fault, choice, colour, columns, files, one_problem, say};
use crate::error::Problems;
use crate::plan::{self, Failure, Fitted};
use crate::project::{self, Cloth, Combination, Combinations, HaveLength, Project};
use crate::units::{LONGEST, Mm, Rounding, Unit, both, parse_length};
use crate::{layout, report};

/// Find out whether cloth in hand does, and with which choices
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: ellwand fit demo/apron-remnants/project.json\n         ellwand fit \
                        demo/pinafore/project.json --cloth main --have \"2.3 m x 140 cm\" --by band,lining\n\nEvery figure \
                        is that of a plan which was checked; --out writes these plans, to be checked again with `ellwand \
                        check`.")]
pub(super) struct Arguments {
    /// The project file
    project: PathBuf,
    /// The cloth that is in hand, by its key [default: the only one with lengths in hand, or the only one there is]
    #[arg(long, value_name = "NAME")]
    cloth: Option<String>,
    /// A length in hand, or about to be bought, and its width where that is not the cloth's: "2.3 m x 140 cm"; may be given
    /// several times [default: what the project has in hand]
    #[arg(long, value_name = "LENGTH[ x WIDTH]", allow_hyphen_values = true)]
    have: Vec<String>,
    /// The lengths given with --have have been washed and shrink no more
    #[arg(long, requires = "have")]
    washed: bool,
    /// The choices to vary, parted by commas; the others stay as chosen [default: all of them]
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    by: Vec<String>,
    /// Decide a choice; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    #[command(flatten)]
    search: SearchArguments,
    /// A folder for the plan of every combination, as JSON [default: none are written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print the answer as JSON instead of words
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let bytes = files::read(&arguments.project)?;
    let file = arguments.project.to_string_lossy();
    let project = project::load(&bytes, &file, &arguments.choose)?;
    let name = cloth_name(arguments, &project)?;
    let mut combinations = combinations(arguments, &bytes, project)?;
    for project in combinations.all.iter_mut().filter_map(|combination| combination.project.as_mut().ok()) {
        let unit = project.unit;
        if let Some(cloth) = project.cloths.get_mut(&name)
            && !arguments.have.is_empty()
        {
            cloth.have = lengths(arguments, cloth, unit)?;
        }
    }
    if let Some(folder) = &arguments.out {
        files::check_writable(folder)?;
    }
    let progress = Progress::start();
    let options = arguments.search.options();
    let fitted = arguments.search.in_pool(|| plan::fit(&combinations, &name, &options, &progress))?;
    progress.finish();
    match fitted {
        Ok(fitted) => answer(arguments, &fitted),
        Err(Failure::Problems(problems)) => Err(project::located(problems, &bytes, &file, &arguments.choose)),
        Err(Failure::Faults(faults)) => Ok(at_fault(&faults)),
    }
}

/// The cloth asked about: it has to be known which, and that there is some of it in hand.
fn cloth_name(arguments: &Arguments, project: &Project) -> Result<String, Problems> {
    let known = || project.cloths.keys().map(String::as_str).collect::<Vec<_>>().join(", ");
    let in_hand: Vec<&String> =
        project.cloths.iter().filter(|(_, cloth)| !cloth.have.is_empty()).map(|(name, _)| name).collect();
    let name = match (&arguments.cloth, &in_hand[..]) {
        (Some(name), _) => name.clone(),
        (None, [only]) => (*only).clone(),
        (None, _) if project.cloths.len() == 1 => project.cloths.keys().next().cloned().unwrap_or_default(),
        (None, _) => {
            let cause = "It is not said which cloth is in hand.";
            return Err(one_problem(cause, format!("name it with --cloth; the cloths are {}", known())));
        }
    };
    match project.cloths.get(&name) {
        None => Err(one_problem(
            format!("There is no cloth named \"{name}\"."),
            format!("name one of these with --cloth: {}", known()),
        )),
        Some(cloth) if cloth.have.is_empty() && arguments.have.is_empty() => Err(one_problem(
            format!("Nothing of the cloth \"{name}\" is in hand."),
            "say what there is with --have \"2.3 m x 140 cm\", or as \"have\" in the project",
        )),
        Some(_) => Ok(name),
    }
}

/// Every combination of choices; the project alone where it has none, or all are decided.
fn combinations(arguments: &Arguments, bytes: &[u8], project: Project) -> Result<Combinations, Problems> {
    let decided = |choice: &String| arguments.choose.iter().any(|(name, _)| name == choice);
    if arguments.by.is_empty() && project.chosen.keys().all(decided) {
        let all = vec![Combination { chosen: project.chosen.clone(), project: Ok(project) }];
        return Ok(Combinations { by: Vec::new(), all, chosen: 0 });
    }
    let by: Vec<String> = arguments.by.iter().map(|name| name.trim().to_owned()).collect();
    project::combinations(bytes, &arguments.project.to_string_lossy(), &arguments.choose, &by)
}

/// The lengths given with --have.
fn lengths(arguments: &Arguments, cloth: &Cloth, unit: Unit) -> Result<Vec<HaveLength>, Problems> {
    let length = |text: &String| {
        let (length, width) = match text.split_once(['x', '×']) {
            Some((length, width)) => (extent(length, text, unit)?, extent(width, text, unit)?),
            None => (extent(text, text, unit)?, cloth.width),
        };
        if width - 2.0 * cloth.selvedge < 0.5 {
            let selvedge = both(cloth.selvedge, Rounding::Nearest);
            let cause = format!("--have \"{text}\": two selvedges of {selvedge} leave nothing of its width.");
            return Err(one_problem(cause, "give the width from selvedge to selvedge after the x"));
        }
        Ok(HaveLength { name: None, length, width, washed: arguments.washed, flaws: Vec::new() })
    };
    arguments.have.iter().map(length).collect()
}

fn extent(part: &str, text: &str, unit: Unit) -> Result<Mm, Problems> {
    let mm = parse_length(part.trim(), unit)
        .map_err(|error| one_problem(format!("--have \"{text}\": {}", error.cause), error.hint))?;
    if !(0.5..=LONGEST).contains(&mm) {
        let cause = format!("--have \"{text}\": no cloth is {} long or wide.", both(mm, Rounding::Nearest));
        return Err(one_problem(
            cause,
            "write a length and a width, such as \"2.3 m x 140 cm\" or \"2 1/2 yd x 54 in\"",
        ));
    }
    Ok(mm)
}

fn answer(arguments: &Arguments, fitted: &Fitted) -> Result<End, Problems> {
    let Fitted { fitting, plans } = fitted;
    let as_json = |error: serde_json::Error| one_problem(format!("It cannot be written as JSON: {error}."), "");
    if arguments.json {
        say(&format!("{}\n", serde_json::to_string_pretty(fitting).map_err(as_json)?))?;
    } else {
        say(&colour::report(&report::fitting_within(fitting, columns())))?;
    }
    let Some(folder) = &arguments.out else {
        return Ok(End::Well);
    };
    let done: Vec<(&layout::Fits, &layout::PlanDocument)> =
        fitting.combinations.iter().zip(plans).filter_map(|(row, plan)| Some((row, plan.as_ref()?))).collect();
    let keys: Vec<String> = done
        .iter()
        .map(|(row, _)| row.chosen.values().cloned().collect::<Vec<_>>().join("_").replace(' ', "-"))
        .map(|key| if key.is_empty() { fitting.cloth.clone() } else { key })
        .collect();
    let names = files::file_names(&keys.iter().map(String::as_str).collect::<Vec<_>>(), "json");
    let texts: Result<Vec<String>, _> = done.iter().map(|(_, plan)| serde_json::to_string(plan)).collect();
    let written = files::write_all(folder, &names.into_iter().zip(texts.map_err(as_json)?).collect::<Vec<_>>())?;
    if !arguments.json {
        say(&format!("\nPlans written: {} in {}\n", written.len(), folder.display()))?;
    }
    Ok(End::Well)
}
