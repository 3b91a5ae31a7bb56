//! `ellwand plan`.

use std::path::PathBuf;

use clap::ValueEnum;

use super::effort::SearchArguments;
use super::progress::Progress;
use super::{End, at_fault, choice, colour, columns, files, one_problem, say};
use crate::draw::pdf::Page;
use crate::draw::{Booklet, Marks, Paper};
use crate::error::Problems;
use crate::layout::ClothPlan;
use crate::piece::Piece;
use crate::plan::{self, Failure, Planned};
use crate::project::Project;
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
    let written = files::write_all(&folder, &papers(arguments, project, planned))?;
    if !arguments.json {
        let names: Vec<String> = written.iter().map(|path| path.display().to_string()).collect();
        say(&format!("\nDrawings to cut by, and sheets to pin up: {}\n", names.join(", ")))?;
    }
    Ok(End::Well)
}

/// Names and contents of all that is written: a drawing per cloth, the sheets, and each lay at full size where it is asked for.
fn papers(arguments: &Arguments, project: &Project, planned: &Planned) -> Vec<(String, Vec<u8>)> {
    let document = &planned.document;
    let options = draw::Options { paper: arguments.paper.into() };
    // Lengths in hand by their numbers: "main-1".
    let key = |cloth: &ClothPlan| match cloth.hand_number() {
        0 => cloth.cloth.clone(),
        number => format!("{}-{number}", cloth.cloth),
    };
    let keys: Vec<String> = document.cloths.iter().map(key).collect();
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    let svg = |cloth| draw::svg::write(&draw::display_list(document, cloth, &options)).into_bytes();
    let mut all: Vec<_> = files::file_names(&keys, "svg").into_iter().zip(document.cloths.iter().map(svg)).collect();
    let marks = project.pieces.iter().map(|(key, piece)| (key.clone(), marks(piece))).collect();
    let booklet = Booklet { document, notes: &planned.notes, marks: &marks, compared: &[], options };
    all.push(("sheets.html".to_owned(), draw::html::write(&booklet).into_bytes()));
    all.push(("sheets.pdf".to_owned(), pdf(&document.project, &draw::leaves(&booklet))));
    if arguments.full_size {
        let names = files::file_names(&keys, "full-size.pdf");
        let full = |cloth| pdf(&document.project, &[draw::full_size(document, cloth)]);
        all.extend(names.into_iter().zip(document.cloths.iter().map(full)));
    }
    all
}

fn pdf(title: &str, sheets: &[draw::Sheet]) -> Vec<u8> {
    let pages: Vec<Page> = sheets.iter().map(|sheet| Page { sheet, window: None }).collect();
    draw::pdf::write(title, &[], &pages)
}

fn marks(piece: &Piece) -> Marks {
    Marks { notches: piece.notches.len(), darts: piece.darts.len() }
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum PaperSize {
    /// 210 x 297 mm
    A4,
    /// 8 1/2 x 11 in
    Letter,
}

impl From<PaperSize> for Paper {
    fn from(size: PaperSize) -> Self {
        match size {
            PaperSize::A4 => Self::A4,
            PaperSize::Letter => Self::Letter,
        }
    }
}
