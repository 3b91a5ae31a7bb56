//! Pieces as PDF at full size, to be printed on sheets of paper and joined, or on one page.

use super::svg::notch_line;
use super::{Sheet, level_line, polygon};
use crate::draw::pdf::{self, Page};
use crate::draw::{Paper, PatternPiece, pattern, tiles};
use crate::geometry::Shape;
use crate::piece::stitching_lines;
use crate::units::Mm;

/// Pieces on one page lie in rows about this wide, in mm: the width of ISO A0.
const ROW: Mm = 841.0;
/// Widths tried for pieces on sheets to join, in mm: the one that takes the fewest sheets is taken.
const ROWS: [Mm; 6] = [550.0, 730.0, 910.0, 1100.0, 1300.0, 1500.0];

/// All pieces of a project on one page, with squares to measure.
pub fn one_page(title: &str, sheets: &[Sheet]) -> Vec<u8> {
    let drawing = pattern(title, &pieces(sheets), ROW, true);
    pdf::write(title, &[], &[Page { sheet: &drawing, window: None }])
}

/// The same in tiles, a map of them and the squares first; with the number of tiles.
pub fn tiled(title: &str, sheets: &[Sheet], paper: Paper) -> (Vec<u8>, usize) {
    let pieces = pieces(sheets);
    let at_width = |width| {
        let drawing = pattern(title, &pieces, width, false);
        let tiles = tiles(title, &drawing, paper);
        (drawing, tiles)
    };
    let first = at_width(ROW);
    let (drawing, tiles) = ROWS
        .into_iter()
        .map(at_width)
        .fold(first, |best, next| if next.1.sheets.len() < best.1.sheets.len() { next } else { best });
    let map = Page { sheet: &tiles.map, window: None };
    let rest = tiles.sheets.iter().map(|(sheet, window)| Page { sheet, window: Some(*window) });
    let pages: Vec<Page> = std::iter::once(map).chain(rest).collect();
    (pdf::write(title, &[&drawing], &pages), tiles.sheets.len())
}

fn pieces(sheets: &[Sheet]) -> Vec<PatternPiece> {
    sheets.iter().map(piece).collect()
}

fn piece(sheet: &Sheet) -> PatternPiece {
    let piece = sheet.piece;
    PatternPiece {
        name: piece.name.clone(),
        lines: sheet.cuts.clone(),
        shape: Shape { outline: polygon(piece), holes: piece.shape.holes.clone() },
        stitching: stitching_lines(piece),
        grain: level_line(piece),
        fold: piece.fold.map(|fold| [fold.from, fold.to]),
        notches: piece.notches.iter().map(|&notch| notch_line(piece, notch)).collect(),
        darts: piece.darts.iter().map(|dart| [dart.legs[0], dart.apex, dart.legs[1]]).collect(),
    }
}
