//! Drawings to cut by: a display list from a plan document, then one pure exporter per format.
//!
//! A cloth is drawn as it lies on the table, section by section in the order of work. Where it is doubled only the lower
//! layer is seen, and every placement once: the other ply of a pair lies on the layer on top, so what is cut through both
//! layers gives the two. The lower layer lies right side up, as the open cloth does: a pattern lies printed side up where
//! its ply is not mirrored.

mod booklet;
mod canvas;
mod cloth;
mod flaws;
mod frame;
mod full_size;
pub mod html;
mod lattice;
mod leaves;
mod legend;
mod lie;
mod list;
mod map;
mod outside;
mod page;
mod pattern;
pub mod pdf;
mod pieces;
mod polygon;
mod room;
mod squares;
mod steps;
pub mod svg;
mod table;
mod tape;
mod text;
mod tiles;
mod view;

use canvas::Canvas;
use outside::Listed;
use page::{ABOVE, BELOW, MARGIN, Pages, SIDE, TITLE};
use rayon::prelude::*;
use table::Table;
use view::View;

pub use booklet::{Booklet, Marks};
pub use full_size::full_size;
pub use leaves::leaves;
pub use list::{Anchor, DisplayList, Frame, LabelPlace, Line, Mark, Path, Placed, Sheet, Stroke, Text, Tone};

pub use pattern::{PatternPiece, pattern};
pub use tiles::{Tiles, tiles};

use crate::geometry::Point;
use crate::layout::{ClothPlan, PlanDocument};
use crate::units::{Rounding, both};

/// How to draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Options {
    /// The paper to print on.
    pub paper: Paper,
}

/// A size of paper, used upright or on its side as the cloth asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8 1/2 x 11 in.
    Letter,
}

impl Paper {
    /// The short and the long side in mm.
    pub fn sides(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// What every sheet of a drawing needs to know.
struct Job<'a> {
    table: &'a Table,
    pages: &'a Pages,
    /// For every placement the row in which it is labelled.
    homes: &'a [usize],
}

/// The drawing of one cloth of a plan.
pub fn display_list(document: &PlanDocument, cloth: &ClothPlan, options: &Options) -> DisplayList {
    let table = table::lay_out(document, cloth);
    let pages = page::choose(&table, options.paper);
    drawing(document, cloth, &table, &pages, pages.scale)
}

/// The drawings of all cloths of a plan, in its order, made in parallel.
pub fn display_lists(document: &PlanDocument, options: &Options) -> Vec<DisplayList> {
    document.cloths.par_iter().map(|cloth| display_list(document, cloth, options)).collect()
}

/// The drawing on given pages; `scale` is what its title says.
fn drawing(document: &PlanDocument, cloth: &ClothPlan, table: &Table, pages: &Pages, scale: f64) -> DisplayList {
    let job = Job { table, pages, homes: &homes(table, pages) };
    let mut canvases = Vec::new();
    let mut listed = Vec::new();
    let mut row_number = 0;
    let mut numbered = 0;
    for rows in &pages.sheets {
        let mut canvas = Canvas::new(pages.width, pages.height, MARGIN);
        let views = views(pages, rows);
        let (count, unwritten) = sheet(&mut canvas, &job, &views, row_number, numbered + 1);
        numbered += count;
        listed.extend(unwritten);
        row_number += rows.len();
        canvases.push((canvas, true));
    }
    let entries = entries(table, &listed);
    let mut left: &[String] = &entries;
    while !left.is_empty() || canvases.is_empty() {
        let mut canvas = Canvas::new(pages.width, pages.height, MARGIN);
        left = frame::list(&mut canvas, "Pieces too small to be named on the drawing", left);
        canvases.push((canvas, false));
    }
    let count = canvases.len();
    let sheets = canvases.into_iter().enumerate().map(|(i, (mut canvas, is_drawing))| {
        frame::title(&mut canvas, document, cloth, scale, (i + 1, count));
        if is_drawing {
            pages.foot.draw(&mut canvas);
        }
        canvas.finish()
    });
    let title = format!("{}: {}", text::clean(&document.project), text::clean(&cloth.label()));
    DisplayList { title, scale: pages.scale, sheets: sheets.collect() }
}

/// Where the rows of a sheet lie: what is left of the sheet is shared out above and below them.
fn views(pages: &Pages, rows: &[page::Row]) -> Vec<View> {
    let body = pages.height - 2.0 * MARGIN - TITLE - pages.foot.height();
    let used: f64 = rows.iter().map(|row| ABOVE + row.height / pages.scale + BELOW).sum();
    let spare = (body - used).max(0.0) / rows.len().max(1) as f64;
    let room = pages.width - 2.0 * MARGIN - 2.0 * SIDE;
    let longest = rows.iter().map(|row| (row.to - row.from) / pages.scale).fold(0.0, f64::max);
    let left = MARGIN + SIDE + ((room - longest) / 2.0).max(0.0);
    let mut top = MARGIN + TITLE;
    rows.iter()
        .map(|&row| {
            let base = top + ABOVE + spare * 0.35 + row.height / pages.scale;
            top = base + BELOW + spare * 0.65;
            View { row, scale: pages.scale, left, base }
        })
        .collect()
}

/// For every placement the row, counted over all sheets, that shows most of it: there it is labelled.
fn homes(table: &Table, pages: &Pages) -> Vec<usize> {
    let rows: Vec<View> =
        pages.sheets.iter().flatten().map(|&row| View { row, scale: pages.scale, left: 0.0, base: 0.0 }).collect();
    let area = |view: &View, i: usize| view.shape(table, &table.placements[i].shape).map_or(0.0, |s| s.area());
    (0..table.placements.len())
        .map(|i| {
            let most = |best: (usize, f64), (row, view): (usize, &View)| {
                let area = area(view, i);
                if area > best.1 { (row, area) } else { best }
            };
            rows.iter().enumerate().fold((0, 0.0), most).0
        })
        .collect()
}

/// Draws the rows of a sheet; gives how many placements had to be listed, and those still to be listed elsewhere.
fn sheet(
    canvas: &mut Canvas,
    job: &Job,
    views: &[View],
    first_row: usize,
    first_number: usize,
) -> (usize, Vec<Listed>) {
    let Job { table, pages, homes } = *job;
    let mut notes = Vec::new();
    let mut pending = Vec::new();
    for (i, view) in views.iter().enumerate() {
        cloth::ground(canvas, table, view);
        tape::tape(canvas, view);
        tape::dimensions(canvas, table, view);
        notes.extend(cloth::names(canvas, table, view));
        cloth::tops(canvas, table, view);
        pending.extend(pieces::draw(canvas, table, view, |piece| homes[piece] == first_row + i));
    }
    let (top, bottom) = (canvas.top() + TITLE - 2.0, canvas.bottom() - pages.foot.height() + 0.8);
    let body = Frame::upright(canvas.left(), top, canvas.right() - canvas.left(), bottom - top);
    let mut map = map::Map::new(canvas.right() + MARGIN, canvas.bottom() + MARGIN, &body);
    for view in views {
        cloth::block(&mut map, table, view);
        for (i, piece) in table.placements.iter().enumerate() {
            if let Some(shape) = view.shape(table, &piece.shape) {
                map.block_shape(&shape, i as u32 + 1);
            }
        }
    }
    for taken in canvas.taken.clone() {
        map.block_frame(&taken);
    }
    cloth::place_notes(canvas, &mut map, notes);
    let listed = outside::place(canvas, &mut map, &pending, first_number);
    // A list that has room on the sheet itself needs no sheet of its own.
    let is_written = outside::list_here(canvas, &mut map, &entries(table, &listed));
    (listed.len(), if is_written { Vec::new() } else { listed })
}

/// What is written about the placements that are listed.
fn entries(table: &Table, listed: &[Listed]) -> Vec<String> {
    let doubled = table.strips.iter().any(|s| s.lie.is_doubled());
    let entry = |&(i, number): &Listed| {
        let piece = table.placements.get(i)?;
        let words = pieces::label_words(piece, doubled);
        let name = text::shorten(&words.name, false, 40.0);
        let what = format!("{name}: {}, {}", words.amounts[0], words.side);
        let least = piece.shape.bounds().min;
        let nearest = Rounding::Nearest;
        Some(match number {
            Some(number) => format!("{number}   {what}"),
            None => format!(
                "{what}; {} from the left, {} up from the lower edge",
                both(least.x, nearest),
                both(least.y, nearest)
            ),
        })
    };
    listed.iter().filter_map(entry).collect()
}
