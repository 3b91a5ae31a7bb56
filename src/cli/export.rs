//! `ellwand export`.

use std::path::PathBuf;

use clap::ValueEnum;

use super::{End, choice, files, one_problem, say};
use crate::cut_list;
use crate::draw::Paper;
use crate::error::Problems;
use crate::export::{self, Sheet};
use crate::piece::Piece;
use crate::project::{self, Project};

/// Write the pieces of a project as a drawing at full scale
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: ellwand export demo/pinafore/project.json --format pdf --paper letter --out pieces\n\nSVG has every piece \
                  with its grain upright and a test square to measure after printing. DXF has a block for each piece, layers as \
                  in `ellwand import`. PDF is to be printed: sheets to join, with a map, or one page for a plotter or projector."
)]
pub(super) struct Arguments {
    /// The project file
    project: PathBuf,
    /// The kind of drawing
    #[arg(long, value_enum)]
    format: Format,
    /// Decide a choice of the project; may be given several times
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice)]
    choose: Vec<(String, String)>,
    /// What a PDF is printed on [default: a4]
    #[arg(long, value_enum)]
    paper: Option<Printed>,
    /// The folder for pieces.svg, pieces.dxf or pieces.pdf, which must not exist there yet
    #[arg(long, value_name = "DIR", default_value = "pieces")]
    out: PathBuf,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// To print, and to edit in a drawing program
    Svg,
    /// For other pattern programs
    Dxf,
    /// To print at full size: cut and stitching lines, grain, notches, darts
    Pdf,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Printed {
    /// Sheets of 210 x 297 mm to join
    A4,
    /// Sheets of 8 1/2 x 11 in to join
    Letter,
    /// One page as large as it takes
    OnePage,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let name = match arguments.format {
        Format::Svg => "pieces.svg",
        Format::Dxf => "pieces.dxf",
        Format::Pdf => "pieces.pdf",
    };
    if arguments.paper.is_some() && arguments.format != Format::Pdf {
        return Err(one_problem("--paper goes with --format pdf only.", "leave --paper out, or give --format pdf"));
    }
    let path = arguments.out.join(name);
    files::check_new(&path)?;
    let bytes = files::read(&arguments.project)?;
    let file = arguments.project.to_string_lossy();
    let project = project::load(&bytes, &file, &arguments.choose)?;
    cut_list::resolve(&project).map_err(|problems| project::located(problems, &bytes, &file, &arguments.choose))?;
    let sheets = sheets(&project);
    let printed = arguments.paper.unwrap_or(Printed::A4);
    let (bytes, on) = match arguments.format {
        Format::Svg => (export::svg(&project.name, &sheets).into_bytes(), String::new()),
        Format::Dxf => {
            let text = export::dxf(&project.name, &sheets).map_err(|problem| vec![problem])?;
            (text.into_bytes(), String::new())
        }
        Format::Pdf => pdf(&project.name, &sheets, printed),
    };
    files::write_new(&path, &bytes)?;
    say(&format!("Written: {} with {} pieces at full scale{on}.\n", path.display(), sheets.len()))?;
    Ok(End::Well)
}

/// The document, and what it is printed on in words.
fn pdf(title: &str, sheets: &[Sheet], printed: Printed) -> (Vec<u8>, String) {
    let paper = match printed {
        Printed::OnePage => return (export::one_page(title, sheets), " on one page".to_owned()),
        Printed::A4 => Paper::A4,
        Printed::Letter => Paper::Letter,
    };
    let (bytes, count) = export::tiled(title, sheets, paper);
    (bytes, format!(", a map and {count} sheets to join"))
}

fn sheets(project: &Project) -> Vec<Sheet<'_>> {
    project.pieces.values().map(|piece| sheet(project, piece)).collect()
}

fn sheet<'p>(project: &Project, piece: &'p Piece) -> Sheet<'p> {
    let cuts: Vec<_> = project.cuts.values().filter(|cut| cut.piece == piece.name).collect();
    let line = |cut: &&project::Cut| {
        let plies = cut.count * cut.layers;
        let how = match (cut.on_fold, cut.mirrored, plies.is_multiple_of(2)) {
            (true, ..) => " on fold",
            (false, false, true) => " alike",
            _ => "",
        };
        format!("Cut {plies}{how}, {}", cut.cloth)
    };
    let quantity = cuts.iter().map(|cut| cut.count * cut.layers).sum();
    Sheet { piece, cuts: cuts.iter().map(line).collect(), quantity }
}
