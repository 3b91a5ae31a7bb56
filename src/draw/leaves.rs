//! The booklet as sheets of paper: its words upright, then the drawings of every lay.

use super::Paper;
use super::booklet::{Booklet, Grid, words};
use super::canvas::{BLACK, Canvas, Words, at, closed};
use super::list::Sheet;
use super::text::{POINT, wrap};

/// White border of a sheet, in mm.
const MARGIN: f64 = 14.0;
/// Type size of running text, in points.
const TEXT: f64 = 9.0;
/// Between two columns, in mm.
const GAP: f64 = 3.0;
/// A box to tick, in mm.
const TICK: f64 = 3.2;

/// All sheets of a booklet.
pub fn leaves(booklet: &Booklet) -> Vec<Sheet> {
    let all = words(booklet);
    let mut flow = Flow::new(booklet.paper);
    flow.paragraph(&all.title, 18.0, true);
    if let Some(chosen) = &all.chosen {
        flow.paragraph(chosen, TEXT, false);
    }
    flow.heading("To buy");
    flow.grid(&all.buying, false);
    flow.lines(&all.below_buying);
    if !all.compared.is_empty() {
        flow.heading("The choices compared");
        flow.lines(&all.compared);
    }
    flow.heading("Take care");
    flow.lines(&all.cautions.iter().map(|&line| line.to_owned()).collect::<Vec<_>>());
    flow.heading("At the table");
    flow.lines(&(1..).zip(&all.work).map(|(n, line)| format!("{n}. {line}")).collect::<Vec<_>>());
    flow.heading("To cut");
    for cloth in &all.cloths {
        flow.room_for(24.0);
        flow.y += 1.5;
        flow.paragraph(&cloth.name, 10.5, true);
        flow.grid(&cloth.cuts, true);
    }
    let mut sheets = flow.finish();
    sheets.extend(booklet.drawings.iter().flat_map(|drawing| drawing.sheets.iter().cloned()));
    sheets
}

/// Text running from sheet to sheet.
struct Flow {
    paper: (f64, f64),
    done: Vec<Sheet>,
    canvas: Canvas,
    y: f64,
}

impl Flow {
    fn new(paper: Paper) -> Self {
        let paper = paper.sides();
        let canvas = Canvas::new(paper.0, paper.1, MARGIN);
        Self { paper, done: Vec::new(), canvas, y: MARGIN }
    }

    fn width(&self) -> f64 {
        self.canvas.right() - self.canvas.left()
    }

    /// Goes on to the next sheet unless so much is left of this one.
    fn room_for(&mut self, height: f64) {
        if self.y + height > self.canvas.bottom() {
            let next = Canvas::new(self.paper.0, self.paper.1, MARGIN);
            self.done.push(std::mem::replace(&mut self.canvas, next).finish());
            self.y = MARGIN;
        }
    }

    fn finish(mut self) -> Vec<Sheet> {
        self.done.push(self.canvas.finish());
        self.done
    }

    fn heading(&mut self, text: &str) {
        self.room_for(26.0);
        self.y += 4.0;
        self.paragraph(text, 12.0, true);
        let (left, right) = (self.canvas.left(), self.canvas.right());
        self.canvas.line(at(left, self.y), at(right, self.y), 0.5);
        self.y += 1.6;
    }

    fn lines(&mut self, lines: &[String]) {
        for line in lines {
            self.paragraph(line, TEXT, false);
            self.y += 0.6;
        }
    }

    fn paragraph(&mut self, text: &str, points: f64, bold: bool) {
        for line in wrap(text, bold, self.width() / (points * POINT)) {
            let words = Words { content: line, points, bold };
            self.room_for(words.height());
            self.canvas.text_at(&words, self.canvas.left(), self.y, self.width() + 0.01);
            self.y += words.height();
        }
    }

    fn grid(&mut self, grid: &Grid, with_ticks: bool) {
        let indent = if with_ticks { TICK + GAP } else { 0.0 };
        let widths = widths(grid, self.width() - indent);
        let heads: Vec<String> = grid.heads.iter().map(|&head| head.to_owned()).collect();
        self.row(grid, &heads, &widths, indent, true);
        for row in &grid.rows {
            self.row(grid, row, &widths, indent, false);
        }
    }

    fn row(&mut self, grid: &Grid, cells: &[String], widths: &[f64], indent: f64, is_head: bool) {
        // A hair more: a cell as wide as its column is not broken for the last bit of a number.
        let measure = |width: f64| (width - GAP + 0.01) / (TEXT * POINT);
        let cells: Vec<Vec<String>> =
            cells.iter().zip(widths).map(|(cell, &width)| wrap(cell, is_head, measure(width))).collect();
        let line = Words::new("", TEXT).height();
        let height = line * cells.iter().map(Vec::len).max().unwrap_or(1).max(1) as f64 + 1.4;
        self.room_for(height);
        let mut x = self.canvas.left() + indent;
        for ((lines, &width), &figure) in cells.iter().zip(widths).zip(&grid.figures) {
            for (i, content) in lines.iter().enumerate() {
                let words = Words { content: content.clone(), points: TEXT, bold: is_head };
                let (y, most) = (self.y + line * i as f64, width - GAP + 0.02);
                if figure {
                    self.canvas.text_ending_at(&words, x + width - GAP, y, most);
                } else {
                    self.canvas.text_at(&words, x, y, most);
                }
            }
            x += width;
        }
        let (left, right) = (self.canvas.left(), self.canvas.right());
        if indent > 0.0 && !is_head {
            let (x, y) = (left, self.y + 0.3);
            let ring = vec![at(x, y), at(x + TICK, y), at(x + TICK, y + TICK), at(x, y + TICK)];
            self.canvas.lines(vec![closed(ring)], 0.3, BLACK, None);
        }
        self.y += height;
        self.canvas.line(at(left, self.y - 0.7), at(right, self.y - 0.7), if is_head { 0.35 } else { 0.12 });
    }
}

/// Widths of columns, by their longest cells; the widest give way where there is no room for all.
fn widths(grid: &Grid, room: f64) -> Vec<f64> {
    let natural = |column: usize| {
        let cell = |row: &Vec<String>| row.get(column).map_or(0.0, |cell| Words::new(cell.as_str(), TEXT).width());
        let head = Words::bold(grid.heads[column], TEXT).width();
        grid.rows.iter().map(cell).fold(head, f64::max) + GAP
    };
    let mut widths: Vec<f64> = (0..grid.heads.len()).map(natural).collect();
    for _ in 0..100 {
        let over = widths.iter().sum::<f64>() - room;
        if over <= 0.0 {
            break;
        }
        let widest = widths.iter().copied().fold(0.0, f64::max);
        let count = widths.iter().filter(|&&width| width > widest - 1.0).count() as f64;
        for width in widths.iter_mut().filter(|width| **width > widest - 1.0) {
            *width -= (over / count).min((widest * 0.1).max(1.0));
        }
    }
    let spare = room - widths.iter().sum::<f64>();
    if let (Some(last), true) = (widths.last_mut(), spare > 0.0) {
        *last += spare;
    }
    widths
}
