//! `ellwand export`.

use std::path::PathBuf;

use clap::ValueEnum;

use super::{End, choice, files, say};
use crate::cut_list;
use crate::error::Problems;
use crate::export::{self, Sheet};
use crate::piece::Piece;
use crate::project::{self, Project};

/// Write the pieces of a project as a drawing at full scale
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: ellwand export demo/pinafore/project.json --format svg --out pieces\n\nSVG has every piece with its \
                  grain upright and a test square to measure after printing. DXF has a block for each piece, layers as in \
                  `ellwand import`."
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
    /// The folder for pieces.svg or pieces.dxf, which must not exist there yet
    #[arg(long, value_name = "DIR", default_value = "pieces")]
    out: PathBuf,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Format {
    /// To print, and to edit in a drawing program
    Svg,
    /// For other pattern programs
    Dxf,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let name = match arguments.format {
        Format::Svg => "pieces.svg",
        Format::Dxf => "pieces.dxf",
    };
    let path = arguments.out.join(name);
    files::check_new(&path)?;
    let bytes = files::read(&arguments.project)?;
    let file = arguments.project.to_string_lossy();
    let project = project::load(&bytes, &file, &arguments.choose)?;
    cut_list::resolve(&project).map_err(|problems| project::located(problems, &bytes, &file, &arguments.choose))?;
    let sheets = sheets(&project);
    let text = match arguments.format {
        Format::Svg => export::svg(&project.name, &sheets),
        Format::Dxf => export::dxf(&project.name, &sheets).map_err(|problem| vec![problem])?,
    };
    files::write_new(&path, &text)?;
    say(&format!("Written: {} with {} pieces at full scale.\n", path.display(), sheets.len()))?;
    Ok(End::Well)
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
