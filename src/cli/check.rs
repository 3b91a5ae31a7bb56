//! `ellwand check`.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::{End, choice, files, one_problem, say};
use crate::cut_list::{self, CutEntry};
use crate::draft::TRUING;
use crate::error::{Problem, Problems};
use crate::layout::PlanDocument;
use crate::piece::{SeamLength, seam_length};
use crate::project::{self, Project, Seam};
use crate::units::{Rounding, Unit, both};
use crate::{check, plan};

/// Check a project (problems, cut list, drafts proved, seams walked) or a finished plan
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: ellwand check demo/pinafore/project.json")]
pub(super) struct Arguments {
    /// A project file, or a plan as printed by `ellwand plan --json`
    file: PathBuf,
    /// Decide a choice of the project; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    /// Hold a plan against this project too: counts, grain, nap, amounts (with the choices the plan names)
    #[arg(long, value_name = "PROJECT")]
    against: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let bytes = files::read(&arguments.file)?;
    if is_plan(&bytes) {
        if !arguments.choose.is_empty() {
            let cause = "A plan has its choices made already: --choose cannot change them.";
            return Err(one_problem(cause, "leave --choose out, or give a project"));
        }
        return check_plan(arguments, &bytes);
    }
    if arguments.against.is_some() {
        let cause = format!("\"{}\" is not a plan, so it cannot be held against a project.", arguments.file.display());
        return Err(one_problem(cause, "give a plan as printed by `ellwand plan --json`, or leave --against out"));
    }
    check_project(arguments, &bytes)
}

/// Whether a file gives itself out as a plan.
fn is_plan(bytes: &[u8]) -> bool {
    #[derive(serde::Deserialize)]
    struct Head {
        ellwand_plan: Option<serde::de::IgnoredAny>,
    }
    serde_json::from_slice::<Head>(bytes).is_ok_and(|head| head.ellwand_plan.is_some())
}

fn check_plan(arguments: &Arguments, bytes: &[u8]) -> Result<End, Problems> {
    let document: PlanDocument = serde_json::from_slice(bytes).map_err(|error| {
        let cause = format!("\"{}\" is not a plan that can be read: {error}.", arguments.file.display());
        one_problem(cause, "give a plan as printed by `ellwand plan --json`")
    })?;
    let (faults, held_against) = match &arguments.against {
        None => (check::faults(&document), "counts, grain and nap were not checked: give --against PROJECT for those"),
        Some(path) => {
            let text = files::read(path)?;
            let chosen: Vec<(String, String)> = document.chosen.clone().into_iter().collect();
            let project = project::load(&text, &path.to_string_lossy(), &chosen).map_err(|mut problems| {
                let made: Vec<String> = chosen.iter().map(|(name, value)| format!("{name}={value}")).collect();
                let cause = format!("The plan was made with {}, which this project cannot be.", made.join(", "));
                let what = Problem::at("", cause, "hold a plan against the project it was made from");
                problems.insert(0, what);
                problems
            })?;
            let list = cut_list::resolve(&project)
                .map_err(|problems| project::located(problems, &text, &path.to_string_lossy(), &chosen))?;
            let rules = plan::rules(&project, &list);
            (check::faults_against(&document, &rules, &project.pieces), "held against its project")
        }
    };
    if faults.is_empty() {
        let plies: usize = document.cloths.iter().map(|cloth| cloth.plies.len()).sum();
        let cloths = match document.cloths.len() {
            1 => "1 cloth".to_owned(),
            count => format!("{count} cloths"),
        };
        say(&format!("The plan holds: {plies} plies on {cloths}; {held_against}.\n"))?;
        return Ok(End::Well);
    }
    let mut text = "The plan does not hold:\n".to_owned();
    for fault in &faults {
        let _ = writeln!(text, "  {fault}");
    }
    say(&text)?;
    Ok(End::Wanting)
}

fn check_project(arguments: &Arguments, bytes: &[u8]) -> Result<End, Problems> {
    let file = arguments.file.to_string_lossy();
    let project = project::load(bytes, &file, &arguments.choose)?;
    let located = |problems| project::located(problems, bytes, &file, &arguments.choose);
    let list = cut_list::resolve(&project).map_err(located)?;
    let problems = plan::problems(&project, &list);
    if !problems.is_empty() {
        return Err(located(problems));
    }
    let mut text = format!("{}: no problems\n", project.name);
    if !project.chosen.is_empty() {
        let chosen: Vec<String> = project.chosen.iter().map(|(name, value)| format!("{name} = {value}")).collect();
        let _ = writeln!(text, "Chosen: {}", chosen.join(", "));
    }
    for (cloth, cuts) in &list.cloths {
        let _ = writeln!(text, "\nFrom {cloth} ({}):", project.cloths.get(cloth).map_or("", |c| c.name.as_str()));
        for entry in cuts {
            let _ = writeln!(text, "  {}", in_words(entry));
        }
    }
    text.push_str(&drafts(&project));
    let (seams, all_match) = seams(&project);
    text.push_str(&seams);
    say(&text)?;
    Ok(if all_match { End::Well } else { End::Wanting })
}

/// A cut as the trade would write it.
fn in_words(entry: &CutEntry) -> String {
    let plies = entry.plies();
    let how = match (entry.on_fold, entry.mirrored) {
        (true, _) => " on the fold".to_owned(),
        (false, 0) => String::new(),
        (false, mirrored) => format!(", {mirrored} mirrored"),
    };
    format!("{}: cut {plies}{how} (piece {})", entry.cut, entry.piece)
}

/// Every draft with its proofs; a draft with one that fails never comes here.
fn drafts(project: &Project) -> String {
    let mut text = String::new();
    for (name, proofs) in &project.drafts {
        let _ = writeln!(text, "\nDrafted, {name} (all measured on the finished pieces' stitching lines):");
        for proof in proofs {
            let _ = writeln!(text, "  {}: holds", proof.in_words());
        }
    }
    text
}

/// Every seam walked: both lengths, the difference, and whether it is within the truing tolerance.
fn seams(project: &Project) -> (String, bool) {
    if project.seams.is_empty() {
        return ("\nNo seams are listed, so none were walked.\n".to_owned(), true);
    }
    let mut text =
        "\nSeams walked along the stitching line, darts closed (may differ by 1.6 mm, 1/16 in):\n".to_owned();
    let mut all_match = true;
    for seam in &project.seams {
        let Some((one, other)) = lengths(project, seam) else {
            continue;
        };
        let difference = (one.sewn() - other.sewn()).abs();
        all_match &= difference <= TRUING;
        let verdict = if difference <= TRUING { "matches" } else { "DOES NOT MATCH" };
        let _ = writeln!(
            text,
            "  {}.{} to {}.{}: {} to {}, {:.2} mm ({:.3} in) apart: {verdict}",
            seam.one.0,
            seam.one.1,
            seam.other.0,
            seam.other.1,
            both(one.sewn(), Rounding::Nearest),
            both(other.sewn(), Rounding::Nearest),
            difference,
            difference / Unit::Inch.mm()
        );
    }
    (text, all_match)
}

fn lengths(project: &Project, seam: &Seam) -> Option<(SeamLength, SeamLength)> {
    let length = |(piece, edge): &(String, String)| seam_length(project.pieces.get(piece)?, edge);
    Some((length(&seam.one)?, length(&seam.other)?))
}
