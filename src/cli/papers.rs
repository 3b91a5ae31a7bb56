//! What is written to take to the table: a drawing per cloth, the sheets, and lays at full size.

use clap::ValueEnum;

use super::files;
use crate::draw::pdf::Page;
use crate::draw::{self, Booklet, DisplayList, Marks, Paper};
use crate::layout::ClothPlan;
use crate::piece::Piece;
use crate::plan::Planned;
use crate::project::Project;

/// A name and contents.
pub(super) type Written = (String, Vec<u8>);

/// A drawing per cloth, the sheets, and each lay at full size where it is asked for.
pub(super) fn all(project: &Project, planned: &Planned, paper: Paper, full_size: bool) -> Vec<Written> {
    let document = &planned.document;
    let drawings = draw::display_lists(document, &draw::Options { paper });
    // Lengths in hand by their numbers: "main-1".
    let key = |cloth: &ClothPlan| match cloth.hand_number() {
        0 => cloth.cloth.clone(),
        number => format!("{}-{number}", cloth.cloth),
    };
    let keys: Vec<String> = document.cloths.iter().map(key).collect();
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    let svg = |drawing| draw::svg::write(drawing).into_bytes();
    let mut all: Vec<_> = files::file_names(&keys, "svg").into_iter().zip(drawings.iter().map(svg)).collect();
    all.extend(with_drawings(project, planned, &drawings, paper, &[]));
    if full_size {
        let names = files::file_names(&keys, "full-size.pdf");
        let full = |cloth| pdf(&document.project, &[draw::full_size(document, cloth)]);
        all.extend(names.into_iter().zip(document.cloths.iter().map(full)));
    }
    all
}

/// The sheets, as a page and to print, with what was found by comparing choices.
pub(super) fn sheets(project: &Project, planned: &Planned, paper: Paper, compared: &[String]) -> [Written; 2] {
    let drawings = draw::display_lists(&planned.document, &draw::Options { paper });
    with_drawings(project, planned, &drawings, paper, compared)
}

fn with_drawings(
    project: &Project,
    planned: &Planned,
    drawings: &[DisplayList],
    paper: Paper,
    compared: &[String],
) -> [Written; 2] {
    let document = &planned.document;
    let marks = project.pieces.iter().map(|(key, piece)| (key.clone(), marks(piece))).collect();
    let booklet = Booklet { document, notes: &planned.notes, marks: &marks, compared, drawings, paper };
    [
        ("sheets.html".to_owned(), draw::html::write(&booklet).into_bytes()),
        ("sheets.pdf".to_owned(), pdf(&document.project, &draw::leaves(&booklet))),
    ]
}

fn pdf(title: &str, sheets: &[draw::Sheet]) -> Vec<u8> {
    let pages: Vec<Page> = sheets.iter().map(|sheet| Page { sheet, window: None }).collect();
    draw::pdf::write(title, &[], &pages)
}

fn marks(piece: &Piece) -> Marks {
    Marks { notches: piece.notches.len(), darts: piece.darts.len() }
}

/// The paper that drawings and sheets are printed on.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum PaperSize {
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
